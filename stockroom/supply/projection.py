"""What will be on the shelf, day by day.

Within a day: deliveries come in, what expired the day before goes, then demands are served in the order of
use of `allocation`. So a projection and the containers picked for the same demands always agree. What a
demand cannot have is reported short and not carried on: its class is over.

Amounts are integers of the reagent's smallest unit.
"""

from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from operator import add

from stockroom.supply.allocation import Demand, Lot, Shelf

__all__ = ["Day", "Demand", "Lot", "Projection", "Receipt", "expand", "lasts", "project", "trouble"]

ONE_DAY = timedelta(days=1)
RECEIPT, EXPIRY, DEMAND = 0, 1, 2  # the order within a day


@dataclass(frozen=True, slots=True)
class Receipt:
    """An amount expected on a day (an open order, a planned batch), and the last day it may be used."""

    on: date
    amount: int
    expires: date | None = None
    ref: Hashable = None

    def __post_init__(self):
        if self.amount < 0:
            raise ValueError(f"An amount expected cannot be below zero ({self.amount} for {self.ref}).")


@dataclass(frozen=True, slots=True)
class Day:
    """One day: balance at its end, and what was received, used, lost to expiry and missing on it."""

    on: date
    balance: int
    received: int = 0
    used: int = 0
    expired: int = 0
    short: int = 0


@dataclass(frozen=True, slots=True)
class Projection:
    """days: the first day and every day on which something happens (see expand for all of them).

    opening: usable and in date at the start. first_short: first day with a demand not met, short_by: what
    is missing on it, total_short: over all days. last_ok: last day before that (the end if never short,
    None if short on the first day). first_below: first day that ends below the minimum, lowest the least
    balance at a day's end and lowest_on its first day.
    """

    start: date
    end: date
    minimum: int
    opening: int
    days: tuple[Day, ...]
    first_short: date | None
    short_by: int
    total_short: int
    last_ok: date | None
    first_below: date | None
    lowest: int
    lowest_on: date


def project(
    lots: Iterable[Lot],
    demands: Iterable[Demand],
    receipts: Iterable[Receipt],
    start: date,
    end: date,
    minimum: int = 0,
) -> Projection:
    """Project one reagent from start to end, both included.

    Demands and receipts dated before the start are still open and count on the start; later than the end
    they are left out. Raises ValueError where the end comes before the start.
    """
    if end < start:
        raise ValueError(f"The last day ({end}) comes before the first ({start}).")
    lots = tuple(lots)
    opening = sum(lot.balance for lot in lots if lot.usable and (lot.expires is None or lot.expires >= start))
    days = tuple(_days(lots, opening, _events(lots, demands, receipts, start, end), start))
    short = next((day for day in days if day.short), None)
    lowest = min(days, key=lambda day: day.balance)
    return Projection(
        start=start,
        end=end,
        minimum=minimum,
        opening=opening,
        days=days,
        first_short=short.on if short else None,
        short_by=short.short if short else 0,
        total_short=sum(day.short for day in days),
        last_ok=_day_before(short.on, start) if short else end,
        first_below=next((day.on for day in days if day.balance < minimum), None),
        lowest=lowest.balance,
        lowest_on=lowest.on,
    )


def lasts(lots: Iterable[Lot], demands: Iterable[Demand], end: date, minimum: int = 0) -> bool:
    """Whether what is in date on the last day alone covers everything wanted and the minimum.

    Then no day can be short or end below the minimum, whichever containers are taken. False says nothing.
    One sum settles most reagents, so that many can be asked about at once.
    """
    wanted = sum(demand.amount for demand in demands)
    return (
        sum(lot.balance for lot in lots if lot.usable and (lot.expires is None or lot.expires >= end))
        >= wanted + minimum
    )


def trouble(
    lots: Sequence[Lot],
    demands: Sequence[Demand],
    receipts: Sequence[Receipt],
    start: date,
    end: date,
    minimum: int = 0,
) -> Projection | None:
    """The projection of a reagent that runs short or below its minimum, None of one that does not."""
    if lasts(lots, demands, end, minimum):
        return None
    projection = project(lots, demands, receipts, start, end, minimum)
    return projection if projection.first_short or projection.first_below else None


def expand(projection: Projection) -> tuple[Day, ...]:
    """Every day from start to end; a day on which nothing happens keeps the balance before it."""
    happened = {day.on: day for day in projection.days}
    quiet = projection.days[0]
    days = []
    for offset in range((projection.end - projection.start).days + 1):
        on = projection.start + timedelta(days=offset)
        day = happened.get(on) or replace(quiet, on=on, received=0, used=0, expired=0, short=0)
        days.append(day)
        quiet = day
    return tuple(days)


def _day_before(on: date, start: date) -> date | None:
    return on - ONE_DAY if on > start else None


def _events(lots, demands, receipts, start, end) -> list[tuple]:
    """(day, kind, place in line, receipt or demand or None), in the order in which they happen.

    No two of a kind share a place, so that sorting never compares receipts or demands.
    """
    # An expiry carries nothing: it only marks the day on which to look what is out of date.
    events = [
        (lot.expires + ONE_DAY, EXPIRY, 0, None)
        for lot in lots
        if lot.usable and lot.expires and start <= lot.expires < end
    ]
    for place, receipt in enumerate(receipts):
        on = max(receipt.on, start)
        if on <= end:
            events.append((on, RECEIPT, place, receipt))
            if receipt.expires and receipt.expires < end:
                events.append((max(receipt.expires + ONE_DAY, on), EXPIRY, 0, None))
    for place, demand in enumerate(sorted(demands, key=lambda d: d.on)):
        on = demand.on if demand.on > start else start
        if on <= end:
            events.append((on, DEMAND, place, demand))
    events.sort()
    return events


def _days(lots, balance: int, events: list[tuple], start: date) -> Iterator[Day]:
    """The first day and every day with an event that changed something."""
    shelf = Shelf(lot for lot in lots if lot.expires is None or lot.expires >= start)
    on, changes = start, (0, 0, 0, 0)
    for when, kind, _, what in events:
        if when != on:
            if on == start or any(changes):
                yield Day(on, balance, *changes)
            on, changes = when, (0, 0, 0, 0)
        received, used, expired, short = change = _change(shelf, kind, what, on)
        changes = tuple(map(add, changes, change))
        balance += received - used - expired
    if on == start or any(changes):
        yield Day(on, balance, *changes)


def _change(shelf: Shelf, kind: int, what, on: date) -> tuple[int, int, int, int]:
    """What one event does to the shelf: (received, used, expired, short)."""
    if kind == DEMAND:
        missing = shelf.take(what.amount, on)[1]
        return 0, what.amount - missing, 0, missing
    if kind == RECEIPT:
        shelf.add(what.amount, what.expires, on)
        return what.amount, 0, 0, 0
    lost = sum(row[1] for row in shelf.rows if row[2] < on)
    shelf.rows = [row for row in shelf.rows if row[2] >= on]
    return 0, 0, lost, 0
