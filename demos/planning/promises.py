"""Which bookings lose what they were promised if others are saved.

Compared are the verdicts of all planned bookings from the plan before and the plan after, so that what is
taken through the parts of make-ups counts too.
"""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.contrib.admin.models import LogEntry

from demos.consumption.takes import Take, takes
from demos.models import Booking, Ingredient
from demos.planning.booking import booking_type
from demos.planning.feasibility import headline, ref_of, reserved_of
from stockroom.common.activity_log import note
from stockroom.inventory.models import Reagent
from stockroom.purchasing.outlook import Outlook, Ref
from stockroom.supply.projection import lasts
from stockroom.supply.requirements import (
    MakeUp,
    Need,
    Plan,
    Purchase,
    Readiness,
    Shortfall,
    Verdict,
    verdict,
)

#: kinds of lines, from the least to the gravest for the booking that depends on it
GRAVITY = {MakeUp: 1, Purchase: 2, Shortfall: 3}

#: how the note on a booking that lost something begins
WORSE = "worse off"


@dataclass(frozen=True)
class Falling:
    """A booking that would be worse off. before, after: its verdicts in words; why: what it then lacks."""

    booking: Booking
    before: str
    after: str
    why: str


def _gravity(plan: Plan, ref: Ref) -> int:
    return max((GRAVITY.get(type(line), 0) for line in plan.by_ref.get(ref, ())), default=0)


def _judged(plan: Plan, ref: Ref, on: datetime.date) -> Verdict:
    return verdict([Need(0, on, 0, ref)], plan)


def _enough_for_all(outlook: Outlook, wanted: dict[int, int]) -> bool:
    """Whether the shelf alone covers all that is planned and this as well. False says nothing."""
    gross = outlook.as_planned.gross
    last = max((demand.on for key in wanted for demand in gross.get(key, ())), default=outlook.today)
    return all(
        lasts(outlook.lots.get(key, ()), gross.get(key, ()), max(last, outlook.today), minimum=amount)
        for key, amount in wanted.items()
    )


def falling(asked: Sequence[tuple[Booking, Sequence[Take]]], outlook: Outlook) -> tuple[Falling, ...]:
    """The planned bookings that would be worse off if these were saved, soonest first.

    One that is saved already takes the place of itself. A booking is worse off where it could be ready and
    then cannot, or then only if something is ordered.
    """
    wanted: dict[int, int] = {}
    for _, rows in asked:
        for row in rows:
            wanted[row.reagent.pk] = wanted.get(row.reagent.pk, 0) + row.amount
    if _enough_for_all(outlook, wanted):
        return ()
    saved = next((ref_of(booking) for booking, _ in asked if booking.pk), None)
    extra = [line for booking, rows in asked for line in reserved_of(booking, rows, outlook)]
    before, after = outlook.as_planned, outlook.plan(without=saved, extra=extra)
    own = {ref_of(booking) for booking, _ in asked}
    kind = booking_type().pk
    lost = [
        ref
        for ref in after.by_ref
        if ref.type_id == kind and ref not in own and ref in before.refs
        if _gravity(after, ref) > max(1, _gravity(before, ref))
    ]
    return _in_words(lost, before, after)


def _in_words(lost: list[Ref], before: Plan, after: Plan) -> tuple[Falling, ...]:
    rows = Booking.objects.filter(pk__in=[ref.id for ref in lost], state=Booking.State.PLANNED)
    by_pk = rows.select_related("demonstration", "teacher", "period").in_bulk()
    concerned = {line.reagent_id for ref in lost for line in after.by_ref[ref]}
    reagents = Reagent.objects.in_bulk(concerned)
    found = []
    for ref in lost:
        if booking := by_pk.get(ref.id):
            was, now = _judged(before, ref, booking.on), _judged(after, ref, booking.on)
            lacks = now.shortfalls if now.readiness == Readiness.CANNOT else now.purchases
            why = "; ".join(_amount_of(row, reagents[row.reagent_id]) for row in lacks)
            found.append(Falling(booking, headline(was), headline(now), why))
    return tuple(sorted(found, key=lambda row: (row.booking.on, row.booking.pk)))


def _amount_of(row, reagent: Reagent) -> str:
    return f"{reagent.text_of(row.amount)} {reagent}"


def avoided_by(
    booking: Booking, ingredients: Iterable[Ingredient], chosen: dict[int, int], outlook: Outlook
) -> tuple[str, ...]:
    """The alternatives of a booking, one at a time, with which no other booking would be worse off."""
    ingredients = list(ingredients)
    found = []
    for ingredient in ingredients:
        for other in ingredient.alternatives.all():
            if chosen.get(ingredient.pk) != other.reagent_id:
                rows = takes(booking, ingredients, {**chosen, ingredient.pk: other.reagent_id})
                if not falling([(booking, rows)], outlook):
                    found.append(f"{other.reagent} in place of {ingredient.reagent}")
    return tuple(found)


def told(booking: Booking):
    """What the owner of a booking is told: who has taken of what it was promised, the latest first."""
    kind = booking_type()
    rows = LogEntry.objects.filter(
        content_type=kind, object_id=str(booking.pk), change_message__startswith=WORSE
    )
    return rows.select_related("user")[:3]


def tell(who, lost: Iterable[Falling], by: Booking) -> None:
    """Keep with each booking that is worse off who saved what: its owner reads it on the booking."""
    for row in lost:
        note(who, row.booking, f"{WORSE} since {by} was saved: now “{row.after}”, before “{row.before}”")
