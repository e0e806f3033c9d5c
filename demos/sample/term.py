"""The term's bookings, and what was really used in those that are past."""

import datetime
from dataclasses import dataclass

from demos.consumption.takes import Take, ingredients_of, takes
from demos.models import Booking, Demonstration, Period, Room
from demos.planning import booking as acts
from demos.sample import read
from demos.sample.read import Calendar
from stockroom.inventory.models import Container
from stockroom.inventory.stock import still_good
from stockroom.preparation.batch import lot_of
from stockroom.supply.allocation import allocate

#: used, in per cent of planned: no class ever takes exactly what the plan says
_REALLY_USED = (92, 88, 100, 84, 95, 79, 90)


@dataclass(frozen=True)
class Past:
    """A booking whose day is over, and the teacher's words about it."""

    booking: Booking
    outcome: str


def bookings(library: dict[str, Demonstration], people: dict, calendar: Calendar) -> list[Past]:
    """Save every booking, with what it reserves; returns those to be recorded as done."""
    periods = {period.name: period for period in Period.objects.all()}
    rooms = {room.name: room for room in Room.objects.all()}
    past = []
    for row in read.table("bookings.csv"):
        booking = Booking(
            demonstration=library[row["demonstration"]],
            on=calendar.school_day(int(row["day"])),
            period=periods[f"Period {row['period']}"],
            room=rooms[row["room"]],
            class_name=row["class"],
            showings=int(row["showings"]),
            groups=int(row["groups"]),
            teacher=people[row["teacher"]],
            note=row["note"],
        )
        acts.save(booking, _instead(booking, row["instead"]))
        if row["state"] == "cancelled":
            acts.cancel(booking)
        elif booking.on < calendar.today and row["state"] != "unrecorded":
            past.append(Past(booking, row["outcome"]))
    return past


def _instead(booking: Booking, text: str) -> dict[int, int]:
    """ "usual=other" of catalog keys, as the choice that a booking keeps."""
    if not text:
        return {}
    usual, other = text.split("=")
    ingredient = booking.demonstration.ingredients.get(reagent__catalogue_key=usual)
    return {ingredient.pk: ingredient.alternatives.get(reagent__catalogue_key=other).reagent_id}


def record(past: Past, number: int, who) -> None:
    """Say what a past class used, from the bottles that first-expired-first-out would have taken."""
    booking = past.booking
    taken = takes(booking, ingredients_of(booking.demonstration), {})
    used = [_used(take, booking.on, number + place) for place, take in enumerate(taken)]
    acts.record_run(booking, used, who=who, today=booking.on, note="")
    if past.outcome:
        Booking.objects.filter(pk=booking.pk).update(how_it_went=past.outcome)


def _used(take: Take, on: datetime.date, number: int) -> acts.Used:
    if take.returns:
        return acts.Used(take.reagent, (), returned=True)
    wanted = read.as_written(take.amount * _REALLY_USED[number % len(_REALLY_USED)] // 100)
    containers = Container.objects.filter(
        still_good(on), reagent=take.reagent, state=Container.State.IN_USE, balance__gt=0
    ).in_bulk()
    picks = allocate([lot_of(container) for container in containers.values()], wanted, on).picks
    return acts.Used(take.reagent, tuple((containers[pick.lot_id], pick.amount) for pick in picks))
