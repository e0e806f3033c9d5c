"""What a formula is made of, for the reactivity rules: known molecules, metals, or ions.

More ions than the equilibrium follows: whatever has a rule of its own (tables/reactive_species.csv). A salt
is split by its atoms, so that any pairing of known ions is known, however it is written.
"""

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from itertools import combinations

from stockroom.chemistry.formula import Formula, FormulaError, parse_formula
from stockroom.chemistry.species import ions as followed_ions
from stockroom.chemistry.species import solve_exact
from stockroom.safety.published import rows, words

#: how many kinds of positive and of negative ions a formula is tried with, in this order
_KINDS = ((1, 0), (0, 1), (1, 1), (2, 1), (1, 2))
#: molecules while they are dry, salts with crystal water or dissolved
_SALTS_WITH_WATER = frozenset({"AlCl3", "AlBr3", "ZnCl2"})
_NOT_WITH_AMMONIUM = frozenset({"NH2-", "H-", "C2-2", "C-4", "N-3", "P-3", "O-2", "Si-4"})
_NO_ACID = frozenset({"O2-2"})
_NONMETALS = frozenset({"H", "B", "C", "N", "O", "F", "Si", "P", "S", "Cl", "Se", "Br", "I"})


@dataclass(frozen=True)
class Block:
    """An ion, a molecule or a metal, and what it brings.

    `always`, `strong`, `weak`: reactivity groups from a trace, from `strong_from` mol/L (or as a solid), and
    below that. `pka_acid`: of the acid that its hydrogen form is; of an aqua ion that loses a hydrogen ion.
    `pka_base`: of
    the acid that it becomes as a base. `written`: spellings of which one must stand in name or formula,
    where the atoms alone could be something else. `potential_v`: standard potential of a metal.
    """

    formula: str
    kind: str
    name: str
    always: frozenset[str] = frozenset()
    strong: frozenset[str] = frozenset()
    strong_from: float = 0.0
    weak: frozenset[str] = frozenset()
    pka_acid: float | None = None
    pka_base: float | None = None
    written: tuple[str, ...] = ()
    potential_v: float | None = None
    charge: int = 0


def _number(cell: str) -> float | None:
    return float(cell) if cell else None


@cache
def _blocks() -> tuple[tuple[Block, tuple[tuple[str, int], ...]], ...]:
    """Every block with its atoms, sorted by symbol."""
    found = []
    for row in rows("reactive_species"):
        parsed = parse_formula(row["formula"])
        block = Block(
            row["formula"],
            row["kind"],
            row["name"],
            frozenset(words(row["always"])),
            frozenset(words(row["strong"])),
            float(row["strong_from"] or 0),
            frozenset(words(row["weak"])),
            _number(row["pka_acid"]),
            _number(row["pka_base"]),
            tuple(row["written"].split("|")) if row["written"] else (),
            charge=parsed.charge,
        )
        found.append((block, _key(parsed.atoms)))
    known = {block.formula for block, _ in found}
    for ion in followed_ions().values():
        if ion.formula not in known and ion.charge:
            carbon = frozenset({"organic_salt"} if {"C", "H"} <= ion.atoms.keys() else ())
            extra = Block(ion.formula, "ion", ion.name, carbon, written=ion.spellings, charge=ion.charge)
            found.append((extra, _key(ion.atoms)))
    for row in rows("metals"):
        metal = Block(row["symbol"], "metal", row["name"], potential_v=float(row["potential_v"]))
        found.append((metal, ((row["symbol"], 1),)))
    return tuple(found)


def _key(atoms) -> tuple[tuple[str, int], ...]:
    return tuple(sorted(atoms.items()))


@cache
def _neutral() -> dict[tuple[tuple[str, int], ...], Block]:
    return {atoms: block for block, atoms in _blocks() if block.kind != "ion"}


@cache
def _ions() -> tuple[tuple[Block, dict[str, int]], ...]:
    return tuple((block, dict(atoms)) for block, atoms in _blocks() if block.kind == "ion")


@cache
def by_formula(formula: str) -> Block:
    """The block of exactly this formula in the table. Raises KeyError."""
    return {block.formula: block for block, _ in _blocks()}[formula]


@lru_cache(maxsize=8192)
def blocks_of(
    formula: str, name: str = "", dissolved: bool = False
) -> tuple[tuple[Block, float], ...] | None:
    """The blocks of a formula unit with their counts, crystal water as H2O; None where it is not understood.

    `dissolved`: what hydrolyses is then told by its ions.

    >>> [(block.formula, count) for block, count in blocks_of("Ca(OCl)2")]
    [('Ca+2', 1.0), ('ClO-', 2.0)]
    """
    try:
        parsed = parse_formula(formula)
    except FormulaError:
        return None
    written = f"{name} {formula}"
    total: dict[Block, float] = {}
    for coefficient, counts in parsed.parts:
        atoms = Counter()
        for symbol, count in counts:
            atoms[symbol] += count
        found = _part(dict(atoms), parsed, written, dissolved)
        if found is None:
            return None
        for block, count in found:
            total[block] = total.get(block, 0.0) + float(coefficient) * count
    return tuple(total.items())


def _part(
    atoms: dict, parsed: Formula, written: str, dissolved: bool
) -> tuple[tuple[Block, float], ...] | None:
    """What stands between two dots of a formula."""
    charge = parsed.charge if len(parsed.parts) == 1 else 0
    return (
        _whole(atoms, charge, bool(parsed.water) or dissolved, written)
        or _split(atoms, charge, written)
        or _double(atoms, charge, written)
    )


def _whole(atoms: dict, charge: int, wet: bool, written: str) -> tuple[tuple[Block, float], ...] | None:
    """A molecule, an element or a metal, where the charge is nought."""
    if charge:
        return None
    block = _neutral().get(_key(atoms))
    if block is None and len(atoms) == 1:
        block = _neutral().get(((next(iter(atoms)), 1),))
    if block is None or not _is_meant(block, written):
        return None
    return None if wet and block.formula in _SALTS_WITH_WATER else ((block, 1.0),)


def _is_meant(block: Block, written: str) -> bool:
    if not block.written:
        return True
    return any(word in written or word in written.casefold() for word in block.written)


def _split(atoms: dict, charge: int, written: str) -> tuple[tuple[Block, float], ...] | None:
    """Ions that give exactly these atoms and this charge, fewest kinds first."""
    here = [one for one in _ions() if one[1].keys() <= atoms.keys() and _is_meant(one[0], written)]
    if _is_molecular(atoms, here):
        return None
    plus = [one for one in here if one[0].charge > 0]
    minus = [one for one in here if one[0].charge < 0]
    for positive, negative in _KINDS:
        for left in combinations(plus, positive):
            for right in combinations(minus, negative):
                if found := _fitting((*left, *right), atoms, charge):
                    return found
    return None


def _is_molecular(atoms: dict, here: list) -> bool:
    """Carbon with hydrogen, neither with a metal nor in the ions of an organic salt."""
    metal = any(block.charge > 0 and block.formula not in ("H+", "NH4+") for block, _ in here)
    return (
        {"C", "H"} <= atoms.keys()
        and not metal
        and not any({"C", "H"} <= parts.keys() for _, parts in here)
        and (atoms["C"] > 1 or "S" not in atoms and atoms.get("O", 0) < 3 and "N" in atoms)
    )


def _fitting(combination, atoms: dict, charge: int) -> tuple[tuple[Block, float], ...] | None:
    blocks, parts = zip(*combination, strict=True)
    if set().union(*parts) != atoms.keys():
        return None
    names = {block.formula for block in blocks}
    if "H+" in names and not all(map(_takes_hydrogen, blocks)):
        return None
    if "NH4+" in names and names & _NOT_WITH_AMMONIUM:
        return None
    counts = _counts(parts, [block.charge for block in blocks], atoms, charge)
    return counts and tuple((block, float(n)) for block, n in zip(blocks, counts, strict=True))


def _takes_hydrogen(block: Block) -> bool:
    """Whether an ion makes an acid with hydrogen ions that can be told from its atoms alone."""
    return block.charge > 0 or (block.pka_acid is not None and block.formula not in _NO_ACID)


def _counts(parts: tuple[dict, ...], charges: list[int], atoms: dict, charge: int) -> list[Fraction] | None:
    lines = [[*(Fraction(one.get(s, 0)) for one in parts), Fraction(atoms[s])] for s in atoms]
    lines.append([*(Fraction(one) for one in charges), Fraction(charge)])
    counts = solve_exact(lines, len(parts))
    if counts is None or any(count <= 0 or count.denominator > 1 for count in counts):
        return None
    return counts


def _double(atoms: dict, charge: int, written: str) -> tuple[tuple[Block, float], ...] | None:
    """What is a salt with a molecule: an ammine, or sodium carbonate with hydrogen peroxide."""
    if atoms.keys() <= _NONMETALS:
        return None
    for formula, unit in (("NH3", {"N": 1, "H": 3}), ("H2O2", {"H": 2, "O": 2})):
        most = min((atoms.get(symbol, 0) // count for symbol, count in unit.items()), default=0)
        for times in range(int(most), 0, -1):
            rest = Counter(atoms)
            rest.subtract({symbol: count * times for symbol, count in unit.items()})
            left = {symbol: count for symbol, count in rest.items() if count}
            found = _split(left, charge, written) if left else None
            if found:
                return (*found, (by_formula(formula), float(times)))
    return None
