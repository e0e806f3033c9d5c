"""Can a booking be ready? Reads the shelves through `purchasing.outlook` and says so in plain words."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from demos.consumption.takes import Take, takes
from demos.models import Alternative, Booking, Demonstration, Ingredient
from demos.models.booking import booking_type
from stockroom.inventory.models import Reagent
from stockroom.purchasing.outlook import NEW, Outlook, Ref, Reserved
from stockroom.supply.projection import lasts
from stockroom.supply.requirements import (
    Cause,
    MakeUp,
    Need,
    Plan,
    Purchase,
    Readiness,
    Reason,
    Verdict,
    Waiting,
    Why,
    verdict,
)
from stockroom.wording.days import weekday_text
from stockroom.wording.sentences import and_more

#: the id of a booking that is not saved yet
UNSAVED = 0


@dataclass(frozen=True)
class FeasibilityLine:
    """One reason, in words. `state` is one of good, warn, bad, for the page's mark."""

    reagent: Reagent
    state: str
    text: str
    because: tuple[str, ...] = ()


@dataclass(frozen=True)
class Cure:
    """An alternative that would let the booking be ready, or nearer to it."""

    alternative: Alternative
    readiness: Readiness
    by: datetime.date | None

    @property
    def headline(self) -> str:
        return headline(self)

    @property
    def within(self) -> str:
        """The headline as it stands within a sentence; the names of days keep their capitals."""
        return self.headline[:1].lower() + self.headline[1:]


@dataclass(frozen=True)
class Feasibility:
    """Whether a booking can be ready, what it takes, and why."""

    readiness: Readiness
    by: datetime.date | None
    headline: str
    takes: tuple[Take, ...]
    lines: tuple[FeasibilityLine, ...]
    cures: tuple[Cure, ...] = field(default=())

    @property
    def state(self) -> str:
        return {Readiness.READY: "good", Readiness.CANNOT: "bad"}.get(self.readiness, "warn")


@dataclass(frozen=True)
class Standing:
    """How a saved booking stands in the plan of all of them, or a demonstration on a day.

    `cures`, for a demonstration only: alternatives that would bring it nearer to ready.
    """

    readiness: Readiness
    by: datetime.date | None
    headline: str
    cures: tuple[Cure, ...] = ()

    @property
    def state(self) -> str:
        return {Readiness.READY: "good", Readiness.CANNOT: "bad"}.get(self.readiness, "warn")


def headline(verdict: Verdict | Cure) -> str:
    """The answer in a few words."""
    if verdict.readiness == Readiness.MAKE_UP:
        return f"Ready after making up, by {weekday_text(verdict.by)}"
    if verdict.readiness == Readiness.ORDER:
        return f"Ready if ordered by {weekday_text(verdict.by)}"
    return {Readiness.READY: "Ready", Readiness.CANNOT: "Cannot be ready"}[verdict.readiness]


def _because(reason: Reason, reagent: Reagent) -> str:
    amount = reagent.text_of(reason.amount)
    if reason.code == Cause.TAKEN:
        names = list(dict.fromkeys(getattr(ref, "purpose", str(ref)) for ref in reason.refs))
        return f"{amount} is taken by {and_more(names)}"
    if reason.code == Cause.EXPIRES:
        return f"{amount} expires before then ({weekday_text(reason.on)})"
    if reason.code == Cause.UNUSABLE:
        return f"{amount} is quarantined"
    if reason.code == Cause.ARRIVES_LATER:
        return f"{amount} comes only on {weekday_text(reason.on)}"
    return "there is none left by then"


def _line(row, reagents: Mapping[int, Reagent]) -> FeasibilityLine:
    """One line of the plan in words."""
    reagent = reagents[row.reagent_id]
    because = tuple(_because(reason, reagent) for reason in getattr(row, "reasons", ()))
    if isinstance(row, MakeUp):
        parts = ", ".join(f"{reagents[key].text_of(amount)} {reagents[key]}" for key, amount in row.parts)
        first, last = weekday_text(row.earliest), weekday_text(row.latest)
        days = last if row.earliest >= row.latest else f"{first} to {last}"
        return FeasibilityLine(
            reagent, "warn", f"Make up {reagent.text_of(row.amount)} {reagent}, {days}, from {parts}", because
        )
    if isinstance(row, Purchase):
        text = f"Order {reagent.text_of(row.amount)} {reagent} by {weekday_text(row.order_by)}"
        return FeasibilityLine(reagent, "warn", text, because)
    if isinstance(row, Waiting):
        on = weekday_text(row.arrives)
        text = f"Counts on {reagent.text_of(row.amount)} {reagent} that is on order for {on}"
        return FeasibilityLine(reagent, "warn", text)
    why = {
        Why.NO_SOURCE: "no supplier is listed for it, and there is no way to make it up",
        Why.TOO_LATE_TO_MAKE: "it is too late to make it up",
        Why.TOO_LATE_TO_ORDER: "it is too late to order",
    }[row.why]
    text = f"{reagent.text_of(row.amount)} {reagent} is missing, and {why}"
    if row.earliest:
        text += f"; it could be here on {weekday_text(row.earliest)}"
    return FeasibilityLine(reagent, "bad", text, because)


@dataclass(frozen=True)
class _Judge:
    """Judges one booking, again and again with other reagents, beside a plan of everything else."""

    booking: Booking
    outlook: Outlook
    base: Plan

    @classmethod
    def of(cls, booking: Booking, outlook: Outlook) -> "_Judge":
        # One that is saved is left out of the plan it is judged beside.
        base = outlook.plan(without=ref_of(booking)) if booking.pk else outlook.as_planned
        return cls(booking, outlook, base)

    def __call__(self, rows: Iterable[Take]) -> Verdict:
        reserved = reserved_of(self.booking, rows, self.outlook)
        plan = self.outlook.plan_beside(self.base, reserved, without=ref_of(self.booking))
        return verdict([Need(row.reagent_id, row.on, row.amount, row.ref) for row in reserved], plan)


def ref_of(booking: Booking) -> Ref:
    purpose = f"{booking.demonstration} for {booking.class_name}"
    return Ref(booking_type().pk, booking.pk or UNSAVED, purpose)


def reserved_of(booking: Booking, rows: Iterable[Take], outlook: Outlook) -> list[Reserved]:
    """What a booking would reserve. What it has reserved already keeps its place in the line."""
    ref = ref_of(booking)
    places = outlook.places_of(ref) if booking.pk else {}
    reserved = []
    for row in rows:
        held = places.get((row.reagent.pk, row.returns))
        place = held.pop(0) if held else NEW
        reserved.append(Reserved(row.reagent.pk, booking.on, row.amount, ref, row.returns, place))
    return reserved


def _worth(verdict: Verdict) -> tuple:
    """Smaller is nearer to ready."""
    order = [Readiness.READY, Readiness.MAKE_UP, Readiness.ORDER, Readiness.CANNOT]
    return order.index(verdict.readiness), len(verdict.shortfalls), len(verdict.purchases)


def _plainly_ready(booking: Booking, rows: list[Take], outlook: Outlook) -> bool:
    """Whether the shelf alone covers this booking and all that is planned until its day.

    True settles it with a sum a reagent; False says nothing, and the plan must be asked.
    """
    wanted: dict[int, int] = {}
    for row in rows:
        wanted[row.reagent.pk] = wanted.get(row.reagent.pk, 0) + row.amount
    gross = outlook.as_planned.gross
    return all(
        lasts(
            outlook.lots.get(key, ()),
            [demand for demand in gross.get(key, ()) if demand.on <= booking.on],
            booking.on,
            minimum=amount,
        )
        for key, amount in wanted.items()
    )


def _concerned(found: Verdict) -> set[int]:
    """Ids of the reagents that a verdict's lines speak of, the parts of make-ups included."""
    ids = {row.reagent_id for row in (*found.shortfalls, *found.purchases, *found.make_ups, *found.waiting)}
    return ids | {part for row in found.make_ups for part, _ in row.parts}


def check(
    booking: Booking,
    ingredients: list[Ingredient],
    outlook: Outlook,
    chosen: Mapping[int, int] | None = None,
) -> Feasibility:
    """Whether a booking, saved or not, can be ready on its day, and which alternatives would cure it.

    The number of queries does not depend on how many bookings or containers there are: one for the
    reagents' names, however many lines there are. Raises consumption.ConsumptionError.
    """
    chosen = dict(chosen or {})
    rows = takes(booking, ingredients, chosen)
    judge = _Judge.of(booking, outlook)
    found = judge(rows)
    reagents = Reagent.objects.in_bulk(_concerned(found))
    lines = [
        _line(row, reagents) for row in (*found.shortfalls, *found.purchases, *found.make_ups, *found.waiting)
    ]
    cures = _cures(judge, ingredients, chosen, found)
    return Feasibility(found.readiness, found.by, headline(found), tuple(rows), tuple(lines), cures)


def _cures(judge: _Judge, ingredients, chosen, found: Verdict) -> tuple[Cure, ...]:
    """Alternatives, one at a time, that would bring a booking nearer to ready."""
    cures = []
    if found.readiness != Readiness.READY:
        for ingredient in ingredients:
            for other in ingredient.alternatives.all():
                if chosen.get(ingredient.pk) == other.reagent_id:
                    continue
                attempt = judge(
                    takes(judge.booking, ingredients, {**chosen, ingredient.pk: other.reagent_id})
                )
                if _worth(attempt) < _worth(found):
                    cures.append(Cure(other, attempt.readiness, attempt.by))
    return tuple(cures)


def on_day(
    demonstrations: Iterable[Demonstration], on: datetime.date, outlook: Outlook
) -> dict[int, Standing]:
    """Whether each demonstration could be shown on a day beside all that is booked, by its id: no query.

    Worked out for one showing, and one student group where something is handed out. Each is judged by itself.
    The demonstrations come with `ingredients__reagent` and `ingredients__alternatives__reagent` prefetched.
    """
    found = {}
    for demonstration in demonstrations:
        ingredients = list(demonstration.ingredients.all())
        groups = 1 if any(row.group_amount for row in ingredients) else 0
        booking = Booking(demonstration=demonstration, on=on, class_name="a class", groups=groups)
        rows = takes(booking, ingredients)
        if _plainly_ready(booking, rows, outlook):
            found[demonstration.pk] = Standing(Readiness.READY, None, "Ready")
            continue
        judge = _Judge.of(booking, outlook)
        judged = judge(rows)
        cures = _cures(judge, ingredients, {}, judged)
        found[demonstration.pk] = Standing(judged.readiness, judged.by, headline(judged), cures)
    return found


def standing_of(bookings: Iterable[Booking], outlook: Outlook) -> dict[int, Standing]:
    """Readiness of many saved bookings from one plan: no query, one planning run."""
    kind = booking_type().pk
    plan = outlook.as_planned
    found = {}
    for booking in bookings:
        ref = Ref(kind, booking.pk)
        if ref not in plan.refs:
            found[booking.pk] = Standing(Readiness.READY, None, "Needs nothing from the shelves")
            continue
        judged = verdict([Need(0, booking.on, 0, ref)], plan)
        found[booking.pk] = Standing(judged.readiness, judged.by, headline(judged))
    return found
