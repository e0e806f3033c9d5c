import datetime

import django_filters
import django_tables2 as tables
from django import forms
from django.utils.html import format_html

from stockroom.common.tables import DayColumn, ListFilter, NumberColumn
from stockroom.inventory.models import Container, Location, Reagent
from stockroom.inventory.search import search_containers
from stockroom.inventory.stock import SOON_DAYS, state_of, still_good, within
from stockroom.templatetags.amounts import words


class ContainerTable(tables.Table):
    code = tables.Column(verbose_name="Container", linkify=True, attrs={"td": {"class": "code"}})
    reagent = tables.Column(accessor="reagent", linkify=True, order_by="reagent__name")
    lot = tables.Column(default="")
    location = tables.Column(verbose_name="Place", linkify=True, order_by="location__path")
    balance = NumberColumn(verbose_name="Left")
    received_on = DayColumn(verbose_name="Received", format="j M Y")
    usable_until = DayColumn(verbose_name="Expires", format="j M Y", default="no date")
    state = tables.Column(empty_values=(), orderable=False)

    caption, noun = "Containers", "containers"

    class Meta:
        order_by = ("reagent", "usable_until")

    def render_balance(self, record, value):
        return record.reagent.text_of(value)

    def render_state(self, record):
        state = words(state_of(record, self.today))
        if not record.reagent.is_classified:
            return format_html('{} <span class="unchecked">not classified yet</span>', state)
        return state


class ContainerFilter(ListFilter):
    place = django_filters.ModelChoiceFilter(
        queryset=Location.objects.filter(retired_on=None),
        label="Place",
        method="in_place",
        empty_label="Anywhere",
    )
    state = django_filters.ChoiceFilter(
        label="State",
        choices=[*Container.State.choices, ("all", "All")],
        empty_label="Not gone",
        method="by_state",
    )
    expiry = django_filters.ChoiceFilter(
        label="Expires",
        choices=[("expired", "Expired"), ("soon", f"Within {SOON_DAYS} days"), ("good", "Usable")],
        method="by_expiry",
        empty_label="Any",
    )
    reagent = django_filters.ModelChoiceFilter(queryset=Reagent.objects.all(), widget=forms.HiddenInput)

    class Meta:
        model = Container
        fields = []

    def search(self, rows, name, value):
        return search_containers(rows, value)

    def in_place(self, rows, name, value):
        return rows.filter(within(value, "location__"))

    def by_state(self, rows, name, value):
        return rows if value == "all" else rows.filter(state=value)

    def by_expiry(self, rows, name, value):
        soon = self.today + datetime.timedelta(SOON_DAYS)
        return {
            "expired": rows.filter(usable_until__lt=self.today),
            "soon": rows.filter(usable_until__range=(self.today, soon)),
            "good": rows.filter(still_good(self.today)),
        }[value]

    def filter_queryset(self, queryset):
        rows = super().filter_queryset(queryset)
        asked = self.form.cleaned_data.get("state")
        return rows if asked else rows.present()
