import django_filters
import django_tables2 as tables
from django.utils.formats import date_format

from stockroom.common.tables import DayColumn, ListFilter, NumberColumn
from stockroom.inventory.models import WasteContainer
from stockroom.inventory.stock import Words
from stockroom.safety.joining import FULL_PERCENT
from stockroom.safety.streams import streams
from stockroom.templatetags.amounts import words
from stockroom.waste import composition


def waste_state(container: WasteContainer) -> Words:
    if container.collected_on:
        return Words(f"Collected {date_format(container.collected_on, 'j M Y')}", "plain")
    if container.closed_on:
        return Words("Closed, to be collected", "warn")
    if container.contents * 100 >= container.capacity * FULL_PERCENT:
        return Words("Full: close it", "bad")
    return Words("Open" if container.contents else "Empty", "good")


class WasteTable(tables.Table):
    code = tables.Column(verbose_name="Container", linkify=True)
    stream = tables.Column(verbose_name="For")
    location = tables.Column(verbose_name="Place", linkify=True, order_by="location__path")
    contents = NumberColumn(verbose_name="In it")
    capacity = NumberColumn(verbose_name="Holds", orderable=False)
    started_on = DayColumn(verbose_name="Started", format="j M Y")
    state = tables.Column(empty_values=(), orderable=False)

    caption, noun = "Waste containers", "waste containers"

    class Meta:
        order_by = ("stream", "code")

    def render_stream(self, value):
        return composition.stream_name(value)

    def render_contents(self, record):
        return record.contents_text

    def render_capacity(self, record):
        return record.capacity_text

    def render_state(self, record):
        return words(waste_state(record))


class WasteFilter(ListFilter):
    stream = django_filters.ChoiceFilter(
        label="For", choices=lambda: [(one.key, one.name) for one in streams().values()], empty_label="Any"
    )
    state = django_filters.ChoiceFilter(
        label="State",
        choices=[("open", "Open"), ("closed", "Closed"), ("collected", "Collected"), ("all", "All")],
        method="by_state",
        empty_label="Here",
    )

    class Meta:
        model = WasteContainer
        fields = []

    def search(self, rows, name, value):
        for word in value.split():
            rows = rows.filter(code__icontains=word) | rows.filter(location__path__icontains=word)
        return rows

    def by_state(self, rows, name, value):
        return {
            "open": rows.filter(closed_on=None, collected_on=None),
            "closed": rows.filter(closed_on__isnull=False, collected_on=None),
            "collected": rows.filter(collected_on__isnull=False),
            "all": rows,
        }[value]

    def filter_queryset(self, queryset):
        rows = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("state") else rows.filter(collected_on=None)
