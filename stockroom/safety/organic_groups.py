"""Reactivity groups of organic matter, from its structure and how much of it there is."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

from stockroom.chemistry.structure import Structure, StructureError, read
from stockroom.safety.published import rows, words

#: per cent (w/w) from which organic matter counts as fuel and solvent, an alcohol as more than a watery one,
#: and below which nothing is said of it. Own rules: an indicator holds up to 60 % (v/v) of ethanol.
FUEL_PERCENT, ALCOHOL_PERCENT, DILUTE_PERCENT, TRACE_PERCENT = 20.0, 60.0, 2.0, 0.5
#: a liquid with more atoms than this, hydrogen aside, is an oil rather than a solvent
_SOLVENT_ATOMS = 14
_FLASH_LIMIT_C = 60.0

#: functional group -> reactivity groups of any form, from FUEL_PERCENT or as a solid
_ANY = {
    "nitrate ester": "nitro_organic explosive",
    "peroxide": "peroxide_organic",
    "azide": "azide",
    "alkyl halide": "halogenated_organic",
    "polyhalogenated": "halogenated_organic polyhalogenated",
    "acyl halide": "acid_chloride water_reactive",
    "sulfonyl halide": "acid_chloride water_reactive",
    "phosphorus halide": "acid_chloride water_reactive",
    "silicon halide": "acid_chloride water_reactive",
    "anhydride": "anhydride water_reactive",
    "isocyanate": "isocyanate water_reactive",
    "epoxide": "epoxide",
    "terminal alkyne": "acetylene unsaturated",
    "organometallic": "pyrophoric water_reactive",
    "alkoxide": "water_reactive base_strong caustic",
    "aliphatic azo": "explosive",
    "nitrite ester": "nitro_organic",
    "formaldehyde": "formaldehyde aldehyde",
    "N-halogen": "hypochlorite",
    "thiol": "thiol",
    "oxalate": "oxalate",
    "formate": "formate",
    "carbon monoxide": "gas_toxic flammable_gas",
    "carbonyl sulfide": "gas_toxic flammable_gas",
}
#: the same for small molecules: a dye among whose thirty atoms is one amine is none in the sense of the rules
_SMALL = {
    "amine": "amine",
    "aromatic amine": "amine",
    "hydrazine": "amine reducer",
    "hydroxylamine": "amine reducer",
    "urea": "amide",
    "amide": "amide",
    "sulfonamide": "amide",
}
_SMALL_ATOMS = 16
#: the same for what flows: liquids, gases and solutions
_FLOWING = {
    "aldehyde": "aldehyde",
    "ketone": "ketone",
    "alkene": "unsaturated",
    "alkyne": "unsaturated",
    "vinyl": "polymerises",
    "ester": "reducible",
    "nitrile": "reducible",
    "sulfoxide": "reducible sulfoxide",
    "organic halide": "halogenated_organic",
}
#: groups told from a trace on, for they poison or explode at any strength
#: groups told from _AMINE_PERCENT on: strong bases, and what makes acid with water
_CORROSIVE = {"acyl halide": "acid_chloride", "sulfonyl halide": "acid_chloride"}
_FROM_TRACE = {
    "cyanide": "cyanide",
    "azide": "azide",
    "peroxide": "peroxide_organic",
    "thiocyanate": "thiocyanate",
}
_DILUTE = {
    "alcohol": "alcohol_dilute",
    "ketone": "ketone_dilute",
    "aldehyde": "ketone_dilute",
    "formaldehyde": "formaldehyde ketone_dilute",
    "amine": "amine_dilute",
    "aromatic amine": "amine_dilute",
    "hydrazine": "amine_dilute",
    "urea": "amine_dilute",
    "amide": "amine_dilute",
}
#: what carbon compounds show that are organic matter: carbonates and cyanides show none of it
_ORGANIC = frozenset(
    {
        "hydrocarbon",
        "urea",
        "amide",
        "polyhalogenated",
        "organic halide",
        "nitrile",
        "isocyanate",
        "cyanamide",
    }
)
#: an acid or base with more carbon than this hardly dissolves; a molecule with more alcohol groups is a sugar
_ACID_CARBONS, _SUGAR_ALCOHOLS = 10, 3
#: carbon atoms for each charge from which a salt burns like other organic matter
_FUEL_CARBONS = 4
_AMINE_PERCENT, _PLANT_PERCENT = 2.0, 30.0


@dataclass(frozen=True)
class Known:
    """What is known of an organic substance.

    `extra` are groups that its structure does not show; `natural`: the structure only stands for a mixture.
    """

    structure: Structure
    extra: frozenset[str] = frozenset()
    natural: bool = False


@cache
def _natural() -> dict[str, dict[str, str]]:
    found = {}
    for row in rows("natural_matter"):
        found[row["name"].casefold()] = row
        if row["cas"]:
            found[row["cas"]] = row
    return found


@lru_cache(maxsize=8192)
def known(cas: str, name: str = "") -> Known | None:
    """The structure of a substance by CAS RN or name; None where nobody knows it."""
    row = _natural().get(cas) or _natural().get(name.casefold())
    smiles = row["smiles"] if row else _tabled()[cas]["smiles"] if cas in _tabled() else _library_smiles(cas)
    if not smiles:
        return None
    try:
        return Known(read(smiles), frozenset(words(row["groups"]) if row else ()), bool(row))
    except StructureError:
        return None


@cache
def _tabled() -> dict[str, dict[str, str]]:
    """Structures of what a teaching stockroom holds, so that the library's long list is seldom read."""
    return {row["cas"]: row for row in rows("structures")}


def _library_smiles(cas: str) -> str:
    found = _library(cas)
    return found.smiles or "" if found else ""


def formula_of(cas: str) -> str:
    """The formula that the library gives for a CAS RN, "" where it has none."""
    found = _library(cas)
    return found.formula or "" if found else ""


def _library(cas: str):
    if not cas:
        return None
    # Imported here: it reads a list of 70,000 compounds, and water and salts do not need it.
    from chemicals import search_chemical

    try:
        return search_chemical(cas)
    except ValueError:
        return None


@lru_cache(maxsize=8192)
def flash_point_c(cas: str) -> float | None:
    """Closed-cup flash point of a pure substance; None where it is not tabled."""
    row = _tabled().get(cas)
    if row or not cas:
        return float(row["flash_point_c"]) if row and row["flash_point_c"] else None
    from chemicals import T_flash

    kelvin = T_flash(cas)
    return None if kelvin is None else kelvin - 273.15


def is_organic(structure: Structure) -> bool:
    """Whether it is carbon matter that can be oxidised: not carbonates, cyanides and the like."""
    return bool(structure.carbons and structure.groups.keys() & _ORGANIC)


def acid_pka(structure: Structure) -> float | None:
    """pKa of its strongest acid group, roughly; None where it has none."""
    groups = structure.groups
    if "sulfonic acid" in groups:
        return -2.0
    if structure.carbons > _ACID_CARBONS or groups.get("carboxylic acid", 0) <= groups.get("amine", 0) > 0:
        return None
    if "carboxylic acid" not in groups:
        return 0.4 if groups.get("nitro", 0) >= 3 and "phenol" in groups else None
    if groups.get("organic fluoride", 0) >= 3:
        return 0.3
    if "polyhalogenated" in groups:
        return 0.7
    if "oxalate" in groups:
        return 1.25
    return 3.75 if "formate" in groups else 4.5


def groups(substance: Known, cas: str, percent: float, form: str) -> Iterator[tuple[str, str]]:
    """(reactivity group, why) of `percent` (w/w) of an organic substance in something of this form."""
    structure = substance.structure
    if not is_organic(structure):
        return
    if substance.natural:
        yield from _natural_groups(substance, percent, form)
        return
    for name, found in _FROM_TRACE.items():
        if name in structure.groups and percent >= TRACE_PERCENT:
            yield from ((word, name) for word in words(found))
    if percent >= FUEL_PERCENT:
        yield from _full(substance, cas, percent, form)
    elif percent >= TRACE_PERCENT:
        yield from _watery(structure, percent)
        if percent >= _AMINE_PERCENT:
            yield from _named(structure, _CORROSIVE)
            yield from _nitrogenous(structure)


def _natural_groups(substance: Known, percent: float, form: str) -> Iterator[tuple[str, str]]:
    """Of a mixture or polymer: that it burns, and what is known of it."""
    if percent >= _PLANT_PERCENT:
        yield "organic", "organic matter"
        yield from ((word, "by its kind") for word in substance.extra)
        if form != "solid" and "alkene" in substance.structure.groups:
            yield "unsaturated", "alkene"
    elif percent >= DILUTE_PERCENT:
        yield "organic_dilute", "organic matter, dilute"


def _watery(structure: Structure, percent: float) -> Iterator[tuple[str, str]]:
    sugar = structure.groups.get("alcohol", 0) >= _SUGAR_ALCOHOLS or acid_pka(structure) is not None
    for name, found in () if sugar else _DILUTE.items():
        if name in structure.groups:
            yield from ((word, f"{name}, dilute") for word in words(found))
    if percent >= DILUTE_PERCENT:
        yield "organic_dilute", "organic matter, dilute"


def _full(substance: Known, cas: str, percent: float, form: str) -> Iterator[tuple[str, str]]:
    structure = substance.structure
    if form == "solid" or acid_pka(structure) is None:
        yield "organic", "organic matter"  # liquid acids have rules of their own
    yield from _named(structure, _ANY)
    yield from _nitrated(structure)
    yield from _nitrogenous(structure)
    if _is_picric(structure):
        yield "picric", "a phenol with three nitro groups"
    if form != "solid":
        yield from _named(structure, _FLOWING)
        yield from _hydroxy(structure, percent)
        yield from _solvent(structure, cas, percent, form)
    yield from _peroxide_former(structure, cas)


def _nitrogenous(structure: Structure) -> Iterator[tuple[str, str]]:
    if structure.heavy_atoms > _SMALL_ATOMS:
        return
    yield from _named(structure, _SMALL)
    if "amine" in structure.groups and not structure.groups.keys() & {"alcohol", "carboxylic acid"}:
        yield "amine_strong", "an amine as strong a base as ammonia"


def _named(structure: Structure, table: dict[str, str]) -> Iterator[tuple[str, str]]:
    for name, found in table.items():
        if name in structure.groups:
            yield from ((word, name) for word in words(found))


def _nitrated(structure: Structure) -> Iterator[tuple[str, str]]:
    """A dye with one nitro group among thirty atoms is no nitro compound in the sense of the rules."""
    if structure.groups.get("nitro", 0) * 12 >= structure.heavy_atoms:
        yield "nitro_organic", "nitro group"
    if structure.groups.get("nitro", 0) >= 3:
        yield "explosive", "three nitro groups"
    if "phenol" in structure.groups and structure.heavy_atoms <= 9:
        yield "phenol", "phenol"


def _is_picric(structure: Structure) -> bool:
    return "phenol" in structure.groups and structure.groups.get("aromatic nitro", 0) >= 3


def _hydroxy(structure: Structure, percent: float) -> Iterator[tuple[str, str]]:
    count = structure.groups.get("alcohol", 0)
    if not count or "amine" in structure.groups or "carboxylic acid" in structure.groups:
        return
    if count >= 2:
        yield "glycerol", "two or more alcohol groups"
    elif percent >= ALCOHOL_PERCENT:
        yield "alcohol", "alcohol"
    else:
        yield "alcohol_dilute", "alcohol, with water"


def _solvent(structure: Structure, cas: str, percent: float, form: str) -> Iterator[tuple[str, str]]:
    flash = flash_point_c(cas)
    if flash is not None and flash < _FLASH_LIMIT_C:
        yield "flammable", f"flash point {flash:.0f} °C"
    acid = acid_pka(structure) is not None or "anhydride" in structure.groups
    small = structure.heavy_atoms <= _SOLVENT_ATOMS
    if (
        form == "liquid"
        and percent >= ALCOHOL_PERCENT
        and small
        and not acid
        and structure.groups.get("alcohol", 0) < 2
    ):
        yield "solvent", "an organic liquid"
    if form == "gas":
        yield "flammable_gas", "an organic gas"


def _peroxide_former(structure: Structure, cas: str) -> Iterator[tuple[str, str]]:
    listed = any(row["cas"] == cas for row in rows("peroxide_formers"))
    simple = "alpha ether" in structure.groups and structure.heavy_atoms <= _SOLVENT_ATOMS
    if listed or (simple and not structure.groups.keys() & {"alcohol", "carboxylic acid", "phenol"}):
        yield "peroxide_former", "makes peroxides in air"
