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
from stockroom.supply import packs
from stockroom.supply.projection import Receipt, trouble
from stockroom.supply.requirements import PlannedOrder, net_requirements


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
    """What to buy of one reagent. `buys` is empty where nobody offers it; `note` says what is odd.

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
    """Packs in orders that are still being drawn up: not to be proposed twice."""
    receipts: dict[int, list[Receipt]] = defaultdict(list)
    lines = OrderLine.objects.filter(order__state=Order.State.DRAFT)
    for reagent_id, amount in lines.values_list("reagent_id", F("packs") * F("pack_amount")):
        receipts[reagent_id].append(Receipt(today, amount, ref="draft"))
    return receipts


def _planned(
    outlook: Outlook, reagent: Reagent, receipts: Iterable[Receipt], until: datetime.date, made_here: bool
) -> tuple[PlannedOrder, ...]:
    if made_here:
        lines = [row for row in outlook.as_planned.purchases if row.reagent_id == reagent.pk]
        return tuple(
            PlannedOrder(row.needed_on, row.order_by, row.amount, row.amount)
            for row in lines
            if row.needed_on <= until
        )
    return net_requirements(
        outlook.lots.get(reagent.pk, ()),
        outlook.demands(reagent.pk),
        receipts,
        outlook.today,
        until,
        minimum=reagent.reorder_point,
        lead_days=outlook.lead_days.get(reagent.pk, 0),
        shelf_life_days=reagent.shelf_life_sealed_days,
    )


def _one_purchase(planned: tuple[PlannedOrder, ...], reagent: Reagent) -> int:
    """What one purchase should cover: everything up to the day on which it would be out of date."""
    first = planned[0].needed_on
    life = reagent.shelf_life_sealed_days
    last = None if life is None else first + datetime.timedelta(life)
    return sum(row.amount for row in planned if last is None or row.needed_on <= last)


def _reason(outlook: Outlook, reagent: Reagent, needed_on: datetime.date) -> str:
    wanted = [ref.purpose for d in outlook.demands(reagent.pk) if d.on == needed_on for ref in d.ref]
    names = list(dict.fromkeys(wanted))
    if names:
        more = f" and {len(names) - 1} more" if len(names) > 1 else ""
        return f"Short for {names[0]}{more}"
    return f"Below its reorder point of {reagent.text_of(reagent.reorder_point)}"


def _short_on(
    outlook: Outlook, reagent: Reagent, receipts: Iterable[Receipt], until: datetime.date
) -> datetime.date | None:
    """The first day on which a class would really go without; None where only the reserve is touched."""
    lots, demands = outlook.lots.get(reagent.pk, ()), outlook.demands(reagent.pk)
    found = trouble(lots, demands, receipts, outlook.today, until)
    return found.first_short if found else None


def _choose(
    outlook: Outlook, reagent: Reagent, need: int, short_on: datetime.date | None
) -> tuple[packs.Choice, str]:
    """Packs at least cost among the offers that come in time, else among all; and what is odd about it."""
    offers = outlook.packs.get(reagent.pk, ())
    timely = [
        pack for pack in offers if short_on is None or pack.lead_days <= (short_on - outlook.today).days
    ]
    room = None
    if reagent.most_to_keep is not None:
        room = max(0, reagent.most_to_keep - outlook.balance.get(reagent.pk, 0))
    note = ""
    if offers and not timely:
        note = "No supplier delivers before it is needed"
    asked = [packs.Offer(pack.id, pack.amount, round(pack.price * 100)) for pack in timely or offers]
    choice = packs.choose(need, asked, room)
    if choice.why == packs.Why.ROOM:
        choice = packs.choose(need, asked)
        note = f"More than the {reagent.text_of(reagent.most_to_keep)} there is room for"
    return choice, note


def propose(outlook: Outlook, until: datetime.date) -> list[Proposal]:
    """What to buy now so that nothing runs short, or below its reorder point, up to `until`.

    Soonest last day to order first. A fixed number of queries, whatever the number of reagents.
    """
    drafted = _drafted(outlook.today)
    made_here = {recipe.product_id for recipe in outlook.recipes}
    reagents = Reagent.objects.filter(retired_on=None).in_bulk()
    offers = Offer.objects.filter(retired_on=None).select_related("supplier", "reagent").in_bulk()
    missing = {row.reagent_id for row in outlook.as_planned.shortfalls}
    proposals = []
    for reagent in reagents.values():
        receipts = [*outlook.expected(reagent.pk), *drafted.get(reagent.pk, ())]
        planned = _planned(outlook, reagent, receipts, until, reagent.pk in made_here)
        if not planned:
            continue
        if reagent.pk in made_here and not outlook.packs.get(reagent.pk) and reagent.pk not in missing:
            continue
        short_on = _short_on(outlook, reagent, receipts, until)
        needed_on = short_on or planned[0].needed_on
        need = _one_purchase(planned, reagent)
        choice, note = _choose(outlook, reagent, need, short_on)
        buys = tuple(Buy(offers[key], count) for key, count in choice.counts.items())
        order_by = None
        if buys:
            lead = max(buy.offer.lead_days for buy in buys)
            # Below the reorder point no class goes without yet: in time means now.
            order_by = (
                outlook.act_by(needed_on, lead) if short_on else outlook.act_by(max(needed_on, outlook.today))
            )
        proposals.append(
            Proposal(
                reagent,
                need,
                needed_on,
                order_by,
                order_by is not None and order_by < outlook.today,
                buys,
                _reason(outlook, reagent, needed_on),
                note if buys else "Nobody on the list offers it",
            )
        )
    return sorted(proposals, key=lambda row: (row.order_by or row.needed_on, row.reagent.name))


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
