"""Loading the invented school: on any day, into an empty database only."""

import datetime

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command

from demos.models import Booking, Run
from demos.sample import school
from stockroom.common.department import Department
from stockroom.inventory import ledger
from stockroom.inventory.models import Movement, Reagent

PASSWORDS = {"lindqvist": "blue-gate-52"}


def test_another_day_moves_everything(db):
    today = datetime.date(2026, 1, 17)  # a Saturday
    school.load(today, PASSWORDS)
    department = Department.current()
    assert department.term_start < today < department.term_end
    days = set(Booking.objects.values_list("on", flat=True))
    assert all(day.weekday() < 5 for day in days)
    assert min(days) < today < max(days)
    assert not Movement.objects.filter(on__gt=today).exists()
    assert ledger.prove()[1] == []
    past = Booking.objects.filter(on__lt=today)
    assert Run.objects.count() == past.filter(state=Booking.State.DONE).count()
    assert past.filter(state=Booking.State.PLANNED).count() == 1  # still to be recorded


def test_people_in_the_database_are_left_alone(teacher):
    with pytest.raises(CommandError, match="people in this database"):
        call_command("load_school", passwords="{}", verbosity=0)
    assert not Reagent.objects.exists()
    assert get_user_model().objects.count() == 1


@pytest.mark.parametrize("passwords", ["not json", '["fenwick"]', '{"stranger": "x"}'])
def test_passwords_are_checked_before_anything_is_written(db, passwords):
    with pytest.raises(CommandError, match="--passwords"):
        call_command("load_school", passwords=passwords, verbosity=0)
    assert not get_user_model().objects.exists()
