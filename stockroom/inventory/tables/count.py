import django_filters
import django_tables2 as tables
from django.utils.formats import date_format

from stockroom.common.tables import DayColumn, ListFilter, NumberColumn
from stockroom.inventory.models import Location, StockCount
from stockroom.inventory.stock import Words, within
from stockroom.templatetags.amounts import words


class CountTable(tables.Table):
    location = tables.Column(verbose_name="Place", linkify=lambda record: record.get_absolute_url())
    started_on = DayColumn(verbose_name="Started", format="j M Y")
    counted_by = tables.Column(verbose_name="By", order_by="counted_by__username")
    counted = NumberColumn(verbose_name="Counted")
    differ = NumberColumn(verbose_name="Differ")
    state = tables.Column(empty_values=(), orderable=False)

    caption, noun = "Counts", "counts"

    class Meta:
        order_by = "-started_on"

    def render_counted_by(self, value):
        return value.get_full_name() or value.get_username()

    def render_counted(self, record, value):
        return f"{value} of {record.standing}"

    def render_state(self, record):
        if record.closed_on:
            return words(Words(f"Closed {date_format(record.closed_on, 'j M Y')}", "good"))
        return words(Words("Open", "warn"))


class CountFilter(ListFilter):
    place = django_filters.ModelChoiceFilter(
        queryset=Location.objects.all(), label="Place", method="in_place", empty_label="Anywhere"
    )
    state = django_filters.ChoiceFilter(
        label="State", choices=[("open", "Open"), ("closed", "Closed")], method="by_state", empty_label="Any"
    )

    class Meta:
        model = StockCount
        fields = []

    def search(self, rows, name, value):
        for word in value.split():
            rows = rows.filter(location__path__icontains=word)
        return rows

    def in_place(self, rows, name, value):
        return rows.filter(within(value, "location__"))

    def by_state(self, rows, name, value):
        return rows.filter(closed_on__isnull=value == "open")
