"""What must not stand beside what, where a thing should stand, and what must not be mixed.

Three sets of rules, each row with its source in tables/: the segregation table of 49 CFR 177.848(d) through
the transport class, the groups of 40 CFR 264 Appendix V, and named pairs known to laboratories. What is not
known never reads as safe: a reagent without classes is taken for the worst its reactivity groups allow, and
one without groups either is held to be incompatible with everything that has a hazard.
"""

import re
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import combinations

from stockroom.safety.groups import NOT_KNOWN as NOT_KNOWN
from stockroom.safety.groups import STATE_WORDS
from stockroom.safety.published import rows, words

#: from worst to least; a finding's severity is one of these
SEVERITIES = ("severe", "serious", "caution")
STORE, MIX = "store", "mix"
#: how far two things that break a rule must be apart: never in one cabinet, or never on one shelf or tray
CABINET, SHELF = "cabinet", "shelf"
#: what becomes of a container that stands: it is kept, it goes into the waste, or nobody touches it
KEPT, TO_WASTE, HANDS_OFF = "kept", "waste", "hands off"
#: a kind of storage that no place is of: for what stays where it stands, such as a waste container
STAYS = "stays"
#: the rule that things nobody has described break with whatever has a hazard
UNKNOWN_RULE = "not classified yet"

#: what each reach asks for
REACH_WORDS = {
    CABINET: "Never in one cabinet, whatever the tray",
    SHELF: "May share a cabinet only on separate trays, each deep enough for a leak",
}

_RANK = {severity: rank for rank, severity in enumerate(SEVERITIES)}
#: what a corrosive may be of which nobody said whether it is acid or base
_CORROSIVE_GROUPS = frozenset({"acid_strong", "base_strong"})
#: classes of the segregation table that speak of liquids only
_LIQUIDS_ONLY = frozenset({"3", "6.1A"})


@dataclass(frozen=True)
class Item:
    """One container on a shelf, or one reagent in a mixture.

    `hazard_keys` are GHS class keys, `groups` words of tables/reactivity_groups.csv, `transport_class` as on
    the package, subsidiary classes after it ("5.1 (8)"; "6.1A" for packing group I, inhalation zone A),
    "none" where it is known not to be regulated, None where it is not known. `classified` says that someone
    has settled the hazard classes, be it that none applies; `composed` that `groups` were told from all it is
    made of, so that a corrosive is known to be an acid, a base or neither. `storage_kind` is the kind it
    asks for. `fate` says what becomes of it, `fate_why` the reason in words ("expired 8 Sep 2026").
    """

    id: int | str
    name: str
    reagent_key: str
    hazard_keys: frozenset[str] = frozenset()
    groups: frozenset[str] = frozenset()
    transport_class: str | None = None
    cas: frozenset[str] = frozenset()
    location_id: int | str | None = None
    storage_kind: str = "general"
    amount: int = 0
    classified: bool = False
    composed: bool = False
    fate: str = KEPT
    fate_why: str = ""


@dataclass(frozen=True)
class Place:
    """A shelf, cabinet or other place. `capacity` is how many containers it holds, None where not counted.

    `cabinet` is the id of the closed cabinet that it is, or stands in; None in an open room.
    """

    id: int | str
    name: str
    storage_kind: str = "general"
    capacity: int | None = None
    cabinet: int | str | None = None


@dataclass(frozen=True)
class Finding:
    """One rule that two things break. `reach`: whether they must not share a `CABINET`, or only a `SHELF`."""

    rule: str
    consequence: str
    severity: str
    source: str
    reach: str = CABINET


@dataclass(frozen=True)
class Conflict:
    """Two reagents that must not share a place, or must not be mixed (`place` None).

    `place` is the least that holds them all: one shelf, or the cabinet of two. `rule`, `consequence`,
    `severity`, `source` and `reach` are those of the worst finding, the rest is in `also`. `item_a` and
    `item_b` stand for all the containers of the two reagents there: `ids_a`, `ids_b`.
    """

    item_a: Item
    item_b: Item
    place: Place | None
    rule: str
    consequence: str
    severity: str
    source: str
    also: tuple[Finding, ...] = ()
    ids_a: tuple[int | str, ...] = ()
    ids_b: tuple[int | str, ...] = ()
    reach: str = CABINET

    @property
    def apart(self) -> str:
        """How far apart they must stand, as a sentence."""
        return REACH_WORDS[self.reach]


@dataclass(frozen=True)
class PlaceAdvice:
    """How one place would do for one item: `safe` only with the right kind, room, and nothing against it.

    `refusal` says why the place itself must not hold it, whatever else stands there.
    """

    place: Place
    kind_suits: bool
    has_room: bool
    conflicts: tuple[Conflict, ...]
    refusal: Finding | None = None

    @property
    def refused(self) -> bool:
        return bool(self.conflicts or self.refusal)

    @property
    def safe(self) -> bool:
        return self.kind_suits and self.has_room and not self.refused


@dataclass(frozen=True)
class Mixing:
    """What comes together: reactions that are `meant`, and those that are not (`unmeant`)."""

    meant: tuple[Conflict, ...]
    unmeant: tuple[Conflict, ...]


@dataclass(frozen=True)
class Signature:
    """All that the rules look at in an item, so that equal items are judged once.

    `side_a` and `side_b` are bit sets over the pair rules: bit n is set where the item is on that side of
    rule n. Two items break the rules (a.side_a & b.side_b) | (a.side_b & b.side_a).
    """

    groups: frozenset[str]
    transport: frozenset[str]
    side_a: int
    side_b: int
    known: bool
    reactive: bool


@dataclass(frozen=True)
class _PairRule:
    rule: str
    a: frozenset[str]
    b: frozenset[str]
    consequence: str
    severity: str
    where: str
    source: str


# --- the tables


@cache
def reactivity_groups() -> dict[str, str]:
    """The vocabulary of reactivity groups: word -> definition."""
    return {row["key"]: row["definition"] for row in rows("reactivity_groups")}


@cache
def _safe_groups() -> frozenset[str]:
    """Groups that are no hazard on a shelf by themselves, such as a chloride's."""
    return frozenset(row["key"] for row in rows("reactivity_groups") if row["alone"] == "harmless")


@cache
def segregation_table() -> dict[tuple[str, str], str]:
    """49 CFR 177.848(d): (class, class) -> "X", "O", "*" or "" for every cell."""
    return {
        (row["class"], other): mark
        for row in rows("segregation_177_848")
        for other, mark in row.items()
        if other not in ("class", "name", "source")
    }


@cache
def _sources() -> dict[str, str]:
    return {row["key"]: row["text"] for row in rows("sources")}


@cache
def _appendix_v_rules() -> tuple[_PairRule, ...]:
    return tuple(
        _PairRule(
            f"40 CFR 264 App. V, group {row['group']}",
            frozenset(words(row["a"])),
            frozenset(words(row["b"])),
            row["consequence"],
            row["severity"],
            row["where"],
            f"{row['source']}, {row['note']}",
        )
        for row in rows("appendix_v")
    )


@cache
def _named_rules() -> tuple[_PairRule, ...]:
    return tuple(
        _PairRule(
            f"named pair: {row['key'].replace('-', ' ')}",
            frozenset(words(row["a"])),
            frozenset(words(row["b"])),
            row["consequence"],
            row["severity"],
            row["where"],
            _sources().get(row["source"], row["source"]),
        )
        for row in rows("named_pairs")
    )


@cache
def _pair_rules() -> tuple[_PairRule, ...]:
    return (*_named_rules(), *_appendix_v_rules())


@cache
def _rules_where(where: str) -> int:
    """The bit set of the pair rules that hold on a shelf (`STORE`) or in a vessel (`MIX`).

    What is severe in a vessel is so on a shelf too, where one leak brings the two together.
    """

    def holds(rule: _PairRule) -> bool:
        return rule.where in (where, "both") or (where == STORE and rule.severity == "severe")

    return sum(1 << n for n, rule in enumerate(_pair_rules()) if holds(rule))


# --- what is known of one item


@lru_cache(maxsize=4096)
def transport_classes(text: str) -> frozenset[str]:
    """The rows of the segregation table that a transport class names: "5.1 (8)" -> {"5.1", "8"}.

    1.2 is read as 1.1 (one row), 2.3 without a zone as zone A, any other 6.1 than 6.1A as no row.
    """
    same = {"1.2": "1.1", "2.3": "2.3A"}
    known = {row["class"] for row in rows("segregation_177_848")}
    found = re.findall(r"\d(?:\.\d)?[AB]?(?![\d.])", re.sub(r"(?<=1\.\d)[A-S]", "", text.upper()))
    return frozenset(same.get(name, name) for name in found) & known


@lru_cache(maxsize=65536)
def _implied_by_hazard(keys: frozenset[str], groups: frozenset[str]) -> tuple[frozenset[str], frozenset[str]]:
    """Groups and transport classes that GHS classes bring, where `groups` do not already explain them."""
    new_groups, transport = set(), set()
    for row in rows("hazard_groups"):
        hit = any(key == row["hazard"] or key.startswith(row["hazard"] + "_") for key in keys)
        if not hit:
            continue
        transport.update(transport_classes(row["transport"]))
        if not groups & set(words(row["unless"])):
            new_groups.update(words(row["groups"]))
    pressed = any(key.startswith("press_gas") for key in keys)
    if pressed and keys & {f"acute_tox_inhalation_{n}" for n in (1, 2, 3)}:
        new_groups.add("gas_toxic")
        transport.add("2.3A")
    return frozenset(new_groups), frozenset(transport)


@lru_cache(maxsize=65536)
def _signature(
    hazard_keys: frozenset[str],
    groups: frozenset[str],
    transport_class: str | None,
    cas: frozenset[str],
    classified: bool,
    composed: bool,
) -> Signature:
    vocabulary = reactivity_groups()
    known_groups = groups.intersection(vocabulary)
    implied_groups, implied_transport = _implied_by_hazard(hazard_keys, known_groups)
    if composed:
        implied_groups -= _CORROSIVE_GROUPS
    all_groups = known_groups | implied_groups
    if transport_class:
        transport = transport_classes(transport_class)
    elif hazard_keys or classified:
        transport = implied_transport
    else:
        transport = transport_classes(
            " ".join(row["transport"] for row in rows("reactivity_groups") if row["key"] in known_groups)
        )
    if "solid" in known_groups and not transport_class:
        transport -= _LIQUIDS_ONLY
    known = groups <= vocabulary.keys() and bool(groups - STATE_WORDS or hazard_keys or classified)
    reactive = bool(all_groups - _safe_groups() or hazard_keys or transport or not known)
    named = all_groups | cas
    side_a = sum(1 << n for n, rule in enumerate(_pair_rules()) if named & rule.a)
    side_b = sum(1 << n for n, rule in enumerate(_pair_rules()) if named & rule.b)
    return Signature(all_groups, transport, side_a, side_b, known, reactive)


def signature(item: Item) -> Signature:
    """What the rules see of an item, with the worst assumed where something is missing."""
    return _signature(
        item.hazard_keys, item.groups, item.transport_class, item.cas, item.classified, item.composed
    )


def _profile(item: Item) -> tuple:
    """Equal for containers of one reagent that the rules cannot tell apart."""
    return (
        item.reagent_key,
        item.groups,
        item.hazard_keys,
        item.transport_class,
        item.cas,
        item.classified,
        item.composed,
    )


# --- two items


@lru_cache(maxsize=65536)
def _segregation_finding(
    a: frozenset[str], a_solid: bool, b: frozenset[str], b_solid: bool
) -> Finding | None:
    """The strictest cell of the table over all classes of both, as 177.848(e)(6) asks."""
    table, worst = segregation_table(), None
    for one in sorted(a):
        for other in sorted(b):
            mark = table[one, other]
            if not mark or (one == "8" and a_solid) or (other == "8" and b_solid):
                continue
            finding = _segregation_words(*sorted((one, other)), mark)
            if worst is None or _order(finding) < _order(worst):
                worst = finding
    return worst


def _order(finding: Finding) -> tuple:
    return (_RANK[finding.severity], finding.reach, finding.rule)


def _segregation_words(one: str, other: str, mark: str) -> Finding:
    explosive = one.startswith("1.") or other.startswith("1.")
    corrosive_beside = "8" in (one, other) and ({one, other} & {"4.1", "4.2", "4.3", "5.1", "5.2"})
    text = {
        "X": "May not be stored together",
        "O": "May be stored together only where a leak of one cannot reach the other",
        "*": "Explosives: only where their compatibility groups allow",
    }[mark]
    # 177.848(e)(3) lets a pair marked O stand together where a leak of one cannot reach the other: two trays.
    # A tray holds no gas back; and which of two trays is above, or beside, is not known here.
    tray_helps = mark == "O" and not (explosive or corrosive_beside or one[0] == "2" or other[0] == "2")
    reach = SHELF if tray_helps else CABINET
    if mark == "O" and corrosive_beside:
        text = "A corrosive liquid may stand neither above nor beside it (177.848(e)(3))"
    if explosive:
        severity = "severe"
    else:
        severity = "serious" if mark == "X" or corrosive_beside else "caution"
    return Finding(
        f"transport classes {one} and {other}: {mark}",
        text,
        severity,
        rows("segregation_177_848")[0]["source"],
        reach,
    )


_UNKNOWN = Finding(
    UNKNOWN_RULE,
    "Nothing is written down about one of them: keep it by itself until someone has looked",
    "serious",
    "own rule: what is not known is not safe",
)


def _reach(rule: _PairRule, both_solid: bool) -> str:
    """How far apart the two sides of a rule must stand.

    What makes poison gas, fire or an explosion is severe or serious in the tables, and a leak or a vapor
    finds its way from tray to tray: never in one cabinet. Two solids neither leak nor give off vapor, so that
    only the severe among their pairs reach so far. A caution (one side is dilute, or there is only heat) may
    share a cabinet on separate trays.
    """
    far = rule.severity == "severe" or (rule.severity == "serious" and not both_solid)
    return CABINET if far else SHELF


@lru_cache(maxsize=65536)
def _worded(broken: int, segregation: Finding | None, unknown: bool, both_solid: bool) -> tuple[Finding, ...]:
    """The findings for a bit set of broken pair rules and the other two kinds of finding, worst first."""
    found = [
        Finding(rule.rule, rule.consequence, rule.severity, rule.source, _reach(rule, both_solid))
        for n, rule in enumerate(_pair_rules())
        if broken >> n & 1
    ]
    if segregation:
        found.append(segregation)
    if unknown:
        found.append(_UNKNOWN)
    return tuple(sorted(found, key=lambda finding: (_RANK[finding.severity], finding.reach)))


@lru_cache(maxsize=65536)
def _across(found: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Those of the findings that hold across the shelves of a cabinet."""
    return tuple(finding for finding in found if finding.reach == CABINET)


def _findings(a: Signature, b: Signature, where: str) -> tuple[Finding, ...]:
    broken = ((a.side_a & b.side_b) | (a.side_b & b.side_a)) & _rules_where(where)
    unknown = not (a.known and b.known) and a.reactive and b.reactive
    segregation = None
    if where == STORE and a.transport and b.transport:
        segregation = _segregation_finding(a.transport, "solid" in a.groups, b.transport, "solid" in b.groups)
    if not (broken or segregation or unknown):
        return ()
    return _worded(broken, segregation, unknown, "solid" in a.groups and "solid" in b.groups)


def findings(a: Item, b: Item, where: str = STORE) -> tuple[Finding, ...]:
    """Every rule that `a` and `b` break on one shelf (`STORE`) or in one vessel (`MIX`), worst first."""
    return _findings(signature(a), signature(b), where)


def cabinet_findings(a: Item, b: Item) -> tuple[Finding, ...]:
    """The rules that `a` and `b` break on two shelves of one cabinet, worst first."""
    return _across(findings(a, b))


class _Group:
    """All the containers of one reagent that the rules cannot tell apart, with where they stand."""

    def __init__(self, items: list[Item]):
        self.items = items
        self.ids = tuple(item.id for item in items)
        self.places = frozenset(item.location_id for item in items)

    def at(self, place_id: int | str) -> "_Group":
        """Those of them that stand in one place."""
        if len(self.places) == 1:
            return self
        return _Group([item for item in self.items if item.location_id == place_id])


def _conflict(a: _Group, b: _Group, place: Place | None, found: tuple[Finding, ...]) -> Conflict:
    worst = found[0]
    return Conflict(
        a.items[0],
        b.items[0],
        place,
        worst.rule,
        worst.consequence,
        worst.severity,
        worst.source,
        found[1:],
        a.ids,
        b.ids,
        worst.reach,
    )


def _by_severity(conflict: Conflict) -> tuple:
    place = conflict.place.name if conflict.place else ""
    return (_RANK[conflict.severity], place, conflict.item_a.name, conflict.item_b.name)


# --- shelves


def conflicts(items: Iterable[Item], places: Iterable[Place] = ()) -> tuple[Conflict, ...]:
    """Every pair of reagents that stand in one place or one cabinet and must not, worst first.

    One conflict for each pair of reagents in a cabinet that they must not share, and one for each shelf that
    they must not share, however many bottles there are of each: the work grows with the number of containers,
    and with the square only of the number of reagents in one cabinet that any rule speaks of. Items without
    `location_id` stand nowhere. A place missing from `places` is named by its id, and is in no cabinet.
    """
    named = {place.id: place for place in places}
    by_cabinet: dict = defaultdict(lambda: defaultdict(list))
    for item in items:
        if item.location_id is not None:
            by_cabinet[_cabinet_of(item, named)][_profile(item)].append(item)
    found: list[Conflict] = []
    for reagents in by_cabinet.values():
        judged = [(items[0].reagent_key, signature(items[0]), _Group(items)) for items in reagents.values()]
        judged = [one for one in judged if one[1].reactive or one[1].side_a or one[1].side_b]
        for (key_a, sig_a, a), (key_b, sig_b, b) in combinations(judged, 2):
            broken = _findings(sig_a, sig_b, STORE) if key_a != key_b else ()
            if broken:
                found += _standing_conflicts(a, b, broken, named)
    return tuple(sorted(found, key=_by_severity))


def _cabinet_of(item: Item, named: dict) -> tuple:
    """What tells cabinets apart, and places that stand in none from them."""
    place = named.get(item.location_id)
    if place is None or place.cabinet is None:
        return ("place", item.location_id)
    return ("cabinet", place.cabinet)


def _standing_conflicts(a: _Group, b: _Group, broken: tuple[Finding, ...], named: dict) -> list[Conflict]:
    """The conflicts of two reagents that stand in one cabinet, or in one place that is in none."""
    shared = a.places & b.places
    across = _across(broken)
    if across:
        return [_conflict(a, b, _common_place(a.places | b.places, named), broken if shared else across)]
    return [
        _conflict(a.at(where), b.at(where), _named_place(where, named), broken)
        for where in sorted(shared, key=str)
    ]


def _named_place(where: int | str, named: dict) -> Place:
    return named.get(where) or Place(where, str(where))


def _common_place(places: frozenset, named: dict) -> Place:
    """The one shelf of them, else their cabinet."""
    first = _named_place(next(iter(places)), named)
    if first.cabinet is None or len(places) == 1:
        return first
    return named.get(first.cabinet) or Place(first.cabinet, str(first.cabinet), cabinet=first.cabinet)


def kind_suits(item: Item, place: Place) -> bool:
    """Whether a place is of the kind the item asks for (tables/storage_kinds.csv)."""
    wanted = wanted_kind(item)
    row = _storage_kinds().get(wanted)
    return place.storage_kind in (words(row["suitable"]) if row else (wanted,))


def wanted_kind(item: Item) -> str:
    """The kind of place an item asks for; what is cold and flammable asks for a refrigerator rated for it."""
    row = _storage_kinds().get(item.storage_kind)
    return row["flammable"] if row and row["flammable"] and is_flammable(item) else item.storage_kind


def is_flammable(item: Item) -> bool:
    """Whether it gives off a vapor or is a gas that burns, as far as is known."""
    known = signature(item)
    return bool(known.groups & {"flammable", "flammable_gas"} or known.transport & {"3", "2.1"})


def refusal(item: Item, place: Place) -> Finding | None:
    """Why a place must not hold an item, whatever else stands there; None if it may."""
    row = _storage_kinds().get(place.storage_kind)
    if row is None or not row["flammable"] or not is_flammable(item):
        return None
    text = "Explosion of its vapor: the lamp, switch or thermostat inside gives off sparks"
    return Finding("flammable in a refrigerator that is not rated for it", text, "severe", row["source"])


@cache
def _storage_kinds() -> dict[str, dict[str, str]]:
    return {row["wanted"]: row for row in rows("storage_kinds")}


def safe_places(item: Item, places: Iterable[Place], items: Iterable[Item]) -> tuple[PlaceAdvice, ...]:
    """How each place would do for `item` among the `items` that stand there and in its cabinet: safe first.

    Among the safe ones, where the same reagent already stands comes first, then the emptier place. `places`
    must hold every place of a cabinet, or what stands in the others is not seen.
    """
    places = tuple(places)
    named = {place.id: place for place in places}
    occupants, cabinets = defaultdict(list), defaultdict(list)
    for other in items:
        if other.id != item.id and other.location_id is not None:
            occupants[other.location_id].append(other)
            cabinets[_cabinet_of(other, named)].append(other)
    advice = []
    for place in places:
        there = occupants[place.id]
        near = cabinets[_cabinet_of(replace(item, location_id=place.id), named)]
        room = place.capacity is None or len(there) < place.capacity
        found = _conflicts_among(item, place, near, named)
        advice.append(PlaceAdvice(place, kind_suits(item, place), room, found, refusal(item, place)))

    def order(one: PlaceAdvice) -> tuple:
        there = occupants[one.place.id]
        same = any(other.reagent_key == item.reagent_key for other in there)
        against = [*one.conflicts, *([one.refusal] if one.refusal else [])]
        worst = min((_RANK[found.severity] for found in against), default=len(SEVERITIES))
        return (not one.safe, -worst, not one.kind_suits, not same, len(there), one.place.name)

    return tuple(sorted(advice, key=order))


def conflicts_of(
    item: Item, others: Iterable[Item], place: Place | None = None, places: Iterable[Place] = ()
) -> tuple[Conflict, ...]:
    """The conflicts `item` would have if it stood in `place`, one for each reagent, worst first.

    `others` are what stands in that place and in the cabinet it is in; whatever stands in neither is left
    out. `places` names them. Without `place`, all the others are taken to stand on one shelf with it.
    """
    if place is None:
        return _conflicts_among(item, None, others, {})
    named = {one.id: one for one in (*places, place)}
    here = _cabinet_of(replace(item, location_id=place.id), named)
    near = [other for other in others if other.location_id is not None and _cabinet_of(other, named) == here]
    return _conflicts_among(item, place, near, named)


def _conflicts_among(
    item: Item, place: Place | None, near: Iterable[Item], named: dict
) -> tuple[Conflict, ...]:
    by_reagent = defaultdict(list)
    for other in near:
        if other.reagent_key != item.reagent_key:
            by_reagent[_profile(other)].append(other)
    mine, found = signature(item), []
    stood = _Group([item if place is None else replace(item, location_id=place.id)])
    for items in by_reagent.values():
        broken = _findings(mine, signature(items[0]), STORE)
        if broken and place is None:
            found.append(_conflict(stood, _Group(items), None, broken))
        elif broken:
            found += _standing_conflicts(stood, _Group(items), broken, named)
    return tuple(sorted(found, key=_by_severity))


# --- mixtures


def mixing_conflicts(reagents: Collection[Item], meant: Iterable[frozenset[str]] = ()) -> Mixing:
    """What happens where `reagents` come together in a demonstration or a waste container.

    `meant` holds the pairs of reagent keys that are brought together on purpose. Meant reactions are still
    listed with their consequence: meant is not harmless.
    """
    wanted = {frozenset(pair) for pair in meant}
    by_reagent = defaultdict(list)
    for item in reagents:
        by_reagent[item.reagent_key].append(item)
    sorted_out: tuple[list, list] = ([], [])
    for (key_a, a), (key_b, b) in combinations(by_reagent.items(), 2):
        broken = _findings(signature(a[0]), signature(b[0]), MIX)
        if broken:
            is_meant = frozenset((key_a, key_b)) in wanted
            sorted_out[not is_meant].append(_conflict(_Group(a), _Group(b), None, broken))
    return Mixing(*(tuple(sorted(found, key=_by_severity)) for found in sorted_out))
