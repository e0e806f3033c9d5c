"""Two people changing one thing at once: the second is told, and nothing is overwritten unseen."""

import hashlib

from django import forms
from django.contrib.admin.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db.models import UniqueConstraint
from django.utils import timezone
from django.utils.html import format_html

from stockroom.common.person import name_of


class _Mark(forms.CharField):
    """What the thing looked like when the form was opened, as a short mark; nothing that people change."""

    widget = forms.HiddenInput

    def has_changed(self, initial, data):
        return False


class SinceOpenedMixin:
    """For a ModelForm: refuses, once, to save over what another person saved since the form was opened.

    `opened_with` names the related managers whose rows are changed on the same screen. A page that lists
    its fields one by one must also show `form.seen`. Costs a query for each of them, and one for who it was.
    """

    opened_with: tuple[str, ...] = ()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.mark = self._mark() if self.instance.pk else ""
        self.fields["seen"] = _Mark(required=False, initial=self.mark)

    def rows_beside(self) -> list:
        """Rows that are changed on the same screen, without their ids: some are written again each time."""
        rows = []
        for name in self.opened_with:
            manager = getattr(self.instance, name)
            names = [field.attname for field in manager.model._meta.concrete_fields if not field.primary_key]
            rows.append((name, list(manager.order_by("pk").values_list(*names))))
        return rows

    def _mark(self) -> str:
        fields = [(field.attname, getattr(self.instance, field.attname)) for field in self._own_fields()]
        return hashlib.sha256(repr((fields, self.rows_beside())).encode()).hexdigest()[:16]

    def _own_fields(self):
        return (field for field in self._meta.model._meta.concrete_fields if field.name in self._meta.fields)

    def clean(self):
        data = super().clean()
        seen = self.cleaned_data.get("seen")
        if self.mark and seen and seen != self.mark:
            self.add_error(None, self._somebody_else())
            # What stands now has been named: saving again is meant.
            self.data = self.data.copy()
            self.data[self.add_prefix("seen")] = self.mark
        return data

    def _somebody_else(self) -> str:
        kind = ContentType.objects.get_for_model(self.instance)
        last = (
            LogEntry.objects.filter(content_type=kind, object_id=str(self.instance.pk))
            .select_related("user")
            .order_by("-action_time", "-pk")
            .first()
        )
        who = "Somebody else changed it"
        if last:
            name = name_of(last.user)
            who = f"{name} changed it at {timezone.localtime(last.action_time):%H:%M}"
        where = getattr(self.instance, "get_absolute_url", None)
        now = "the current version"
        if where:
            now = format_html('<a href="{}" target="_blank">the current version</a>', where())
        return format_html(
            "{}, after you opened this page. Nothing is saved yet, and what you typed is still here. "
            "Compare it with {}; save again to put yours in its place.",
            who,
            now,
        )


class RowsTakenOutMixin(forms.BaseInlineFormSet):
    """For rows on such a screen: says so beside a row that somebody else took out or added meanwhile."""

    def add_fields(self, form, index):
        super().add_fields(form, index)
        form.fields[self.model._meta.pk.name].error_messages["invalid_choice"] = (
            "Somebody else took this row out: tick “Remove row”, and enter it again if it is needed."
        )

    def clean(self):
        super().clean()
        known = {form.instance.pk for form in self.initial_forms}
        beside = [row for row in self.get_queryset() if row.pk not in known]
        kept = [form for form in self.forms if form not in self.deleted_forms and not form.errors]
        for names in self._once():
            there = {tuple(getattr(row, name) for name in names) for row in beside}
            for form in kept:
                if tuple(getattr(form.instance, name) for name in names) in there:
                    form.add_error(
                        None,
                        "Somebody else has added this row meanwhile: remove yours, or open the page again.",
                    )

    def _once(self):
        """Columns that may not be alike in two rows of one thing."""
        for constraint in self.model._meta.constraints:
            if isinstance(constraint, UniqueConstraint) and self.fk.name in constraint.fields:
                fields = (self.model._meta.get_field(name) for name in constraint.fields)
                yield [field.attname for field in fields if field.name != self.fk.name]
