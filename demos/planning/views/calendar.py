"""The calendar of bookings, by week and by month, and the same as a feed."""

import calendar as months
import datetime
from dataclasses import dataclass

from django.contrib.auth.decorators import login_not_required, permission_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from demos.models import Booking, Period, Room
from demos.planning import calendar_feed as feeds
from demos.planning import feasibility
from demos.planning.feasibility import Standing
from stockroom.common.department import Department
from stockroom.common.forms.day import DayField
from stockroom.purchasing import outlook

WEEK = 7
ONE_DAY = datetime.timedelta(1)


@dataclass(frozen=True)
class Slot:
    """A booking in the calendar. `standing` only where it is planned and not over."""

    booking: Booking
    standing: Standing | None
    twice: bool


@dataclass(frozen=True)
class Day:
    on: datetime.date
    slots: tuple[Slot, ...]
    is_today: bool
    is_other: bool = False


def _day_asked(request, today: datetime.date) -> datetime.date:
    """The day in the address; today where it is not a date."""
    try:
        return DayField(required=False).clean(request.GET.get("on", "")) or today
    except ValidationError:
        return today


def _room_asked(request) -> Room | None:
    asked = request.GET.get("room", "")
    return Room.objects.filter(pk=asked).first() if asked.isdecimal() and len(asked) < 10 else None


def _slots(request, first: datetime.date, last: datetime.date, today: datetime.date, room) -> tuple:
    """Day -> its slots in the order of the school day; and what the plan behind them had to leave out.

    As many queries for a full month as for a bare one.
    """
    rows = Booking.objects.filter(on__range=(first, last)).exclude(state=Booking.State.CANCELLED)
    everyones = list(rows.select_related("demonstration", "period", "room", "teacher"))
    rows = everyones
    if request.GET.get("whose") == "mine":
        rows = [row for row in rows if row.teacher_id == request.user.pk]
    if room:
        rows = [row for row in rows if row.room_id == room.pk]
    taken: dict[tuple, int] = {}
    for row in everyones:
        key = (row.on, row.period_id, row.room_id)
        taken[key] = taken.get(key, 0) + 1
    open_rows = [row for row in rows if row.state == Booking.State.PLANNED and row.on >= today]
    read = outlook.read(today) if open_rows else None
    standing = feasibility.standing_of(open_rows, read) if read else {}
    found: dict[datetime.date, list[Slot]] = {}
    for row in rows:
        twice = taken[row.on, row.period_id, row.room_id] > 1
        found.setdefault(row.on, []).append(Slot(row, standing.get(row.pk), twice))
    return found, read.left_out if read else ()


def _context(request, view: str, on, today, room, **more) -> dict:
    """What both calendars share. Links keep whose bookings and which room are shown."""
    kept = {key: request.GET[key] for key in ("whose", "room") if request.GET.get(key)}
    return {
        "view": view,
        "on": on,
        "today": today,
        "rooms": Room.objects.filter(retired_on=None),
        "room": room,
        "mine": kept.get("whose") == "mine",
        "here": reverse(f"demos:calendar-{view}"),
        "feed": request.build_absolute_uri(
            reverse("demos:calendar-feed", args=[feeds.token_of(request.user)])
        ),
        **more,
    }


@permission_required("demos.view_booking", raise_exception=True)
def week(request):
    today = timezone.localdate()
    on, room = _day_asked(request, today), _room_asked(request)
    monday = on - datetime.timedelta(on.weekday())
    slots, left_out = _slots(request, monday, monday + (WEEK - 1) * ONE_DAY, today, room)
    dates = [monday + number * ONE_DAY for number in range(WEEK)]
    works = Department.current().week.works
    dates = [date for date in dates if works(date) or date in slots]
    days = [Day(date, tuple(slots.get(date, ())), date == today) for date in dates]
    shown = {slot.booking.period_id for day in days for slot in day.slots}
    periods = [row for row in Period.objects.all() if row.retired_on is None or row.pk in shown]
    rows = [
        (row, [tuple(slot for slot in day.slots if slot.booking.period_id == row.pk) for day in days])
        for row in periods
    ]
    context = _context(
        request,
        "week",
        on,
        today,
        room,
        title=f"Week of {monday.day} {monday:%B %Y}",
        days=days,
        rows=rows,
        left_out=left_out,
        before=monday - WEEK * ONE_DAY,
        after=monday + WEEK * ONE_DAY,
    )
    return render(request, "planning/calendar_week.html", context)


@permission_required("demos.view_booking", raise_exception=True)
def month(request):
    today = timezone.localdate()
    on, room = _day_asked(request, today), _room_asked(request)
    weeks = months.Calendar().monthdatescalendar(on.year, on.month)
    slots, left_out = _slots(request, weeks[0][0], weeks[-1][-1], today, room)
    first = on.replace(day=1)
    context = _context(
        request,
        "month",
        on,
        today,
        room,
        title=f"{on:%B %Y}",
        weeks=[
            [Day(date, tuple(slots.get(date, ())), date == today, date.month != on.month) for date in dates]
            for dates in weeks
        ],
        left_out=left_out,
        before=(first - ONE_DAY).replace(day=1),
        after=(first + 31 * ONE_DAY).replace(day=1),
    )
    return render(request, "planning/calendar_month.html", context)


@login_not_required
def feed(request, token):
    """One person's bookings for a calendar program, which cannot sign in: the address is the key."""
    owner = feeds.owner_of(token)
    if owner is None:
        raise Http404("There is no such calendar. Copy its address again from the calendar page.")
    since = timezone.localdate() - feeds.PAST_DAYS * ONE_DAY
    rows = owner.bookings.filter(on__gte=since).select_related("demonstration", "period", "room")
    content = feeds.calendar_of(rows, "Demonstrations", request.get_host().split(":")[0], timezone.now())
    response = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'inline; filename="demonstrations.ics"'
    response["Cache-Control"] = "private, max-age=900"
    return response
