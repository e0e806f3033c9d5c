"""Reagents, with their components on the same screen."""

import re
from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator

from stockroom.common.amount_field import AmountField
from stockroom.common.forms.edit_conflict import RowsTakenOutMixin, SinceOpenedMixin
from stockroom.common.forms.verified import CheckedMixin
from stockroom.inventory.forms.amount import AmountFormField, resolve_amount
from stockroom.inventory.forms.autocomplete import ChemicalField
from stockroom.inventory.models import Chemical, Component, Reagent
from stockroom.safety.ageing import ageing_rules
from stockroom.safety.route import OPEN_WAYS
from stockroom.safety.storage import reactivity_groups
from stockroom.waste import composition

MAX_SHELF_LIFE_DAYS = 36_500
#: g/mL; osmium, the densest element, has 22.6
MAX_DENSITY = Decimal(23)


TRANSPORT_CLASS = re.compile(r"none|[1-9](\.[1-6][A-S]?)?( \([1-9](\.[1-6])?(, ?[1-9](\.[1-6])?)?\))?")


def plain(number: Decimal) -> Decimal:
    """Without the zeros that the database adds."""
    return Decimal(f"{number.normalize():f}")


def _group_choices():
    return [(key, f"{key.replace('_', ' ')}: {text}") for key, text in reactivity_groups().items()]


def _ageing_choices():
    return [(key, rule.name) for key, rule in ageing_rules().items()]


class ReagentForm(SinceOpenedMixin, CheckedMixin, forms.ModelForm):
    opened_with = ("components",)
    solvent = ChemicalField(required=False, help_text="For a solution. Usually water.")
    reorder_point = AmountFormField(
        required=False, least=0, help_text="Below this it comes onto the reorder list. Empty: none."
    )
    most_to_keep = AmountFormField(
        required=False,
        help_text="Nothing is ordered or made beyond this, because there is no more room. Empty: no limit.",
    )

    groups = forms.MultipleChoiceField(
        choices=_group_choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Reactivity groups",
        help_text="Decide what it must not stand beside. “inert” says that someone looked and none applies.",
    )
    ageing_class = forms.MultipleChoiceField(
        choices=_ageing_choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="What time does to it",
    )

    hazard_fields = (
        "density",
        "storage_kind",
        "transport_class",
        "un_number",
        "groups",
        "ageing_class",
        "incompatibles",
        "protection",
        "first_aid",
        "spill",
        "disposal",
        "disposal_route",
        "source",
    )
    sections = (
        ("What it is", ("name", "kind", "measure", "solvent", "density", "density_source", "piece_mass_g")),
        (
            "Keeping",
            ("shelf_life_sealed_days", "shelf_life_opened_days", "reorder_point", "most_to_keep", "note"),
        ),
        ("Storage", ("storage_kind", "transport_class", "un_number", "incompatibles")),
        ("Handling", ("protection", "first_aid", "spill", "disposal", "disposal_route", "source", "check")),
    )

    class Meta:
        model = Reagent
        fields = [
            "name",
            "kind",
            "measure",
            "solvent",
            "density",
            "density_source",
            "piece_mass_g",
            "shelf_life_sealed_days",
            "shelf_life_opened_days",
            "reorder_point",
            "most_to_keep",
            "note",
            "storage_kind",
            "transport_class",
            "un_number",
            "groups",
            "ageing_class",
            "incompatibles",
            "protection",
            "first_aid",
            "spill",
            "disposal",
            "disposal_route",
            "source",
        ]
        labels = {"source": "Where the storage and handling data come from"}
        help_texts = {
            "name": "With its strength, as people ask for it: “Sulfuric acid 1 mol/L”.",
            "measure": "How it is weighed, measured or counted out. Fixed once there is stock of it.",
            "transport_class": "As on the package: 3, 8 or 5.1 (8). “none” where known not to be regulated.",
            "density": "Lets people enter grams of a liquid, or milliliters of a solid.",
            "piece_mass_g": "Of what is counted: an electrode, a tablet. For its moles.",
        }
        widgets = {
            **{
                name: forms.Textarea(attrs={"rows": 3})
                for name in ("incompatibles", "protection", "first_aid", "spill", "disposal", "note")
            },
            **{name: forms.TextInput(attrs={"data-wide": ""}) for name in ("name", "source")},
        }

    def __init__(self, *args, may_check: bool, may_set_reorder_point: bool, **kwargs):
        super().__init__(*args, **kwargs)
        if not may_set_reorder_point:
            del self.fields["reorder_point"]
        for name in ("shelf_life_sealed_days", "shelf_life_opened_days"):
            self.fields[name].max_value = MAX_SHELF_LIFE_DAYS
        self.initial["ageing_class"] = self.instance.ageing_class.split()
        if self.instance.density is not None:
            self.initial["density"] = plain(self.instance.density)
        for name, words in (("density", "A density"), ("piece_mass_g", "The mass of a piece")):
            above = f"{words} is above zero: enter it, or leave this empty."
            self.fields[name].validators.append(MinValueValidator(Decimal("0.00001"), above))
        if self.instance.piece_mass_g is not None:
            self.initial["piece_mass_g"] = plain(self.instance.piece_mass_g)
        if self.instance.pk:
            self._show_amounts_as(self.instance.measure)
        self.offer_check(may_check)

    def _show_amounts_as(self, measure):
        # Shown in the measure it has; read, in clean(), in the measure that is asked for.
        for name in ("reorder_point", "most_to_keep"):
            if name in self.fields:
                shown = AmountFormField(measure=measure).prepare_value(getattr(self.instance, name))
                self.initial[name] = shown if getattr(self.instance, name) else ""

    def choices(self):
        """Bound fields of the two long lists of ticks."""
        return [self["groups"], self["ageing_class"]]

    def parts(self):
        """(title, bound fields) of each part of the form that this person sees."""
        for title, names in self.sections:
            yield title, [self[name] for name in names if name in self.fields]

    def clean_name(self):
        name = " ".join(self.cleaned_data["name"].split())
        same = Reagent.objects.filter(name__iexact=name).exclude(pk=self.instance.pk).first()
        if same:
            raise ValidationError(f"There is a reagent “{same}” already: change that one.")
        return name

    def clean_density(self):
        density = self.cleaned_data["density"]
        if density is not None and density > MAX_DENSITY:
            raise ValidationError("Nothing is as dense as that: enter the density in g/mL.")
        return density

    def clean_transport_class(self):
        text = self.cleaned_data["transport_class"].strip()
        if text and not TRANSPORT_CLASS.fullmatch(text):
            raise ValidationError("Write it as on the package: 3, 8, 5.1 (8), or “none”.")
        return text

    def clean_un_number(self):
        text = self.cleaned_data["un_number"].upper().replace(" ", "").removeprefix("UN")
        if text and not (len(text) == 4 and text.isdecimal()):
            raise ValidationError("A UN number has four digits, such as 1830.")
        return text

    def clean_groups(self):
        groups = self.cleaned_data["groups"]
        if "inert" in groups and set(groups) - {"inert", "solid", "aqueous"}:
            raise ValidationError("“inert” says that none of the others applies: take it out, or the others.")
        return groups

    def clean_ageing_class(self):
        return " ".join(self.cleaned_data["ageing_class"])

    def _clean_days(self, name):
        days = self.cleaned_data[name]
        if days is not None and not 1 <= days <= MAX_SHELF_LIFE_DAYS:
            raise ValidationError(f"Enter 1 to {MAX_SHELF_LIFE_DAYS} days, or leave it empty.")
        return days

    def clean_shelf_life_sealed_days(self):
        return self._clean_days("shelf_life_sealed_days")

    def clean_shelf_life_opened_days(self):
        return self._clean_days("shelf_life_opened_days")

    def clean_measure(self):
        measure = self.cleaned_data["measure"]
        if self.instance.pk and measure != self.instance.measure and has_amounts(self.instance):
            kept = self.instance.get_measure_display()
            raise ValidationError(
                f"Amounts of it are written down {kept} already: add a new reagent for another measure."
            )
        return measure

    def clean_disposal_route(self):
        """The drain and the trash only for what the rules find nothing against."""
        asked = self.cleaned_data["disposal_route"]
        if asked not in OPEN_WAYS:
            return asked
        if not self.instance.pk:
            raise ValidationError("Save what it is made of first: until then it is collected.")
        against = composition.against_open_way(Reagent.objects.get(pk=self.instance.pk))
        if against:
            raise ValidationError(f"Collect it: {'; '.join(against)}.")
        return asked

    def clean(self):
        data = super().clean()
        if not data.get("measure"):
            return data
        asked = Reagent(measure=data["measure"], density=data.get("density"))
        resolve_amount(self, "most_to_keep", asked)
        if "reorder_point" in self.fields:
            resolve_amount(self, "reorder_point", asked, least=0)
            if data.get("reorder_point") is None and "reorder_point" not in self.errors:
                data["reorder_point"] = 0
        most, point = data.get("most_to_keep"), data.get("reorder_point", self.instance.reorder_point)
        if isinstance(most, int) and isinstance(point, int) and most < point:
            self.add_error("most_to_keep", "This is less than the reorder point: raise it, or lower that.")
        if data.get("density") is not None and not data.get("density_source"):
            data["density_source"] = "from memory"
        return data


def has_amounts(reagent: Reagent) -> bool:
    """Whether any row anywhere holds an amount of this reagent."""
    for relation in Reagent._meta.related_objects:
        rows = relation.related_model
        counted = any(isinstance(field, AmountField) for field in rows._meta.get_fields())
        if counted and rows._base_manager.filter(**{relation.field.name: reagent}).exists():
            return True
    return False


class ComponentForm(forms.ModelForm):
    chemical = ChemicalField()

    class Meta:
        model = Component
        fields = ["chemical", "value", "unit"]
        labels = {"value": "Strength", "unit": "As"}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.value is not None:
            self.initial["value"] = plain(self.instance.value)

    def clean(self):
        data = super().clean()
        unit, value = data.get("unit"), data.get("value")
        if unit in (Component.Unit.PURE, Component.Unit.SATURATED):
            data["value"] = None
        elif unit and value is None and "value" not in self.errors:
            self.add_error("value", f"Enter how much there is, in {unit}.")
        elif unit and unit.startswith("%") and value is not None and value > 100 and unit != "% w/v":
            self.add_error("value", "More than 100 % cannot be: check the number.")
        elif value is not None and value <= 0:
            self.add_error("value", "Enter a number greater than zero.")
        return data


class _Components(RowsTakenOutMixin, forms.BaseInlineFormSet):
    def clean(self):
        super().clean()
        rows = [
            form.cleaned_data
            for form in self.forms
            if form.is_valid() and form.cleaned_data and not form.cleaned_data.get("DELETE")
        ]
        for unit in ("% w/w", "% v/v"):
            total = sum(row["value"] or 0 for row in rows if row.get("unit") == unit)
            if total > 100:
                raise ValidationError(
                    f"The parts in {unit} come to {total.normalize():f} %: at most 100 % fit."
                )
        if len(rows) > 1 and any(row.get("unit") == Component.Unit.PURE for row in rows):
            raise ValidationError("What is pure has one chemical: give strengths, or leave one row.")

    def get_unique_error_message(self, unique_check):
        return "A chemical is listed twice: remove one row."


ComponentFormSet = forms.inlineformset_factory(
    Reagent,
    Component,
    form=ComponentForm,
    formset=_Components,
    extra=1,
    max_num=30,
    absolute_max=60,
    validate_max=True,
    can_delete_extra=False,
)


def chemical_to_start_from(text: str | None) -> Chemical | None:
    """The chemical named by `?chemical=` on the page that adds a reagent."""
    return Chemical.objects.filter(pk=int(text)).first() if (text or "").isdecimal() else None
