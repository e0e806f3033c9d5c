"""Reads the shelves once, as plain data, and asks `supply/` what will run out, when, and what to do.

`read()` takes the same few queries however many reagents, containers, reservations and orders there are.
Everything else works on what it read, so that one page reads once and asks often.
"""

import datetime
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property

from django.db.models import F

from stockroom.chemistry.measuring import flask_volumes
from stockroom.chemistry.quantity import VOLUME
from stockroom.models import (
    Container,
    Offer,
    Order,
    OrderLine,
    Preparation,
    Reagent,
    Reservation,
)
from stockroom.supply import packs, projection, requirements
from stockroom.supply.allocation import Claims, Lot, allocate_many
from stockroom.supply.projection import Demand, Projection, Receipt
from stockroom.supply.requirements import Need, Plan, Recipe


@dataclass(frozen=True)
class Ref:
    """Whom a need belongs to: the content type and id of a booking, and what to call it."""

    type_id: int
    id: int
    purpose: str = field(compare=False, default="")


@dataclass(frozen=True)
class Reserved:
    """One reservation, as plain data. `returns`: it comes back whole."""

    reagent_id: int
    amount: int
    on: datetime.date
    returns: bool
    ref: Ref


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
    """Everything the planning needs, read at one moment, by reagent id."""

    today: datetime.date
    lots: dict[int, list[Lot]]
    receipts: dict[int, list[Receipt]]
    reserved: tuple[Reserved, ...]
    recipes: tuple[Recipe, ...]
    packs: dict[int, list[Pack]]

    @cached_property
    def lead_days(self) -> dict[int, int]:
        """Days until the quickest offer of each reagent is here."""
        return {key: min(pack.lead_days for pack in packs) for key, packs in self.packs.items()}

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
        """Every reservation as a need, and what comes back from them as receipts by reagent.

        What comes back is expected on the next day, at most as much as is on the shelf at all.
        """
        rows = sorted((*(row for row in self.reserved if row.ref != without), *extra), key=lambda row: row.on)
        back: dict[int, list[Receipt]] = defaultdict(list)
        for row in rows:
            if row.returns:
                there = min(row.amount, self.balance.get(row.reagent_id, 0))
                on = row.on + datetime.timedelta(1)
                back[row.reagent_id].append(Receipt(on, there, ref=row.ref))
        return [Need(row.reagent_id, row.on, row.amount, row.ref) for row in rows], back

    def plan(self, without: Ref | None = None, extra: Iterable[Reserved] = ()) -> Plan:
        """Plan every reservation, `extra` ones included and those of `without` left out."""
        needs, back = self.needs(without, extra)
        receipts = {key: [*self.receipts.get(key, ()), *back.get(key, ())] for key in {*self.receipts, *back}}
        return requirements.explode(needs, self.recipes, self.lots, receipts, self.lead_days, self.today)

    @cached_property
    def _recipe_of(self) -> dict[int, Recipe]:
        return {recipe.product_id: recipe for recipe in self.recipes}

    @cached_property
    def _by_reagent(self) -> dict[int, list[Reserved]]:
        rows: dict[int, list[Reserved]] = defaultdict(list)
        for row in self.reserved:
            rows[row.reagent_id].append(row)
        return rows

    def _made_from(self, reagent_ids: Iterable[int]) -> tuple[set[int], int]:
        """These reagents and all they are made from; and the days their make-ups must stand, all added up."""
        found = set(reagent_ids)
        queue, days = list(found), 0
        while queue:
            if recipe := self._recipe_of.get(queue.pop()):
                days += recipe.lead_days
                new = {part for part, _ in recipe.parts} - found
                found |= new
                queue.extend(new)
        return found, days

    def plan_beside(self, base: Plan, extra: Iterable[Reserved], without: Ref | None = None) -> Plan:
        """Plan `extra` beside `base`, which is `plan(without)`: only what it bears on is planned anew.

        That is its own reagents and whatever they are made from, level by level. Says of `extra` what
        `plan(without, extra)` says, at a small part of the work.
        """
        extra = list(extra)
        touched, ahead = self._made_from(row.reagent_id for row in extra)
        # What is wanted later takes nothing before this day, not even as parts of what must stand a while.
        last = max((row.on for row in extra), default=self.today) + datetime.timedelta(ahead)
        reserved = (row for key in touched for row in self._by_reagent.get(key, ()) if row.on <= last)
        needs, back = replace(self, reserved=tuple(reserved)).needs(without, extra)
        # What else is made from them stays as it is planned.
        needs += [
            Need(part_id, row.latest, amount, row.refs[0])
            for row in base.make_ups
            if row.reagent_id not in touched and row.latest <= last
            for part_id, amount in row.parts
            if part_id in touched
        ]
        receipts = {key: [*self.receipts.get(key, ()), *back.get(key, ())] for key in touched}
        return requirements.explode(needs, self.recipes, self.lots, receipts, self.lead_days, self.today)

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
    rows = (
        OrderLine.objects.filter(order__state__in=Order.OPEN, packs__gt=F("received_packs"))
        .select_related("order", "offer", "reagent")
        .order_by("id")
    )
    for line in rows:
        lead = datetime.timedelta(line.offer.lead_days if line.offer else 0)
        on = max(line.order.expected_on or today + lead, today)
        life = line.reagent.shelf_life_sealed_days
        expires = None if life is None else on + datetime.timedelta(life)
        receipts[line.reagent_id].append(
            Receipt(on, line.open_packs * line.pack_amount, expires, ref=f"order {line.order_id}")
        )
    return receipts


def _recipes() -> tuple[Recipe, ...]:
    recipes: dict[int, Recipe] = {}
    rows = (
        Preparation.objects.filter(retired_on=None, reagent__retired_on=None)
        .select_related("reagent")
        .prefetch_related("parts")
        .order_by("id")
    )
    for row in rows:
        parts = tuple((part.reagent_id, part.amount) for part in row.parts.all())
        if not parts or row.reagent_id in recipes:
            continue
        life = row.reagent.shelf_life_sealed_days
        recipes[row.reagent_id] = Recipe(
            row.reagent_id,
            row.yield_amount,
            parts,
            None if life is None else max(life, row.lead_days),
            flask_volumes() if row.reagent.measure == VOLUME else (),
            row.lead_days,
        )
    return tuple(recipes.values())


def read(today: datetime.date) -> Outlook:
    """Read the shelves, reservations, open orders, preparations and offers. Five or six queries."""
    containers = (
        Container.objects.exclude(state=Container.State.GONE)
        .filter(balance__gt=0)
        .order_by("id")
        .values_list("id", "reagent_id", "balance", "usable_until", "opened_on", "received_on", "state")
    )
    # A past one that nobody has recorded still claims its share: the shelf has not been told yet.
    reservations = Reservation.objects.values_list(
        "reagent_id", "amount", "needed_on", "returns", "belongs_type_id", "belongs_id", "purpose"
    )
    offers: dict[int, list[Pack]] = defaultdict(list)
    rows = Offer.objects.filter(retired_on=None, supplier__retired_on=None).order_by("id")
    for pk, reagent_id, supplier_id, amount, price, lead in rows.values_list(
        "id", "reagent_id", "supplier_id", "pack_amount", "price", "lead_days"
    ):
        offers[reagent_id].append(Pack(pk, reagent_id, supplier_id, amount, price, lead))
    return Outlook(
        today=today,
        lots=_lots(containers),
        receipts=_receipts(today),
        reserved=tuple(
            Reserved(reagent_id, amount, on, returns, Ref(type_id, pk, purpose))
            for reagent_id, amount, on, returns, type_id, pk, purpose in reservations
        ),
        recipes=_recipes(),
        packs=offers,
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


def _remedy(outlook: Outlook, reagent_id: int, on: datetime.date) -> tuple[str, datetime.date | None]:
    plan = outlook.as_planned
    if any(row.reagent_id == reagent_id for row in plan.shortfalls):
        return "", None
    for word, rows in (("make up", plan.make_ups), ("order", plan.purchases)):
        days = [
            row.latest if word == "make up" else row.order_by for row in rows if row.reagent_id == reagent_id
        ]
        if days:
            return word, min(days)
    if any(recipe.product_id == reagent_id for recipe in outlook.recipes):
        return "make up", on
    lead = outlook.lead_days.get(reagent_id)
    return ("", None) if lead is None else ("order", on - datetime.timedelta(lead))


def shortages(outlook: Outlook, end: datetime.date) -> list[Short]:
    """Reagents that the shelf and open orders do not carry to `end`, soonest first. One query."""
    rows = []
    for reagent in Reagent.objects.filter(retired_on=None):
        demands = outlook.demands(reagent.pk)
        found = projection.trouble(
            outlook.lots.get(reagent.pk, ()),
            demands,
            outlook.expected(reagent.pk),
            outlook.today,
            end,
            reagent.reorder_point,
        )
        if found is None:
            continue
        on = found.first_short or found.first_below
        wanted = [ref.purpose for d in demands if max(d.on, outlook.today) == on for ref in d.ref]
        purposes = tuple(dict.fromkeys(wanted)) if found.first_short else ()
        remedy, act_by = _remedy(outlook, reagent.pk, on)
        if act_by and not found.first_short:
            act_by = max(act_by, outlook.today)
        rows.append(Short(reagent, on, found.short_by, found.lowest, remedy, act_by, purposes))
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
        Container.objects.exclude(state=Container.State.GONE)
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
