"""`manage.py prove` finds what does not agree."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from demos.models import Booking
from demos.planning import booking as bookings
from stockroom.inventory.models import Reservation, WasteContainer

pytestmark = pytest.mark.django_db


@pytest.fixture
def acid(make_reagent):
    return make_reagent("Hydrochloric acid 1 mol/L", "volume", "HCl", 1, "mol/L")


@pytest.fixture
def booking(make_demonstration, make_booking, acid):
    return make_booking(make_demonstration(ingredients=[(acid, 100_000, 40_000, 5_000)]))


def prove() -> str:
    out = StringIO()
    call_command("prove", stdout=out)
    return out.getvalue()


def test_a_sound_department_is_proved(booking, make_container, acid):
    make_container(acid, 500_000)
    bookings.cancel(booking)
    assert "1 bookings looked at, 0 wrong" in prove()


@pytest.mark.parametrize(
    "spoil",
    [
        lambda booking: Reservation.objects.update(amount=1),
        lambda booking: Reservation.objects.all().delete(),
        lambda booking: [setattr(row, "pk", None) or row.save() for row in Reservation.objects.all()],
        lambda booking: Booking.objects.update(state=Booking.State.CANCELLED),
        lambda booking: Booking.objects.update(state=Booking.State.DONE),
    ],
    ids=["another amount", "nothing", "doubled", "cancelled", "done without a run"],
)
def test_what_does_not_agree_is_found(booking, spoil):
    prove()
    spoil(booking)
    with pytest.raises(CommandError, match="do not agree"):
        prove()


def test_waste_that_is_not_its_entries_is_found(shelf, today):
    WasteContainer.objects.create(
        code="W1", stream="acid", capacity=1000, contents=0, location=shelf, started_on=today
    )
    prove()
    WasteContainer.objects.update(contents=7)
    with pytest.raises(CommandError, match="do not agree"):
        prove()
