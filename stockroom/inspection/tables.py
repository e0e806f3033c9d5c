import django_filters
import django_tables2 as tables

from stockroom.common.person import name_of
from stockroom.common.tables import DayColumn, ListFilter, NumberColumn
from stockroom.inspection.models import AnnualReview
from stockroom.inventory.stock import Words
from stockroom.templatetags.amounts import words
from stockroom.wording.days import day_text


class AnnualReviewTable(tables.Table):
    started_on = DayColumn(
        verbose_name="Started", format="j M Y", linkify=lambda record: record.get_absolute_url()
    )
    started_by = tables.Column(verbose_name="By", order_by="started_by__username")
    walked = NumberColumn(verbose_name="Shelves walked")
    state = tables.Column(empty_values=(), orderable=False)

    caption, noun = "Annual reviews", "reviews"

    class Meta:
        order_by = "-started_on"

    def render_started_by(self, value):
        return name_of(value)

    def render_walked(self, record, value):
        return f"{value} of {record.shelves}"

    def render_state(self, record):
        if record.signed_on:
            return words(Words(f"Signed {day_text(record.signed_on)}, {record.signed_name}", "good"))
        if record.abandoned_on:
            return words(Words(f"Abandoned {day_text(record.abandoned_on)}", "plain"))
        return words(Words("Open", "warn"))


STATES = [("open", "Open"), ("signed", "Signed"), ("abandoned", "Abandoned")]


class AnnualReviewFilter(ListFilter):
    state = django_filters.ChoiceFilter(label="State", choices=STATES, method="by_state", empty_label="Any")

    class Meta:
        model = AnnualReview
        fields = []

    def search(self, rows, name, value):
        for word in value.split():
            rows = rows.filter(note__icontains=word)
        return rows

    def by_state(self, rows, name, value):
        return rows.filter(signed_on__isnull=value != "signed", abandoned_on__isnull=value != "abandoned")
