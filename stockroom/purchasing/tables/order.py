"""Orders."""

import django_filters
import django_tables2 as tables
from django.db.models import Exists, OuterRef, Q
from django.utils.html import format_html

from stockroom.common.tables import DayColumn, ListFilter, NumberColumn
from stockroom.purchasing.models import Order, OrderLine

TONES = {"draft": "plain", "approved": "warn", "ordered": "warn", "received": "good", "cancelled": "plain"}


class OrderTable(tables.Table):
    id = tables.Column(verbose_name="Order", linkify=True)
    supplier = tables.Column(linkify=True, order_by="supplier__name")
    state = tables.Column()
    created_on = DayColumn(verbose_name="Drawn up", format="j M Y")
    expected_on = DayColumn(verbose_name="Expected", format="j M Y", default="")
    cost = NumberColumn()

    caption, noun = "Orders", "orders"

    class Meta:
        order_by = "-created_on"

    def render_id(self, value):
        return f"Order {value}"

    def render_state(self, record):
        late = record.state == Order.State.ORDERED and record.expected_on and record.expected_on < self.today
        tone, text = ("bad", "Overdue") if late else (TONES[record.state], record.get_state_display())
        return format_html('<span class="state state-{}">{}</span>', tone, text)

    def render_cost(self, value):
        return f"{value:,.2f}"


class OrderFilter(ListFilter):
    state = django_filters.ChoiceFilter(choices=Order.State, empty_label="Any")

    class Meta:
        model = Order
        fields = ["state"]

    def search(self, rows, name, value):
        for word in value.split():
            lines = OrderLine.objects.filter(reagent__name__icontains=word, order=OuterRef("pk"))
            rows = rows.filter(Q(supplier__name__icontains=word) | Exists(lines))
        return rows
