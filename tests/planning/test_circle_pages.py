"""Preparations that go round in a circle: not to be written, not to be brought back, never a page down."""

import datetime

import pytest
from django.urls import reverse

from stockroom.inventory.models import Preparation, PreparationPart, Reservation

pytestmark = pytest.mark.django_db

#: every page that plans
PLANNING = (
    "home",
    "outlook",
    "reorder",
    "reorder-sheet",
    "demos:prep",
    "demos:prep-sheet",
    "demos:calendar-week",
    "demos:calendar-month",
    "demos:demonstration-list",
    "demos:booking-list",
    "review",
)
#: those of them that say which preparation is left out
SAYING = {
    "home",
    "outlook",
    "reorder",
    "demos:prep",
    "demos:calendar-week",
    "demos:calendar-month",
    "demos:demonstration-list",
}


def made(product, *parts):
    """A preparation written past every check, as in the database or by an older version."""
    preparation = Preparation.objects.create(reagent=product, yield_amount=1000)
    for part in parts:
        PreparationPart.objects.create(preparation=preparation, reagent=part, amount=500)
    return preparation


@pytest.fixture
def reagents(make_reagent):
    return [make_reagent(f"Circular salt {letter}", hazard_state="none") for letter in "ABC"]


@pytest.fixture
def keeper(client, technician):
    client.force_login(technician)
    return client


@pytest.fixture
def make_booking_of(make_demonstration, make_booking):
    return lambda reagent: make_booking(make_demonstration(ingredients=[(reagent, 500, 0, 0)]), days=1)


def retire(client, preparation):
    return client.post(reverse("preparation-retire", args=[preparation.pk]), follow=True)


def test_what_was_written_since_keeps_a_preparation_from_coming_back(keeper, reagents):
    a, b, _ = reagents
    first = made(a, b)
    retire(keeper, first)
    words = {"reagent": b.name, "yield_amount": "1 g", "lead_days": "0", "parts-TOTAL_FORMS": "1"}
    words |= {"parts-INITIAL_FORMS": "0", "parts-0-reagent": a.name, "parts-0-amount": "1 g"}
    keeper.post(reverse("preparation-add"), words)
    second = Preparation.objects.get(reagent=b)
    page = retire(keeper, first).content.decode()
    assert "round in a circle" in page
    first.refresh_from_db()
    assert first.retired_on
    retire(keeper, second)
    retire(keeper, first)
    first.refresh_from_db()
    assert first.retired_on is None


def test_a_longer_circle_is_not_brought_back_either(keeper, reagents):
    a, b, c = reagents
    first = made(a, b)
    retire(keeper, first)
    made(b, c)
    made(c, a)
    assert f"{b} is itself made from {a} through {c}" in retire(keeper, first).content.decode()


@pytest.mark.parametrize(
    ("links", "said"),
    [
        ({"A": "A"}, "Circular salt A is made from itself: left out of the plan"),
        ({"A": "B", "B": "A"}, "made from itself through Circular salt"),
        ({"A": "B", "B": "C", "C": "A"}, "A is made from itself through Circular salt B and Circular salt C"),
    ],
)
def test_a_circle_made_past_the_checks_is_left_out_and_named(
    client, head, make_booking_of, reagents, links, said
):
    by_letter = dict(zip("ABC", reagents, strict=True))
    for product, part in links.items():
        made(by_letter[product], by_letter[part])
    booking = make_booking_of(by_letter["A"])
    client.force_login(head)
    for name in PLANNING:
        page = client.get(reverse(name))
        assert page.status_code == 200, name
        if name in SAYING:
            assert said in page.content.decode(), name
    for page in (booking, booking.demonstration, by_letter["A"]):
        answer = client.get(page.get_absolute_url())
        assert answer.status_code == 200
    assert said in client.get(booking.get_absolute_url()).content.decode()
    assert "no supplier is listed for it" in client.get(booking.get_absolute_url()).content.decode()


def test_a_circle_through_the_second_way_stops_nothing_until_the_first_is_retired(
    client, head, make_booking_of, reagents
):
    a, b, c = reagents
    plain = made(a, c)
    made(a, b)
    made(b, a)
    make_booking_of(a)
    client.force_login(head)
    assert "left out of the plan" not in client.get(reverse("outlook")).content.decode()
    Preparation.objects.filter(pk=plain.pk).update(retired_on=datetime.date(2026, 1, 5))
    page = client.get(reverse("outlook"))
    assert (page.status_code, "left out of the plan" in page.content.decode()) == (200, True)


def test_what_is_made_from_a_circle_is_still_planned(client, head, make_booking_of, reagents, make_reagent):
    a, b, _ = reagents
    made(a, b)
    made(b, a)
    outside = make_reagent("Mixture", hazard_state="none")
    made(outside, a)
    booking = make_booking_of(outside)
    client.force_login(head)
    page = client.get(booking.get_absolute_url()).content.decode()
    assert "is missing" in page
    assert Reservation.objects.filter(reagent=outside).exists()
