import django_filters
import django_tables2 as tables
from django.db.models import Exists, F, OuterRef
from django.utils.html import format_html

from stockroom.common.tables import NumberColumn, RetirableFilter
from stockroom.hazards.sheet_verification import not_verified
from stockroom.inventory.models import Container, Location, Reagent, StorageKind
from stockroom.inventory.search import search_reagents
from stockroom.inventory.stock import reagent_state, within
from stockroom.templatetags.amounts import words


class ReagentTable(tables.Table):
    name = tables.Column(verbose_name="Reagent", linkify=True)
    strength = tables.Column(empty_values=(), orderable=False)
    hazards = tables.Column(verbose_name="Hazard", empty_values=(), order_by="hazard_state")
    in_date = NumberColumn(verbose_name="Usable")
    on_shelf = NumberColumn(verbose_name="On the shelves")
    containers_here = NumberColumn(verbose_name="Containers")
    reorder_point = NumberColumn(verbose_name="Reorder point")
    state = tables.Column(empty_values=(), orderable=False)

    caption, noun = "Reagents", "reagents"

    class Meta:
        order_by = "name"

    def render_strength(self, record):
        return ", ".join(component.strength for component in record.components.all())

    def render_hazards(self, record):
        if not record.is_classified:
            return format_html('<span class="unchecked">{}</span>', record.get_hazard_state_display().lower())
        return record.label.signal_word or ("no signal word" if record.hazard_keys else "none")

    def render_in_date(self, record, value):
        return record.text_of(value)

    def render_on_shelf(self, record, value):
        return record.text_of(value)

    def render_reorder_point(self, record, value):
        return record.text_of(value) if value else ""

    def render_state(self, record):
        return words(reagent_state(record))


class ReagentFilter(RetirableFilter):
    kind = django_filters.ChoiceFilter(choices=Reagent.Kind, empty_label="Any")
    storage_kind = django_filters.ChoiceFilter(label="Storage", choices=StorageKind, empty_label="Any")
    place = django_filters.ModelChoiceFilter(
        queryset=Location.objects.filter(retired_on=None),
        label="Place",
        method="in_place",
        empty_label="Anywhere",
    )
    stock = django_filters.ChoiceFilter(
        label="Stock",
        choices=[
            ("some", "Usable stock"),
            ("below", "Below reorder point"),
            ("none", "No usable stock"),
            ("expired", "Has expired containers"),
        ],
        method="by_stock",
        empty_label="Any",
    )
    hazard = django_filters.ChoiceFilter(
        label="Hazards",
        choices=[*Reagent.HazardState.choices, ("unchecked", "Not verified against SDS")],
        method="by_hazard",
        empty_label="Any",
    )

    class Meta:
        model = Reagent
        fields = []

    def search(self, rows, name, value):
        return search_reagents(rows, value)

    def in_place(self, rows, name, value):
        there = Container.objects.filter(within(value, "location__"), reagent=OuterRef("pk"))
        return rows.filter(Exists(there.present()))

    def by_stock(self, rows, name, value):
        return {
            "some": rows.filter(in_date__gt=0),
            "below": rows.filter(reorder_point__gt=0, in_date__lt=F("reorder_point")),
            "none": rows.filter(in_date=0),
            "expired": rows.filter(expired_here__gt=0),
        }[value]

    def by_hazard(self, rows, name, value):
        if value == "unchecked":
            return rows.filter(not_verified())
        return rows.filter(hazard_state=value)
