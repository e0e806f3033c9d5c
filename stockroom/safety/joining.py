"""Whether waste may join a waste container, with the reasons in words, and what to do instead.

The container is closed. So whatever gives off gas or much heat is kept out, mild or not: between the new
waste and each thing in the container, and between the new waste and all of it together. And the whole must
stay what the label says it is.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cache

from stockroom.safety.published import rows, words
from stockroom.safety.storage import NOT_KNOWN, Conflict, Item, mixing_conflicts
from stockroom.safety.streams import APART, Stream, reactivity, stream_for, streams
from stockroom.safety.together import together
from stockroom.safety.waste import (
    TRACE_PERCENT,
    Waste,
    WasteRules,
    atoms_of,
    flammable_liquid,
    known_as,
    substances,
)

#: full at nine tenths, for warmth and carrying: common practice, no source
FULL_PERCENT = 90
#: the rule of the tables about water and what heats in it. Between two strong acids, or two strong bases, the
#: strength of sulfuric acid decides instead
_HEAT_OF_DILUTION = "named pair: heat with water"
_CONCENTRATED = frozenset({"acid_oxidising", "acid_strong", "acid_organic", "base_strong"})
_SULFURIC = known_as("H2SO4")
#: 60 % by weight. By Felder and Rousseau's heats (chemistry/heat.py) 100 mL of 96 % in 1 L warms it by 27 K,
#: as much hydrochloric acid of 37 % by 6 K. Limit: own rule
_CONCENTRATED_MOL_L = 9.0
#: from where hydrochloric acid fumes, nitric acid counts as such, and something organic is no trace:
#: own rules, on the safe side of the published pairs
_FUMING_MOL_L, _NITRIC_MOL_L, _NITRIC_PH, _ORGANIC_MOL_L = 6.0, 0.5, 1.5, 0.05
#: from here on ammonium is ammonia already, and a base sets no more free (pKa 9.25)
_ALL_AMMONIA_PH = 11.0
#: a mmol/L of sulfite fills a tenth of a liter with 2 mL of sulfur dioxide
_SULFITE_PH, _SULFITE_MOL_L = 3.0, 0.001
_SULFITES = tuple(known_as(text) for text in ("SO3-2", "HSO3-", "S2O3-2", "S2O5-2", "S2O4-2", "S4O6-2"))
_ACIDS = frozenset({"acid_strong", "acid_oxidising", "acid_organic", "acid_dilute"})
#: concentrated ammonia, and hydroxide from about 3 mol/L: own rules
_MUCH_AMMONIA_MOL_L, _CAUSTIC_PH = 5.0, 14.4
_AMMONIUM, _AMMONIA = known_as("NH4+"), known_as("NH3")
_NITRATE, _CHLORIDE, _IODIDE = known_as("NO3-"), known_as("Cl-"), known_as("I-")
_OF_WATER = frozenset(known_as(text) for text in ("H+", "H3O+", "OH-", "H2O"))
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
    if not _takes(vessel.stream, stream.key) and not _only_stronger_or_weaker(waste, vessel.contents, rules):
        reasons.append(belongs_elsewhere(stream, why))
    elif stream.key == APART and vessel.contents:
        reasons.append("Such waste stands by itself: start a new container.")
    elif changed := _changed(waste, vessel, rules):
        reasons.append(changed)
    if vessel.amount + amount > vessel.capacity * FULL_PERCENT // 100:
        reasons.append(f"It would be more than {FULL_PERCENT} % full: start a new one.")
    found = _reactions(waste, vessel.contents)
    reasons += [against(conflict) for conflict in found]
    reasons += [words for rule, words in _BY_STRENGTH if rule(waste, vessel.contents)]
    reasons += _in_closed(waste, vessel.contents, bool(found))
    return Joining(not reasons, tuple(dict.fromkeys(reasons)), found)


def _takes(container: str, waste: str) -> bool:
    kept = streams().get(container)
    return waste == container or (kept is not None and waste in kept.accepts)


def _only_stronger_or_weaker(waste: Waste, contents: Collection[Waste], rules: WasteRules | None) -> bool:
    """Whether it is what the container holds already, in another strength; then the whole tells the stream.

    What burns is left out: thinning it with water so that it no longer burns is no way to get rid of it.
    """
    if waste.residue.unknown or waste.vouched or flammable_liquid(waste, rules or WasteRules())[0]:
        return False
    made_of = _made_of(waste)
    return bool(made_of and contents) and all(
        _made_of(old) == made_of and not old.residue.unknown and not old.vouched for old in contents
    )


def _made_of(waste: Waste) -> frozenset[str]:
    """What is in it by name, without hydrogen and hydroxide ions, which tell of its strength."""
    there = substances(waste.residue)
    names = {one.name for one in there if known_as(one.formula) not in _OF_WATER}
    return frozenset(names | {one.name for one in waste.residue.organics})


def _changed(waste: Waste, vessel: WasteVessel, rules: WasteRules | None) -> str:
    """Why the whole would be another kind of waste than the container is for, "" where it stays."""
    if not vessel.contents or any(one.residue.unknown or one.vouched for one in (*vessel.contents, waste)):
        return ""
    whole = together((*vessel.contents, waste))
    stream, why = stream_for(whole, rules)
    if _takes(vessel.stream, stream.key):
        return ""
    if _only_stronger_or_weaker(waste, vessel.contents, rules):
        # What was written down of a portion speaks of its strength; the whole has another.
        stream, why = stream_for(replace(whole, groups=frozenset()), rules)
        if _takes(vessel.stream, stream.key):
            return ""
    return f"Together with what is in it, it would belong to “{stream.name}” ({why}): start another one."


def _reactions(waste: Waste, contents: Collection[Waste]) -> tuple[Conflict, ...]:
    """What reacts between the new waste and each thing in the container, and all of it together."""
    new, found = _as_item("new", waste), []
    whole = (together(contents),) if len(contents) > 1 else ()
    for number, old in enumerate((*contents, *whole)):
        other = _as_item(f"old {number}", old)
        alike = bool(new.groups & other.groups & _CONCENTRATED)
        found += [
            one
            for one in mixing_conflicts([new, other]).unmeant
            if not (alike and one.rule == _HEAT_OF_DILUTION)
        ]
    return tuple(found)


def _boils_up(waste: Waste, contents: Collection[Waste]) -> bool:
    """Whether concentrated sulfuric acid would meet something with more water, on either side."""
    return any(_is_concentrated(old) != _is_concentrated(waste) for old in contents)


def _is_concentrated(waste: Waste) -> bool:
    """Whether there is sulfuric acid in it that finds too little water to give up its hydrogen."""
    return _mol_l(waste, _SULFURIC) >= _CONCENTRATED_MOL_L


@dataclass(frozen=True)
class _Closed:
    """A row of tables/closed_container.csv. consequence: "" where another rule tells it already."""

    a: frozenset[str]
    b: frozenset[str]
    consequence: str
    instead: str

    def between(self, one: frozenset[str], other: frozenset[str]) -> bool:
        return bool((one & self.a and other & self.b) or (one & self.b and other & self.a))


@cache
def _closed_rules() -> tuple[_Closed, ...]:
    return tuple(
        _Closed(frozenset(words(row["a"])), frozenset(words(row["b"])), row["consequence"], row["instead"])
        for row in rows("closed_container")
    )


def _in_closed(waste: Waste, contents: Collection[Waste], reacts: bool) -> list[str]:
    """What a closed container does not stand, and what to do instead of what it or another rule forbids."""
    if not contents:
        return []
    new, old = reactivity(waste), reactivity(together(contents))
    said = []
    for rule in _closed_rules():
        if rule.between(new, old) and (rule.consequence or reacts):
            said += [text for text in (rule.consequence, rule.instead) if text]
    return said


def _aqua_regia(waste: Waste, contents: Collection[Waste]) -> bool:
    """Whether nitrate would meet concentrated hydrochloric acid, on either side."""
    return any(
        (_mol_l(one, _NITRATE) > 0 and _is_fuming(other)) or (_mol_l(other, _NITRATE) > 0 and _is_fuming(one))
        for one, other in ((waste, old) for old in contents)
    )


def _is_fuming(waste: Waste) -> bool:
    return "hydrochloric" in reactivity(waste) and _mol_l(waste, _CHLORIDE) >= _FUMING_MOL_L


def _nitric_with_fuel(waste: Waste, contents: Collection[Waste]) -> bool:
    """Whether nitric acid, dilute too, would meet an organic acid, anything else organic, or iodide."""
    return any(
        (_is_nitric(one) and _is_fuel(other)) or (_is_nitric(other) and _is_fuel(one))
        for one, other in ((waste, old) for old in contents)
    )


def _is_nitric(waste: Waste) -> bool:
    ph = waste.residue.ph
    return ph is not None and ph < _NITRIC_PH and _mol_l(waste, _NITRATE) >= _NITRIC_MOL_L


def _is_fuel(waste: Waste) -> bool:
    """Whether there is something in it that nitric acid attacks: organic matter or iodide."""
    litres = waste.residue.volume_ul * 1e-6
    carbon = sum(
        one.mol for one in waste.residue.components if {"C", "H"} <= (atoms_of(one.formula) or {}).keys()
    )
    share = sum(one.percent_w_w for one in waste.residue.organics)
    if _mol_l(waste, _IODIDE) >= _ORGANIC_MOL_L:
        return True
    return share >= TRACE_PERCENT or (litres > 0 and carbon / litres >= _ORGANIC_MOL_L)


def _mol_l(waste: Waste, formula: tuple[str, int] | None) -> float:
    litres = waste.residue.volume_ul * 1e-6
    there = sum(one.mol for one in waste.residue.components if known_as(one.formula) == formula)
    return there / litres if litres > 0 else 0.0


def _sulfur_dioxide(waste: Waste, contents: Collection[Waste]) -> bool:
    """Whether a sulfite or thiosulfate, however dilute, would meet acid, on either side."""
    return any(
        (_is_acid(one) and _sulfites(other)) or (_is_acid(other) and _sulfites(one))
        for one, other in ((waste, old) for old in contents)
    )


def _is_acid(waste: Waste) -> bool:
    ph = waste.residue.ph
    return bool(reactivity(waste) & _ACIDS) and (ph is None or ph <= _SULFITE_PH)


def _sulfites(waste: Waste) -> bool:
    return any(_mol_l(waste, formula) >= _SULFITE_MOL_L for formula in _SULFITES)


def _ammonia_driven_out(waste: Waste, contents: Collection[Waste]) -> bool:
    """Whether concentrated ammonia would meet a concentrated base, on either side."""
    return any(
        (_is_much_ammonia(one) and _is_caustic(other)) or (_is_much_ammonia(other) and _is_caustic(one))
        for one, other in ((waste, old) for old in contents)
    )


def _is_much_ammonia(waste: Waste) -> bool:
    return _mol_l(waste, _AMMONIUM) + _mol_l(waste, _AMMONIA) >= _MUCH_AMMONIA_MOL_L


def _is_caustic(waste: Waste) -> bool:
    ph = waste.residue.ph
    return ph is not None and ph >= _CAUSTIC_PH


_BY_STRENGTH = (
    (_ammonia_driven_out, "Concentrated ammonia with a strong base: ammonia gas. Dilute both first."),
    (_sulfur_dioxide, "Sulfite or thiosulfate with acid: poisonous sulfur dioxide in a closed container."),
    (_boils_up, _DILUTE_FIRST),
    (_aqua_regia, "Nitrate with concentrated hydrochloric acid: poisonous chlorine and nitrosyl chloride."),
    (
        _nitric_with_fuel,
        "Nitric acid with something organic or iodide: it may react late, with gas and heat.",
    ),
)


def _as_item(key: str, waste: Waste) -> Item:
    names = [one.name for one in (*substances(waste.residue), *waste.residue.organics)]
    names += [f"what is in it, not known: {text}" for text in waste.residue.unknown]
    cas = {one.cas for one in (*substances(waste.residue), *waste.residue.organics)} - {""}
    groups = reactivity(waste)
    if waste.residue.ph is not None and waste.residue.ph >= _ALL_AMMONIA_PH:
        groups -= {"ammonium"}
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
        composed=not waste.residue.unknown,
    )
