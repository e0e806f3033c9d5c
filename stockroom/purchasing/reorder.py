"""What to buy: the outlook's net requirements, turned into packs at least cost, and into orders.

A reagent that the department makes up itself is not bought, unless the plan says that it must be.
"""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.db.models import F, Sum

from stockroom.common.activity_log import note
from stockroom.inventory.models import Offer, Reagent
from stockroom.purchasing.models import Budget, Order, OrderLine
from stockroom.purchasing.outlook import Outlook
from stockroom.supply.allocation import Demand
from stockroom.supply.projection import Receipt, lasts
from stockroom.supply.replenish import Offer as PackOffer
from stockroom.supply.replenish import Replenishment, Stock, Want, horizon, replenish
from stockroom.wording.sentences import and_more


class OrderError(Exception):
    """What was asked of an order cannot be; the message says what to change."""


@dataclass(frozen=True)
class Buy:
    """So many packs of one offer."""

    offer: Offer
    packs: int

    @property
    def cost(self) -> Decimal:
        return self.packs * self.offer.price


@dataclass(frozen=True)
class Proposal:
    """What to buy of one reagent. `buys` is empty where nobody offers it, or nothing could come in time;
    `note` says what is odd.

    `needed_on` is the first day it is missing, or below its reorder point; `order_by` may have passed
    (`late`).
    """

    reagent: Reagent
    need: int
    needed_on: datetime.date
    order_by: datetime.date | None
    late: bool
    buys: tuple[Buy, ...]
    reason: str
    note: str = ""

    @property
    def cost(self) -> Decimal:
        return sum((buy.cost for buy in self.buys), Decimal(0))

    @property
    def need_text(self) -> str:
        return self.reagent.text_of(self.need)


def _drafted(today: datetime.date) -> dict[int, list[Receipt]]:
    """Packs in orders that are still being drawn up: they come after their lead time, and keep from then."""
    receipts: dict[int, list[Receipt]] = defaultdict(list)
    lines = OrderLine.objects.filter(order__state=Order.State.DRAFT)
    for reagent_id, amount, lead, life in lines.values_list(
        "reagent_id",
        F("packs") * F("pack_amount"),
        "offer__lead_days",
        "reagent__shelf_life_sealed_days",
    ):
        on = today + datetime.timedelta(lead or 0)
        expires = None if life is None else on + datetime.timedelta(life)
        receipts[reagent_id].append(Receipt(on, amount, expires, ref="draft"))
    return receipts


def _stock(outlook: Outlook, reagent: Reagent, drafted: list[Receipt], made_here: bool) -> Stock:
    """One reagent as plain data. Of what is made here only that is wanted which the plan says to buy."""
    asked = {
        "offers": [
            PackOffer(pack.id, pack.amount, round(pack.price * 100), pack.lead_days)
            for pack in outlook.packs.get(reagent.pk, ())
        ],
        "life_days": reagent.shelf_life_sealed_days,
    }
    if reagent.most_to_keep is not None:
        asked["room"] = max(0, reagent.most_to_keep - outlook.balance.get(reagent.pk, 0))
    if made_here:
        plan = outlook.as_planned
        lines = (*plan.purchases, *plan.shortfalls)
        demands = [
            Demand(row.needed_on, row.amount, row.refs) for row in lines if row.reagent_id == reagent.pk
        ]
        return Stock((), demands, drafted, **asked)
    return Stock(
        outlook.lots.get(reagent.pk, ()),
        outlook.demands(reagent.pk),
        [*outlook.expected(reagent.pk), *drafted],
        reorder_point=reagent.reorder_point,
        **asked,
    )


def _reason(wants: Iterable[Want], reagent: Reagent) -> str:
    names = list(dict.fromkeys(ref.purpose for want in wants for ref in want.refs))
    if names:
        return f"Short for {and_more(names, 1)}"
    return f"Below its reorder point of {reagent.text_of(reagent.reorder_point)}"


def _note(found: Replenishment, reagent: Reagent, is_offered: bool) -> str:
    """What is odd about a proposal; the gravest first."""
    notes = []
    if not is_offered:
        notes.append("No supplier listed")
    elif found.cannot_come:
        missing = reagent.text_of(sum(want.amount for want in found.cannot_come))
        notes.append(f"No supplier delivers before it is needed: {missing} cannot come in time")
    if any(row.over_room for row in found.now):
        notes.append(f"More than the {reagent.text_of(reagent.most_to_keep)} there is room for")
    return ". ".join(notes)


def _proposal(
    found: Replenishment, reagent: Reagent, offers: Mapping[int, Offer], today: datetime.date
) -> Proposal | None:
    """One reagent's line: what to order by the next review, and what cannot come. None: neither."""
    bought = [want for row in found.now for want in row.wants]
    wants = bought or found.cannot_come
    if not wants:
        return None
    counts: dict[int, int] = defaultdict(int)
    for row in found.now:
        for key, count in row.choice.counts.items():
            counts[key] += count
    order_by = min((row.order_by for row in found.now), default=None)
    return Proposal(
        reagent,
        sum(want.amount for want in wants),
        min(want.on for want in wants),
        order_by,
        order_by is not None and order_by < today,
        tuple(Buy(offers[key], count) for key, count in counts.items()),
        _reason(sorted(wants, key=lambda want: want.on), reagent),
        _note(found, reagent, any(offer.reagent_id == reagent.pk for offer in offers.values())),
    )


@dataclass(frozen=True)
class ReorderList:
    """What to order by the next review, and what the orders after it up to the end will cost."""

    proposals: tuple[Proposal, ...]
    later_cost: Decimal


def reorder_list(outlook: Outlook, until: datetime.date) -> ReorderList:
    """What to buy so that nothing runs short, or below its reorder point.

    Packs are chosen for what is known up to `until`, and at least as far ahead as anything ordered now may
    take. Following the list leaves it empty. What cannot come in time is named without packs. Soonest last
    day to order first. A fixed number of queries, whatever the number of reagents.
    """
    drafted = _drafted(outlook.today)
    made_here = {recipe.product_id for recipe in outlook.recipes}
    offers = Offer.objects.filter(retired_on=None).select_related("supplier", "reagent").in_bulk()
    hopeless = {row.reagent_id for row in outlook.as_planned.shortfalls}
    proposals, later = [], 0
    for reagent in Reagent.objects.filter(retired_on=None):
        is_made = reagent.pk in made_here
        if is_made and not outlook.packs.get(reagent.pk) and reagent.pk not in hopeless:
            continue
        stock = _stock(outlook, reagent, drafted.get(reagent.pk, []), is_made)
        if _needs_nothing(stock, outlook.today, until):
            continue
        found = replenish(stock, outlook.today, until, outlook.week)
        later += sum(row.choice.cost for row in found.later)
        if row := _proposal(found, reagent, offers, outlook.today):
            proposals.append(row)
    proposals.sort(key=lambda row: (row.order_by or row.needed_on, row.reagent.name))
    return ReorderList(tuple(proposals), Decimal(later) / 100)


def propose(outlook: Outlook, until: datetime.date) -> list[Proposal]:
    """What to buy by the next review: see `reorder_list`."""
    return list(reorder_list(outlook, until).proposals)


def _needs_nothing(stock: Stock, today: datetime.date, until: datetime.date) -> bool:
    """One sum that settles most reagents. False says nothing."""
    end = max(until, horizon(stock.offers, today))
    demands = [demand for demand in stock.demands if demand.on <= end]
    return lasts(stock.lots, demands, end, stock.reorder_point)


def by_supplier(proposals: Iterable[Proposal]) -> dict[object, list[tuple[Proposal, Buy]]]:
    """Supplier -> (proposal, buy) pairs, suppliers by name."""
    groups: dict[object, list[tuple[Proposal, Buy]]] = defaultdict(list)
    for proposal in proposals:
        for buy in proposal.buys:
            groups[buy.offer.supplier].append((proposal, buy))
    return dict(sorted(groups.items(), key=lambda item: item[0].name))


@transaction.atomic
def draw_up(
    wanted: Mapping[Offer, tuple[int, datetime.date | None, str]], *, who, today: datetime.date
) -> list[Order]:
    """Turn (packs, needed on, reason) per offer into orders being drawn up, one a supplier."""
    orders: dict[int, Order] = {}
    for offer, (count, needed_on, reason) in wanted.items():
        if count < 1:
            continue
        order = orders.get(offer.supplier_id)
        if order is None:
            order = Order.objects.create(supplier=offer.supplier, created_on=today, created_by=who)
            orders[offer.supplier_id] = order
        OrderLine.objects.create(
            order=order,
            reagent=offer.reagent,
            offer=offer,
            packs=count,
            pack_amount=offer.pack_amount,
            unit_price=offer.price,
            needed_on=needed_on,
            reason=reason[:200],
        )
    if not orders:
        raise OrderError("Enter at least one pack to order.")
    return list(orders.values())


#: state -> the states it may go to next
NEXT = {
    Order.State.DRAFT: (Order.State.APPROVED, Order.State.CANCELLED),
    Order.State.APPROVED: (Order.State.ORDERED, Order.State.CANCELLED),
    Order.State.ORDERED: (Order.State.RECEIVED, Order.State.CANCELLED),
}


def _step(order: Order, state: str, **fields) -> None:
    """One conditional update, so that an order cannot be approved and cancelled at once."""
    froms = [before for before, after in NEXT.items() if state in after]
    if not Order.objects.filter(pk=order.pk, state__in=froms).update(state=state, **fields):
        order.refresh_from_db()
        raise OrderError(f"This order is {order.get_state_display().lower()}: that step is not open to it.")
    order.refresh_from_db()


def approve(order: Order, *, who, today: datetime.date) -> None:
    """The head agrees to spend it. Raises OrderError for an order without lines."""
    if not order.lines.exists():
        raise OrderError("There is nothing on this order: add a line, or cancel it.")
    _step(order, Order.State.APPROVED, approved_by=who, approved_on=today)


def mark_ordered(order: Order, *, on: datetime.date, expected_on: datetime.date) -> None:
    if expected_on < on:
        raise OrderError("It cannot come before it is ordered: enter a later day.")
    _step(order, Order.State.ORDERED, ordered_on=on, expected_on=expected_on)


def cancel(order: Order) -> None:
    _step(order, Order.State.CANCELLED)


@transaction.atomic
def note_received(line: OrderLine, count: int) -> None:
    """Count packs that came in; the order is received when the last has. Call inside the receipt."""
    changed = OrderLine.objects.filter(
        pk=line.pk, order__state=Order.State.ORDERED, packs__gte=F("received_packs") + count
    ).update(received_packs=F("received_packs") + count)
    if not changed:
        line.refresh_from_db()
        raise OrderError(f"Only {line.open_packs} of these packs are still to come: enter that or fewer.")
    if not OrderLine.objects.filter(order_id=line.order_id, received_packs__lt=F("packs")).exists():
        _step(line.order, Order.State.RECEIVED)


@transaction.atomic
def note_taken_back(order: Order, reagent: Reagent, pack_amount: int, *, who) -> None:
    """One pack that was written down as received did not come after all: it is expected again.

    An order that was received whole is open again; a cancelled one stays cancelled. Call inside the reversal.
    """
    came = order.lines.filter(reagent=reagent, pack_amount=pack_amount, received_packs__gt=0)
    line = came.select_for_update().order_by("-pk").first()
    if line is None:
        return
    OrderLine.objects.filter(pk=line.pk).update(received_packs=F("received_packs") - 1)
    reopened = Order.objects.filter(pk=order.pk, state=Order.State.RECEIVED).update(state=Order.State.ORDERED)
    note(who, order, "open again: a receipt was reversed" if reopened else "a receipt was reversed")


@dataclass(frozen=True)
class Spending:
    """A budget and what is already promised against it."""

    budget: Budget
    spent: Decimal

    @property
    def left(self) -> Decimal:
        return self.budget.amount - self.spent


def spending(today: datetime.date) -> Spending | None:
    """The budget of the day and what approved orders take of it, or None where none is set."""
    budget = Budget.objects.filter(start__lte=today, end__gte=today).order_by("-start").first()
    return None if budget is None else Spending(budget, spent_in(budget))


def spent_in(budget: Budget) -> Decimal:
    lines = OrderLine.objects.filter(
        order__approved_on__range=(budget.start, budget.end),
        order__state__in=(Order.State.APPROVED, Order.State.ORDERED, Order.State.RECEIVED),
    )
    return lines.aggregate(total=Sum(F("packs") * F("unit_price")))["total"] or Decimal(0)
