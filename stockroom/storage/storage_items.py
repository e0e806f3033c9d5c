"""What stands where, as the plain data that `safety.storage` judges. A handful of queries, however many."""

from collections import defaultdict
from copy import copy

from django.db.models import Exists, OuterRef, Q, QuerySet

from stockroom.hazards.reactivity import reagent_items
from stockroom.inventory.models import Container, Location, Reagent, WasteContainer, WasteEntry
from stockroom.safety.storage import NOT_KNOWN, STAYS, Conflict, Item, Place, conflicts, conflicts_of
from stockroom.safety.streams import streams
from stockroom.waste.composition import stream_name


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
