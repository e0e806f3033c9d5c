"""Which waste may join which container, and what its label must say.

One stream a container (tables/streams.csv); within a stream whatever would react with what is already there
is kept out, by the same pair rules as for shelves.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from functools import cache

from stockroom.chemistry.formula import parse_formula
from stockroom.chemistry.residue import Residue
from stockroom.safety.published import rows, words
from stockroom.safety.sewer import sewer_barriers
from stockroom.safety.storage import NOT_KNOWN, Conflict, Item, mixing_conflicts
from stockroom.safety.waste import (
    TRACE_PERCENT,
    Characterisation,
    Waste,
    WasteRules,
    atoms_of,
    characterise,
    element_mg_per_litre,
    flash_point_c,
    harmless_organics,
    known_as,
    organics,
    substances,
    table_by_formula,
)

#: full at nine tenths, for warmth and carrying: common practice, no source
FULL_PERCENT = 90
LABEL_SOURCE = "40 CFR 262.15(a)(5), 262.16(b)(6)(i), 262.17(a)(5)(i) (2023); from memory"
_APART = frozenset(
    {"water_reactive", "hydride", "carbide", "explosive", "picric", "azide", "peroxide_organic"}
    | {"pyrophoric", "metal_toxic_hydride", "radioactive", "phosphorus"}
)
_OXIDISING = frozenset(
    {"oxidiser", "oxidiser_dilute", "chlorate", "perchlorate", "hypochlorite", "permanganate", "chromate"}
    | {"nitrite", "peroxide", "peroxide_dilute", "halogen"}
)
_METALS = frozenset({"Li", "Na", "K", "Ca", "Mg", "Al", "Zn", "Fe"})
_PIECES = frozenset({"Mg", "Al", "Zn", "Fe", "Cu", "Sn", "Pb", "Ni", "Ag", "Co", "Cr", "Mn"})
_HALOGENS = ("F", "Cl", "Br", "I")


@dataclass(frozen=True)
class Stream:
    """One kind of waste container: its key, name, what it takes, and a density to reckon mass from volume.

    groups: the worst that it may hold, as reactivity groups; none where only its contents can tell.
    """

    key: str
    name: str
    takes: str
    density_kg_l: float
    words: str
    groups: frozenset[str] = frozenset()


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
        )
        for row in rows("streams")
    }


@cache
def _halogenated(cas: str) -> bool:
    """Whether an organic substance holds a halogen, by the library's formula; unknown counts as no."""
    if cas in organics():
        formula = organics()[cas]["formula"]
    else:
        formula = _library_formula(cas) if cas else ""
    return any(symbol in _HALOGENS for symbol in parse_formula(formula).atoms) if formula else False


def _library_formula(cas: str) -> str:
    # Imported here: it reads a list of 70,000 compounds, and few wastes need that.
    from chemicals import search_chemical

    try:
        return search_chemical(cas).formula
    except ValueError:
        return ""


def _organic_percent(residue: Residue, halogenated: bool | None = None) -> float:
    return sum(
        organic.percent_w_w
        for organic in residue.organics
        if halogenated is None or _halogenated(organic.cas) == halogenated
    )


def reactivity(waste: Waste) -> frozenset[str]:
    """Reactivity groups of a waste: those it was given, and those its composition and pH show."""
    residue, found = waste.residue, set(waste.groups)
    if residue.ph is not None:
        found |= _acidity(residue.ph)
    if residue.volume_ul and residue.components and _organic_percent(residue) < 50:
        found.add("aqueous")
    for one in substances(residue):
        gas = table_by_formula("gas_formers").get(known_as(one.formula))
        oxidiser = table_by_formula("oxidisers").get(known_as(one.formula))
        if gas:
            found.add(gas["group"])
        if oxidiser:
            strong = residue.volume_ul == 0 or one.mol / (residue.volume_ul * 1e-6) >= float(
                oxidiser["from_mol_l"]
            )
            weak = "peroxide_dilute" if oxidiser["group"] == "peroxide" else "oxidiser_dilute"
            found |= {oxidiser["group"]} if strong else ({weak} if oxidiser["drain"] == "no" else set())
    found |= {
        "metal_active" for solid in residue.undissolved if set(atoms_of(solid.formula) or ()) <= _METALS
    }
    for organic in residue.organics:
        if organic.percent_w_w >= TRACE_PERCENT:
            found |= _organic_groups(organic.cas)
    return frozenset(found)


def _acidity(ph: float) -> set[str]:
    if ph <= 2:
        return {"acid_strong"} if ph <= 0.5 else {"acid_dilute"}
    if ph < 6:
        return {"acid_dilute"}
    if ph >= 12.5:
        return {"base_strong"} if ph >= 13.5 else {"base_dilute"}
    return {"base_dilute"} if ph > 9 else set()


def _organic_groups(cas: str) -> set[str]:
    found = {"organic"}
    if any(row["cas"] == cas for row in rows("alcohols")):
        found.add("alcohol")
    if (flash_point_c(cas) or 1e3) < 60:
        found |= {"flammable", "solvent"}
    if _halogenated(cas):
        found.add("halogenated_organic")
    return found


def stream_for(waste: Waste, rules: WasteRules | None = None) -> tuple[Stream, str]:
    """The stream a waste belongs to, and why. What is reactive or not known goes by itself."""
    character = characterise(waste, rules)
    key, why = _special_stream(waste, character) or _organic_stream(waste) or _watery_stream(waste)
    return streams()[key], why


def _special_stream(waste: Waste, character: Characterisation) -> tuple[str, str] | None:
    groups = reactivity(waste)
    if waste.residue.unknown or not (substances(waste.residue) or waste.residue.organics or waste.groups):
        return "apart", "part of it is not known"
    if groups & _APART:
        return "apart", f"reactive: {', '.join(sorted(groups & _APART))}"
    if character.acute:
        return "apart", "acutely hazardous"
    if element_mg_per_litre(waste.residue, "Hg") > 0 or "mercury" in groups:
        return "mercury", "holds mercury"
    if groups & {"cyanide", "sulfide"}:
        if any(group.startswith("acid") for group in groups):
            return "apart", "cyanide or sulfide in acid: poisonous gas, fume cupboard"
        return "cyanide", "holds cyanide or sulfide"
    return None


def _organic_stream(waste: Waste) -> tuple[str, str] | None:
    residue, groups = waste.residue, reactivity(waste)
    oxidising = groups & _OXIDISING
    organic = _organic_percent(residue)
    if oxidising and organic >= TRACE_PERCENT:
        return "apart", "an oxidiser together with something organic"
    if _organic_percent(residue, halogenated=True) >= TRACE_PERCENT or "halogenated_organic" in groups:
        return "halogenated", "holds a halogenated solvent"
    if organic >= 50:
        return "solvents", "mostly organic"
    return ("oxidisers", "holds an oxidiser") if oxidising else None


def _watery_stream(waste: Waste) -> tuple[str, str]:
    residue = waste.residue
    keys = {barrier.key for barrier in sewer_barriers(waste)}
    if not residue.volume_ul and not residue.organics:
        pieces = residue.undissolved and all(
            len(atoms := set(atoms_of(solid.formula) or ())) == 1 and atoms <= _PIECES
            for solid in residue.undissolved
        )
        return ("metal_pieces", "clean metal") if pieces else ("solids", "a dry solid")
    if "element" in keys:
        acid = residue.ph is not None and residue.ph <= 2
        return ("metals_acid" if acid else "metals"), "holds a metal to collect"
    if any(o.percent_w_w >= TRACE_PERCENT and o.cas not in harmless_organics() for o in residue.organics):
        return "aqueous_organic", "holds organic substances in water"
    if residue.ph is not None and residue.ph < 6:
        return "acids", f"pH {residue.ph:.1f}"
    if residue.ph is not None and residue.ph > 9:
        return "bases", f"pH {residue.ph:.1f}"
    return "neutral", "salts in water"


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
    if stream.key != vessel.stream:
        reasons.append(belongs_elsewhere(stream, why))
    elif stream.key == "apart" and vessel.contents:
        reasons.append("Such waste stands by itself: start a new container.")
    if vessel.amount + amount > vessel.capacity * FULL_PERCENT // 100:
        reasons.append(f"It would be more than {FULL_PERCENT} % full: start a new one.")
    found = _reactions(waste, vessel.contents)
    reasons += [against(conflict) for conflict in found]
    return Joining(not reasons, tuple(dict.fromkeys(reasons)), found)


def _reactions(waste: Waste, contents: Collection[Waste]) -> tuple[Conflict, ...]:
    """What reacts worse than caution between the new waste and each thing in the container."""
    new, found = _as_item("new", waste), []
    for number, old in enumerate(contents):
        both = mixing_conflicts([new, _as_item(f"old {number}", old)]).unmeant
        found += [conflict for conflict in both if conflict.severity != "caution"]
    return tuple(found)


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


def waste_label(contents: Collection[Waste], started_on: date, rules: WasteRules | None = None) -> WasteLabel:
    """The words a container must bear: "Hazardous Waste", what its hazards are, and since when.

    An empty container and one whose content is not known are labelled as hazardous.
    """
    characters = [characterise(waste, rules) for waste in contents]
    hazardous = not characters or any(character.hazardous for character in characters)
    names = dict.fromkeys(
        one.name for waste in contents for one in (*substances(waste.residue), *waste.residue.organics)
    )
    names |= dict.fromkeys(f"not known: {what}" for waste in contents for what in waste.residue.unknown)
    return WasteLabel(
        "Hazardous Waste" if hazardous else "Waste for collection",
        tuple(sorted({hazard for character in characters for hazard in character.hazards})),
        tuple(names),
        started_on,
        tuple(sorted({code.code for character in characters for code in character.codes})),
        LABEL_SOURCE,
    )
