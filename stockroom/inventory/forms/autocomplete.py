"""Choosing a chemical or a reagent by typing its name, with a list to pick from.

A list of two thousand names in every row of a form would weigh more than the page; here each row is a
text box, and the page holds the names once (`{% chemical_names %}`, `{% reagent_names %}`).
"""

import contextlib

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from stockroom.chemistry.formula import FormulaError, check_cas
from stockroom.inventory.models import Chemical, Reagent
from stockroom.inventory.search import search_chemicals, search_reagents

MOST_NEAR = 3


class NamedChoiceField(forms.ModelChoiceField):
    noun, list_id = "", ""
    #: (rows, text) -> the rows that a search for it finds
    search = None

    def __init__(self, queryset, **kwargs):
        kwargs.setdefault("widget", forms.TextInput)
        super().__init__(queryset, to_field_name="name", **kwargs)

    def widget_attrs(self, widget):
        return {**super().widget_attrs(widget), "list": self.list_id, "autocomplete": "off"}

    def prepare_value(self, value):
        if isinstance(value, int):
            named = self.queryset.model.objects.filter(pk=value).values_list("name", flat=True).first()
            return named or ""
        return super().prepare_value(value)

    def ways_to_name(self, text: str):
        """Conditions to try in turn; the first that finds something decides."""
        return (Q(name=text), Q(name__iexact=text))

    def to_python(self, value):
        # PostgreSQL takes no NUL in a text.
        text = " ".join(str(value or "").replace("\0", "").split())
        if not text:
            return None
        for way in self.ways_to_name(text[:200]):
            found = list(self.queryset.filter(way).distinct()[:2])
            if len(found) == 1:
                return found[0]
            if found:
                raise ValidationError(f"“{text[:60]}” names several: choose one from the list.")
        near = self._near(text[:200])
        meant = f" Did you mean {' or '.join(near)}?" if near else ""
        raise ValidationError(
            f"There is no {self.noun} “{text[:60]}”.{meant} Choose one from the list, or add it first."
        )

    def _near(self, text: str) -> list[str]:
        """A few names that hold what was typed, by synonym too. One query."""
        rows = type(self).search(self.queryset.filter(retired_on=None), text)
        return list(rows.distinct().order_by("name").values_list("name", flat=True)[:MOST_NEAR])


class ChemicalField(NamedChoiceField):
    """By name, synonym or CAS RN."""

    noun, list_id = "chemical", "chemical-names"
    search = staticmethod(search_chemicals)

    def __init__(self, **kwargs):
        super().__init__(Chemical.objects.all(), **kwargs)

    def ways_to_name(self, text):
        ways = [*super().ways_to_name(text), Q(synonyms__name__iexact=text)]
        with contextlib.suppress(FormulaError):
            ways.append(Q(cas_rn=check_cas(text)))
        return ways


class ReagentField(NamedChoiceField):
    noun, list_id = "reagent", "reagent-names"
    search = staticmethod(search_reagents)

    def __init__(self, **kwargs):
        super().__init__(Reagent.objects.all(), **kwargs)
