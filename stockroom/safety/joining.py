"""Whether waste may join a waste container, with the reasons in words, and what to do instead.

The container is closed. So whatever gives off gas or much heat is kept out, mild or not: between the new
waste and each thing in the container, and between the new waste and all of it together. And the whole must
stay what the label says it is.
"""

from collections.abc import Collection
from dataclasses import dataclass
from functools import cache

from stockroom.safety.published import rows, words
from stockroom.safety.storage import NOT_KNOWN, Conflict, Item, mixing_conflicts
from stockroom.safety.streams import APART, Stream, reactivity, stream_for, streams
from stockroom.safety.together import together
from stockroom.safety.waste import Waste, WasteRules, known_as, substances

#: full at nine tenths, for warmth and carrying: common practice, no source
FULL_PERCENT = 90
#: the rule of the tables about water and concentrated acid: here the acid's strength decides instead
_HEAT_OF_DILUTION = "40 CFR 264 App. V, group 3"
_SULFURIC = known_as("H2SO4")
#: 60 % by weight. By Felder and Rousseau's heats (chemistry/heat.py) 100 mL of 96 % in 1 L warms it by 27 K,
#: as much hydrochloric acid of 37 % by 6 K. Limit: own rule
_CONCENTRATED_MOL_L = 9.0
_DILUTE_FIRST = (
    "Concentrated sulfuric acid with water: it boils and spatters. Dilute it first: pour the acid slowly "
    "into ten times as much cold water, never the other way, and let it cool."
)


@dataclass(frozen=True)
class WasteVessel:
    """A container that waste stands in. Amounts in the base unit of its measure (microlitre or microgram)."""

    stream: str
    contents: tuple[Waste, ...] = ()
    amount: int = 0
    capacity: int = 0
    closed: bool = False


@dataclass(frozen=True)
class Joining:
    """Whether waste may join a container; if not, `reasons` in plain words and the `conflicts`."""

    ok: bool
    reasons: tuple[str, ...]
    conflicts: tuple[Conflict, ...] = ()


def belongs_elsewhere(stream: Stream, why: str) -> str:
    """The reason given where waste is of another stream than the container's."""
    return f"It belongs to “{stream.name}” ({why}), not here."


def against(conflict: Conflict) -> str:
    """The reason given where new waste and something in the container do not go together."""
    return f"With {conflict.item_b.name}: {conflict.consequence}."


def may_join(waste: Waste, vessel: WasteVessel, amount: int, rules: WasteRules | None = None) -> Joining:
    """Whether `amount` of `waste` may go into `vessel`: its stream, room, and what is in it already.

    A container of the stream "apart" takes nothing but what it began with.
    """
    stream, why = stream_for(waste, rules)
    reasons = []
    if vessel.closed:
        reasons.append("The container is closed: start a new one.")
    if not _takes(vessel.stream, stream.key):
        reasons.append(belongs_elsewhere(stream, why))
    elif stream.key == APART and vessel.contents:
        reasons.append("Such waste stands by itself: start a new container.")
    elif changed := _changed(waste, vessel, rules):
        reasons.append(changed)
    if vessel.amount + amount > vessel.capacity * FULL_PERCENT // 100:
        reasons.append(f"It would be more than {FULL_PERCENT} % full: start a new one.")
    found = _reactions(waste, vessel.contents)
    if _boils_up(waste, vessel.contents):
        reasons.append(_DILUTE_FIRST)
    reasons += [against(conflict) for conflict in found]
    reasons += _instead(waste, vessel.contents) if found else []
    return Joining(not reasons, tuple(dict.fromkeys(reasons)), found)


def _takes(container: str, waste: str) -> bool:
    kept = streams().get(container)
    return waste == container or (kept is not None and waste in kept.accepts)


def _changed(waste: Waste, vessel: WasteVessel, rules: WasteRules | None) -> str:
    """Why the whole would be another kind of waste than the container is for, "" where it stays."""
    if not vessel.contents or any(one.residue.unknown for one in vessel.contents):
        return ""
    stream, why = stream_for(together((*vessel.contents, waste)), rules)
    if _takes(vessel.stream, stream.key):
        return ""
    return f"Together with what is in it, it would belong to “{stream.name}” ({why}): start another one."


def _reactions(waste: Waste, contents: Collection[Waste]) -> tuple[Conflict, ...]:
    """What reacts between the new waste and each thing in the container, and all of it together."""
    new, found = _as_item("new", waste), []
    whole = (together(contents),) if len(contents) > 1 else ()
    for number, old in enumerate((*contents, *whole)):
        found += mixing_conflicts([new, _as_item(f"old {number}", old)]).unmeant
    return tuple(one for one in found if not (one.severity == "caution" and one.rule == _HEAT_OF_DILUTION))


def _boils_up(waste: Waste, contents: Collection[Waste]) -> bool:
    """Whether concentrated sulfuric acid would meet something with more water, on either side."""
    return any(_is_concentrated(old) != _is_concentrated(waste) for old in contents)


def _is_concentrated(waste: Waste) -> bool:
    """Whether there is sulfuric acid in it that finds too little water to give up its hydrogen."""
    litres = waste.residue.volume_ul * 1e-6
    return litres > 0 and any(
        known_as(one.formula) == _SULFURIC and one.mol / litres >= _CONCENTRATED_MOL_L
        for one in waste.residue.components
    )


@cache
def _cautions() -> tuple[tuple[frozenset[str], frozenset[str], str], ...]:
    return tuple(
        (frozenset(words(row["a"])), frozenset(words(row["b"])), row["instead"])
        for row in rows("closed_container")
    )


def _instead(waste: Waste, contents: Collection[Waste]) -> list[str]:
    """What to do where the two are kept apart for gas or heat."""
    new, old = reactivity(waste), reactivity(together(contents))
    return [instead for a, b, instead in _cautions() if (new & a and old & b) or (new & b and old & a)]


def _as_item(key: str, waste: Waste) -> Item:
    names = [one.name for one in (*substances(waste.residue), *waste.residue.organics)]
    names += [f"what is in it, not known: {text}" for text in waste.residue.unknown]
    cas = {one.cas for one in (*substances(waste.residue), *waste.residue.organics)} - {""}
    groups = reactivity(waste)
    groups |= {NOT_KNOWN} if waste.residue.unknown else ({"inert"} if not groups else frozenset())
    return Item(
        key,
        ", ".join(names) or "the contents",
        key,
        waste.hazard_keys,
        groups,
        "none",
        frozenset(cas),
        classified=not waste.residue.unknown,
    )
