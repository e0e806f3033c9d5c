"""Which container to take from.

The order of use, everywhere in the app: only containers that may be used and are in date on the day;
opened before sealed; then the earliest expiry; then the oldest received; then the lowest id. No expiry
date counts as the latest, no received date as the newest. A container may be used up to and including
the day it expires.

A draw comes whole from one container where one holds enough: the first such in that order. Only where
none does is it split, emptying containers in that order.

Amounts are integers of the reagent's smallest unit (microgram, microlitre, piece).
"""

from bisect import insort
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Skip(StrEnum):
    """Why a container was passed over."""

    UNUSABLE = "unusable"  # quarantined, retired or set aside: whatever made the caller say usable=False
    EXPIRED = "expired"
    EMPTY = "empty"


@dataclass(frozen=True, slots=True)
class Lot:
    """One container. Ids of one reagent's lots are of one type, so that they sort."""

    id: Hashable
    balance: int
    expires: date | None = None
    opened: bool = False
    received: date | None = None
    usable: bool = True

    def __post_init__(self):
        if self.balance < 0:
            raise ValueError(
                f"Container {self.id} has a balance below zero ({self.balance}); count it again."
            )


@dataclass(frozen=True, slots=True)
class Demand:
    """An amount wanted on a day; ref says by whom (a booking, a batch)."""

    on: date
    amount: int
    ref: Hashable = None

    def __post_init__(self):
        if self.amount < 0:
            raise ValueError(f"An amount wanted cannot be below zero ({self.amount} for {self.ref}).")


@dataclass(frozen=True, slots=True)
class Pick:
    lot_id: Hashable
    amount: int


@dataclass(frozen=True, slots=True)
class Skipped:
    lot_id: Hashable
    amount: int
    reason: Skip


@dataclass(frozen=True, slots=True)
class Allocation:
    """What to take, what is missing, and which containers were passed over and why."""

    picks: tuple[Pick, ...]
    short: int
    skipped: tuple[Skipped, ...] = ()


@dataclass(frozen=True, slots=True)
class Claim:
    """An earlier demand's hold on a container."""

    on: date
    amount: int
    ref: Hashable


@dataclass(frozen=True, slots=True)
class Claims:
    """Allocations of many demands from the same containers.

    allocations: one (demand, allocation) each, in the order served; claims: container id to its claims;
    left: container id to what nobody claims (expired and unusable containers keep their balance here).
    """

    allocations: tuple[tuple[Demand, Allocation], ...]
    claims: dict[Hashable, tuple[Claim, ...]]
    left: dict[Hashable, int]


class Shelf:
    """The usable containers of one reagent while a plan empties them, in the order of use.

    A row is [key, balance, last day of use, id]. Callers may read rows; take() and add() write them.
    """

    __slots__ = ("rows", "_serial")

    def __init__(self, lots: Iterable[Lot]):
        usable = [
            (not lot.opened, lot.expires or date.max, lot.received or date.max, lot.id, lot.balance)
            for lot in lots
            if lot.usable and lot.balance
        ]
        usable.sort()
        self.rows = [
            [(sealed, expires, received, serial), balance, expires, lot_id]
            for serial, (sealed, expires, received, lot_id, balance) in enumerate(usable)
        ]
        self._serial = len(usable)

    def add(self, amount: int, expires: date | None, received: date, lot_id: Hashable = None) -> list:
        """Put a sealed container on the shelf; returns its row."""
        row = [(True, expires or date.max, received, self._serial), amount, expires or date.max, lot_id]
        self._serial += 1
        insort(self.rows, row)
        return row

    def take(self, amount: int, on: date) -> tuple[list[tuple[list, int]], int]:
        """Take an amount on a day: ([(row, amount taken)], what is missing)."""
        if not amount:
            return [], 0
        rows = self.rows
        for row in rows:
            if row[1] >= amount and row[2] >= on:
                row[1] -= amount
                return [(row, amount)], 0
        taken = []
        for row in rows:
            if row[1] and row[2] >= on:
                part = min(row[1], amount)
                row[1] -= part
                amount -= part
                taken.append((row, part))
                if not amount:
                    break
        return taken, amount

    def copy(self) -> "Shelf":
        twin = Shelf(())
        twin.rows = [row.copy() for row in self.rows]
        twin._serial = self._serial
        return twin


def allocate(lots: Iterable[Lot], amount: int, on: date) -> Allocation:
    """Choose the containers for one draw on a day. Raises ValueError for an amount below zero."""
    return allocate_many(lots, (Demand(on, amount),)).allocations[0][1]


def allocate_many(lots: Iterable[Lot], demands: Iterable[Demand]) -> Claims:
    """Serve demands by date from the same containers; on one day, in the order given.

    What one demand cannot have is not owed to it later: its class is over.
    """
    lots = tuple(lots)
    shelf = Shelf(lots)
    claims: dict[Hashable, list[Claim]] = {}
    allocations = []
    for demand in sorted(demands, key=lambda d: d.on):
        skipped = _skipped(lots, shelf, demand.on)
        taken, short = shelf.take(demand.amount, demand.on)
        for row, part in taken:
            claims.setdefault(row[3], []).append(Claim(demand.on, part, demand.ref))
        picks = tuple(Pick(row[3], part) for row, part in taken)
        allocations.append((demand, Allocation(picks, short, skipped)))
    left = {lot.id: lot.balance for lot in lots}
    left.update((row[3], row[1]) for row in shelf.rows)
    return Claims(tuple(allocations), {lot_id: tuple(held) for lot_id, held in claims.items()}, left)


def _skipped(lots: tuple[Lot, ...], shelf: Shelf, on: date) -> tuple[Skipped, ...]:
    """The containers that cannot serve on this day, in the order given."""
    left = {row[3]: row[1] for row in shelf.rows}
    skipped = []
    for lot in lots:
        balance = left.get(lot.id, lot.balance)
        if not balance:
            skipped.append(Skipped(lot.id, 0, Skip.EMPTY))
        elif not lot.usable:
            skipped.append(Skipped(lot.id, balance, Skip.UNUSABLE))
        elif lot.expires and lot.expires < on:
            skipped.append(Skipped(lot.id, balance, Skip.EXPIRED))
    return tuple(skipped)
