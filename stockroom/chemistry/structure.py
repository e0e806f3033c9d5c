"""Functional groups of a compound, read from its structure as a SMILES line.

A line is read into atoms and bonds, and each group is a small question about an atom and its neighbours.
SMILES as in the OpenSMILES specification, version 1.0 (2016); stereo marks are read over.
"""

import re
from collections import deque
from dataclasses import dataclass, field
from functools import lru_cache

_TOKEN = re.compile(
    r"\[(?P<bracket>[^\]]+)\]|(?P<organic>Cl|Br|[BCNOPSFI]|[bcnops])|(?P<bond>[-=#$:/\\])"
    r"|(?P<ring>%\d\d|\d)|(?P<other>[().])"
)
_BRACKET = re.compile(
    r"(?P<isotope>\d+)?(?P<symbol>[A-Z][a-z]?|[bcnops]|se|as)(?P<chiral>@@?(?:(?:TH|AL|SP|TB)\d+)?)?"
    r"(?:H(?P<hydrogens>\d*))?(?P<charge>\+\d+|-\d+|\++|-+)?(?::\d+)?$"
)
_ORDER = {"-": 1, "/": 1, "\\": 1, "=": 2, "#": 3, "$": 4, ":": 1}
_VALENCES = {"B": (3,), "C": (4,), "N": (3, 5), "O": (2,), "P": (3, 5), "S": (2, 4, 6)}
_HALOGENS = frozenset({"F", "Cl", "Br", "I"})
_NONMETALS = _HALOGENS | {"H", "B", "C", "N", "O", "P", "S", "Si", "Se", "As", "Te"}
MAX_ATOMS = 400


class StructureError(ValueError):
    """A line that is no SMILES, or too long to be read."""


@dataclass
class _Atom:
    symbol: str
    charge: int = 0
    hydrogens: int = -1
    aromatic: bool = False
    bonds: list[tuple[int, int]] = field(default_factory=list)


@dataclass(frozen=True)
class Structure:
    """Functional groups with how often each is there, and single-atom ions ("Na+": symbol and charge)."""

    groups: dict[str, int]
    ions: tuple[tuple[str, int], ...]
    carbons: int
    heavy_atoms: int


@lru_cache(maxsize=4096)
def read(smiles: str) -> Structure:
    """The functional groups of a SMILES line.

    >>> sorted(read("CC(=O)OC1=CC=CC=C1C(=O)O").groups)
    ['aromatic', 'carboxylic acid', 'ester', 'hydrocarbon']

    Raises StructureError.
    """
    atoms = _parsed(smiles)
    _mark_aromatic(atoms)
    found: dict[str, int] = {}
    for number in range(len(atoms)):
        for name in _of_atom(_View(atoms, number)):
            found[name] = found.get(name, 0) + 1
    ions = tuple((atom.symbol, atom.charge) for atom in atoms if not atom.bonds and atom.charge)
    carbons = sum(atom.symbol == "C" for atom in atoms)
    return Structure(found, ions, carbons, len(atoms))


# --- reading a line


def _parsed(smiles: str) -> list[_Atom]:
    atoms: list[_Atom] = []
    stack: list[int | None] = []
    rings: dict[str, tuple[int, int]] = {}
    at, last, order = 0, None, 0
    while at < len(smiles):
        match = _TOKEN.match(smiles, at)
        if not match or len(atoms) > MAX_ATOMS:
            raise StructureError(f"“{smiles[:40]}” is not a structure that can be read")
        at = match.end()
        if match["bond"]:
            order = _ORDER[match["bond"]]
        elif match["ring"]:
            _close(atoms, rings, match["ring"], last, order)
            order = 0
        elif match["other"]:
            last = _branch(match["other"], stack, last)
        else:
            atoms.append(_atom(match))
            if last is not None:
                _bind(atoms, last, len(atoms) - 1, order or 1)
            last, order = len(atoms) - 1, 0
    if rings:
        raise StructureError("a ring is not closed")
    _fill_hydrogens(atoms)
    return atoms


def _branch(sign: str, stack: list[int | None], last: int | None) -> int | None:
    if sign == "(":
        stack.append(last)
        return last
    if sign == ")" and stack:
        return stack.pop()
    return None


def _bind(atoms: list[_Atom], one: int, other: int, order: int) -> None:
    atoms[one].bonds.append((other, order))
    atoms[other].bonds.append((one, order))


def _close(atoms, rings, label, last, order) -> None:
    if last is None:
        raise StructureError("a ring number stands before any atom")
    if label in rings:
        other, first = rings.pop(label)
        _bind(atoms, other, last, order or first or 1)
    else:
        rings[label] = (last, order)


def _atom(match: re.Match) -> _Atom:
    if match["organic"]:
        symbol = match["organic"]
        return _Atom(symbol.capitalize(), aromatic=symbol.islower())
    inner = _BRACKET.match(match["bracket"])
    if not inner:
        raise StructureError(f"[{match['bracket'][:20]}] is not an atom")
    symbol, hydrogens = inner["symbol"], inner["hydrogens"]
    count = 0 if hydrogens is None else int(hydrogens or 1)
    return _Atom(symbol.capitalize(), _charge(inner["charge"]), count, symbol.islower())


def _charge(text: str | None) -> int:
    if not text:
        return 0
    size = int(text[1:]) if text[1:].isdigit() else len(text)
    return size if text[0] == "+" else -size


def _fill_hydrogens(atoms: list[_Atom]) -> None:
    for atom in atoms:
        if atom.hydrogens >= 0:
            continue
        used = sum(order for _, order in atom.bonds) + atom.aromatic
        room = [valence for valence in _VALENCES.get(atom.symbol, (1,)) if valence >= used]
        atom.hydrogens = room[0] - used if room else 0


# --- aromatic rings, which the lines write with double bonds


def _mark_aromatic(atoms: list[_Atom]) -> None:
    rings = [ring for ring in _small_rings(atoms) if _may_be_aromatic(atoms, ring)]
    members = set().union(*rings) if rings else set()
    for ring in rings:
        if _electrons(atoms, ring, members) in (6, 10):
            for number in ring:
                atoms[number].aromatic = True


def _small_rings(atoms: list[_Atom]) -> set[frozenset[int]]:
    """Rings of five and six: for each bond the shortest way around it."""
    found = set()
    for one, atom in enumerate(atoms):
        for other, _ in atom.bonds:
            if one < other and (path := _way_round(atoms, one, other)):
                found.add(frozenset(path))
    return {ring for ring in found if len(ring) in (5, 6)}


def _way_round(atoms: list[_Atom], start: int, end: int) -> list[int] | None:
    before = {start: None}
    queue = deque([(start, 0)])
    while queue:
        here, far = queue.popleft()
        if here == end:
            path = []
            while here is not None:
                path.append(here)
                here = before[here]
            return path
        for other, _ in atoms[here].bonds:
            if other not in before and far < 5 and {here, other} != {start, end}:
                before[other] = here
                queue.append((other, far + 1))
    return None


def _may_be_aromatic(atoms: list[_Atom], ring: frozenset[int]) -> bool:
    return all(
        atoms[n].aromatic
        or any(order == 2 for _, order in atoms[n].bonds)
        or (len(ring) == 5 and atoms[n].symbol in ("N", "O", "S"))
        for n in ring
    )


def _electrons(atoms: list[_Atom], ring: frozenset[int], members: set[int]) -> int:
    total = 0
    for number in ring:
        atom = atoms[number]
        double = [other for other, order in atom.bonds if order == 2]
        if atom.aromatic or (double and double[0] in members):
            total += 1
        elif not double:
            total += 2
        else:
            return 0  # a double bond that points out of the ring: a quinone, not an arene
    return total


# --- groups


class _View:
    """One atom and its neighbours."""

    def __init__(self, atoms: list[_Atom], number: int):
        self.atoms, self.number, self.atom = atoms, number, atoms[number]

    def near(self, symbol: str = "", order: int = 0) -> list["_View"]:
        return [
            _View(self.atoms, other)
            for other, bond in self.atom.bonds
            if (not symbol or self.atoms[other].symbol == symbol) and (not order or bond == order)
        ]

    @property
    def symbol(self) -> str:
        return self.atom.symbol

    @property
    def hydrogens(self) -> int:
        return self.atom.hydrogens

    @property
    def degree(self) -> int:
        return len(self.atom.bonds)

    def others(self, *without: "_View") -> list["_View"]:
        numbers = {view.number for view in without}
        return [view for view in self.near() if view.number not in numbers]

    @property
    def is_carbonyl(self) -> bool:
        return self.symbol == "C" and bool(self.near("O", 2) or self.near("S", 2))

    @property
    def near_carbonyl(self) -> bool:
        return any(one.is_carbonyl for one in self.near("C"))

    @property
    def is_saturated(self) -> bool:
        return not self.atom.aromatic and all(order == 1 for _, order in self.atom.bonds)


def _of_atom(view: _View) -> list[str]:
    reader = _READERS.get(view.symbol)
    if reader:
        return list(reader(view))
    if view.symbol in _HALOGENS:
        return list(_halogen(view))
    if view.symbol not in _NONMETALS and any(one.symbol == "C" for one in view.near()):
        return ["organometallic"]
    return []


def _carbon(view: _View):
    if view.hydrogens or view.near("C"):
        yield "hydrocarbon"
    if view.atom.aromatic:
        yield "aromatic"
    if view.near("N", 3):
        yield from _nitrile(view)
    elif view.is_carbonyl:
        yield from _carbonyl(view)
    else:
        yield from _multiple(view)
    yield from _halogens_on(view)
    if view.atom.charge < 0 and not view.near("N", 3):
        yield "organometallic"
    if view.near("N", 2) and (view.near("O", 2) or view.near("S", 2)):
        yield "isocyanate"
    if view.near("N", 2) and not view.near("O", 2) and not view.atom.aromatic:
        yield "imine"


def _nitrile(view: _View):
    if view.near("C"):
        yield "nitrile"
    elif view.near("S"):
        yield "thiocyanate"
    elif view.near("O"):
        yield "cyanate"
    elif view.near("N", 1):
        yield "cyanamide"
    else:
        yield "cyanide"


def _halogens_on(view: _View):
    heavy = [one for one in view.near() if one.symbol in ("Cl", "Br", "I")]
    if len(heavy) >= 2 and not view.is_carbonyl:
        yield "polyhalogenated"
    elif heavy and view.is_saturated:
        yield "alkyl halide"


def _carbonyl(view: _View):
    oxygen = view.near("O", 2) or view.near("S", 2)
    rest = view.others(*oxygen[:1])
    if len(oxygen) == 2:
        yield "carbon dioxide" if len(view.near("O", 2)) == 2 else "carbonyl sulfide"
    elif any(one.symbol in _HALOGENS for one in rest):
        yield "acyl halide"
    elif any(one.symbol == "N" for one in rest):
        yield "urea" if len([one for one in rest if one.symbol == "N"]) == 2 else "amide"
    elif single := [one for one in rest if one.symbol == "O"]:
        yield from _acid_like(view, single)
    elif view.hydrogens:
        yield "formaldehyde" if view.hydrogens == 2 else "aldehyde"
    elif len([one for one in rest if one.symbol == "C"]) == 2:
        yield "ketone"
    elif not rest:
        yield "carbon monoxide"


def _acid_like(view: _View, single: list[_View]):
    if len(single) == 2:
        yield "carbonate"
        return
    oxygen = single[0]
    beyond = oxygen.others(view)
    if oxygen.atom.charge < 0 or oxygen.hydrogens or not beyond:
        name = "carboxylate" if oxygen.atom.charge < 0 else "carboxylic acid"
        yield "formate" if view.hydrogens else name
        if view.hydrogens and name == "carboxylic acid":
            yield name
        if any(one.is_carbonyl and one.near("O", 1) for one in view.near("C")):
            yield "oxalate"
    elif beyond[0].is_carbonyl:
        yield "anhydride"
    elif beyond[0].symbol == "O":
        yield "peroxy acid"
    else:
        yield "ester"


def _multiple(view: _View):
    for other in view.near("C", 2):
        if not (view.atom.aromatic and other.atom.aromatic) and view.number < other.number:
            yield "alkene"
            if _is_polymerisable(view, other):
                yield "vinyl"
    for other in view.near("C", 3):
        if view.number < other.number:
            yield "alkyne"
            if view.hydrogens or other.hydrogens:
                yield "terminal alkyne"


def _is_polymerisable(one: _View, other: _View) -> bool:
    """A CH2= whose other end carries a ring, a carbonyl, a nitrile, a halogen, oxygen or a double bond."""
    for end, rest in ((one, other), (other, one)):
        if end.hydrogens == 2 and end.degree == 1:
            return any(
                side.atom.aromatic
                or side.is_carbonyl
                or side.near("N", 3)
                or side.symbol in _HALOGENS | {"O"}
                or side.near("C", 2)
                for side in rest.others(end)
            )
    return False


def _oxygen(view: _View):
    near = view.near()
    carbons = view.near("C", 1)
    if view.atom.charge < 0 and carbons and carbons[0].is_saturated:
        yield "alkoxide"
    elif view.near("O"):
        yield "peroxide"
    elif len(carbons) == 1 and view.degree == 1 and view.hydrogens and not carbons[0].is_carbonyl:
        yield "phenol" if carbons[0].atom.aromatic else "alcohol"
        if not carbons[0].atom.aromatic and carbons[0].is_saturated:
            yield f"{('tertiary', 'secondary', 'primary', 'primary')[min(carbons[0].hydrogens, 3)]} alcohol"
    elif len(carbons) == 2 and not any(one.is_carbonyl for one in near) and not view.atom.aromatic:
        yield from _ether(view, carbons)
    elif carbons and any(_is_nitro(one) for one in view.near("N")):
        yield "nitrate ester"


def _ether(view: _View, carbons: list[_View]):
    if any({one.number for one in a.near("C")} & {b.number} for a, b in (carbons, carbons[::-1])):
        yield "epoxide"
        return
    yield "ether"
    if any(one.is_saturated and one.hydrogens in (1, 2) for one in carbons):
        yield "alpha ether"


def _is_nitro(view: _View) -> bool:
    """Nitrogen with two oxygens of its own: a nitro group, a nitrate."""
    ends = [one for one in view.near("O") if one.degree == 1]
    return view.symbol == "N" and len(ends) >= 2


def _nitrogen(view: _View):
    near = view.near()
    if _is_nitro(view):
        if view.near("C"):
            yield "nitro"
            yield "aromatic nitro" if view.near("C")[0].atom.aromatic else "aliphatic nitro"
        return
    if view.atom.charge <= 0 and len(view.near("N")) == 2 or _is_azide_end(view):
        yield "azide"
        return
    if view.near("N", 2):
        yield "azo"
        if not any(one.atom.aromatic for one in near):
            yield "aliphatic azo"
        return
    if view.near("O", 2):
        yield "nitrite ester" if view.near("O", 1) else "nitroso"
        return
    if view.atom.aromatic or not view.is_saturated or view.atom.charge > 0:
        return
    yield from _single_nitrogen(view, near)


def _is_azide_end(view: _View) -> bool:
    middle = view.near("N", 2)
    return bool(middle) and len(middle[0].near("N", 2)) == 2


def _single_nitrogen(view: _View, near: list[_View]):
    carbonyl = any(one.is_carbonyl for one in near)
    if not carbonyl and any(one.is_saturated and not one.near_carbonyl for one in view.near("N")):
        yield "hydrazine"
    elif any(one.symbol == "O" and not one.is_carbonyl for one in near):
        yield "hydroxylamine"
    elif any(one.symbol in _HALOGENS for one in near):
        yield "N-halogen"
    elif any(one.symbol == "S" for one in near):
        yield "sulfonamide"
    elif not any(one.is_carbonyl or one.near("N", 3) or one.near("N", 2) for one in near) and view.near("C"):
        yield "aromatic amine" if any(one.atom.aromatic for one in near) else "amine"


def _sulfur(view: _View):
    oxygens = view.near("O", 2)
    if len(oxygens) >= 2 and view.near("C"):
        if any(one.symbol in _HALOGENS for one in view.near()):
            yield "sulfonyl halide"
        elif any(one.degree == 1 for one in view.near("O", 1)):
            yield "sulfonic acid" if any(one.hydrogens for one in view.near("O", 1)) else "sulfonate"
    elif len(oxygens) >= 2 and any(one.near("C") for one in view.near("O")):
        yield "sulfate ester"
    elif len(oxygens) == 1 and len(view.near("C")) == 2:
        yield "sulfoxide"
    elif not oxygens and view.near("C") and not view.atom.aromatic:
        single = view.near("C", 1)
        if view.hydrogens and single:
            yield "thiol"
        elif len(single) == 2:
            yield "thioether"


def _phosphorus(view: _View):
    if any(one.symbol in _HALOGENS for one in view.near()):
        yield "phosphorus halide"
    elif view.near("C"):
        yield "organophosphorus"


def _silicon(view: _View):
    if any(one.symbol in ("Cl", "Br", "I") for one in view.near()):
        yield "silicon halide"


def _halogen(view: _View):
    carbon = view.near("C")
    if carbon and not carbon[0].is_carbonyl:
        yield f"organic {'fluoride' if view.symbol == 'F' else 'halide'}"
        yield f"{view.symbol} on carbon"


_READERS = {
    "C": _carbon,
    "O": _oxygen,
    "N": _nitrogen,
    "S": _sulfur,
    "P": _phosphorus,
    "Si": _silicon,
}
