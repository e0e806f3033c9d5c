"""How much of what may stand where: flammable liquids by 29 CFR 1910.106, and the department's own limits.

Volumes are integers in microlitres. A flammable liquid whose category is not known counts as category 1.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import inf

from stockroom.safety.published import rows
from stockroom.safety.storage import UNKNOWN_RULE, Item, signature

GALLON_UL = Fraction("3785411.784")  # US liquid gallon, exact: 231 cubic inches
MATERIALS = ("glass", "metal", "safety can", "drum")
CABINET_KIND = "flammables"


@dataclass(frozen=True)
class FlammableLimit:
    """The limits of one GHS category, in microlitres."""

    category: int
    largest: dict[str, int]
    cabinet: int
    room: int
    source: str


@dataclass(frozen=True)
class Bottle:
    """A container of a flammable liquid. `material` one of MATERIALS (approved plastic counts as glass).

    `category` 1 to 4, None where not known. `spoilt_by_metal`: metal would make it unfit or be eaten by it.
    """

    id: int | str
    name: str
    category: int | None
    size_ul: int
    amount_ul: int
    place_id: int | str
    place_kind: str = "general"
    room_id: int | str | None = None
    material: str = "glass"
    spoilt_by_metal: bool = False


@dataclass(frozen=True)
class Load:
    """How much there is and may be (base units) under one limit, and where the limit is from."""

    subject: str
    scope: str
    have: int
    most: int
    why: str
    ids: tuple[int | str, ...]
    source: str

    @property
    def over(self) -> bool:
        return self.have > self.most

    @property
    def share(self) -> float:
        """Of the limit; infinite where none of it may be and some is."""
        return self.have / self.most if self.most else (inf if self.have else 0.0)


@dataclass(frozen=True)
class DepartmentLimit:
    """A limit the head has set: at most `most` base units of what has one of `groups` or hazard classes.

    `hazards` are beginnings of GHS class keys ("flam_liq"). `scope`: "place", "room" or "department".
    """

    name: str
    scope: str
    most: int
    groups: frozenset[str] = frozenset()
    hazards: frozenset[str] = frozenset()
    measure: str = "volume"


@dataclass(frozen=True)
class Kept:
    """An item with its amount, measure and room, to be counted against the department's limits."""

    item: Item
    measure: str
    room_id: int | str | None = None


@cache
def flammable_limits() -> dict[int, FlammableLimit]:
    """The limits of 29 CFR 1910.106 by category: Table H-12, one cabinet, one room outside cabinets."""

    def volume(text: str) -> int:
        return int(Fraction(text) * GALLON_UL)

    return {
        int(row["category"]): FlammableLimit(
            int(row["category"]),
            {name: volume(row[name.replace(" ", "_") + "_gal"]) for name in MATERIALS},
            volume(row["cabinet_gal"]),
            volume(row["room_gal"]),
            row["source"],
        )
        for row in rows("flammable_limits")
    }


@cache
def _burning_groups() -> frozenset[str]:
    """Groups whose worst is a flammable liquid: those that may travel in class 3."""
    return frozenset(row["key"] for row in rows("reactivity_groups") if "3" in row["transport"].split())


def is_settled(item: Item) -> bool:
    """Whether somebody has said which hazard classes it has, or that it has none."""
    return bool(item.classified or item.hazard_keys)


def flammable_category(item: Item) -> int | None:
    """The GHS category of a flammable liquid; None for what is none.

    What nobody has classified is category 1 where its groups may burn, and where nothing is known of it.
    """
    for category in (1, 2, 3, 4):
        if f"flam_liq_{category}" in item.hazard_keys:
            return category
    seen = signature(item)
    if is_settled(item) or "solid" in seen.groups:
        return None
    return 1 if seen.groups & _burning_groups() or not seen.known else None


def largest_container(category: int | None, material: str, spoilt_by_metal: bool = False) -> int:
    """The largest container in microlitres, Table H-12 and the exception for glass in (d)(2)(iii)(a).

    Raises ValueError for a material that is not in the table.
    """
    if material not in MATERIALS:
        raise ValueError(f"Not a kind of container: {material}. Choose one of {', '.join(MATERIALS)}.")
    limits = flammable_limits()[category or 1]
    largest = limits.largest[material]
    return max(largest, int(GALLON_UL)) if material == "glass" and spoilt_by_metal else largest


def container_findings(bottles: Iterable[Bottle]) -> tuple[Load, ...]:
    """Bottles larger than Table H-12 allows for their liquid and material."""
    found = []
    for bottle in bottles:
        most = largest_container(bottle.category, bottle.material, bottle.spoilt_by_metal)
        if bottle.size_ul > most:
            category = bottle.category or "1, for want of a class"
            why = f"{bottle.material} for a flammable liquid of category {category}"
            source = flammable_limits()[bottle.category or 1].source
            found.append(Load(bottle.name, "container", bottle.size_ul, most, why, (bottle.id,), source))
    return tuple(found)


def cabinet_loads(bottles: Iterable[Bottle]) -> tuple[Load, ...]:
    """Flammables cabinets against 1910.106(d)(3)(i): 60 gallons of categories 1 to 3, 120 gallons of all.

    Category 4 counts towards the 120 gallons together with the rest: stricter than the letter.
    """
    return _grouped(
        (bottle for bottle in bottles if bottle.place_kind == CABINET_KIND),
        lambda bottle: bottle.place_id,
        "cabinet",
        [((1, 2, 3), flammable_limits()[1].cabinet), ((1, 2, 3, 4), flammable_limits()[4].cabinet)],
    )


def room_loads(bottles: Iterable[Bottle]) -> tuple[Load, ...]:
    """Rooms, outside cabinets, against 1910.106(e)(2)(ii)(b): 25 gallons of category 1, 120 of 2 to 4."""
    return _grouped(
        (bottle for bottle in bottles if bottle.place_kind != CABINET_KIND and bottle.room_id is not None),
        lambda bottle: bottle.room_id,
        "room, outside cabinets",
        [((1,), flammable_limits()[1].room), ((2, 3, 4), flammable_limits()[2].room)],
    )


def _grouped(bottles: Iterable[Bottle], where: Callable, scope: str, limits: list) -> tuple[Load, ...]:
    by_place = defaultdict(list)
    for bottle in bottles:
        by_place[where(bottle)].append(bottle)
    found = []
    for place, here in by_place.items():
        for categories, most in limits:
            counted = [bottle for bottle in here if (bottle.category or 1) in categories]
            if counted:
                total = sum(bottle.amount_ul for bottle in counted)
                why = f"flammable liquids of category {', '.join(map(str, categories))}"
                ids = tuple(bottle.id for bottle in counted)
                source = flammable_limits()[categories[0]].source
                found.append(Load(str(place), scope, total, most, why, ids, source))
    return tuple(found)


def department_loads(kept: Iterable[Kept], limits: Iterable[DepartmentLimit]) -> tuple[Load, ...]:
    """What there is under each limit of the department's own, in each place, room or in all.

    Only amounts of the limit's measure are added up.
    """
    everything = list(kept)
    found = []
    for limit in limits:
        places = defaultdict(list)
        for one in everything:
            if one.measure == limit.measure and _meets(one.item, limit):
                places[_scope_of(one, limit.scope)].append(one)
        for place, here in places.items():
            total = sum(one.item.amount for one in here)
            ids = tuple(one.item.id for one in here)
            why = "the department's own limit"
            found.append(Load(str(place), limit.scope, total, limit.most, f"{limit.name}: {why}", ids, why))
    return tuple(found)


def _meets(item: Item, limit: DepartmentLimit) -> bool:
    """Whether a limit counts an item.

    One about which nothing is known counts towards every limit, one without classes towards every limit that
    is set by class.
    """
    seen = signature(item)
    by_class = limit.hazards and (
        not is_settled(item) or any(key.startswith(tuple(limit.hazards)) for key in item.hazard_keys)
    )
    return bool(seen.groups & limit.groups or by_class) or not seen.known


def _scope_of(one: Kept, scope: str) -> int | str | None:
    return {"place": one.item.location_id, "room": one.room_id}.get(scope, "the department")


def oxidisers_acids_bases(kept: Iterable[Kept]) -> tuple[tuple[int | str, tuple[str, ...]], ...]:
    """Rooms in which two or more of oxidisers, strong acids and strong bases stand: (room, which).

    What nothing is known of is told as well, since it may be any of them. No bar, but each needs a cabinet of
    its own there. Common practice, no source.
    """
    families = {
        "oxidisers": {
            "oxidiser",
            "chlorate",
            "perchlorate",
            "nitrate",
            "permanganate",
            "peroxide",
            "chromate",
        },
        "acids": {"acid_strong", "acid_oxidising", "acid_organic"},
        "bases": {"base_strong", "ammonia"},
    }
    rooms = defaultdict(set)
    for one in kept:
        seen = signature(one.item)
        if one.room_id is not None:
            rooms[one.room_id] |= {name for name, words in families.items() if seen.groups & words}
            rooms[one.room_id] |= set() if seen.known else {UNKNOWN_RULE}
    return tuple((room, tuple(sorted(names))) for room, names in rooms.items() if len(names) > 1)
