"""What stands where, as the plain data that `safety.storage` judges. A handful of queries, however many."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from copy import copy
from decimal import Decimal
from typing import NamedTuple

from django.db.models import Exists, OuterRef, Q, QuerySet, prefetch_related_objects

from stockroom.chemistry.concentration import PURE
from stockroom.chemistry.portion import Part, Portion
from stockroom.hazards.models import ReagentHazard
from stockroom.inventory.models import Component, Container, Location, Reagent, WasteContainer, WasteEntry
from stockroom.safety.groups import Reactivity, of_portion, reactivity, with_written
from stockroom.safety.storage import NOT_KNOWN, STAYS, Conflict, Item, Place, conflicts, conflicts_of
from stockroom.safety.streams import streams
from stockroom.waste.composition import stream_name


def _by_reagent(rows) -> dict[int, frozenset[str]]:
    found = defaultdict(set)
    for reagent, word in rows:
        if word:
            found[reagent].add(word)
    return {reagent: frozenset(words) for reagent, words in found.items()}


def items_of(containers: QuerySet) -> list[Item]:
    """One item a container, without what is gone. Four queries."""
    rows = containers.exclude(state=Container.State.GONE).values_list(
        "pk", "reagent_id", "location_id", "balance"
    )
    rows = list(rows.order_by())
    wanted = {reagent for _, reagent, _, _ in rows}
    # A few reagents are asked for by number; a whole stockroom's are all read, for SQLite counts parameters.
    few = len(wanted) <= 500
    items = reagent_items(Reagent.objects.filter(pk__in=wanted) if few else Reagent.objects.all())
    found = []
    for pk, reagent, location, balance in rows:
        one = copy(items[reagent])
        one.__dict__.update(id=pk, location_id=location, amount=balance)
        found.append(one)
    return found


def reagent_items(reagents: QuerySet) -> dict[int, Item]:
    """One item a reagent, by its key; it stands nowhere. Three queries."""
    inner = reagents.order_by().values("pk")
    hazards = _by_reagent(
        ReagentHazard.objects.filter(reagent__in=inner).values_list("reagent_id", "hazard_class")
    )
    parts = defaultdict(list)
    rows = Component.objects.filter(reagent__in=inner).order_by("pk")
    for reagent, *part in rows.values_list("reagent_id", *_PART):
        parts[reagent].append(part)
    made = map(_Made._make, reagents.values_list(*_Made._fields))
    return {row.pk: _item(row, row.pk, hazards.get(row.pk, frozenset()), parts[row.pk]) for row in made}


class _Made(NamedTuple):
    """What of a reagent's own row the rules look at."""

    pk: int
    name: str
    kind: str
    measure: str
    density: Decimal | None
    solvent__name: str | None
    groups: list
    transport_class: str
    storage_kind: str
    hazard_state: str


#: what of a component says what a reagent is made of
_PART = ("chemical__name", "chemical__formula", "chemical__cas_rn", "value", "unit")


def _portion(row: _Made, parts: Iterable[Sequence]) -> Portion:
    """What a reagent holds; `parts` are rows of `_PART`."""
    parts = tuple(Part(name, formula, cas or "", value, unit) for name, formula, cas, value, unit in parts)
    watery = row.kind == Reagent.Kind.SOLUTION and len(parts) == 1 and parts[0].unit != PURE
    solvent = row.solvent__name or ("water" if watery else "")
    return Portion(row.name, row.measure, 0, parts, solvent, row.density)


def _item(row: _Made, key: int | str, hazards: frozenset[str], parts: Iterable[Sequence]) -> Item:
    portion = _portion(row, parts)
    found = reactivity(of_portion(portion, row.kind))
    return Item(
        id=key,
        name=row.name,
        reagent_key=str(row.pk),
        hazard_keys=hazards,
        groups=with_written(found, frozenset(row.groups)),
        transport_class=row.transport_class or None,
        cas=frozenset(part.cas for part in portion.parts if part.cas),
        storage_kind=row.storage_kind,
        classified=row.hazard_state != Reagent.HazardState.UNKNOWN,
        composed=not found.unknown,
    )


def waste_items(**where) -> list[Item]:
    """Waste containers with something in them, as what their stream may hold at worst. Two queries.

    One that stands by itself is what went into it; where that is not known, it is not known.
    """
    rows = WasteContainer.objects.filter(collected_on=None, contents__gt=0, **where)
    known = streams()
    held: dict[int, set[str]] = defaultdict(set)
    hazards: dict[int, set[str]] = defaultdict(set)
    own = [key for key, stream in known.items() if stream.groups]
    alone = WasteEntry.objects.filter(waste_container__in=rows.exclude(stream__in=own), correction=None)
    for pk, data in alone.values_list("waste_container", "composition"):
        held[pk] |= set(data.get("groups", ()))
        held[pk] |= {NOT_KNOWN} if data.get("unknown", True) or not data.get("groups") else set()
        hazards[pk] |= set(data.get("hazard_keys", ()))
    return [
        Item(
            id=row.code,
            name=f"waste container {row.code} ({stream_name(row.stream)})",
            reagent_key=row.code,
            hazard_keys=frozenset(hazards[row.pk]),
            groups=(known[row.stream].groups if row.stream in own else frozenset(held[row.pk])),
            transport_class="none",
            location_id=row.location_id,
            storage_kind=STAYS,
            amount=row.contents,
            classified=True,
        )
        for row in rows
    ]


def place_of(location: Location, capacity: int | None = None) -> Place:
    return Place(location.pk, location.path, location.storage_kind, capacity, _cabinet_id(location))


def _cabinet_id(location: Location) -> int | None:
    """The cabinet that a place is or stands in; None for a room, which is open."""
    if location.level == Location.Level.CABINET:
        return location.pk
    return location.parent_id if location.level == Location.Level.SHELF else None


def places_of(locations: QuerySet) -> list[Place]:
    return [place_of(location) for location in locations]


def around(location: Location) -> tuple[list[Item], list[Place]]:
    """All that stands in a place, or elsewhere in its cabinet, and those places."""
    cabinet = _cabinet_id(location)
    same = Q(pk=location.pk) if cabinet is None else Q(pk=cabinet) | Q(parent=cabinet)
    return _standing_in(Location.objects.filter(same))


def _standing_in(locations: QuerySet) -> tuple[list[Item], list[Place]]:
    containers = items_of(Container.objects.filter(location__in=locations))
    return [*containers, *waste_items(location__in=locations)], places_of(locations)


def item_of(reagent: Reagent, key: int | str = "new") -> Item:
    """A bottle of it that stands nowhere yet. At most four queries, none where MADE_OF was prefetched."""
    prefetch_related_objects([reagent], *MADE_OF)
    hazards = frozenset(row.hazard_class for row in reagent.hazards.all())
    return _item(_made(reagent), key, hazards, _parts(reagent))


def reactivity_of(reagent: Reagent) -> Reactivity:
    """The reactivity groups that its composition brings, with reasons. Queries as `item_of`."""
    prefetch_related_objects([reagent], *MADE_OF)
    return reactivity(of_portion(_portion(_made(reagent), _parts(reagent)), reagent.kind))


def _made(reagent: Reagent) -> _Made:
    solvent = reagent.solvent.name if reagent.solvent else None
    fields = {name: getattr(reagent, name) for name in _Made._fields if name != "solvent__name"}
    return _Made(**fields, solvent__name=solvent)


def _parts(reagent: Reagent) -> list[tuple]:
    return [
        (row.chemical.name, row.chemical.formula, row.chemical.cas_rn, row.value, row.unit)
        for row in reagent.components.all()
    ]


#: what must be prefetched of a reagent for its groups to be told without a query
MADE_OF = ("hazards", "components__chemical", "solvent")


def all_places() -> list[Place]:
    """Every place in use. One with others in it takes nothing in: things go onto its shelves."""
    inner = Location.objects.filter(parent=OuterRef("pk"), retired_on=None)
    rows = Location.objects.filter(retired_on=None).annotate(holds_places=Exists(inner))
    return [place_of(row, 0 if row.holds_places else None) for row in rows]


def conflicts_within(locations: QuerySet) -> tuple[Conflict, ...]:
    """Every pair that stands in one of these places, or in one cabinet, and must not; worst first.

    For a shelf alone this also tells what stands on the other shelves of its cabinet and must not.
    """
    cabinets = Location.objects.filter(
        Q(pk__in=locations) | Q(children__in=locations), level=Location.Level.CABINET
    )
    near = Q(pk__in=locations) | Q(pk__in=cabinets) | Q(parent__in=cabinets)
    items, places = _standing_in(Location.objects.filter(near))
    wanted = set(locations.values_list("pk", flat=True))
    standing = {item.id for item in items if item.location_id in wanted}
    found = conflicts(items, places)
    return tuple(one for one in found if not standing.isdisjoint((*one.ids_a, *one.ids_b)))


def conflicts_where(container: Container) -> tuple[Conflict, ...]:
    """What `container` must not stand with, where it stands now."""
    beside, places = around(container.location)
    mine = [item for item in beside if item.id == container.pk]
    others = [item for item in beside if item.id != container.pk]
    return conflicts_of(mine[0], others, place_of(container.location), places) if mine else ()
