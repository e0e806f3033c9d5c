import django_tables2 as tables
from django.db.models import Exists, OuterRef, Q

from stockroom.common.tables import NumberColumn, RetirableFilter
from stockroom.inventory.models import Preparation, PreparationPart


class PreparationTable(tables.Table):
    reagent = tables.Column(verbose_name="Makes", linkify=lambda record: record.get_absolute_url())
    name = tables.Column(verbose_name="Way", default="")
    yield_amount = NumberColumn(verbose_name="Amount")
    parts = tables.Column(verbose_name="From", empty_values=(), orderable=False)
    lead_days = NumberColumn(verbose_name="Ready after (days)")

    caption, noun = "Preparations", "preparations"

    class Meta:
        order_by = "reagent"

    def order_reagent(self, rows, descending):
        return rows.order_by("-reagent__name" if descending else "reagent__name", "pk"), True

    def render_yield_amount(self, record, value):
        return record.reagent.text_of(value)

    def render_parts(self, record):
        return ", ".join(part.reagent.name for part in record.parts.all())


class PreparationFilter(RetirableFilter):
    class Meta:
        model = Preparation
        fields = []

    def search(self, rows, name, value):
        for word in value.split():
            parts = PreparationPart.objects.filter(preparation=OuterRef("pk"), reagent__name__icontains=word)
            rows = rows.filter(
                Q(reagent__name__icontains=word)
                | Q(reagent__components__chemical__formula__iexact=word)
                | Q(name__icontains=word)
                | Exists(parts)
            )
        return rows.distinct()
