"""The calendar feed: read back by a library, and by whom. RFC 5545 itself is checked in tests/published/."""

import datetime

import pytest
from django.urls import reverse
from icalendar import Calendar

from demos.models import Booking
from demos.planning import booking as bookings
from demos.planning import calendar_feed

pytestmark = pytest.mark.django_db


@pytest.fixture
def get(client):
    def run(user):
        return client.get(reverse("demos:calendar-feed", args=[calendar_feed.token_of(user)]))

    return run


def test_the_feed_holds_ones_own_bookings_without_signing_in(
    get, settings, teacher, head, make_demonstration, make_booking, period, today
):
    settings.TIME_ZONE = "Europe/London"
    show = make_demonstration("Red; blue, and \\ back")
    mine = make_booking(show, days=3, note="Line one\nEND:VCALENDAR")
    make_booking(show, days=4, teacher=head)
    make_booking(show, days=-100)
    answer = get(teacher)
    assert answer["Content-Type"].startswith("text/calendar")
    events = Calendar.from_ical(answer.content).walk("VEVENT")
    assert [str(event["uid"]) for event in events] == [f"booking-{mine.pk}@testserver"]
    event = events[0]
    assert str(event["summary"]) == "Red; blue, and \\ back, 10B"
    assert str(event["location"]) == "Lab 1"
    start = event["dtstart"].dt
    assert start.astimezone(datetime.UTC).date() == mine.on
    assert event["dtend"].dt - start == datetime.timedelta(hours=1)


def test_summer_and_winter_time(settings, make_demonstration, make_booking, today):
    """09:00 in London is 08:00 UTC in July and 09:00 UTC in January."""
    settings.TIME_ZONE = "Europe/London"
    show = make_demonstration()
    rows = [make_booking(show), make_booking(show)]
    rows[0].on, rows[1].on = datetime.date(2031, 7, 1), datetime.date(2031, 1, 7)
    now = datetime.datetime(2031, 1, 1, tzinfo=datetime.UTC)
    text = calendar_feed.calendar_of(rows, "Shows", "school.example", now).decode()
    assert "DTSTART:20310701T080000Z" in text
    assert "DTSTART:20310107T090000Z" in text


def test_a_cancelled_one_says_so(get, teacher, make_demonstration, make_booking):
    bookings.cancel(make_booking(make_demonstration()))
    assert b"STATUS:CANCELLED" in get(teacher).content


def test_the_address_ends_with_the_password_and_the_account(client, get, teacher):
    old = reverse("demos:calendar-feed", args=[calendar_feed.token_of(teacher)])
    assert client.get(old).status_code == 200
    teacher.set_password("another-long-phrase-8")
    teacher.save()
    assert client.get(old).status_code == 404
    assert get(teacher).status_code == 200
    teacher.is_active = False
    teacher.save()
    assert get(teacher).status_code == 404


@pytest.mark.parametrize("token", ["x", "1", "a:b:c", "..", "%00", "Å" * 300])
def test_made_up_addresses(client, teacher, token):
    assert client.get(f"/calendar/feed/{token}.ics").status_code == 404
    assert not Booking.objects.exists()


def test_one_without_a_role_has_no_feed(get, django_user_model):
    assert get(django_user_model.objects.create_user("nobody")).status_code == 404


def test_only_who_books_is_shown_the_address(client, teacher, technician):
    client.force_login(teacher)
    assert (
        calendar_feed.token_of(teacher).split(":")[0]
        in client.get(reverse("demos:calendar-week")).content.decode()
    )
    client.force_login(technician)
    assert "calendar/feed/" not in client.get(reverse("demos:calendar-week")).content.decode()
