"""Reads the shelves once, as plain data, and asks `supply/` what will run out, when, and what to do.

`read()` takes the same few queries however many reagents, containers, reservations and orders there are.
Everything else works on what it read, so that one page reads once and asks often.
"""

import datetime
import sys
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property
from operator import attrgetter

from django.db.models import F

from stockroom.chemistry.measuring import flask_volumes
from stockroom.chemistry.quantity import VOLUME
from stockroom.common.department import Department
from stockroom.inventory.models import Container, Offer, Preparation, PreparationPart, Reagent, Reservation
from stockroom.inventory.recipes import LeftOut, left_out
from stockroom.purchasing.models import Order, OrderLine
from stockroom.supply import packs, projection, requirements
from stockroom.supply.allocation import Claims, Lot, allocate_many
from stockroom.supply.lots import Weights
from stockroom.supply.projection import Demand, Projection, Receipt
from stockroom.supply.requirements import Need, Plan, Recipe
from stockroom.supply.workdays import EVERY_DAY, WorkWeek

#: looked ahead where the department has set no end of term
DEFAULT_DAYS = 56


@dataclass(frozen=True)
class Ref:
    """Whom a need belongs to: the content type and id of a booking, and what to call it."""

    type_id: int
    id: int
    purpose: str = field(compare=False, default="")

    def __hash__(self):
        # A plan asks tens of thousands of times, and bookings of two types with one id are rare.
        return self.id


#: the place in the line of what is not reserved yet: after all that is
NEW = sys.maxsize


@dataclass(frozen=True, slots=True)
class Reserved(Need):
    """One reservation, as plain data. `returns`: it comes back whole. place: on one day, the lower first."""

    returns: bool = False
    place: int = NEW


@dataclass(frozen=True)
class Pack:
    """One offer, as plain data; price in the currency."""

    id: int
    reagent_id: int
    supplier_id: int
    amount: int
    price: object
    lead_days: int


@dataclass(frozen=True)
class Outlook:
    """Everything the planning needs, read at one moment, by reagent id.

    left_out: the preparations that go round in a circle; no recipe of them is among `recipes`. weights: how
    make-ups are joined.
    """

    today: datetime.date
    lots: dict[int, list[Lot]]
    receipts: dict[int, list[Receipt]]
    reserved: tuple[Reserved, ...]
    recipes: tuple[Recipe, ...]
    packs: dict[int, list[Pack]]
    week: WorkWeek = EVERY_DAY
    left_out: tuple[LeftOut, ...] = ()
    weights: Weights = Weights()

    @cached_property
    def lead_days(self) -> dict[int, int]:
        """Days until the quickest offer of each reagent is here."""
        return {key: min(pack.lead_days for pack in packs) for key, packs in self.packs.items()}

    def act_by(self, on: datetime.date, lead_days: int = 0) -> datetime.date:
        """The last working day on which what is needed on a day may be ordered or made up."""
        return self.week.back(on - datetime.timedelta(lead_days), self.today)

    @cached_property
    def balance(self) -> dict[int, int]:
        """What may be used today, by reagent."""
        return {
            key: sum(
                lot.balance
                for lot in lots
                if lot.usable and (lot.expires is None or lot.expires >= self.today)
            )
            for key, lots in self.lots.items()
        }

    def needs(self, without: Ref | None = None, extra: Iterable[Reserved] = ()) -> tuple[list[Need], dict]:
        """Every reservation by its day, and what comes back from them as receipts by reagent.

        What comes back is expected on the next day, at most as much as is on the shelf at all.
        """
        kept = self.reserved if without is None else (row for row in self.reserved if row.ref != without)
        rows = sorted((*kept, *extra), key=attrgetter("on", "place"))
        back: dict[int, list[Receipt]] = defaultdict(list)
        for row in rows:
            if row.returns:
                there = min(row.amount, self.balance.get(row.reagent_id, 0))
                on = row.on + datetime.timedelta(1)
                back[row.reagent_id].append(Receipt(on, there, ref=row.ref))
        return rows, back

    def _explode(self, needs: list[Need], receipts: dict) -> Plan:
        asked = (needs, self.recipes, self.lots, receipts, self.lead_days, self.today)
        return requirements.explode(*asked, self.weights, self.week)

    def plan(self, without: Ref | None = None, extra: Iterable[Reserved] = ()) -> Plan:
        """Plan every reservation, `extra` ones included and those of `without` left out."""
        needs, back = self.needs(without, extra)
        receipts = {key: [*self.receipts.get(key, ()), *back.get(key, ())] for key in {*self.receipts, *back}}
        return self._explode(needs, receipts)

    def places_of(self, ref: Ref) -> dict[tuple[int, bool], list[int]]:
        """The places in the line of what a booking has reserved, by reagent and whether it comes back."""
        places: dict[tuple[int, bool], list[int]] = defaultdict(list)
        for row in self.reserved:
            if row.ref == ref:
                places[row.reagent_id, row.returns].append(row.place)
        return places

    @cached_property
    def _recipe_of(self) -> dict[int, Recipe]:
        return {recipe.product_id: recipe for recipe in self.recipes}

    @cached_property
    def _by_reagent(self) -> dict[int, list[Reserved]]:
        rows: dict[int, list[Reserved]] = defaultdict(list)
        for row in self.reserved:
            rows[row.reagent_id].append(row)
        return rows

    def _made_from(self, reagent_ids: Iterable[int]) -> set[int]:
        """These reagents and all they are made from."""
        found = set(reagent_ids)
        queue = list(found)
        while queue:
            if recipe := self._recipe_of.get(queue.pop()):
                new = {part for part, _ in recipe.parts} - found
                found |= new
                queue.extend(new)
        return found

    def _plan_touched(self, base: Plan, extra: list[Reserved], without: Ref | None, touched: set[int]):
        """Plan the reagents `touched` only; whatever else is made from them stays as it is planned."""
        reserved = (row for key in touched for row in self._by_reagent.get(key, ()))
        needs, back = replace(self, reserved=tuple(reserved)).needs(without, extra)
        needs += [
            Need(part_id, row.latest, amount, row.refs[0])
            for row in base.make_ups
            if row.reagent_id not in touched
            for part_id, amount in row.parts
            if part_id in touched
        ]
        receipts = {key: [*self.receipts.get(key, ()), *back.get(key, ())] for key in touched}
        return self._explode(needs, receipts)

    def plan_beside(self, base: Plan, extra: Iterable[Reserved], without: Ref | None = None) -> Plan:
        """Plan `extra` beside `base`, which is `plan(without)`: only what it bears on is planned anew.

        That is its own reagents and whatever they are made from, level by level. Where a part of several
        things runs out, all of them are sized anew, and so everything is planned. Says of `extra` what
        `plan(without, extra)` says, mostly at a small part of the work.
        """
        extra = list(extra)
        touched = self._made_from(row.reagent_id for row in extra)
        if not any(touched & self._made_from([key]) for key in base.sparing):
            plan = self._plan_touched(base, extra, without, touched)
            made = [*plan.make_ups, *(row for row in base.make_ups if row.reagent_id not in touched)]
            lines = (*plan.purchases, *plan.shortfalls)
            if not plan.sparing and not requirements.short_of_parts(lines, made, self._recipe_of):
                return plan
        return self.plan(without, extra)

    @cached_property
    def _back(self) -> dict[int, list[Receipt]]:
        return self.needs()[1]

    @cached_property
    def as_planned(self) -> Plan:
        return self.plan()

    def demands(self, reagent_id: int) -> list[Demand]:
        """What is wanted of one reagent: reservations, and the parts of planned make-ups."""
        return list(self.as_planned.gross.get(reagent_id, ()))

    def expected(self, reagent_id: int) -> list[Receipt]:
        """What is on its way: open orders, and what comes back."""
        return [*self.receipts.get(reagent_id, ()), *self._back.get(reagent_id, ())]

    def project(self, reagent_id: int, end: datetime.date, minimum: int = 0) -> Projection:
        """The balance of one reagent until `end`: shelf, reservations, make-ups' parts, open orders."""
        return projection.project(
            self.lots.get(reagent_id, ()),
            self.demands(reagent_id),
            self.expected(reagent_id),
            self.today,
            end,
            minimum,
        )

    def claims(self, reagent_id: int) -> Claims:
        """Which container each demand of a reagent would be served from."""
        return allocate_many(self.lots.get(reagent_id, ()), self.demands(reagent_id))

    def cheapest(self, reagent_id: int, need: int, room: int | None = None) -> packs.Choice:
        """The packs that cover `need` at least cost. Raises packs.PacksError."""
        offers = [
            packs.Offer(pack.id, pack.amount, int(pack.price * 100))
            for pack in self.packs.get(reagent_id, ())
        ]
        return packs.choose(need, offers, room)


def _lots(rows: Iterable[tuple]) -> dict[int, list[Lot]]:
    lots: dict[int, list[Lot]] = defaultdict(list)
    for pk, reagent_id, balance, until, opened_on, received_on, state in rows:
        lots[reagent_id].append(
            Lot(pk, balance, until, opened_on is not None, received_on, state == Container.State.IN_USE)
        )
    return lots


def _receipts(today: datetime.date) -> dict[int, list[Receipt]]:
    """Open packs of orders. One that is late is expected today; one without a day, after its lead time."""
    receipts: dict[int, list[Receipt]] = defaultdict(list)
    rows = OrderLine.objects.filter(order__state__in=Order.OPEN, packs__gt=F("received_packs")).order_by("id")
    for reagent_id, order_id, count, received, pack, expected_on, lead, life in rows.values_list(
        "reagent_id",
        "order_id",
        "packs",
        "received_packs",
        "pack_amount",
        "order__expected_on",
        "offer__lead_days",
        "reagent__shelf_life_sealed_days",
    ):
        on = max(expected_on or today + datetime.timedelta(lead or 0), today)
        expires = None if life is None else on + datetime.timedelta(life)
        receipts[reagent_id].append(Receipt(on, (count - received) * pack, expires, ref=f"order {order_id}"))
    return receipts


def _recipes() -> tuple[Recipe, ...]:
    """The first preparation in use of each reagent that has parts."""
    parts: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for preparation_id, reagent_id, amount in PreparationPart.objects.order_by("id").values_list(
        "preparation_id", "reagent_id", "amount"
    ):
        parts[preparation_id].append((reagent_id, amount))
    recipes: dict[int, Recipe] = {}
    rows = Preparation.objects.filter(retired_on=None, reagent__retired_on=None).order_by("id")
    for pk, reagent_id, makes, lead_days, life, measure, most in rows.values_list(
        "id",
        "reagent_id",
        "yield_amount",
        "lead_days",
        "reagent__shelf_life_sealed_days",
        "reagent__measure",
        "reagent__most_to_keep",
    ):
        if pk not in parts or reagent_id in recipes:
            continue
        recipes[reagent_id] = Recipe(
            reagent_id,
            makes,
            tuple(parts[pk]),
            None if life is None else max(life, lead_days),
            flask_volumes() if measure == VOLUME else (),
            lead_days,
            most,
        )
    return tuple(recipes.values())


def _reserved() -> tuple[Reserved, ...]:
    """A past one that nobody has recorded still claims its share: the shelf has not been told yet."""
    rows = Reservation.objects.order_by("needed_on", "id").values_list(
        "reagent_id", "amount", "needed_on", "returns", "belongs_type_id", "belongs_id", "purpose", "id"
    )
    refs: dict[tuple[int, int], Ref] = {}
    reserved = []
    for reagent_id, amount, on, returns, type_id, pk, purpose, place in rows:
        ref = refs.get((type_id, pk))
        if ref is None:
            ref = refs[type_id, pk] = Ref(type_id, pk, purpose)
        reserved.append(Reserved(reagent_id, on, amount, ref, returns, place))
    return tuple(reserved)


def read(today: datetime.date) -> Outlook:
    """Read the shelves, reservations, open orders, preparations and offers. Six or seven queries."""
    containers = (
        Container.objects.present()
        .filter(balance__gt=0)
        .order_by("id")
        .values_list("id", "reagent_id", "balance", "usable_until", "opened_on", "received_on", "state")
    )
    offers: dict[int, list[Pack]] = defaultdict(list)
    rows = Offer.objects.filter(retired_on=None, supplier__retired_on=None).order_by("id")
    for pk, reagent_id, supplier_id, amount, price, lead in rows.values_list(
        "id", "reagent_id", "supplier_id", "pack_amount", "price", "lead_days"
    ):
        offers[reagent_id].append(Pack(pk, reagent_id, supplier_id, amount, price, lead))
    recipes, circles = requirements.without_circles(_recipes())
    return Outlook(
        today=today,
        lots=_lots(containers),
        receipts=_receipts(today),
        reserved=_reserved(),
        recipes=recipes,
        packs=offers,
        week=Department.current().week,
        left_out=left_out(circles),
    )


@dataclass(frozen=True)
class Short:
    """A reagent that runs short, or below its reorder point, and what can be done about it.

    on: first day short or below; by: what is missing on it (0: only below the reorder point). remedy is
    "make up", "order" or "" where neither is in time; act_by its last day. purposes: who is short.
    """

    reagent: Reagent
    on: datetime.date
    by: int
    lowest: int
    remedy: str
    act_by: datetime.date | None
    purposes: tuple[str, ...]


class _Remedies:
    """What the plan does about each reagent: "make up", "order" or "", and the last day for it."""

    def __init__(self, outlook: Outlook):
        plan = outlook.as_planned
        self.outlook = outlook
        self.hopeless = {row.reagent_id for row in plan.shortfalls}
        self.made_here = {recipe.product_id for recipe in outlook.recipes}
        self.planned: dict[int, tuple[str, datetime.date]] = {}
        for row in sorted(plan.make_ups, key=attrgetter("latest")):
            self.planned.setdefault(row.reagent_id, ("make up", row.latest))
        for row in sorted(plan.purchases, key=attrgetter("order_by")):
            self.planned.setdefault(row.reagent_id, ("order", row.order_by))

    def of(self, reagent_id: int, on: datetime.date, is_short: bool) -> tuple[str, datetime.date | None]:
        """Where only the reserve is touched no class goes without yet: in time means now."""
        if reagent_id in self.hopeless:
            return "", None
        if reagent_id in self.planned:
            return self.planned[reagent_id]
        if reagent_id in self.made_here:
            return "make up", self.outlook.act_by(on)
        lead = self.outlook.lead_days.get(reagent_id)
        if lead is None:
            return "", None
        return "order", self.outlook.act_by(on, lead) if is_short else self.outlook.act_by(on)


def shortages(outlook: Outlook, end: datetime.date) -> list[Short]:
    """Reagents that the shelf and open orders do not carry to `end`, soonest first. Two queries."""
    troubled = {}
    for pk, reorder_point in (
        Reagent.objects.filter(retired_on=None).order_by().values_list("pk", "reorder_point")
    ):
        lots, demands, expected = outlook.lots.get(pk, ()), outlook.demands(pk), outlook.expected(pk)
        if found := projection.trouble(lots, demands, expected, outlook.today, end, reorder_point):
            troubled[pk] = found
    reagents = Reagent.objects.in_bulk(troubled)
    remedies = _Remedies(outlook)
    rows = []
    for pk, found in troubled.items():
        on = found.first_short or found.first_below
        wanted = [ref.purpose for d in outlook.demands(pk) if max(d.on, outlook.today) == on for ref in d.ref]
        purposes = tuple(dict.fromkeys(wanted)) if found.first_short else ()
        remedy, act_by = remedies.of(pk, on, bool(found.first_short))
        rows.append(Short(reagents[pk], on, found.short_by, found.lowest, remedy, act_by, purposes))
    return sorted(rows, key=lambda row: (row.on, row.reagent.name))


@dataclass(frozen=True)
class Expiring:
    """A container that is out of date, or will be before all of it is used.

    wasted: what would be left in it on its last day, with what is planned now.
    """

    container: Container
    expired: bool
    wasted: int


def expiring(outlook: Outlook, end: datetime.date) -> list[Expiring]:
    """Containers expired already, or until `end` with something left in them. One query more."""
    rows = (
        Container.objects.present()
        .filter(balance__gt=0, usable_until__lte=end)
        .select_related("reagent", "location")
        .order_by("usable_until", "reagent__name")
    )
    claims: dict[int, Claims] = {}
    found = []
    for container in rows:
        expired = container.is_expired(outlook.today)
        left = container.balance
        if not expired:
            if container.reagent_id not in claims:
                claims[container.reagent_id] = outlook.claims(container.reagent_id)
            left = claims[container.reagent_id].left.get(container.pk, container.balance)
        if left:
            found.append(Expiring(container, expired, left))
    return found
