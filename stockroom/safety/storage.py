"""What must not stand beside what, where a thing should stand, and what must not be mixed.

Three sets of rules, each row with its source in tables/: the segregation table of 49 CFR 177.848(d) through
the transport class, the groups of 40 CFR 264 Appendix V, and named pairs known to laboratories. What is not
known never reads as safe: a reagent without classes is taken for the worst its reactivity groups allow, and
one without groups either is held to be incompatible with everything that has a hazard.
"""

import re
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import combinations

from stockroom.safety.groups import NOT_KNOWN as NOT_KNOWN
from stockroom.safety.groups import STATE_WORDS
from stockroom.safety.published import rows, words

#: from worst to least; a finding's severity is one of these
SEVERITIES = ("severe", "serious", "caution")
STORE, MIX = "store", "mix"
#: a kind of storage that no place is of: for what stays where it stands, such as a waste container
STAYS = "stays"
#: the rule that things nobody has described break with whatever has a hazard
UNKNOWN_RULE = "not classified yet"

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
    asks for.
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


@dataclass(frozen=True)
class Place:
    """A shelf, cabinet or other place. `capacity` is how many containers it holds, None where not counted."""

    id: int | str
    name: str
    storage_kind: str = "general"
    capacity: int | None = None


@dataclass(frozen=True)
class Finding:
    """One rule that two things break."""

    rule: str
    consequence: str
    severity: str
    source: str


@dataclass(frozen=True)
class Conflict:
    """Two reagents that must not share a place, or must not be mixed (`place` None).

    `rule`, `consequence`, `severity` and `source` are those of the worst finding, the rest is in `also`.
    `item_a` and `item_b` stand for all the containers of the two reagents there: `ids_a`, `ids_b`.
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


@dataclass(frozen=True)
class PlaceAdvice:
    """How one place would do for one item: `safe` only with the right kind, room, and no conflict."""

    place: Place
    kind_suits: bool
    has_room: bool
    conflicts: tuple[Conflict, ...]

    @property
    def safe(self) -> bool:
        return self.kind_suits and self.has_room and not self.conflicts


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


def check_groups(groups: Iterable[str]) -> None:
    """Raises ValueError naming the words that are not in the vocabulary."""
    wrong = sorted(set(groups) - reactivity_groups().keys())
    if wrong:
        raise ValueError(f"Not a reactivity group: {', '.join(wrong)}. Choose from the list.")


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
    """The bit set of the pair rules that hold on a shelf (`STORE`) or in a vessel (`MIX`)."""
    return sum(1 << n for n, rule in enumerate(_pair_rules()) if rule.where in (where, "both"))


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
    return (_RANK[finding.severity], finding.rule)


def _segregation_words(one: str, other: str, mark: str) -> Finding:
    explosive = one.startswith("1.") or other.startswith("1.")
    corrosive_beside = "8" in (one, other) and ({one, other} & {"4.1", "4.2", "4.3", "5.1", "5.2"})
    text = {
        "X": "May not be stored together",
        "O": "May be stored together only where a leak of one cannot reach the other",
        "*": "Explosives: only where their compatibility groups allow",
    }[mark]
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
    )


_UNKNOWN = Finding(
    UNKNOWN_RULE,
    "Nothing is written down about one of them: keep it by itself until someone has looked",
    "serious",
    "own rule: what is not known is not safe",
)


@lru_cache(maxsize=65536)
def _worded(broken: int, segregation: Finding | None, unknown: bool) -> tuple[Finding, ...]:
    """The findings for a bit set of broken pair rules and the other two kinds of finding, worst first."""
    found = [
        Finding(rule.rule, rule.consequence, rule.severity, rule.source)
        for n, rule in enumerate(_pair_rules())
        if broken >> n & 1
    ]
    if segregation:
        found.append(segregation)
    if unknown:
        found.append(_UNKNOWN)
    return tuple(sorted(found, key=lambda finding: _RANK[finding.severity]))


def _findings(a: Signature, b: Signature, where: str) -> tuple[Finding, ...]:
    broken = ((a.side_a & b.side_b) | (a.side_b & b.side_a)) & _rules_where(where)
    unknown = not (a.known and b.known) and a.reactive and b.reactive
    segregation = None
    if where == STORE and a.transport and b.transport:
        segregation = _segregation_finding(a.transport, "solid" in a.groups, b.transport, "solid" in b.groups)
    if not (broken or segregation or unknown):
        return ()
    return _worded(broken, segregation, unknown)


def findings(a: Item, b: Item, where: str = STORE) -> tuple[Finding, ...]:
    """Every rule that `a` and `b` break on one shelf (`STORE`) or in one vessel (`MIX`), worst first."""
    return _findings(signature(a), signature(b), where)


def _conflict(a: list[Item], b: list[Item], place: Place | None, found: tuple[Finding, ...]) -> Conflict:
    worst, *rest = found
    return Conflict(
        a[0],
        b[0],
        place,
        worst.rule,
        worst.consequence,
        worst.severity,
        worst.source,
        tuple(rest),
        tuple(item.id for item in a),
        tuple(item.id for item in b),
    )


def _by_severity(conflict: Conflict) -> tuple:
    place = conflict.place.name if conflict.place else ""
    return (_RANK[conflict.severity], place, conflict.item_a.name, conflict.item_b.name)


# --- shelves


def conflicts(items: Iterable[Item], places: Iterable[Place] = ()) -> tuple[Conflict, ...]:
    """Every pair of reagents that stand in one place and must not, worst first.

    One conflict for each pair of reagents and place, however many bottles there are of each: the work grows
    with the number of containers, and with the square only of the number of reagents in one place. Items
    without `location_id` stand nowhere. A place missing from `places` is named by its id.
    """
    named = {place.id: place for place in places}
    by_place: dict = defaultdict(lambda: defaultdict(list))
    for item in items:
        if item.location_id is not None:
            by_place[item.location_id][_profile(item)].append(item)
    found = []
    for place_id, reagents in by_place.items():
        place = named.get(place_id) or Place(place_id, str(place_id))
        judged = [(group[0].reagent_key, signature(group[0]), group) for group in reagents.values()]
        for (key_a, sig_a, a), (key_b, sig_b, b) in combinations(judged, 2):
            broken = _findings(sig_a, sig_b, STORE) if key_a != key_b else ()
            if broken:
                found.append(_conflict(a, b, place, broken))
    return tuple(sorted(found, key=_by_severity))


def kind_suits(item: Item, place: Place) -> bool:
    """Whether a place is of the kind the item asks for (tables/storage_kinds.csv)."""
    return place.storage_kind in _suitable_kinds().get(item.storage_kind, (item.storage_kind,))


@cache
def _suitable_kinds() -> dict[str, tuple[str, ...]]:
    return {row["wanted"]: words(row["suitable"]) for row in rows("storage_kinds")}


def safe_places(item: Item, places: Iterable[Place], items: Iterable[Item]) -> tuple[PlaceAdvice, ...]:
    """How each place would do for `item` among the `items` that stand there: safe places first.

    Among the safe ones, where the same reagent already stands comes first, then the emptier place.
    """
    occupants = defaultdict(list)
    for other in items:
        if other.id != item.id:
            occupants[other.location_id].append(other)
    advice = []
    for place in places:
        there = occupants[place.id]
        moved = conflicts_of(item, there, place)
        room = place.capacity is None or len(there) < place.capacity
        advice.append(PlaceAdvice(place, kind_suits(item, place), room, moved))

    def order(one: PlaceAdvice) -> tuple:
        there = occupants[one.place.id]
        same = any(other.reagent_key == item.reagent_key for other in there)
        worst = min((_RANK[conflict.severity] for conflict in one.conflicts), default=len(SEVERITIES))
        return (not one.safe, -worst, not one.kind_suits, not same, len(there), one.place.name)

    return tuple(sorted(advice, key=order))


def conflicts_of(item: Item, others: Iterable[Item], place: Place | None = None) -> tuple[Conflict, ...]:
    """The conflicts `item` would have if it stood among `others`, one for each reagent, worst first."""
    by_reagent = defaultdict(list)
    for other in others:
        if other.reagent_key != item.reagent_key:
            by_reagent[_profile(other)].append(other)
    mine, found = signature(item), []
    for group in by_reagent.values():
        broken = _findings(mine, signature(group[0]), STORE)
        if broken:
            found.append(_conflict([item], group, place, broken))
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
            sorted_out[not is_meant].append(_conflict(a, b, None, broken))
    return Mixing(*(tuple(sorted(found, key=_by_severity)) for found in sorted_out))
