"""Tables of what runs short and what expires. Rows are dataclasses of `purchasing.outlook`."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from stockroom.common.tables import DayColumn, NumberColumn
from stockroom.wording.sentences import and_more


class ShortTable(tables.Table):
    reagent = tables.Column(order_by="reagent__name")
    on = DayColumn(verbose_name="From", format="D j M Y")
    by = NumberColumn(verbose_name="Short by")
    lowest = NumberColumn(verbose_name="Lowest balance", orderable=False)
    remedy = tables.Column(verbose_name="What to do", orderable=False, empty_values=())
    act_by = DayColumn(verbose_name="Last day for it", format="D j M Y", default="")
    purposes = tables.Column(verbose_name="Bookings affected", orderable=False)

    caption, noun = "Shortages", "reagents"

    class Meta:
        empty_text = "Nothing runs short: the shelf and what is on order cover every booking."

    def render_reagent(self, record):
        url = reverse("reagent-outlook", args=[record.reagent.pk])
        return format_html('<a href="{}">{}</a>', url, record.reagent)

    def render_by(self, record):
        return record.reagent.text_of(record.by) if record.by else "below its reorder point"

    def render_lowest(self, record):
        return record.reagent.text_of(record.lowest)

    def render_remedy(self, record):
        tone = "warn" if record.remedy else "bad"
        text = {"make up": "Make up", "order": "Order", "": "Too late"}[record.remedy]
        return format_html('<span class="state state-{}">{}</span>', tone, text)

    def render_purposes(self, value):
        return and_more(value)


class ExpiringTable(tables.Table):
    container = tables.Column(
        verbose_name="Container", linkify=True, order_by="container__code", attrs={"td": {"class": "code"}}
    )
    reagent = tables.Column(accessor="container__reagent", order_by="container__reagent__name")
    usable_until = DayColumn(verbose_name="Expires", accessor="container__usable_until", format="D j M Y")
    wasted = NumberColumn(verbose_name="Would be left")
    location = tables.Column(verbose_name="Place", accessor="container__location__path")
    expired = tables.Column(verbose_name="State", orderable=False)

    caption, noun = "Expires before it is used", "containers"

    class Meta:
        empty_text = "Nothing has expired, and nothing expires before it is used."

    def render_container(self, value):
        return value.code

    def render_wasted(self, record):
        return record.container.reagent.text_of(record.wasted)

    def render_expired(self, value):
        tone, text = ("bad", "Expired") if value else ("warn", "Will expire")
        return format_html('<span class="state state-{}">{}</span>', tone, text)
