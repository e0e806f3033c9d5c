"""What a making-up needs, and from which containers to take it: first expired first, opened before sealed."""

import datetime
from dataclasses import dataclass, field

from stockroom.models import Container, Preparation, Reagent
from stockroom.stock import still_good
from stockroom.supply.allocation import Lot, allocate


@dataclass
class Need:
    """One part: how much of it, the containers it could come from, and how much to take from which."""

    reagent: Reagent
    amount: int
    containers: list[Container] = field(default_factory=list)
    picks: dict[int, int] = field(default_factory=dict)
    short: int = 0


def lot_of(container: Container) -> Lot:
    return Lot(
        id=container.pk,
        balance=container.balance,
        expires=container.usable_until,
        opened=container.opened_on is not None,
        received=container.received_on,
        usable=container.state == Container.State.IN_USE,
    )


def scaled(part_amount: int, amount: int, yield_amount: int) -> int:
    """The part for `amount` of the product, rounded up to the smallest unit."""
    return -(-part_amount * amount // yield_amount)


def needs_of(preparation: Preparation, amount: int, on: datetime.date) -> list[Need]:
    """Each part of `preparation` for `amount` of its product. Two queries, however many parts."""
    parts = list(preparation.parts.select_related("reagent"))
    by_reagent: dict[int, list[Container]] = {part.reagent_id: [] for part in parts}
    usable = Container.objects.filter(
        still_good(on), reagent__in=by_reagent, state=Container.State.IN_USE, balance__gt=0
    )
    for container in usable.select_related("reagent", "location"):
        by_reagent[container.reagent_id].append(container)
    needs = []
    for part in parts:
        containers = by_reagent[part.reagent_id]
        needed = scaled(part.amount, amount, preparation.yield_amount)
        allocation = allocate([lot_of(container) for container in containers], needed, on)
        picks = {pick.lot_id: pick.amount for pick in allocation.picks}
        order = {pk: place for place, pk in enumerate(picks)}
        containers.sort(
            key=lambda c: (order.get(c.pk, len(order)), c.usable_until or datetime.date.max, c.pk)
        )
        needs.append(Need(part.reagent, needed, containers, picks, allocation.short))
    return needs
