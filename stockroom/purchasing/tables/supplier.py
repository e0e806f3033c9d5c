import django_tables2 as tables
from django.db.models import Exists, OuterRef, Q
from django.urls import reverse
from django.utils.html import format_html

from stockroom.common.tables import DayColumn, NumberColumn, RetirableFilter
from stockroom.inventory.models import Offer, Supplier


class SupplierTable(tables.Table):
    name = tables.Column(verbose_name="Supplier", linkify=True)
    account = tables.Column(verbose_name="Our account", default="")
    email = tables.EmailColumn(default="")
    phone = tables.Column(default="")
    offers_now = NumberColumn(verbose_name="Offers")

    caption, noun = "Suppliers", "suppliers"

    class Meta:
        order_by = "name"


class SupplierFilter(RetirableFilter):
    class Meta:
        model = Supplier
        fields = []

    def search(self, rows, name, value):
        for word in value.split():
            offers = Offer.objects.filter(
                Q(reagent__name__icontains=word) | Q(catalogue_number__icontains=word),
                supplier=OuterRef("pk"),
                retired_on=None,
            )
            rows = rows.filter(Q(name__icontains=word) | Q(note__icontains=word) | Exists(offers))
        return rows


class OfferTable(tables.Table):
    reagent = tables.Column(linkify=True, order_by="reagent__name")
    catalogue_number = tables.Column(verbose_name="Catalog number", default="")
    pack_amount = NumberColumn(verbose_name="Pack")
    price = NumberColumn()
    lead_days = NumberColumn(verbose_name="Within (days)")
    price_date = DayColumn(verbose_name="Price as of", format="j M Y", default="not dated")
    change = tables.Column(verbose_name="", empty_values=(), orderable=False)

    caption, noun = "Offers", "offers"

    class Meta:
        order_by = ("reagent", "pack_amount")

    def render_pack_amount(self, record):
        return record.pack_text

    def render_change(self, record):
        return format_html(
            '<a href="{}">Change or retire<span class="visually-hidden"> the offer of {}</span></a>',
            reverse("offer-edit", args=[record.pk]),
            record.reagent,
        )
