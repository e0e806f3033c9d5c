"""The calendar by week and by month."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from demos.models import Booking, Period, Room
from demos.planning import booking as bookings

pytestmark = pytest.mark.django_db
ML = 1000
WEEK, MONTH = "demos:calendar-week", "demos:calendar-month"


@pytest.fixture
def acid(make_reagent):
    return make_reagent("Hydrochloric acid 1 mol/L", "volume")


@pytest.fixture
def show(make_demonstration, acid):
    return make_demonstration(ingredients=[(acid, 100 * ML, 0, 0)])


@pytest.fixture
def on_monday(today):
    """Days from today until the Monday after next."""
    return 7 - today.weekday() + 7


def page_of(client, name, **query):
    answer = client.get(reverse(name), query)
    assert answer.status_code == 200
    return answer.content.decode()


def test_everybody_signed_in_may_look(client, head, teacher, technician):
    for person in (head, teacher, technician):
        client.force_login(person)
        for name in (WEEK, MONTH):
            assert client.get(reverse(name)).status_code == 200
    client.logout()
    assert client.get(reverse(WEEK)).status_code == 302


def test_a_booking_stands_in_its_day_and_period(
    client, teacher, show, period, make_booking, on_monday, today
):
    other = Period.objects.create(name="Period 5", start=datetime.time(13), end=datetime.time(14))
    booking = make_booking(show, days=on_monday + 2, period=other, class_name="Elms")
    client.force_login(teacher)
    answer = client.get(reverse(WEEK), {"on": booking.on.isoformat()})
    assert len(answer.context["days"]) == 5
    cells = {row: [len(slots) for slots in slots_by_day] for row, slots_by_day in answer.context["rows"]}
    assert cells == {period: [0, 0, 0, 0, 0], other: [0, 0, 1, 0, 0]}
    assert "Elms" in answer.content.decode()
    assert "Elms" not in page_of(client, WEEK)
    assert "Elms" in page_of(client, MONTH, on=booking.on.isoformat())


def test_readiness_is_said_in_words(
    client, teacher, show, acid, make_booking, make_container, on_monday, today
):
    make_container(acid, 150 * ML)
    make_booking(show, days=on_monday)
    make_booking(show, days=on_monday + 1)
    client.force_login(teacher)
    for name in (WEEK, MONTH):
        page = page_of(client, name, on=(today + datetime.timedelta(on_monday)).isoformat())
        assert 'state-good">Ready' in page
        assert "Cannot be ready" in page


def test_a_weekend_shows_only_where_something_is_booked(
    client, teacher, show, make_booking, on_monday, today
):
    make_booking(show, days=on_monday + 5)
    client.force_login(teacher)
    on = (today + datetime.timedelta(on_monday)).isoformat()
    days = client.get(reverse(WEEK), {"on": on}).context["days"]
    assert [day.on.weekday() for day in days] == [0, 1, 2, 3, 4, 5]


def test_cancelled_ones_are_left_out_and_past_ones_say_so(client, teacher, show, make_booking, today):
    past, gone = make_booking(show, days=-1, class_name="Yews"), make_booking(show, class_name="Figs")
    bookings.cancel(gone)
    client.force_login(teacher)
    page = page_of(client, WEEK, on=past.on.isoformat())
    assert "Over, not recorded yet" in page
    assert "Figs" not in page_of(client, WEEK, on=gone.on.isoformat())


def test_a_room_booked_twice_is_marked_in_any_filter(client, head, teacher, show, make_booking, on_monday):
    first = make_booking(show, days=on_monday)
    make_booking(show, days=on_monday, teacher=head, class_name="Figs")
    client.force_login(teacher)
    page = page_of(client, WEEK, on=first.on.isoformat(), whose="mine")
    assert "room booked twice" in page
    assert "Figs" not in page
    elsewhere = Room.objects.create(name="Hall")
    assert "room booked twice" not in page_of(client, WEEK, on=first.on.isoformat(), room=elsewhere.pk)


def test_previous_and_next_keep_the_filter(client, teacher, room):
    client.force_login(teacher)
    page = page_of(client, WEEK, on="2026-03-04", whose="mine")
    assert "?on=2026-02-23&amp;whose=mine" in page
    assert "?on=2026-03-09&amp;whose=mine" in page
    page = page_of(client, MONTH, on="2026-12-31")
    assert "?on=2026-11-01" in page
    assert "?on=2027-01-01" in page


@pytest.mark.parametrize(
    "query",
    [
        {"on": "0001-01-01"},
        {"on": "9999-12-31"},
        {"on": "2026-02-30"},
        {"on": "<script>alert(1)</script>"},
        {"on": "1950-01-01"},
        {"on": "2150-01-01"},
        {"room": "x", "whose": "<script>alert(1)</script>"},
        {"room": "9" * 40},
    ],
)
def test_hostile_addresses(client, teacher, query):
    client.force_login(teacher)
    for name in (WEEK, MONTH):
        assert "<script>alert(1)" not in page_of(client, name, **query)


def test_without_periods_it_says_what_to_do(client, teacher, technician):
    client.force_login(technician)
    assert "Add the periods of the school day" in page_of(client, WEEK)
    client.force_login(teacher)
    page = page_of(client, WEEK)
    assert "There are no periods yet" in page
    assert "Add the periods" not in page


def test_queries_do_not_grow(client, teacher, show, acid, make_booking, make_container, on_monday, today):
    make_container(acid, 350 * ML)
    client.force_login(teacher)
    on = {"on": (today + datetime.timedelta(on_monday)).isoformat()}
    counts = []
    for upto in (5, 30):
        while (number := Booking.objects.count()) < upto:
            make_booking(show, days=on_monday + number % 5)
        for name in (WEEK, MONTH):
            client.get(reverse(name), on)
            with CaptureQueriesContext(connection) as seen:
                client.get(reverse(name), on)
            counts.append(len(seen))
    assert counts[:2] == counts[2:]
