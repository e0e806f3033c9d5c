"""What happens to a booking: reserve, move, copy, cancel, record. Each in one transaction.

A booking leaves what it needs as reservations, which is all the stockroom knows of it.
"""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db import transaction

from demos.consumption.takes import chosen_of, ingredients_of, takes
from demos.models import Booking, BookingChoice, Demonstration, Run, RunLine
from demos.models.booking import booking_type
from stockroom.inventory import ledger
from stockroom.inventory.models import Container, Reagent, Reservation
from stockroom.wording.days import day_text


class BookingError(Exception):
    """What was asked for cannot be done; the message says what to change."""


def _rewrite_reservations(booking: Booking) -> None:
    """Make the reservations say what the booking needs. What stays is updated in place: it keeps its turn."""
    kind = booking_type()
    held: dict[tuple[int, bool], list[Reservation]] = {}
    for row in Reservation.objects.filter(belongs_type=kind, belongs_id=booking.pk).order_by("id"):
        held.setdefault((row.reagent_id, row.returns), []).append(row)
    kept, new = [], []
    if booking.state == Booking.State.PLANNED:
        for take in takes(booking, ingredients_of(booking.demonstration), chosen_of(booking)):
            same = held.get((take.reagent.pk, take.returns))
            row = same.pop(0) if same else Reservation(reagent=take.reagent, returns=take.returns)
            row.amount, row.needed_on = take.amount, booking.on
            row.purpose = f"{booking.demonstration} for {booking.class_name}"[:200]
            row.belongs_type, row.belongs_id = kind, booking.pk
            (kept if row.pk else new).append(row)
    Reservation.objects.filter(pk__in=[row.pk for rows in held.values() for row in rows]).delete()
    Reservation.objects.bulk_update(kept, ["amount", "needed_on", "purpose"])
    Reservation.objects.bulk_create(new)


@transaction.atomic
def save(booking: Booking, chosen: Mapping[int, int] | None = None) -> Booking:
    """Save a planned booking and what it reserves. `chosen` replaces the choices where given."""
    if booking.pk and booking.state != Booking.State.PLANNED:
        raise BookingError("Only a planned booking can be changed: this one is done or canceled.")
    booking.save()
    if chosen is not None:
        booking.choices.all().delete()
        BookingChoice.objects.bulk_create(
            BookingChoice(booking=booking, ingredient_id=ingredient, reagent_id=reagent)
            for ingredient, reagent in chosen.items()
        )
    _rewrite_reservations(booking)
    return booking


@transaction.atomic
def copy_to(booking: Booking, days: Iterable[datetime.date]) -> list[Booking]:
    """The same booking again on other dates."""
    chosen = chosen_of(booking)
    copies = []
    for on in days:
        copy = Booking.objects.get(pk=booking.pk)
        copy.pk, copy.on, copy.state, copy.how_it_went = None, on, Booking.State.PLANNED, ""
        copy._state.adding = True
        copies.append(save(copy, chosen))
    return copies


@transaction.atomic
def cancel(booking: Booking) -> None:
    """Cancel a planned booking; what it reserved is free again."""
    changed = Booking.objects.filter(pk=booking.pk, state=Booking.State.PLANNED).update(
        state=Booking.State.CANCELLED
    )
    if not changed:
        raise BookingError("Only a planned booking can be canceled: this one is done or canceled.")
    booking.state = Booking.State.CANCELLED
    _rewrite_reservations(booking)


@transaction.atomic
def reserve_again(demonstration: Demonstration, today: datetime.date) -> int:
    """After a change of the demonstration: rewrite what its bookings from today on reserve."""
    future = demonstration.bookings.filter(state=Booking.State.PLANNED, on__gte=today).select_related(
        "demonstration"
    )
    for booking in future:
        _rewrite_reservations(booking)
    return len(future)


def clashes(booking: Booking) -> list[Booking]:
    """Other planned bookings in the same room at the same time."""
    same = Booking.objects.filter(
        on=booking.on, period=booking.period, room=booking.room, state=Booking.State.PLANNED
    )
    return list(same.exclude(pk=booking.pk).select_related("demonstration", "teacher"))


@dataclass(frozen=True)
class Used:
    """What was really used of one reagent: (container, amount) pairs; `returned`: it went back whole."""

    reagent: Reagent
    draws: tuple[tuple[Container, int], ...]
    returned: bool = False

    @property
    def amount(self) -> int:
        return sum(amount for _, amount in self.draws)


@transaction.atomic
def record_run(booking: Booking, used: Iterable[Used], *, who, today: datetime.date, note: str = "") -> Run:
    """Close a booking: what was used leaves the containers, its reservations go.

    Raises BookingError, or LedgerError where a container does not hold that much.
    """
    used = list(used)
    locked = Booking.objects.select_for_update().get(pk=booking.pk)
    if locked.state != Booking.State.PLANNED:
        raise BookingError("This booking is done or canceled already.")
    if locked.on > today:
        raise BookingError(f"This class is on {day_text(locked.on)}: record it on that day or later.")
    planned: dict[int, int] = {}
    for row in Reservation.objects.filter(belongs_type=booking_type(), belongs_id=booking.pk):
        planned[row.reagent_id] = planned.get(row.reagent_id, 0) + row.amount
    run = Run.objects.create(booking=booking, recorded_by=who, note=note)
    out = _drawn_already(booking)
    ledger.hold([*out, *(container.pk for row in used for container, _ in row.draws)])
    for row in used:
        for container, amount in row.draws:
            _settle(container, amount, out.pop(container.pk, 0), booking, who, today)
        RunLine.objects.create(
            run=run,
            reagent=row.reagent,
            planned=planned.pop(row.reagent.pk, 0),
            used=row.amount,
            returned=row.returned,
        )
    for reagent_id, amount in planned.items():
        RunLine.objects.create(run=run, reagent_id=reagent_id, planned=amount, used=0)
    # What was carried out for this class and is not said to be used comes back.
    for container in Container.objects.filter(pk__in=out).select_related("reagent"):
        _settle(container, 0, out[container.pk], booking, who, today)
    Booking.objects.filter(pk=booking.pk).update(state=Booking.State.DONE)
    booking.state = Booking.State.DONE
    _rewrite_reservations(booking)
    return run


def _drawn_already(booking: Booking) -> dict[int, int]:
    """Container id -> what is out for this booking."""
    out: dict[int, int] = {}
    for line in booking.movements.exclude(kind="discard"):
        out[line.container_id] = out.get(line.container_id, 0) - line.change
    return {container: amount for container, amount in out.items() if amount > 0}


def _settle(container: Container, used: int, out: int, booking: Booking, who, today: datetime.date) -> None:
    """Draw what was used beyond what is out for the booking, or give back what is out beyond that."""
    if used > out:
        # A bottle that expired after the class was still good on the day.
        ledger.draw(
            container,
            used - out,
            who=who,
            why=f"used in {booking}",
            on=min(booking.on, today),
            belongs_to=booking,
        )
    elif used < out:
        ledger.give_back(container, out - used, who=who, why=f"left over from {booking}", belongs_to=booking)
