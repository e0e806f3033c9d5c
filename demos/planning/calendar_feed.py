"""A teacher's bookings as a calendar feed (RFC 5545), and the secret address of it.

The address is the key: whoever has it can read the feed, without signing in, as calendar programs must. It
stops working when its owner changes the password or is made inactive.
"""

import datetime
from collections.abc import Iterable

from django.contrib.auth import get_user_model
from django.core import signing
from django.utils import timezone
from icalendar import Calendar, Event

from demos.models import Booking

SALT = "demos.planning.calendar_feed"
#: what is over stays in the feed so long
PAST_DAYS = 60


def _mark(user) -> str:
    """Changes with the password, and does not give it away."""
    return user.get_session_auth_hash()[:16]


def token_of(user) -> str:
    return signing.dumps([user.pk, _mark(user)], salt=SALT)


def owner_of(token: str):
    """The active person whose feed this is, or None for a token that is not valid or no longer valid."""
    try:
        pk, mark = signing.loads(token, salt=SALT)
    except (signing.BadSignature, ValueError, TypeError):
        return None
    user = get_user_model().objects.filter(pk=pk, is_active=True).first()
    return user if user and mark == _mark(user) and user.has_perm("demos.view_booking") else None


def calendar_of(bookings: Iterable[Booking], name: str, host: str, now: datetime.datetime) -> bytes:
    """The bookings, with demonstration, period and room fetched, as an iCalendar file.

    Times are in UTC, so that the file needs no time zone of its own. Canceled ones stay, marked so, since
    a program that has read one before must hear of it.
    """
    calendar = Calendar()
    calendar.add("prodid", f"-//{host}//bookings//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", name)
    zone = timezone.get_default_timezone()
    for booking in bookings:
        event = Event()
        event.add("uid", f"booking-{booking.pk}@{host}")
        event.add("dtstamp", now.astimezone(datetime.UTC))
        for key, at in (("dtstart", booking.period.start), ("dtend", booking.period.end)):
            event.add(key, datetime.datetime.combine(booking.on, at, zone).astimezone(datetime.UTC))
        event.add("summary", f"{booking.demonstration}, {booking.class_name}")
        event.add("location", str(booking.room))
        event.add("status", "CANCELLED" if booking.state == Booking.State.CANCELLED else "CONFIRMED")
        if booking.note:
            event.add("description", booking.note)
        calendar.add_component(event)
    return calendar.to_ical()
