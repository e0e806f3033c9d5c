"""Which stream a waste belongs to, and what the label of its container must say.

One stream a container (tables/streams.csv). A stream follows from what the waste holds: its reactivity
groups, pH, metals and organic share. A pH that is not known never reads as neutral: then the groups decide,
and where they tell nothing the waste stands by itself.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, cached_property, lru_cache

from stockroom.chemistry.residue import Dissolved, Residue, Solid
from stockroom.safety.groups import LIQUID, NOT_KNOWN, SOLID, Matter, Part, of_residue
from stockroom.safety.groups import reactivity as composed
from stockroom.safety.published import rows, words
from stockroom.safety.waste import (
    TRACE_PERCENT,
    Characterisation,
    Waste,
    WasteRules,
    atoms_of,
    characterise,
    element_mg_per_litre,
    flammable_liquid,
    harmless_organics,
    known_as,
    ph_of,
    substances,
    table_by_formula,
)

LABEL_SOURCE = "40 CFR 262.15(a)(5), 262.16(b)(6)(i), 262.17(a)(5)(i) (2023); from memory"
#: what a container says whose contents nobody can name
UNKNOWN_WORDS = "treated as hazardous: contents unknown"
APART = "apart"
#: pH between which salts in water are neither acids nor bases, and beyond which metals go with strong ones.
#: Own rule: 5 is the least that a sewer takes (40 CFR 403.5(b)(2)), 9 the most that local limits often allow
_LOW_PH, _HIGH_PH, _STRONG_ACID_PH = 5.0, 9.0, 1.0
#: pH from which a weak acid or buffer, such as dihydrogenphosphate or EDTA, counts as salts in water: own
#: rule. What may go down the drain is judged apart from it, by the pH of the container itself
_MILD_PH = 4.0
#: mol/L and pH from which carbonate counts as a base: what is weaker foams little. Own rule
_CARBONATE_MOL_L, _CARBONATE_PH = 0.1, 7.5
#: below this, hexacyanoferrates and thiocyanates are taken to stand in acid: own rule
_CYANIDE_FREE_PH = 4.0
#: mg/L from which a metal counts as there
_TRACE_MG_L = 0.1
#: per cent by weight from which a liquid is organic rather than watery, and the most of something organic
#: that a container of acid or base takes
_MOSTLY, _SOME_ORGANIC = 50.0, 10.0
_REACTIVE = {
    "water_reactive": "reacts with water",
    "hydride": "reacts with water",
    "carbide": "makes acetylene with water",
    "explosive": "can explode",
    "picric": "can explode when dry",
    "azide": "makes explosive salts, and poisonous gas with acid",
    "peroxide_organic": "can explode",
    "pyrophoric": "catches fire by itself",
    "metal_toxic_hydride": "makes deadly gas with acid",
    "radioactive": "radioactive",
    "phosphorus": "catches fire when rubbed, and makes poisonous gas",
    "flammable_gas": "a gas: send the cylinder back to the supplier",
    "gas_pressure": "a gas: send the cylinder back to the supplier",
    "gas_toxic": "a gas: send the cylinder back to the supplier",
    "alkali_metal": "reacts with water",
    "anhydride": "reacts with water",
    "acid_chloride": "reacts with water",
    "dithionite": "heats by itself when damp",
    "phosphide": "makes poisonous gas with water",
    "nitride": "makes ammonia with water",
    "silicide": "makes gas that catches fire",
    "cryogenic": "a gas made liquid or solid by cold: nothing closed may hold it",
}
_OXIDIZING = frozenset(
    {"oxidiser", "oxidiser_dilute", "chlorate", "perchlorate", "permanganate", "chromate", "nitrite"}
    | {"peroxide", "peroxide_dilute", "halogen", "hypochlorite", "acid_oxidising", "persulfate"}
    | {"bromate", "iodate", "chlorate_dilute", "permanganate_dilute", "iodine", "bromine"}
    | {"hydrogen_peroxide", "hypochlorite_strong"}
)
_WEAK_OXIDIZING = frozenset(
    {"oxidiser_dilute", "peroxide_dilute", "nitrite", "chlorate_dilute", "permanganate_dilute", "iodine"}
    | {"iodate", "hydrogen_peroxide"}
)
#: those that burn with anything organic however little of it there is
_STRONG_OXIDIZING = _OXIDIZING - _WEAK_OXIDIZING
_ACIDS = frozenset({"acid_strong", "acid_oxidising", "acid_organic", "acid_dilute"})
_BASES = frozenset({"base_strong", "base_dilute", "ammonia", "amine"})
_PIECES = frozenset({"Mg", "Al", "Zn", "Fe", "Cu", "Sn", "Pb", "Ni", "Ag", "Co", "Cr", "Mn"})
#: elements that no container of metals needs to take
_NOT_COLLECTED = frozenset(words("H He B C N O F Ne Si P S Cl Ar Br Kr I Xe Li Na K Rb Cs Mg Ca Sr Al"))
_CARBONATES = frozenset(known_as(text) for text in ("CO3-2", "HCO3-", "Na2CO3", "NaHCO3", "K2CO3", "KHCO3"))


@dataclass(frozen=True)
class Stream:
    """One kind of waste container: its key, name, what it takes, and a density to reckon mass from volume.

    groups: the worst that it may hold, as reactivity groups; none where only its contents can tell.
    accepts: keys of milder streams that a container of this one takes too. ph: from and to which pH its waste
    stands, None where pH says nothing. strict: whether such waste goes nowhere else, whatever a person says.
    """

    key: str
    name: str
    takes: str
    density_kg_l: float
    words: str
    groups: frozenset[str] = frozenset()
    accepts: frozenset[str] = frozenset()
    ph: tuple[float, float] | None = None
    strict: bool = False


@dataclass(frozen=True)
class WasteLabel:
    """What stands on a waste container: the required words, hazards, contents, date accumulation began."""

    words: str
    hazards: tuple[str, ...]
    contents: tuple[str, ...]
    started_on: date
    codes: tuple[str, ...]
    source: str


@cache
def streams() -> dict[str, Stream]:
    """The streams of tables/streams.csv by key."""
    return {
        row["key"]: Stream(
            row["key"],
            row["name"],
            row["takes"],
            float(row["density_kg_l"]),
            row["words"],
            frozenset(words(row["groups"])),
            frozenset(words(row["accepts"])),
            tuple(float(end) for end in words(row["ph"])) or None,
            bool(row["strict"]),
        )
        for row in rows("streams")
    }


# --- reactivity


def reactivity(waste: Waste) -> frozenset[str]:
    """Reactivity groups of a waste: what its composition and pH show, and those it was given.

    `NOT_KNOWN` is among them where part of it is unknown; groups that somebody gave tell of a substance that
    the tables lack.
    """
    found = _of_composition(waste.residue, waste.form)
    if waste.groups and not waste.residue.unknown:
        found -= {NOT_KNOWN}
    if not waste.vouched:
        return found | waste.groups
    worst = streams()[waste.vouched].groups
    known = found - {NOT_KNOWN}
    return known | (worst if waste.residue.ph is None else worst - _ACIDS - _BASES)


@lru_cache(maxsize=4096)
def _of_composition(residue: Residue, form: str) -> frozenset[str]:
    matter = of_residue(residue)
    if form or not residue.volume_ul:
        matter = replace(matter, form=form or SOLID)
    if residue.volume_ul and residue.ph is not None and not (matter.parts or matter.unknown):
        matter = replace(matter, parts=(Part("H2O", "7732-18-5", "water"),))
    return composed(matter).groups


def _organic_percent(residue: Residue) -> float:
    return sum(organic.percent_w_w for organic in residue.organics)


def _halogenated_percent(residue: Residue) -> float:
    return sum(one.percent_w_w for one in residue.organics if _is_halogenated(one.name, one.cas))


@lru_cache(maxsize=4096)
def _is_halogenated(name: str, cas: str) -> bool:
    matter = Matter((Part("", cas, name, percent=100.0),), LIQUID)
    return "halogenated_organic" in composed(matter).groups


# --- the stream of a waste


class _Seen:
    """A waste with what the rules below ask of it, each worked out once."""

    def __init__(self, waste: Waste, rules: WasteRules | None):
        self.waste, self.residue, self.rules = waste, waste.residue, rules or WasteRules()
        self.groups = reactivity(waste)
        self.ph = ph_of(waste, self.groups)
        self.dry = not waste.residue.volume_ul and bool(
            waste.residue.undissolved or waste.residue.organics or not waste.residue.components
        )

    def has(self, *groups: str) -> bool:
        return not self.groups.isdisjoint(groups)

    @cached_property
    def character(self) -> Characterisation:
        return characterise(self.waste, self.rules)

    @cached_property
    def organic_percent(self) -> float:
        return _organic_percent(self.residue)

    @cached_property
    def organic_beyond_harmless(self) -> float:
        """Per cent by weight of organic substances that are more than a container of salts may hold."""
        return sum(
            one.percent_w_w
            for one in self.residue.organics
            if one.percent_w_w > harmless_organics().get(one.cas, TRACE_PERCENT)
        )

    @cached_property
    def burns(self) -> bool:
        """Whether it is an ignitable liquid, or may be for all that is known."""
        return bool(flammable_liquid(self.waste, self.rules)[0])

    @cached_property
    def elements(self) -> frozenset[str]:
        """Elements to collect that are in it."""
        here = {symbol for one in substances(self.residue) for symbol in atoms_of(one.formula) or ()}
        return frozenset(
            symbol
            for symbol in here - _NOT_COLLECTED
            if element_mg_per_litre(self.residue, symbol) > _TRACE_MG_L
        )

    @cached_property
    def acid(self) -> bool:
        return self.has(*_ACIDS) if self.ph is None else self.ph < 7 and self.has(*_ACIDS)


_Answer = tuple[str, str] | None


def stream_for(waste: Waste, rules: WasteRules | None = None) -> tuple[Stream, str]:
    """The stream a waste belongs to, and why. What is reactive or not known goes by itself."""
    seen = _Seen(waste, rules)
    key, why = next(answer for rule in _IN_ORDER if (answer := rule(seen)))
    return streams()[key], why


def _vouched(seen: _Seen) -> _Answer:
    """What nobody can list and somebody vouches for, where the measured pH bears it out."""
    stream = streams().get(seen.waste.vouched)
    if stream is None:
        return None
    if stream.ph is None:
        return stream.key, "vouched for"
    if seen.residue.ph is None:
        return APART, "its pH is not known: measure it"
    low, high = stream.ph
    if not low <= seen.residue.ph <= high:
        return APART, f"vouched for as “{stream.name}”, but its pH is {seen.residue.ph:.1f}"
    return stream.key, f"vouched for, pH {seen.residue.ph:.1f}"


def _not_known(seen: _Seen) -> _Answer:
    residue = seen.residue
    if residue.unknown or seen.has(NOT_KNOWN):
        return APART, "part of it is not known"
    return None


def _reactive(seen: _Seen) -> _Answer:
    if _is_gas(seen):
        return APART, "a gas, or a gas made cold: nothing closed may hold it"
    if seen.dry and seen.has("metal_powder", "water_reactive") and _is_clean_metal(seen.residue):
        return "metal_powder", "a metal as powder or fine turnings"
    found = sorted({why for group, why in _REACTIVE.items() if group in seen.groups})
    if found:
        return APART, "; ".join(found)
    if any(code.code == "D003" for code in seen.character.codes) and not seen.has("cyanide", "sulfide"):
        return APART, "reactive by its hazard class"
    return (APART, "acutely hazardous") if seen.character.acute else None


def _is_gas(seen: _Seen) -> bool:
    """Whether it comes from a cylinder, or is a gas when warm."""
    known = {known_as(row["formula"]) for row in rows("gases")} | {("Ar", 0), ("He", 0)}
    there = substances(seen.residue)
    pressed = any(key.startswith(("press_gas", "ox_gas", "flam_gas")) for key in seen.waste.hazard_keys)
    return pressed or (bool(there) and all(known_as(one.formula) in known for one in there))


def _poison_first(seen: _Seen) -> _Answer:
    """Mercury, cyanide and sulfide, whatever else is there."""
    if element_mg_per_litre(seen.residue, "Hg") > 0 or seen.has("mercury"):
        return "mercury", "holds mercury"
    if seen.has("cyanide", "sulfide"):
        if seen.has(*_ACIDS):
            return APART, "cyanide or sulfide in acid: poisonous gas, fume hood"
        return "cyanide", "holds cyanide or sulfide"
    return None


def _complex_cyanide(seen: _Seen) -> _Answer:
    if not seen.has("ferrocyanide", "thiocyanate"):
        return None
    if seen.ph is not None and seen.ph < _CYANIDE_FREE_PH:
        return APART, "a hexacyanoferrate or thiocyanate in acid: it may give off poisonous gas"
    if seen.has(*(_STRONG_OXIDIZING - {"halogen"})):
        return APART, "a hexacyanoferrate or thiocyanate together with an oxidizer"
    return "complex_cyanide", "holds a hexacyanoferrate or thiocyanate"


def _dry(seen: _Seen) -> _Answer:
    """Solids, by the worst that they do."""
    if not seen.dry:
        return None
    if seen.has("ferrocyanide", "thiocyanate"):
        return "complex_cyanide", "holds a hexacyanoferrate or thiocyanate"
    if seen.has("halogen", "iodine", "bromine"):
        return "halogens", "holds iodine or bromine"
    if _is_clean_metal(seen.residue):
        return "metal_pieces", "clean metal"
    if _is_oxidizer(seen) or seen.has("nitrate"):
        if seen.organic_percent >= TRACE_PERCENT or seen.has("sulfur", "carbon"):
            return APART, "an oxidizer together with something that burns"
        return "solids_oxidizing", "an oxidizing solid"
    if seen.elements or seen.has("metal_heavy"):
        metals = ", ".join(sorted(seen.elements))
        return "solids_metal", f"a solid with a metal to collect: {metals}" if metals else "a heavy metal"
    if seen.has("fluoride"):
        return "solids_metal", "a poisonous solid"
    burns = any(key.startswith("flam_sol") for key in seen.waste.hazard_keys)
    if burns or seen.has("flammable_solid", "sulfur", "carbon"):
        return "solids_flammable", "a solid that burns"
    if seen.has("organic") or seen.organic_percent >= TRACE_PERCENT:
        return "solids_organic", "an organic solid"
    if seen.has(*_ACIDS):
        return "solids_acid", "an acid solid"
    return ("solids_base", "a basic solid") if seen.has(*_BASES) else ("solids", "a dry solid")


def _is_clean_metal(residue: Residue) -> bool:
    return bool(residue.undissolved) and all(
        len(atoms := set(atoms_of(solid.formula) or ())) == 1 and atoms <= _PIECES
        for solid in residue.undissolved
    )


def _still_reacts(seen: _Seen) -> _Answer:
    """What has not come to rest: a metal or a carbonate that lies in acid, a metal in strong base."""
    residue = seen.residue
    metal = seen.has("metal_active", "metal_powder") and bool(residue.undissolved)
    if metal and seen.ph is not None and (seen.ph < _LOW_PH or seen.ph >= seen.rules.base_ph):
        return APART, "a metal still gives off hydrogen: let it react out under the hood, open, no flames"
    if seen.has("hydrogen_peroxide") and (seen.elements or seen.has("ferrocyanide", "permanganate_dilute")):
        return APART, "a peroxide still gives off oxygen: let it react out in an open vessel"
    carbonate = any("carbonate" in one.name for one in residue.undissolved)
    if carbonate and seen.ph is not None and seen.ph < _LOW_PH:
        return APART, "a carbonate still foams in acid: let it react out in an open vessel"
    return None


def _oxidizer_with_organic(seen: _Seen) -> _Answer:
    if seen.has(*_STRONG_OXIDIZING) and seen.organic_percent >= TRACE_PERCENT:
        return APART, "an oxidizer together with something organic"
    if seen.has(*_WEAK_OXIDIZING) and seen.organic_beyond_harmless:
        return APART, "an oxidizer together with something organic"
    return None


def _organic_liquid(seen: _Seen) -> _Answer:
    """What is mostly organic, or catches fire."""
    halogenated = _halogenated_percent(seen.residue)
    if _is_strong_organic_acid(seen):
        return "acids_organic", "a strong organic acid"
    if halogenated >= TRACE_PERCENT or (seen.has("halogenated_organic") and not seen.has("aqueous")):
        return "halogenated", "holds a halogenated solvent"
    if not seen.burns and seen.organic_percent < _MOSTLY:
        return None
    if seen.ph is not None and (seen.ph <= seen.rules.acid_ph or seen.ph >= seen.rules.base_ph):
        return APART, "a liquid that burns in strong acid or base"
    return "solvents", "ignitable" if seen.burns else "mostly organic"


def _is_strong_organic_acid(seen: _Seen) -> bool:
    return seen.has("acid_organic") and not seen.has("acid_strong", "acid_oxidising") and not seen.elements


def _special_oxidizer(seen: _Seen) -> _Answer:
    """Bleach, peroxide, oxidizing acids: each gives off gas with most of the others."""
    if seen.has("hypochlorite", "hypochlorite_strong"):
        if seen.ph is not None and seen.ph < 7:
            return APART, "hypochlorite in acid: poisonous chlorine"
        return "hypochlorite", "holds hypochlorite"
    if seen.has("peroxide", "peroxide_dilute", "hydrogen_peroxide"):
        if seen.elements or seen.has("acid_oxidising"):
            return APART, "a peroxide together with what makes it give off oxygen"
        return "peroxide", "holds hydrogen peroxide"
    if seen.has("acid_oxidising"):
        if seen.elements:
            return "metals_acid", "holds metals in an oxidizing acid"
        return "acids_oxidizing", "an acid that oxidizes"
    return None


def _holds(residue: Residue, group: str) -> bool:
    """Whether some substance is of a row of tables/oxidisers.csv with this group, at any strength."""
    table = table_by_formula("oxidisers")
    return any(
        (row := table.get(known_as(one.formula))) is not None and row["group"] == group
        for one in substances(residue)
    )


def _silver(seen: _Seen) -> _Answer:
    if "Ag" not in seen.elements and not seen.has("silver"):
        return None
    basic = seen.ph is None or seen.ph >= _LOW_PH
    if seen.has("ammonia", "ammonia_dilute") or (seen.has("ammonium") and basic):
        return APART, (
            "silver with ammonia, which grows explosive: add dilute nitric or sulfuric acid now, until "
            "litmus is red"
        )
    if seen.ph is not None and seen.ph > _HIGH_PH:
        return APART, "silver in base: add dilute nitric acid now, until litmus is red"
    return "silver", "holds silver"


def _oxidizer(seen: _Seen) -> _Answer:
    if _holds(seen.residue, "chromate") or seen.has("chromate"):
        return "chromate", "holds chromium(VI)"
    if seen.has("halogen", "iodine", "bromine"):
        if any(
            known_as(one.formula) == ("Br2", 0) and _mol_l(seen, one) > 1 for one in seen.residue.components
        ):
            return APART, "bromine"
        return "halogens", "holds iodine or bromine"
    if seen.has("nitrite"):
        return "nitrite", "holds nitrite"
    return ("oxidisers", "holds an oxidizer") if _is_oxidizer(seen) else None


def _is_oxidizer(seen: _Seen) -> bool:
    """A metal to collect that oxidizes a little, such as vanadium, counts as a metal."""
    mild = seen.groups & _OXIDIZING <= {"oxidiser_dilute"}
    return seen.has(*_OXIDIZING) and not (mild and seen.elements - {"Mn", "Cr"})


def _mol_l(seen: _Seen, one: Dissolved | Solid) -> float:
    return one.mol / (seen.residue.volume_ul * 1e-6) if seen.residue.volume_ul else float("inf")


def _no_ph(seen: _Seen) -> _Answer:
    alone = seen.residue.organics and not substances(seen.residue) and not seen.has(*_ACIDS, *_BASES)
    if seen.ph is None and alone:
        return "aqueous_organic", "organic substances in water, neither acid nor base"
    if seen.ph is None and seen.has(*_BASES) and not seen.has(*_ACIDS):
        metals = ", ".join(sorted(seen.elements))
        return ("metals_base", f"a basic solution of {metals}") if metals else ("bases", "a basic solution")
    return (APART, "its pH is not known: measure it") if seen.ph is None else None


def _metals(seen: _Seen) -> _Answer:
    if not seen.elements:
        return None
    if seen.organic_beyond_harmless > _SOME_ORGANIC:
        return APART, "a metal to collect in something organic"
    why = f"holds a metal to collect: {', '.join(sorted(seen.elements))}"
    if seen.ph < _STRONG_ACID_PH:
        return "metals_acid", why
    return ("metals_base" if seen.ph > _HIGH_PH else "metals"), why


def _watery(seen: _Seen) -> _Answer:
    why = f"pH {seen.ph:.1f}"
    extreme = seen.ph <= seen.rules.acid_ph or seen.ph >= seen.rules.base_ph
    if seen.organic_beyond_harmless:
        if not extreme:
            return "aqueous_organic", "holds organic substances in water"
        if seen.organic_beyond_harmless > _SOME_ORGANIC:
            return APART, "organic substances in strong acid or base"
    if seen.ph < _MILD_PH:
        return "acids", why
    carbonate = any(
        known_as(one.formula) in _CARBONATES and _mol_l(seen, one) >= _CARBONATE_MOL_L
        for one in substances(seen.residue)
    )
    if seen.ph > _HIGH_PH or (carbonate and seen.ph > _CARBONATE_PH):
        return "bases", f"{why}, holds carbonate" if carbonate else why
    return "neutral", "salts in water"


_IN_ORDER = (
    _vouched,
    _not_known,
    _reactive,
    _poison_first,
    _dry,
    _still_reacts,
    _complex_cyanide,
    _oxidizer_with_organic,
    _special_oxidizer,
    _organic_liquid,
    _silver,
    _oxidizer,
    _no_ph,
    _metals,
    _watery,
)


# --- the label


def waste_label(contents: Collection[Waste], started_on: date, rules: WasteRules | None = None) -> WasteLabel:
    """The words a container must bear: "Hazardous Waste", what its hazards are, and since when.

    An empty container and one whose content is not known are labelled as hazardous.
    """
    characters = [characterise(waste, rules) for waste in contents]
    hazardous = not characters or any(character.hazardous for character in characters)
    names = dict.fromkeys(
        one.name for waste in contents for one in (*substances(waste.residue), *waste.residue.organics)
    )
    unknown = [what for waste in contents for what in waste.residue.unknown]
    names |= dict.fromkeys(f"not known: {what}" for what in unknown)
    hazards = {hazard for character in characters for hazard in character.hazards}
    return WasteLabel(
        "Hazardous Waste" if hazardous else "Waste for collection",
        (*sorted(hazards), *((UNKNOWN_WORDS,) if unknown else ())),
        tuple(names),
        started_on,
        tuple(sorted({code.code for character in characters for code in character.codes})),
        LABEL_SOURCE,
    )
