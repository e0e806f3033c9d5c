"""Where a thing may stand: cures for conflicts, the move plan, and the place for what has just come."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from django.db.models import Q
from django.utils import timezone

from stockroom.hazards.reactivity import item_of
from stockroom.inventory.ageing_items import untouchable_ids
from stockroom.inventory.models import Container, Location, Reagent, WasteContainer
from stockroom.safety import move_plan as plans
from stockroom.safety.storage import (
    HANDS_OFF,
    KEPT,
    SEVERITIES,
    STAYS,
    TO_WASTE,
    Conflict,
    Finding,
    Item,
    Place,
    PlaceAdvice,
    conflicts,
    conflicts_of,
    refusal,
    safe_places,
)
from stockroom.storage.storage_items import all_places, around, items_of, place_of, waste_items
from stockroom.wording.days import day_text


@dataclass(frozen=True)
class Side:
    """One of the two reagents of a conflict, its containers, and a safe place for them or None.

    A waste container is a side too; it stays where it is. `waste` are containers that go into the waste, each
    with the reason; `hands_off` says that nobody may touch one of them.
    """

    name: str
    containers: tuple[Container | WasteContainer, ...]
    place: Place | None
    kind: str
    waste: tuple[tuple[Container, str], ...] = ()
    hands_off: bool = False

    @property
    def stays(self) -> bool:
        return self.kind == STAYS


@dataclass(frozen=True)
class Trouble:
    """A conflict with how to fix it: carrying off either side."""

    conflict: Conflict
    sides: tuple[Side, Side]

    @property
    def hands_off(self) -> bool:
        """Whether nobody may touch something of it: then nothing of it is carried."""
        return any(side.hands_off for side in self.sides)

    @property
    def by_waste(self) -> bool:
        """Whether it ends when what goes into the waste anyway has gone."""
        return any(side.waste and not side.containers for side in self.sides)


@dataclass(frozen=True)
class Shelves:
    """Everything that stands somewhere, with what becomes of it, and every place."""

    items: Sequence[Item]
    places: Sequence[Place]

    @classmethod
    def read(cls) -> "Shelves":
        bound = fates(timezone.localdate())
        items = [
            replace(item, fate=bound[item.id][0], fate_why=bound[item.id][1]) if item.id in bound else item
            for item in items_of(Container.objects.all())
        ]
        return cls([*items, *waste_items()], all_places())

    def conflicts(self, at_least: str = SEVERITIES[-1]) -> list[Conflict]:
        """Worst first, down to the severity `at_least`."""
        wanted = SEVERITIES[: SEVERITIES.index(at_least) + 1]
        return [one for one in conflicts(self.items, self.places) if one.severity in wanted]

    def misplaced(self) -> list[tuple[Item, Place, Finding]]:
        """What stands in a place that must not hold it, whatever else stands there."""
        named = {place.id: place for place in self.places}
        standing = [(item, named[item.location_id]) for item in self.items if item.location_id in named]
        judged = [(item, place, refusal(item, place)) for item, place in standing]
        return [(item, place, why) for item, place, why in judged if why]

    def plan(self, at_least: str = SEVERITIES[-1]) -> plans.MovePlan:
        return plans.move_plan(self.items, self.places, at_least)

    def advice(self, item: Item) -> tuple[PlaceAdvice, ...]:
        """How each place would do, the safe ones first."""
        advice = safe_places(item, self.places, self.items)
        return tuple(one for one in advice if one.place.capacity != 0)


def fates(on: datetime.date) -> dict[int, tuple[str, str]]:
    """What becomes of containers that are not simply kept, and why: container -> (fate, words). Five queries.

    Expired or quarantined goes into the waste; what is dangerous with age nobody touches.
    """
    here = Container.objects.present()
    rows = here.filter(Q(usable_until__lt=on) | Q(state=Container.State.QUARANTINED)).order_by()
    found = {}
    for pk, state, reason, until in rows.values_list("pk", "state", "state_reason", "usable_until"):
        if state == Container.State.QUARANTINED:
            found[pk] = (TO_WASTE, f"quarantined: {reason}" if reason else "quarantined")
        else:
            found[pk] = (TO_WASTE, f"expired {day_text(until)}")
    return found | dict.fromkeys(untouchable_ids(on), (HANDS_OFF, "dangerous with age"))


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
    by_id = {item.id: item for item in shelves.items}

    def side(item: Item, ids: tuple) -> Side:
        key = (item.reagent_key, item.location_id)
        if key not in safe:
            best = shelves.advice(item)[:1]
            safe[key] = best[0].place if best and best[0].safe else None
        bound = {pk: by_id[pk].fate for pk in ids}
        return Side(
            item.name,
            tuple(rows[pk] for pk in ids if bound[pk] == KEPT),
            safe[key],
            item.storage_kind,
            tuple((rows[pk], by_id[pk].fate_why) for pk in ids if bound[pk] == TO_WASTE),
            HANDS_OFF in bound.values(),
        )

    return [Trouble(one, (side(one.item_a, one.ids_a), side(one.item_b, one.ids_b))) for one in found]


def conflicts_at(reagent: Reagent, location: Location) -> tuple[Conflict, ...]:
    """What a new bottle would share a shelf or a cabinet with there and must not, worst first."""
    beside, places = around(location)
    return conflicts_of(item_of(reagent), beside, place_of(location), places)


def refusal_at(reagent: Reagent, location: Location) -> Finding | None:
    """Why the place itself must not hold it; None if it may."""
    return refusal(item_of(reagent), place_of(location))


def places_for(reagent: Reagent) -> tuple[PlaceAdvice, ...]:
    """Every place for a new bottle, the safest first."""
    return Shelves.read().advice(item_of(reagent))
