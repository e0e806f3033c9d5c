"""What to buy of one reagent now, so that nothing runs short before another order could be here.

The rules, each of which the list needs to come to an end and to cost little:

- what is wanted before the quickest offer could be here cannot come: it is never bought;
- the reorder point is compared once, on that first day of arrival, with the inventory position: what is
  there, less what is wanted before it, and all that is on its way;
- needs are joined into purchases by `lots.join`: a purchase keeps from the day it comes, costs the cheapest
  packs that are quick enough for its first need, and is proposed when its last day to order comes before the
  next review and it would keep if it were ordered today;
- needs are looked at as far ahead as the slowest offer takes, and a review more, whenever the term ends;
  those that are known beyond it are joined too, but press nobody.

The model of a lot: Wagner and Whitin 1958 (see `lots`). The reorder point as a test of the inventory
position: any text on inventory control (from memory: Silver, Pyke and Peterson, "Inventory Management and
Production Planning and Scheduling").
"""

from collections import deque
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from stockroom.supply import lots as sizing
from stockroom.supply import packs
from stockroom.supply.allocation import Demand, Lot, Shelf
from stockroom.supply.projection import Receipt
from stockroom.supply.workdays import EVERY_DAY, WorkWeek

REVIEW_DAYS = 7
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Offer:
    """A pack on sale. price_minor: in the currency's smallest unit."""

    id: Hashable
    amount: int
    price_minor: int
    lead_days: int


@dataclass(frozen=True, slots=True)
class Stock:
    """All there is to know of one reagent. life_days: how long a sealed pack keeps (None: no limit).
    room: how much more there is room for (None: any amount)."""

    lots: Sequence[Lot]
    demands: Sequence[Demand]
    receipts: Sequence[Receipt]
    offers: Sequence[Offer]
    reorder_point: int = 0
    life_days: int | None = None
    room: int | None = None


@dataclass(frozen=True, slots=True)
class Want:
    """What is missing on a day. refs: of whom; empty where only the reorder point asks for it."""

    on: date
    amount: int
    refs: tuple = ()


@dataclass(frozen=True, slots=True)
class Purchase:
    """Packs that serve these wants, ordered on any day from order_from to order_by."""

    wants: tuple[Want, ...]
    choice: packs.Choice
    order_from: date
    order_by: date
    over_room: bool = False

    @property
    def amount(self) -> int:
        return sum(want.amount for want in self.wants)


@dataclass(frozen=True)
class Replenishment:
    """now: what to order by the next review; later: what to order after it, as far as can be seen.
    cannot_come: what is wanted before anything ordered today could be here."""

    now: tuple[Purchase, ...] = ()
    later: tuple[Purchase, ...] = ()
    cannot_come: tuple[Want, ...] = field(default=())


def horizon(offers: Sequence[Offer], today: date) -> date:
    """The last day whose needs matter for what is ordered up to the next review."""
    return today + timedelta(max((offer.lead_days for offer in offers), default=0) + REVIEW_DAYS)


def replenish(
    stock: Stock, today: date, until: date | None = None, week: WorkWeek = EVERY_DAY
) -> Replenishment:
    """What to buy of one reagent. until: how far ahead needs are joined; at least to the horizon.

    Following it leaves nothing to be ordered now: what is ordered counts from the day it can be here.
    """
    end = max(until or today, horizon(stock.offers, today))
    planned: list[Purchase] = []
    while True:
        cannot, wants = _wants(stock, planned, today, end)
        purchases = _purchases(stock, wants, today, week) if stock.offers else ()
        due = [row for row in purchases if _is_due(row, today)]
        if not due:
            return Replenishment(tuple(planned), tuple(purchases), cannot)
        planned.append(due[0])


def _is_due(row: Purchase, today: date) -> bool:
    return row.order_by <= today or (row.order_by < today + REVIEW_DAYS * DAY and row.order_from <= today)


def as_receipts(stock: Stock, purchase: Purchase, today: date) -> list[Receipt]:
    """A purchase that is ordered today, as it comes."""
    offers = {offer.id: offer for offer in stock.offers}
    receipts = []
    for key, count in purchase.choice.counts.items():
        on = today + offers[key].lead_days * DAY
        expires = None if stock.life_days is None else on + stock.life_days * DAY
        receipts.append(Receipt(on, count * offers[key].amount, expires, "planned"))
    return receipts


def _wants(stock: Stock, planned: list[Purchase], today: date, end: date) -> tuple:
    """(what cannot come, what is missing on each day from the first arrival on)."""
    arrivals = [receipt for row in planned for receipt in as_receipts(stock, row, today)]
    arriving = deque(sorted((*stock.receipts, *arrivals), key=lambda r: r.on))
    first = today + min((offer.lead_days for offer in stock.offers), default=0) * DAY
    shelf = Shelf(lot for lot in stock.lots if lot.expires is None or lot.expires >= today)
    cannot: list[Want] = []
    wants: list[Want] = []
    topped = not stock.offers
    for demand in sorted(stock.demands, key=lambda d: d.on):
        on = max(demand.on, today)
        if on > end:
            break
        if on >= first and not topped:
            wants += _top_up(stock, shelf, arriving, first)
            topped = True
        while arriving and arriving[0].on <= on:
            receipt = arriving.popleft()
            shelf.add(receipt.amount, receipt.expires, receipt.on)
        if short := shelf.take(demand.amount, on)[1]:
            late = not stock.offers or on < first
            (cannot if late else wants).append(Want(on, short, demand.ref if demand.ref else ()))
    if not topped:
        wants += _top_up(stock, shelf, arriving, first)
    return _by_day(cannot), _by_day(wants)


def _top_up(stock: Stock, shelf: Shelf, arriving: deque, first: date) -> list[Want]:
    """What the inventory position lacks of the reorder point on the first day; put on the shelf."""
    there = sum(row[1] for row in shelf.rows if row[2] >= first)
    coming = sum(receipt.amount for receipt in arriving if not receipt.expires or receipt.expires >= first)
    lacks = stock.reorder_point - there - coming
    if lacks <= 0:
        return []
    shelf.add(lacks, None if stock.life_days is None else first + stock.life_days * DAY, first)
    return [Want(first, lacks)]


def _by_day(wants: list[Want]) -> tuple[Want, ...]:
    days: dict[date, Want] = {}
    for want in wants:
        before = days.get(want.on, Want(want.on, 0))
        refs = (*before.refs, *want.refs) if isinstance(want.refs, tuple) else before.refs
        days[want.on] = Want(want.on, before.amount + want.amount, refs)
    return tuple(days.values())


def _purchases(stock: Stock, wants: tuple[Want, ...], today: date, week: WorkWeek) -> tuple[Purchase, ...]:
    """The wants joined into purchases at least cost."""
    known: dict[tuple[int, int], tuple[packs.Choice, bool]] = {}

    def cost(first: int, last: int) -> int | None:
        keeps = stock.life_days is None or wants[last].on <= wants[first].on + stock.life_days * DAY
        if not keeps:
            return None
        need = sum(want.amount for want in wants[first : last + 1])
        timely = [offer for offer in stock.offers if today + offer.lead_days * DAY <= wants[first].on]
        known[first, last] = choose(need, timely, stock.room)
        return known[first, last][0].cost

    _, joined = sizing.join(len(wants), cost)
    leads = {offer.id: offer.lead_days for offer in stock.offers}
    purchases = []
    for first, last in joined:
        choice, over_room = known[first, last]
        lead = max(leads[key] for key in choice.counts) * DAY
        order_by = week.back(wants[first].on - lead, today)
        order_from = today
        if stock.life_days is not None:
            quickest = min(leads[key] for key in choice.counts) * DAY
            order_from = max(today, wants[last].on - stock.life_days * DAY - quickest)
        purchases.append(
            Purchase(wants[first : last + 1], choice, min(order_from, order_by), order_by, over_room)
        )
    return tuple(purchases)


def choose(need: int, offers: Sequence[Offer], room: int | None) -> tuple[packs.Choice, bool]:
    """The cheapest packs, and whether they are more than there is room for. There is at least one offer."""
    asked = [packs.Offer(offer.id, offer.amount, offer.price_minor) for offer in offers]
    choice = packs.choose(need, asked, room)
    if choice.why == packs.Why.ROOM:
        return packs.choose(need, asked), True
    return choice, False
