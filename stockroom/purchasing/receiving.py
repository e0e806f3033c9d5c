"""Packs of an order that come in: each a container of its own, and the order knows of it."""

import datetime

from django.db import transaction

from stockroom.inventory import ledger
from stockroom.inventory.models import Container, Location, Movement
from stockroom.purchasing import reorder
from stockroom.purchasing.models import Order, OrderLine


def take_back(sender, line: Movement, who, **_) -> None:
    """Receiver of `receipt_reversed`: a receipt that belonged to an order is expected there again."""
    if isinstance(line.belongs_to, Order):
        reorder.note_taken_back(line.belongs_to, line.container.reagent, line.change, who=who)


@transaction.atomic
def receive_packs(
    line: OrderLine,
    packs: int,
    *,
    location: Location,
    who,
    on: datetime.date,
    lot: str = "",
    expires_on: datetime.date | None = None,
) -> list[Container]:
    """Put so many packs of an order's line on a shelf, or none: raises OrderError or LedgerError."""
    reorder.note_received(line, packs)
    return [
        ledger.receive(
            line.reagent,
            location,
            line.pack_amount,
            who=who,
            why=f"delivery of order {line.order_id}",
            on=on,
            lot=lot,
            supplier=line.order.supplier,
            expires_on=expires_on,
            belongs_to=line.order,
        )
        for _ in range(packs)
    ]
