"""What a formula means in water: which ions it brings, or that it takes no part.

Read from `tables/ions.csv` and `tables/substances.csv`. A salt, acid or base is split into ions of the
table by its atoms, so that any pairing of known ions is known.
"""

import re
from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, cached_property
from itertools import combinations

from stockroom.chemistry.formula import Formula, FormulaError, parse_formula
from stockroom.chemistry.published import table

ELECTROLYTE, ORGANIC, DYE, METAL, INSOLUBLE, GAS, UNFOLLOWED, UNKNOWN = (
    "electrolyte",
    "organic",
    "dye",
    "metal",
    "insoluble",
    "gas",
    "unfollowed",
    "unknown",
)
_HYDRATE = re.compile(r"\s+(mono|hemi|sesqui|di|tri|tetra|penta|hexa|hepta|octa|nona|deca|dodeca)?hydrate$")
_DRY, _SYMBOL = re.compile(r"\s*[·•∙⋅*.]\s*[0-9./]*\s*H2O$"), re.compile(r"[A-Z][a-z]?")
# The same matter in terms of fewer ions, so that amounts of it can be told however it was written.
_SIMPLER = {
    "OH-": {"H2O": 1, "H+": -1},
    "O-2": {"H2O": 1, "H+": -2},
    "HS-": {"S-2": 1, "H+": 1},
    "HCO3-": {"CO3-2": 1, "H+": 1},
    "HSO4-": {"SO4-2": 1, "H+": 1},
    "HSO3-": {"SO3-2": 1, "H+": 1},
    "S2O5-2": {"SO3-2": 2, "H+": 2, "H2O": -1},
    "HPO4-2": {"PO4-3": 1, "H+": 1},
    "H2PO4-": {"PO4-3": 1, "H+": 2},
    "Cr2O7-2": {"CrO4-2": 2, "H+": 2, "H2O": -1},
    "B4O7-2": {"H3BO3": 4, "H+": -2, "H2O": -5},
    "BO2-": {"H3BO3": 1, "H+": -1, "H2O": -1},
    "B(OH)4-": {"H3BO3": 1, "H2O": 1, "H+": -1},
    "AlO2-": {"Al+3": 1, "H+": -4, "H2O": 2},
    "HC2O4-": {"C2O4-2": 1, "H+": 1},
    "HC4H4O6-": {"C4H4O6-2": 1, "H+": 1},
    "HC7H4O3-": {"C7H4O3-2": 1, "H+": 1},
    "HC8H4O4-": {"C8H4O4-2": 1, "H+": 1},
}


@dataclass(frozen=True)
class Ion:
    """A charged or neutral building block. `engine` is its make-up in the beaker database's own elements.

    spellings: for an organic ion, what a name or formula must hold to mean it, since its atoms have isomers.
    role: "oxidiser", "mild oxidiser", "reducer" or "". colour: of its dilute solution, "" where colourless.
    """

    formula: str
    charge: int
    engine: tuple[tuple[str, float], ...]
    name: str
    role: str
    atoms: dict[str, int]
    colour: str
    spellings: tuple[str, ...]


@dataclass(frozen=True)
class Identity:
    """How one substance is treated.

    ions: (ion formula, count) in one formula unit, water of crystallisation as H2O; counts may be negative
    (carbon dioxide is carbonate and two hydrogen ions less one water). kind: one of the constants above.
    note: why it is left out or what to know, "" if nothing.
    """

    name: str
    formula: str
    cas: str
    kind: str
    ions: tuple[tuple[str, int | Fraction], ...] = ()
    note: str = ""

    @property
    def remark(self) -> str:
        """The note with the name before it."""
        return self.note if self.name in self.note else f"{self.name}: {self.note}"

    @cached_property
    def brings(self) -> tuple[tuple[str, float], ...]:
        """The ions of a formula unit in terms of the fewest ions, with their counts.

        >>> identify("Ca(OH)2").brings
        (('Ca+2', 1.0), ('H2O', 2.0), ('H+', -2.0))
        """
        total: dict[str, float] = {}
        for ion, count in self.ions:
            for part, number in simplest(ion).items():
                total[part] = total.get(part, 0.0) + float(count) * number
        return tuple(total.items())


@cache
def ions() -> dict[str, Ion]:
    """All known ions by formula, such as "SO4-2"."""
    return {row[0]: _ion(*row) for row in table("ions.csv")}


def _ion(formula, charge, atoms, engine, name, role, colour, spellings) -> Ion:
    # Atoms and engine are written out, so that starting up reads no formulas; a test compares them.
    return Ion(
        formula,
        int(charge),
        tuple((part, float(count)) for part, count in parse_ions(engine)),
        name,
        role,
        dict(parse_ions(atoms)),
        colour,
        (re.sub(r"[-+]\d*$", "", formula), *spellings.split("|")) if spellings else (),
    )


@cache
def _substances() -> tuple[dict[str, tuple[str, ...]], dict[str, tuple[str, ...]]]:
    """Rows of listed substances by name or CAS RN in small letters, and by formula as written."""
    names: dict[str, tuple[str, ...]] = {}
    formulas: dict[str, tuple[str, ...]] = {}
    for row in map(tuple, table("substances.csv")):
        name, aliases, formula, cas, kind, *_ = row
        spellings = aliases.split("|") if aliases else []
        for word in (name, cas, *spellings):
            names[word.casefold()] = row
        # An organic formula has isomers: only the spellings listed as aliases mean this one.
        if kind in (METAL, INSOLUBLE, GAS, UNFOLLOWED):
            spellings.append(formula)
        formulas |= dict.fromkeys(spellings, row)
    names.pop("", None)
    return names, formulas


@cache
def _listed(row: tuple[str, ...]) -> Identity:
    name, _, formula, cas, kind, split, note = row
    return Identity(name, formula, cas, kind, parse_ions(split), note)


def parse_ions(text: str) -> tuple[tuple[str, int | Fraction], ...]:
    """Ions and counts from a table's cell, "Mg+2:1;OH-:2"; a count of one may be left out."""
    found = []
    for part in text.split(";"):
        if part:
            ion, _, count = part.partition(":")
            found.append((ion, int(count or 1) if "." not in count and "/" not in count else Fraction(count)))
    return tuple(found)


def simplest(ion: str) -> dict[str, int]:
    """An ion in terms of the fewest ions: hydroxide is water less a hydrogen ion.

    >>> simplest("HCO3-"), simplest("Cu+2")
    ({'CO3-2': 1, 'H+': 1}, {'Cu+2': 1})
    """
    return _SIMPLER.get(ion, {ion: 1})


@cache
def identify(formula: str = "", name: str = "", cas: str = "") -> Identity:
    """What a substance does in water, looked for by CAS RN, by name, by formula as written, then by atoms.

    Never raises: a substance that is not understood comes back with kind "unknown" and a note.

    >>> [(ion, int(n)) for ion, n in identify("CuSO4·5H2O").ions]
    [('Cu+2', 1), ('SO4-2', 1), ('H2O', 5)]
    """
    names, formulas = _substances()
    if found := names.get(cas) or names.get(name.casefold()) or formulas.get(formula):
        return _watered(_listed(found), formula)
    label = name or formula or cas or "something without a name"
    if not formula:
        return Identity(label, "", cas, UNKNOWN, note=f"{label}: give its formula to have it followed")
    try:
        parsed = parse_formula(formula)
    except FormulaError as error:
        return Identity(label, formula, cas, UNKNOWN, note=str(error))
    if parsed.state:
        return identify(formula[: formula.rindex("(")].strip(), name, cas)
    base = names.get(_HYDRATE.sub("", name.casefold()))
    if base and parsed.water:
        dry = _listed(base)
        return Identity(name, formula, cas, dry.kind, (*dry.ions, ("H2O", parsed.water)), dry.note)
    written = f"{name} {formula}"
    split = _split(Counter(parsed.atoms), parsed.water, parsed.charge, written) or _ammine(parsed, written)
    if split is None:
        note = f"{label} is not among the substances the equilibrium table knows"
        return Identity(label, formula, cas, UNKNOWN, note=note)
    return Identity(label, formula, cas, ELECTROLYTE, split)


@cache
def classroom_meaning(formula: str) -> Identity:
    """The substance that a class means by a formula: `identify`, then the listed isomer.

    A sum formula such as C6H8O7, in which every element stands once, has isomers; the first substance of the
    table with these atoms is taken, water of crystallization aside, and a salt of an organic ion is split
    without its name. For amounts told by formula alone; a label, which has a name, is not guessed at.

    >>> [classroom_meaning(text).name for text in ("C6H8O7·H2O", "KC8H5O4", "HCOOCH3")]
    ['citric acid', 'potassium hydrogenphthalate', 'HCOOCH3']
    """
    found = identify(formula)
    if found.kind != UNKNOWN:
        return found
    try:
        parsed = parse_formula(formula)
    except FormulaError:
        return found
    dry = _DRY.sub("", formula)
    listed = _substances()[1].get(dry) or (_by_atoms().get(_key(parsed)) if _is_sum(dry) else None)
    if listed:
        return _watered(_listed(listed), formula)
    every = " ".join(word for ion in ions().values() for word in ion.spellings)
    split = _split(Counter(parsed.atoms), parsed.water, parsed.charge, every) if _is_sum(dry) else None
    if split is None:
        return found
    name = " ".join(ions()[ion].name.removesuffix(" ion") for ion, _ in split if ion not in ("H+", "H2O"))
    return Identity(name, formula, "", ELECTROLYTE, split)


def _watered(dry: Identity, formula: str) -> Identity:
    """A listed substance with the water of crystallization that its formula on the bottle tells of."""
    if dry.kind != ELECTROLYTE or "H2O" not in formula or formula == dry.formula or not _DRY.search(formula):
        return dry
    return replace(dry, ions=(*dry.ions, ("H2O", parse_formula(formula).water)))


def _is_sum(dry: str) -> bool:
    symbols = _SYMBOL.findall(dry)
    return len(symbols) == len(set(symbols)) and "(" not in dry


def _key(parsed: Formula) -> frozenset[tuple[str, int]]:
    atoms = Counter(parsed.atoms)
    atoms.subtract({"H": 2 * parsed.water, "O": parsed.water})
    return frozenset((symbol, int(count)) for symbol, count in atoms.items() if count)


@cache
def _by_atoms() -> dict[frozenset[tuple[str, int]], tuple[str, ...]]:
    """Rows of organic substances by their atoms, acids and bases first."""
    rows = [row for row in map(tuple, table("substances.csv")) if row[2] and row[4] in (ELECTROLYTE, ORGANIC)]
    rows.sort(key=lambda row: row[4] != ELECTROLYTE)
    found: dict[frozenset[tuple[str, int]], tuple[str, ...]] = {}
    for row in rows:
        parsed = parse_formula(row[2])
        if "C" in parsed.atoms and not parsed.water and _is_sum(row[2]):
            found.setdefault(_key(parsed), row)
    return found


def _ammine(parsed: Formula, written: str) -> tuple[tuple[str, Fraction], ...] | None:
    """The ions of a complex with ammonia, such as Cu(NH3)4+2; ammonia is ammonium less a hydrogen ion."""
    count = parsed.atoms.get("N", 0)
    if not count or parsed.atoms.get("H", 0) < 3 * count:
        return None
    rest = Counter(parsed.atoms)
    rest.subtract({"N": count, "H": 3 * count})
    split = _split(rest, parsed.water, parsed.charge, written)
    return None if split is None else (*split, ("NH4+", count), ("H+", -count))


def _split(atoms: Counter, water, charge: int, written: str) -> tuple[tuple[str, Fraction], ...] | None:
    """The ions of a formula unit, fewest kinds first; None where no pairing fits."""
    atoms["H"] -= 2 * water
    atoms["O"] -= water
    atoms = {symbol: count for symbol, count in atoms.items() if count}
    hydrate = (("H2O", water),) if water else ()
    possible = [
        ion for ion in ions().values() if ion.atoms.keys() <= atoms.keys() and _is_meant(ion, written)
    ]
    for size in (1, 2, 3):
        for combination in combinations(possible, size):
            if counts := _counts(combination, atoms, charge):
                return tuple(zip((ion.formula for ion in combination), counts, strict=True)) + hydrate
    return hydrate if hydrate and not atoms else None


def _is_meant(ion: Ion, written: str) -> bool:
    if not ion.spellings:
        return True
    return any(word in written or word in written.casefold() for word in ion.spellings)


def _counts(combination, atoms, charge) -> list[Fraction] | None:
    """Positive whole counts of each ion that give exactly these atoms and this charge, if there are such."""
    if not charge and len({ion.charge > 0 for ion in combination}) == 1 and combination[0].charge:
        return None
    if len(combination) > 1 and not all(ion.charge for ion in combination):
        return None  # a neutral molecule within a salt is something else: a complex, an ester
    if set().union(*(ion.atoms for ion in combination)) != atoms.keys():
        return None
    rows = [
        [*(Fraction(ion.atoms.get(symbol, 0)) for ion in combination), Fraction(atoms[symbol])]
        for symbol in atoms
    ]
    rows.append([*(Fraction(ion.charge) for ion in combination), Fraction(charge)])
    counts = solve_exact(rows, len(combination))
    if counts is None or any(count <= 0 or count.denominator > 1 for count in counts):
        return None
    return None if _has_isomers(combination) else counts


def _has_isomers(combination) -> bool:
    """A carbon acid made of nothing but hydrogen ions and an organic ion has isomers: not to be guessed."""
    positive = {ion.formula for ion in combination if ion.charge > 0}
    organic = any(ion.spellings for ion in combination)
    return len(combination) > 1 and organic and positive == {"H+"}


def solve_exact(rows: list[list[Fraction]], unknowns: int) -> list[Fraction] | None:
    """The one solution of linear equations (last column the right side), or None if none or many."""
    rows = [row[:] for row in rows]
    for column in range(unknowns):
        pivot = next((i for i in range(column, len(rows)) if rows[i][column]), None)
        if pivot is None:
            return None
        rows[column], rows[pivot] = rows[pivot], rows[column]
        head = rows[column][column]
        rows[column] = [value / head for value in rows[column]]
        for i, row in enumerate(rows):
            if i != column and row[column]:
                factor = row[column]
                rows[i] = [value - factor * base for value, base in zip(row, rows[column], strict=True)]
    if any(row[-1] for row in rows[unknowns:]):
        return None
    return [rows[i][-1] for i in range(unknowns)]
