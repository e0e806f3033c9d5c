"""Suppliers and their offers."""

import pytest
from django.urls import reverse

from stockroom.inventory.models import Offer, Supplier


@pytest.fixture
def ethanol(make_reagent):
    return make_reagent("Ethanol", measure="volume")


def offer(seller, of, **change):
    data = {"supplier": seller.pk, "reagent": of.name, "pack_amount": "2.5 L", "price": "38.50"}
    return data | {"catalogue_number": "E-25", "lead_days": "7", "price_date": "2026-01-05"} | change


def test_adding_a_supplier_and_what_it_offers(keeper, ethanol):
    data = {"name": "Fairweather Laboratory Goods", "email": "orders@fairweather.example"}
    answer = keeper.post(reverse("supplier-add"), data)
    supplier = Supplier.objects.get()
    assert answer.url == supplier.get_absolute_url()
    keeper.post(reverse("offer-add"), offer(supplier, ethanol))
    row = Offer.objects.get()
    assert (row.pack_amount, str(row.price), row.lead_days) == (2_500_000, "38.50", 7)
    page = keeper.get(supplier.get_absolute_url()).content.decode()
    assert "2.5 L" in page and "38.50" in page and "E-25" in page
    assert "Fairweather" in keeper.get(ethanol.get_absolute_url()).content.decode()


def test_changing_and_retiring_an_offer(keeper, supplier, ethanol):
    keeper.post(reverse("offer-add"), offer(supplier, ethanol, pack_amount="1234567 uL"))
    row = Offer.objects.get()
    url = reverse("offer-edit", args=[row.pk])
    form = keeper.get(url).context["form"]
    assert (form["reagent"].value(), form["pack_amount"].value()) == ("Ethanol", "1.234567 L")
    keeper.post(url, offer(supplier, ethanol, pack_amount="1.234567 L", price="40"))
    row.refresh_from_db()
    assert (row.pack_amount, str(row.price)) == (1_234_567, "40.00")
    keeper.post(reverse("offer-retire", args=[row.pk]))
    assert "E-25" not in keeper.get(supplier.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"supplier": ""}, "supplier"),
        ({"supplier": "8888"}, "supplier"),
        ({"reagent": "Phlogiston"}, "reagent"),
        ({"pack_amount": "2.5"}, "pack_amount"),
        ({"pack_amount": "500 g"}, "pack_amount"),
        ({"pack_amount": "0 L"}, "pack_amount"),
        ({"price": "-1"}, "price"),
        ({"price": "free"}, "price"),
        ({"price": "1e400"}, "price"),
        ({"price": "3.999"}, "price"),
        ({"lead_days": "731"}, "lead_days"),
        ({"lead_days": "-2"}, "lead_days"),
        ({"price_date": "2999-01-01"}, "price_date"),
        ({"catalogue_number": "c" * 61}, "catalogue_number"),
    ],
)
def test_a_bad_offer_is_answered_beside_the_field(keeper, supplier, ethanol, change, field):
    answer = keeper.post(reverse("offer-add"), offer(supplier, ethanol, **change))
    assert field in answer.context["form"].errors
    assert answer.context["form"][field].value() == change[field]
    assert not Offer.objects.exists()


def test_one_offer_is_written_down_once(keeper, supplier, ethanol):
    keeper.post(reverse("offer-add"), offer(supplier, ethanol))
    again = keeper.post(reverse("offer-add"), offer(supplier, ethanol, price="1"))
    assert "listed already" in again.content.decode()
    assert Offer.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "NORTHLIGHT supplies"}, "name"),
        ({"email": "not an address"}, "email"),
        ({"phone": "1" * 41}, "phone"),
    ],
)
def test_a_bad_supplier_is_answered_beside_the_field(keeper, supplier, change, field):
    answer = keeper.post(reverse("supplier-add"), {"name": "Second"} | change)
    assert field in answer.context["form"].errors
    assert Supplier.objects.count() == 1


def test_search_finds_who_sells_it(keeper, supplier, ethanol):
    Supplier.objects.create(name="Somebody else")
    Offer.objects.create(supplier=supplier, reagent=ethanol, pack_amount=1, price=1, catalogue_number="Q7")
    for text in ("ethanol", "q7", "northlight"):
        table = keeper.get(reverse("supplier-list"), {"q": text}).context["table"]
        assert [row.record.name for row in table.rows] == ["Northlight Supplies"]


def test_empty_pages_say_what_to_do_first(keeper, supplier):
    assert "No offers yet" in keeper.get(supplier.get_absolute_url()).content.decode()
    supplier.delete()
    assert "Add the first" in keeper.get(reverse("supplier-list")).content.decode()


def test_queries_do_not_grow_with_the_rows(keeper, supplier, make_reagent, count_queries):
    lists, pages = [], []
    for rows in (2, 20):
        for number in range(supplier.offers.count(), rows):
            reagent = make_reagent(f"Reagent {number}")
            Offer.objects.create(supplier=supplier, reagent=reagent, pack_amount=1, price=1)
            Supplier.objects.create(name=f"Supplier {number}")
        lists.append(count_queries(keeper, reverse("supplier-list")))
        pages.append(count_queries(keeper, supplier.get_absolute_url()))
    assert lists[0] == lists[1]
    assert pages[0] == pages[1]
