"""Prove what is derived from bookings: their reservations, and that each one that is done has its run."""

import datetime
from collections import Counter

from demos.consumption.amounts import ConsumptionError
from demos.consumption.takes import chosen_of, takes
from demos.models import Booking, Run
from demos.planning.booking import booking_type
from stockroom.inventory.models import Reservation


def _held() -> dict[int, Counter]:
    """Booking id -> what is reserved for it, as (reagent, amount, day, comes back)."""
    held: dict[int, Counter] = {}
    rows = Reservation.objects.filter(belongs_type=booking_type())
    for pk, *what in rows.values_list("belongs_id", "reagent_id", "amount", "needed_on", "returns"):
        held.setdefault(pk, Counter())[tuple(what)] += 1
    return held


def _needed(booking: Booking) -> Counter:
    rows = takes(booking, list(booking.demonstration.ingredients.all()), chosen_of(booking))
    return Counter((row.reagent.pk, row.amount, booking.on, row.returns) for row in rows)


def reservations(today: datetime.date) -> tuple[int, list[str]]:
    """(bookings looked at, what is wrong, in words).

    A planned booking from today on reserves what it needs, nothing doubled; one that is done or canceled
    reserves nothing. One that is over and not recorded keeps what was planned then.
    """
    held = _held()
    planned = Booking.objects.filter(state=Booking.State.PLANNED).select_related("demonstration")
    planned = planned.prefetch_related(
        "choices", "demonstration__ingredients__reagent", "demonstration__ingredients__alternatives__reagent"
    )
    wrong = []
    for booking in planned:
        has = held.pop(booking.pk, Counter())
        try:
            needs = _needed(booking) if booking.on >= today else has
        except ConsumptionError as error:
            wrong.append(f"{booking}: {error}")
            continue
        if has != needs:
            wrong.append(f"{booking} (number {booking.pk}): what it reserves is not what it needs")
    wrong += [f"Booking number {pk} is not planned and still reserves something" for pk in sorted(held)]
    return Booking.objects.count(), wrong


def runs() -> tuple[int, list[str]]:
    """(runs looked at, what is wrong): a booking is done exactly where it has a run."""
    without = Booking.objects.filter(state=Booking.State.DONE, run=None)
    early = Run.objects.exclude(booking__state=Booking.State.DONE).select_related("booking__demonstration")
    wrong = [
        f"{row} is done and has no record of what was used" for row in without.select_related("demonstration")
    ]
    wrong += [f"{row.booking} has a record of what was used and is not done" for row in early]
    return Run.objects.count(), wrong
