"""What a making-up needs, and from which containers to take it: first expired first, opened before sealed."""

import datetime
from dataclasses import dataclass, field

from stockroom.chemistry import preparation as recipe
from stockroom.chemistry.concentration import Strength
from stockroom.chemistry.solution import SolutionError
from stockroom.inventory.models import Container, Preparation, Reagent
from stockroom.inventory.stock import still_good
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


def as_recipe(preparation: Preparation) -> recipe.Preparation:
    """A preparation as plain data for the chemistry. Prefetch parts__reagent__components__chemical."""
    product = preparation.reagent
    return recipe.Preparation(
        name=product.name,
        measure=product.measure,
        yields=preparation.yield_amount,
        parts=tuple(_part(part.reagent, part.amount) for part in preparation.parts.all()),
        method=tuple(line.strip() for line in preparation.method.splitlines() if line.strip()),
        keeps_days=product.shelf_life_sealed_days,
    )


def _part(reagent: Reagent, amount: int) -> recipe.Part:
    """With formula and strength where it is made of one chemical; a mixture has neither."""
    components = list(reagent.components.all())
    if len(components) != 1:
        return recipe.Part(reagent.name, reagent.measure, amount)
    (only,) = components
    strength = Strength(only.value, only.unit)
    return recipe.Part(
        reagent.name, reagent.measure, amount, only.chemical.formula, strength, reagent.density
    )


def batch_of(preparation: Preparation, amount: int) -> tuple[recipe.Batch | None, str]:
    """(how to make at least `amount`, why not). Prefetch parts__reagent__components__chemical."""
    try:
        return recipe.scale(as_recipe(preparation), amount), ""
    except SolutionError as error:
        return None, str(error)
