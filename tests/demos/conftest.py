"""A small demonstration, and a way to book it."""

import datetime

import pytest
from django.db import transaction

from demos import booking as bookings
from demos.models import Booking, Demonstration, Ingredient, Period, Room, Topic
from demos.sample import school

PASSWORDS = {"adeyemi": "paper-lamp-41", "fenwick": "green-stair-73"}
#: a Wednesday: the school's own data may not lean on the day the tests happen to run
LOADED_ON = datetime.date(2026, 3, 11)


@pytest.fixture(scope="module")
def loaded(django_db_setup, django_db_blocker):
    """The invented school, loaded once for a file and rolled back after it."""
    with django_db_blocker.unblock(), transaction.atomic():
        school.load(LOADED_ON, PASSWORDS)
        yield LOADED_ON
        transaction.set_rollback(True)


@pytest.fixture
def room(db):
    return Room.objects.create(name="Lab 1", volume_m3=200, air_changes_per_hour=4)


@pytest.fixture
def period(db):
    return Period.objects.create(name="Period 1", start=datetime.time(9), end=datetime.time(10))


@pytest.fixture
def make_demonstration(db):
    """`make_demonstration("Title", [(reagent, first, repeat, group), ...])`."""

    def make(title="Cloudy to clear", ingredients=(), **fields):
        fields.setdefault("spill_percent", 0)
        demonstration = Demonstration.objects.create(
            title=title,
            summary="A pale solid thins out until the liquid is clear.",
            minutes=10,
            protection="Goggles, gloves.",
            clean_up="Collect.",
            **fields,
        )
        demonstration.topics.add(Topic.objects.get_or_create(name="Acids and bases")[0])
        for reagent, first, repeat, group in ingredients:
            Ingredient.objects.create(
                demonstration=demonstration,
                reagent=reagent,
                first_amount=first,
                repeat_amount=repeat,
                group_amount=group,
            )
        return demonstration

    return make


@pytest.fixture
def make_booking(room, period, teacher, today):
    """`make_booking(demonstration, days=3, showings=2, chosen={...})`."""

    def make(demonstration, days=3, chosen=None, **fields):
        fields = {"class_name": "10B", "room": room, "period": period, "teacher": teacher, **fields}
        booking = Booking(demonstration=demonstration, on=today + datetime.timedelta(days), **fields)
        return bookings.save(booking, chosen)

    return make
