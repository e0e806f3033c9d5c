"""What every list has in common: columns, search, and hiding what is retired."""

import datetime

import django_filters
import django_tables2 as tables
from django import forms

from stockroom.common.search import MAX_TEXT

NUMBER = {"td": {"class": "number"}, "th": {"class": "number"}}


class NumberColumn(tables.Column):
    """Right-aligned, and without a dash where there is nothing."""

    empty_values = (None, "")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, attrs=NUMBER, **{"default": "", **kwargs})


class DayColumn(tables.DateColumn):
    """A day on one line; empty where there is none."""

    def __init__(self, *args, **kwargs):
        super().__init__(
            *args, attrs={"td": {"class": "day"}}, **{"format": "j M Y", "default": "", **kwargs}
        )


class ListFilter(django_filters.FilterSet):
    """Bound even without a query, so that what is hidden by default is decided in one place."""

    q = django_filters.CharFilter(
        label="Search", method="search", max_length=MAX_TEXT, widget=forms.TextInput(attrs={"type": "search"})
    )

    def __init__(self, data=None, *args, today: datetime.date, **kwargs):
        super().__init__(data if data is not None else {}, *args, **kwargs)
        self.today = today

    @property
    def is_asked(self) -> bool:
        """Whether the reader narrowed the list."""
        return any(value for name, value in self.data.items() if name in self.filters)

    def search(self, rows, name, value):
        raise NotImplementedError


class RetirableFilter(ListFilter):
    shown = django_filters.ChoiceFilter(
        label="Show", empty_label="In use", choices=[("retired", "Retired"), ("all", "All")], method="show"
    )

    def show(self, rows, name, value):
        return rows

    def filter_queryset(self, queryset):
        rows = super().filter_queryset(queryset)
        shown = self.form.cleaned_data.get("shown")
        return rows if shown == "all" else rows.filter(retired_on__isnull=shown != "retired")
