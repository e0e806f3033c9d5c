"""What the technician makes up, fetches and sets out for some days: read once, as plain rows."""

import datetime
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from demos.consumption.amounts import ConsumptionError
from demos.consumption.takes import Take, chosen_of, takes
from demos.models import Booking
from demos.models.booking import booking_type
from demos.planning import feasibility
from demos.report.beaker import taken
from demos.simulation.outcome import celsius
from stockroom.chemistry import preparation as recipe
from stockroom.inventory.models import Container, Preparation, Reagent
from stockroom.inventory.recipes import LeftOut
from stockroom.preparation.batch import batch_of
from stockroom.purchasing.outlook import Outlook, Ref
from stockroom.supply.allocation import Allocation
from stockroom.supply.requirements import MakeUp

#: later days of a joined make-up that are named; the rest are counted
MOST_DAYS = 3


@dataclass(frozen=True)
class Source:
    """Where an amount comes from: a container, or (None) a make-up that is still to be done."""

    container: Container | None
    amount: int


@dataclass(frozen=True)
class SetOut:
    """One reagent for one booking, and where to take it from. `missing` is what nothing covers."""

    take: Take
    sources: tuple[Source, ...]
    to_make: int
    missing: int


@dataclass(frozen=True)
class BookingPrep:
    """One booking as the bench must stand when the class comes in."""

    booking: Booking
    standing: feasibility.Standing
    rows: tuple[SetOut, ...]
    wrong: str = ""

    @property
    def temperatures(self) -> tuple[str, ...]:
        """What must stand ready warm or cold, and for which step."""
        chosen = chosen_of(self.booking)
        by_key = {row.pk: row for row in self.booking.demonstration.ingredients.all()}
        found = []
        for step in self.booking.demonstration.steps.all():
            if step.temperature_c is not None:
                row = by_key.get(step.adds_id)
                what = taken(row, chosen)[0] if row else "the beaker"
                found.append(f"{what} at {celsius(step.temperature_c)} (step {step.number})")
        return tuple(found)


@dataclass(frozen=True)
class PartToTake:
    """One part of a make-up, and the containers it comes from. `is_made`: the rest is made up before."""

    reagent: Reagent
    amount: int
    sources: tuple[Source, ...]
    is_made: bool

    @property
    def rest(self) -> int:
        """What no container covers: made up before where `is_made`, else missing."""
        return self.amount - sum(source.amount for source in self.sources)


@dataclass(frozen=True)
class ToMake:
    """One making-up: `batch` is the instruction, None where it cannot be written (`wrong` says why).

    also_on: the days after the first on which it is used.
    """

    reagent: Reagent
    preparation: Preparation
    amount: int
    earliest: datetime.date
    latest: datetime.date
    good_until: datetime.date | None
    level: int
    purposes: tuple[str, ...]
    parts: tuple[PartToTake, ...]
    batch: recipe.Batch | None
    wrong: str = ""
    also_on: tuple[datetime.date, ...] = ()

    @property
    def also_for(self) -> str:
        """The later days in words: “also for Thu 4 Dec and Mon 8 Dec”; empty where there are none."""
        days = [f"{on:%a} {on.day} {on:%b}" for on in self.also_on[:MOST_DAYS]]
        if more := len(self.also_on) - len(days):
            days.append(f"{more} later day{'s' if more > 1 else ''}")
        head, _, last = ", ".join(days).rpartition(", ")
        return f"also for {f'{head} and {last}' if head else last}" if days else ""


@dataclass(frozen=True)
class Fetch:
    """One container to fetch, and how much of it for what."""

    container: Container
    amount: int
    purposes: tuple[str, ...]


@dataclass(frozen=True)
class Prep:
    """Everything for the days asked about. make_ups in the order in which they must be done.

    left_out: preparations that no plan can follow.
    """

    start: datetime.date
    end: datetime.date
    bookings: tuple[BookingPrep, ...]
    make_ups: tuple[ToMake, ...]
    fetches: tuple[Fetch, ...]
    left_out: tuple[LeftOut, ...] = ()

    @property
    def problems(self) -> list[BookingPrep]:
        return [row for row in self.bookings if row.standing.state == "bad"]


class _Reader:
    """Joins one plan with the rows it speaks of. Its queries do not grow with the rows."""

    def __init__(self, outlook: Outlook, bookings: list[Booking], make_ups: list[MakeUp]):
        self.outlook = outlook
        self.bookings = bookings
        ids = {row.reagent_id for row in make_ups} | {key for row in make_ups for key, _ in row.parts}
        self.reagents = Reagent.objects.in_bulk(ids)
        self.claims = {}
        self.allocations: dict[int, list] = {}
        wanted = ids | {row.reagent_id for booking in bookings for row in _usual_and_other(booking)}
        here = Container.objects.filter(reagent__in=wanted, balance__gt=0).present()
        self.containers = here.select_related("location", "reagent").in_bulk()
        self.preparations = {}
        rows = Preparation.objects.filter(reagent__in=ids, retired_on=None).order_by("-id")
        for row in rows.select_related("reagent").prefetch_related("parts__reagent__components__chemical"):
            self.preparations[row.reagent_id] = row
        self.made = defaultdict(list)
        for row in outlook.as_planned.make_ups:
            self.made[row.reagent_id].append(row)

    def allocation(self, reagent_id: int, on: datetime.date, amount: int, refs: tuple) -> Allocation | None:
        """The planned allocation of one demand; each is given out once."""
        if reagent_id not in self.allocations:
            self.allocations[reagent_id] = list(self.outlook.claims(reagent_id).allocations)
        rows = self.allocations[reagent_id]
        for place, (demand, allocation) in enumerate(rows):
            if demand.on == on and demand.amount == amount and demand.ref == refs:
                del rows[place]
                return allocation
        return None

    def sources(self, allocation: Allocation | None) -> tuple[Source, ...]:
        picks = allocation.picks if allocation else ()
        return tuple(Source(self.containers.get(pick.lot_id), pick.amount) for pick in picks)

    def set_out(self, booking: Booking, take: Take, ref: Ref) -> SetOut:
        allocation = self.allocation(take.reagent.pk, booking.on, take.amount, (ref,))
        short = allocation.short if allocation else take.amount
        is_made = any(ref in row.refs for row in self.made[take.reagent.pk])
        return SetOut(
            take,
            self.sources(allocation),
            to_make=short if is_made else 0,
            missing=0 if is_made else short,
        )

    def booking(self, booking: Booking, standing: feasibility.Standing) -> BookingPrep:
        ref = Ref(booking_type().pk, booking.pk)
        try:
            rows = takes(booking, booking.demonstration.ingredients.all(), chosen_of(booking))
        except ConsumptionError as error:
            return BookingPrep(booking, standing, (), str(error))
        return BookingPrep(booking, standing, tuple(self.set_out(booking, row, ref) for row in rows))

    def make_up(self, row: MakeUp) -> ToMake:
        preparation = self.preparations[row.reagent_id]
        parts = tuple(
            PartToTake(
                self.reagents[key],
                amount,
                self.sources(self.allocation(key, row.latest, amount, row.refs)),
                is_made=bool(self.made.get(key)),
            )
            for key, amount in row.parts
        )
        batch, wrong = batch_of(preparation, row.amount)
        return ToMake(
            reagent=self.reagents[row.reagent_id],
            preparation=preparation,
            amount=row.amount,
            earliest=row.earliest,
            latest=row.latest,
            good_until=row.good_until,
            level=row.level,
            purposes=tuple(dict.fromkeys(ref.purpose for ref in row.refs)),
            parts=parts,
            batch=batch,
            wrong=wrong,
            also_on=row.also_on,
        )


def _usual_and_other(booking: Booking):
    """Ingredients and their alternatives: whatever names a reagent that the booking may take."""
    for ingredient in booking.demonstration.ingredients.all():
        yield ingredient
        yield from ingredient.alternatives.all()


def _fetches(bookings: Iterable[BookingPrep], make_ups: Iterable[ToMake]) -> tuple[Fetch, ...]:
    amounts: dict[Container, int] = defaultdict(int)
    purposes: dict[Container, dict[str, None]] = defaultdict(dict)
    for prep in bookings:
        for row in prep.rows:
            for source in row.sources:
                if source.container is not None:
                    amounts[source.container] += source.amount
                    name = f"{prep.booking.demonstration} for {prep.booking.class_name}"
                    purposes[source.container][name] = None
    for row in make_ups:
        for part in row.parts:
            for source in part.sources:
                if source.container is not None:
                    amounts[source.container] += source.amount
                    purposes[source.container][f"making up {row.reagent}"] = None
    order = sorted(amounts, key=lambda c: (c.location.path, c.reagent.name, c.code))
    return tuple(Fetch(row, amounts[row], tuple(purposes[row])) for row in order)


def prepare(outlook: Outlook, start: datetime.date, end: datetime.date) -> Prep:
    """What the bookings from start to end ask of the technician, and what is due to be made up by then.

    A make-up belongs to the days if a booking of them needs it, or if its last day falls into them.
    """
    bookings = list(
        Booking.objects.filter(on__range=(start, end), state=Booking.State.PLANNED)
        .select_related("demonstration", "period", "room", "teacher")
        .prefetch_related(
            "choices",
            "demonstration__equipment",
            "demonstration__steps",
            "demonstration__ingredients__reagent__hazards",
            "demonstration__ingredients__alternatives__reagent",
        )
    )
    standing = feasibility.standing_of(bookings, outlook)
    kind = booking_type().pk
    refs = {Ref(kind, booking.pk) for booking in bookings}
    make_ups = [
        row for row in outlook.as_planned.make_ups if start <= row.latest <= end or refs & set(row.refs)
    ]
    reader = _Reader(outlook, bookings, make_ups)
    to_make = tuple(reader.make_up(row) for row in sorted(make_ups, key=lambda row: (row.latest, -row.level)))
    rows = tuple(reader.booking(booking, standing[booking.pk]) for booking in bookings)
    return Prep(start, end, rows, to_make, _fetches(rows, to_make), outlook.left_out)
