"""Where a thing may stand: cures for conflicts, the move plan, and the place for what has just come."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stockroom.models import Container, Location, Reagent, WasteContainer
from stockroom.safety import move_plan as plans
from stockroom.safety.storage import (
    SEVERITIES,
    STAYS,
    Conflict,
    Item,
    Place,
    PlaceAdvice,
    conflicts,
    conflicts_of,
    safe_places,
)
from stockroom.standing import all_places, everything_at, item_of, items_of, waste_items


@dataclass(frozen=True)
class Side:
    """One of the two reagents of a conflict, its containers, and a safe place for them or None.

    A waste container is a side too; it stays where it is.
    """

    name: str
    containers: tuple[Container | WasteContainer, ...]
    place: Place | None
    kind: str

    @property
    def stays(self) -> bool:
        return self.kind == STAYS


@dataclass(frozen=True)
class Trouble:
    """A conflict with what would cure it: carrying off either side."""

    conflict: Conflict
    sides: tuple[Side, Side]


@dataclass(frozen=True)
class Shelves:
    """Everything that stands somewhere, and every place."""

    items: Sequence[Item]
    places: Sequence[Place]

    @classmethod
    def read(cls) -> "Shelves":
        return cls([*items_of(Container.objects.all()), *waste_items()], all_places())

    def conflicts(self, at_least: str = SEVERITIES[-1]) -> list[Conflict]:
        """Worst first, down to the severity `at_least`."""
        wanted = SEVERITIES[: SEVERITIES.index(at_least) + 1]
        return [one for one in conflicts(self.items, self.places) if one.severity in wanted]

    def plan(self, at_least: str = SEVERITIES[-1]) -> plans.MovePlan:
        return plans.move_plan(self.items, self.places, at_least)

    def advice(self, item: Item) -> tuple[PlaceAdvice, ...]:
        """How each place would do, the safe ones first."""
        return safe_places(item, [place for place in self.places if place.capacity != 0], self.items)


def containers_of(ids: Iterable[int | str]) -> dict[int | str, Container | WasteContainer]:
    """Containers by number, with their reagents, and waste containers by code. Two queries."""
    ids = list(ids)
    codes = [one for one in ids if isinstance(one, str)]
    rows = Container.objects.select_related("reagent", "location")
    waste = WasteContainer.objects.in_bulk(codes, field_name="code") if codes else {}
    return {**rows.in_bulk([one for one in ids if not isinstance(one, str)]), **waste}


def troubles(shelves: Shelves, found: Sequence[Conflict]) -> list[Trouble]:
    """Conflicts with their cures. One query, however many there are."""
    rows = containers_of({pk for one in found for pk in (*one.ids_a, *one.ids_b)})
    safe: dict[tuple, Place | None] = {}

    def side(item: Item, ids: tuple) -> Side:
        key = (item.reagent_key, item.location_id)
        if key not in safe:
            best = shelves.advice(item)[:1]
            safe[key] = best[0].place if best and best[0].safe else None
        return Side(item.name, tuple(rows[pk] for pk in ids), safe[key], item.storage_kind)

    return [Trouble(one, (side(one.item_a, one.ids_a), side(one.item_b, one.ids_b))) for one in found]


def conflicts_at(reagent: Reagent, location: Location) -> tuple[Conflict, ...]:
    """What a new bottle would stand beside there and must not, worst first."""
    return conflicts_of(
        item_of(reagent), everything_at(location.pk), Place(location.pk, location.path, location.storage_kind)
    )


def places_for(reagent: Reagent) -> tuple[PlaceAdvice, ...]:
    """Every place for a new bottle, the safest first."""
    return Shelves.read().advice(item_of(reagent))
