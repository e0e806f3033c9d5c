"""Equations in plain text: read, checked, balanced; and what comes of given amounts.

    Mg(s) + 2 HCl(aq) -> MgCl2(aq) + H2(g)
    MnO4- + 8 H+ + 5 Fe2+ -> Mn2+ + 4 H2O + 5 Fe3+

A term is a coefficient, a formula, a charge and a state, in the spelling `formula.parse_formula` reads.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache

from stockroom.chemistry import published, species
from stockroom.chemistry.aqueous import Contents, gas_volume_ml
from stockroom.chemistry.formula import Formula, FormulaError, parse_formula, plain_markup
from stockroom.chemistry.residue import Gas

_ARROW = re.compile(r"<?[-–—=]+>|[→⇌⟶↔⇄]|<=+>|(?<=\s)=(?=\s)|=")
_BOTH_WAYS = re.compile(r"[⇌↔⇄]|<[-–—=]+>")
# A plus between two terms: blank on both sides or before it, or run on into a new coefficient or formula.
_PLUS = re.compile(r"(?<=\s)\+(?=\s)|(?<=\s)\+(?=[\dA-Z\[(e])|\+(?=\d*[A-Z\[]|e-|\((?!s\)|l\)|g\)|aq\)))")
_COEFFICIENT = re.compile(r"\s*(\d+\s*/\s*\d+|\d+(?:[.,]\d+)?)?\s*(.+?)\s*$", re.DOTALL)
MAX_TERMS = 20
#: ions the equilibrium lacks, kept in the beaker as a salt that takes no part: (the salt, its sodium ions)
_WITH_SODIUM = {"S4O6-2": ("Na2S4O6", 2), "S4O6^2-": ("Na2S4O6", 2)}
_STRONG_ACID = {"H+", "Cl-", "Br-", "I-", "NO3-", "ClO4-", "SO4-2"}


class EquationError(ValueError):
    """An equation that cannot be read or balanced, or amounts it cannot take; says what to change."""


@dataclass(frozen=True)
class Term:
    """One substance of an equation. `coefficient` moles of it for each mole of reaction."""

    coefficient: Fraction
    formula: Formula

    @property
    def key(self) -> str:
        """The formula without its state, as written: what amounts are told by."""
        return strip_state(self.formula)

    def __str__(self) -> str:
        return self._numbered(plain_markup(self.formula.text))

    def plain(self) -> str:
        return self._numbered(self.formula.text)

    def _numbered(self, formula: str) -> str:
        return formula if self.coefficient == 1 else f"{self.coefficient} {formula}"


@dataclass(frozen=True)
class Equation:
    """reactants and products in the order written. reversible: written with an arrow both ways."""

    reactants: tuple[Term, ...]
    products: tuple[Term, ...]
    reversible: bool = False

    @property
    def arrow(self) -> str:
        return "⇌" if self.reversible else "→"

    def __str__(self) -> str:
        sides = (" + ".join(str(term) for term in side) for side in (self.reactants, self.products))
        return f" {self.arrow} ".join(sides)

    def plain(self) -> str:
        """As one types it, to stand in a form."""
        sides = (" + ".join(term.plain() for term in side) for side in (self.reactants, self.products))
        return f" {'<=>' if self.reversible else '->'} ".join(sides)


@dataclass(frozen=True)
class Imbalance:
    """Right side less left side: atoms that differ by symbol, and charge. Both empty when it balances."""

    atoms: tuple[tuple[str, Fraction], ...]
    charge: Fraction

    def __bool__(self) -> bool:
        return bool(self.atoms or self.charge)

    def __str__(self) -> str:
        if not self:
            return "balanced"
        parts = [
            f"{abs(n)} {symbol} {'too many' if n > 0 else 'too few'} on the right" for symbol, n in self.atoms
        ]
        if self.charge:
            parts.append(
                f"the charge on the right is {abs(self.charge)} too {'high' if self.charge > 0 else 'low'}"
            )
        return "; ".join(parts)


@dataclass(frozen=True)
class Yield:
    """A product: mol, grams; volume_ml only for a gas, at the temperature asked for."""

    key: str
    state: str
    mol: float
    mass_g: float
    volume_ml: float | None


@dataclass(frozen=True)
class Outcome:
    """What given amounts come to in one equation.

    extent: moles of reaction as written. limiting: the reactants that run out first. left: mol of each
    reactant that stays. heat_kj: given off (positive) or taken up (negative), None where an enthalpy is not
    known, and then `heat_missing` names the substances.
    """

    equation: Equation
    extent: float
    limiting: tuple[str, ...]
    used: tuple[tuple[str, float], ...]
    left: tuple[tuple[str, float], ...]
    products: tuple[Yield, ...]
    heat_kj: float | None
    heat_missing: tuple[str, ...]

    @property
    def gas_ml(self) -> float:
        """All gas formed, in mL."""
        return sum(product.volume_ml or 0.0 for product in self.products)


def strip_state(formula: Formula) -> str:
    """The formula's text without "(aq)" and its like."""
    return re.sub(r"\s*\((s|l|g|aq)\)$", "", formula.text)


def parse_equation(text: str) -> Equation:
    """Read an equation. Raises EquationError; a formula's own error is passed on in it.

    >>> str(parse_equation("2H2 + O2 -> 2H2O"))
    '2 H₂ + O₂ → 2 H₂O'
    """
    if not text or not text.strip():
        raise EquationError("write an equation, such as Mg + 2 HCl -> MgCl2 + H2")
    if len(text) > 500:
        raise EquationError("the equation is too long: 500 characters at most")
    sides = _ARROW.split(text)
    if len(sides) != 2:
        raise EquationError("write one arrow between the two sides, such as Mg + 2 HCl -> MgCl2 + H2")
    left, right = (_side(side) for side in sides)
    return Equation(left, right, _BOTH_WAYS.search(text) is not None)


def _side(text: str) -> tuple[Term, ...]:
    parts = _PLUS.split(text)
    if len(parts) > MAX_TERMS:
        raise EquationError(f"the equation has too many terms: {MAX_TERMS} a side at most")
    return tuple(_term(part) for part in parts)


def _term(text: str) -> Term:
    if not text.strip():
        raise EquationError("a term is missing beside a plus sign or the arrow")
    number, formula = _COEFFICIENT.fullmatch(text).groups()
    try:
        coefficient = Fraction((number or "1").replace(",", ".").replace(" ", ""))
        parsed = parse_formula(formula)
    except FormulaError as error:
        raise EquationError(str(error)) from error
    except ZeroDivisionError:
        coefficient = Fraction(0)
    if not 0 < coefficient <= 10_000:
        raise EquationError(f"the number before {formula} must be more than 0 and at most 10000")
    return Term(coefficient, parsed)


def imbalance(equation: Equation) -> Imbalance:
    """What does not balance as written; falsy when all does."""
    atoms: dict[str, Fraction] = {}
    charge = Fraction(0)
    for sign, side in ((-1, equation.reactants), (1, equation.products)):
        for term in side:
            charge += sign * term.coefficient * term.formula.charge
            for symbol, count in term.formula.atoms.items():
                atoms[symbol] = atoms.get(symbol, Fraction(0)) + sign * term.coefficient * count
    return Imbalance(tuple((symbol, n) for symbol, n in sorted(atoms.items()) if n), charge)


def balance(equation: Equation) -> Equation:
    """The same equation with the smallest whole coefficients that balance atoms and charge.

    Coefficients as written are set aside. Raises EquationError where none fit, or where more than one
    independent way does (two reactions written as one).

    >>> str(balance(parse_equation("Fe + O2 -> Fe2O3")))
    '4 Fe + 3 O₂ → 2 Fe₂O₃'
    """
    terms = (*equation.reactants, *equation.products)
    split = len(equation.reactants)
    symbols = sorted({symbol for term in terms for symbol in term.formula.atoms})
    signs = [1 if number < split else -1 for number in range(len(terms))]
    rows = [
        [Fraction(sign * term.formula.atoms.get(symbol, 0)) for sign, term in zip(signs, terms, strict=True)]
        for symbol in symbols
    ]
    rows.append([Fraction(sign * term.formula.charge) for sign, term in zip(signs, terms, strict=True)])
    ways = _null_space(rows, len(terms))
    if not ways:
        raise EquationError(
            "no coefficients balance this: check the formulas, and that every element is on both sides"
        )
    if len(ways) > 1:
        raise EquationError(
            "this can be balanced in more than one way: write the reactions as separate equations"
        )
    (way,) = ways
    if all(value < 0 for value in way):
        way = [-value for value in way]
    if any(value <= 0 for value in way):
        stray = next(str(term.key) for term, value in zip(terms, way, strict=True) if value <= 0)
        raise EquationError(f"{stray} stands on the wrong side, or takes no part: move it or leave it out")
    scale = math.lcm(*(value.denominator for value in way))
    whole = [int(value * scale) for value in way]
    common = math.gcd(*whole)
    balanced = [replace(term, coefficient=Fraction(n, common)) for term, n in zip(terms, whole, strict=True)]
    return Equation(tuple(balanced[:split]), tuple(balanced[split:]), equation.reversible)


def _null_space(rows: list[list[Fraction]], width: int) -> list[list[Fraction]]:
    """A basis of all x with rows·x = 0, exact."""
    rows, pivots = [row[:] for row in rows], []
    for column in range(width):
        at = len(pivots)
        pivot = next((i for i in range(at, len(rows)) if rows[i][column]), None)
        if pivot is None:
            continue
        rows[at], rows[pivot] = rows[pivot], rows[at]
        head = rows[at][column]
        rows[at] = [value / head for value in rows[at]]
        for i, row in enumerate(rows):
            if i != at and row[column]:
                factor = row[column]
                rows[i] = [value - factor * base for value, base in zip(row, rows[at], strict=True)]
        pivots.append(column)
    basis = []
    for free in (column for column in range(width) if column not in pivots):
        vector = [Fraction(0)] * width
        vector[free] = Fraction(1)
        for at, column in enumerate(pivots):
            vector[column] = -rows[at][free]
        basis.append(vector)
    return basis


def same_substance(one: Formula, other: Formula) -> bool:
    """Whether two formulas are the same but for water of crystallisation, spelling and state."""
    return one.charge == other.charge and _dry(one) == _dry(other)


def _dry(formula: Formula) -> dict:
    atoms = dict(formula.atoms)
    if formula.water:
        atoms["H"] -= 2 * formula.water
        atoms["O"] -= formula.water
    return {symbol: count for symbol, count in atoms.items() if count}


def react(
    equation: Equation,
    amounts: Mapping[str, float],
    temperature_c: float = 20.0,
    excess: frozenset[str] = frozenset(),
) -> Outcome:
    """Run a balanced equation until a reactant is used up.

    amounts: mol by formula ("HCl", "CuSO4·5H2O" counts as CuSO4). A reactant not named there is missing: no
    reaction, unless it is in `excess` (water, oxygen of the air), which never limits.
    Raises EquationError for an equation that does not balance or a negative amount, BeakerError for more gas
    than a room takes.

    >>> out = react(parse_equation("Mg + 2 HCl -> MgCl2 + H2"), {"Mg": 0.1, "HCl": 0.1})
    >>> out.limiting, out.extent, dict(out.left)["Mg"]
    (('HCl',), 0.05, 0.05)
    """
    if unequal := imbalance(equation):
        raise EquationError(f"the equation does not balance: {unequal}")
    available = _available(equation, amounts)
    ratios = {
        key: available.get(key, 0.0) / float(term.coefficient)
        for term in equation.reactants
        if (key := term.key) not in excess
    }
    if not ratios:
        raise EquationError("every reactant is in excess: name one whose amount limits")
    extent = min(ratios.values())
    limiting = tuple(key for key, ratio in ratios.items() if ratio <= extent * (1 + 1e-9) + 1e-15)
    used = tuple((term.key, float(term.coefficient) * extent) for term in equation.reactants)
    left = tuple((key, max(0.0, available.get(key, 0.0) - mol)) for key, mol in used if key not in excess)
    products = tuple(_yield(term, extent, temperature_c) for term in equation.products)
    enthalpy, missing = enthalpy_kj(equation)
    heat = None if enthalpy is None else -enthalpy * extent
    return Outcome(equation, extent, limiting, used, left, products, heat, missing)


def _available(equation: Equation, amounts: Mapping[str, float]) -> dict[str, float]:
    found: dict[str, float] = {}
    for text, mol in amounts.items():
        if not mol >= 0:
            raise EquationError(f"the amount of {text} cannot be negative")
        formula = parse_formula(text)
        for term in equation.reactants:
            if same_substance(term.formula, formula):
                found[term.key] = found.get(term.key, 0.0) + mol
    return found


def _yield(term: Term, extent: float, temperature_c: float) -> Yield:
    mol = float(term.coefficient) * extent
    volume = gas_volume_ml(mol, temperature_c) if term.formula.state == "g" else None
    return Yield(term.key, term.formula.state, mol, mol * term.formula.molar_mass, volume)


def react_in_order(
    equations: tuple[Equation, ...],
    amounts: Mapping[str, float],
    temperature_c: float = 20.0,
    excess: frozenset[str] = frozenset(),
) -> tuple[Outcome, ...]:
    """Several equations one after another, each taking what those before it left and made."""
    stock = dict(amounts)
    outcomes = []
    for equation in equations:
        outcome = react(equation, stock, temperature_c, excess)
        outcomes.append(outcome)
        for key, mol in outcome.used:
            _take(stock, key, mol)
        for product in outcome.products:
            if product.state != "g":  # a gas has left
                stock[product.key] = stock.get(product.key, 0.0) + product.mol
    return tuple(outcomes)


def _take(stock: dict[str, float], key: str, mol: float) -> None:
    wanted = parse_formula(key)
    for text in stock:
        if same_substance(parse_formula(text), wanted):
            taken = min(stock[text], mol)
            stock[text] -= taken
            mol -= taken


# --- in the beaker


@dataclass(frozen=True)
class Run:
    """A beaker after a written equation has run as far as it goes.

    extent: moles of reaction, 0 where something is missing or the equation only says what equilibrium does by
    itself. problem: why it cannot be run here, "" if it can. gas: what left.
    """

    contents: Contents
    extent: float
    problem: str
    gas: tuple[Gas, ...]


def run_in(contents: Contents, equation: Equation) -> Run:
    """Run an equation on what is in the beaker, to change what equilibrium alone leaves as it is.

    Water and gases from the air (a reactant in state g) never limit. Raises EquationError where the equation
    does not balance.
    """
    change = _change(equation)
    if change.problem or not (change.ions or change.others):
        return Run(contents, 0.0, change.problem, ())
    extent = min((_room(contents, need) for need in change.needs), default=math.inf)
    if not 0 < extent < math.inf:
        return Run(contents, 0.0, "", ())
    changed = contents.changed(
        {ion: n * extent for ion, n in change.ions}, {key: n * extent for key, n in change.others}
    )
    return Run(changed, extent, "", _gases(equation, extent))


@dataclass(frozen=True)
class _Need:
    """What one reactant takes for a mole of reaction: mol by ion, or of what is no electrolyte."""

    ions: tuple[tuple[str, float], ...]
    formula: str
    mol: float
    is_ion: bool = False


@dataclass(frozen=True)
class _Change:
    """What a mole of reaction changes in a beaker. problem: why it cannot be told."""

    ions: tuple[tuple[str, float], ...] = ()
    others: tuple[tuple[str, float], ...] = ()
    needs: tuple[_Need, ...] = ()
    problem: str = ""


@cache
def _change(equation: Equation) -> _Change:
    if unequal := imbalance(equation):
        raise EquationError(f"the equation does not balance: {unequal}")
    ions: dict[str, float] = {}
    others: dict[str, float] = {}
    needs = []
    sides = [(-1, term) for term in equation.reactants] + [(1, term) for term in equation.products]
    for sign, term in sides:
        if term.key in _WITH_SODIUM:
            salt, sodium = _WITH_SODIUM[term.key]
            ions["Na+"] = ions.get("Na+", 0.0) - sign * float(term.coefficient) * sodium
            term = replace(term, formula=parse_formula(salt))
        identity = species.identify(term.key)
        if identity.kind == species.UNKNOWN:
            return _Change(problem=identity.note)
        amount = sign * float(term.coefficient)
        brought = identity.brings
        for ion, count in brought:
            ions[ion] = ions.get(ion, 0.0) + amount * count
        if identity.kind != species.ELECTROLYTE:
            others[identity.formula] = others.get(identity.formula, 0.0) + amount
        if sign < 0 and identity.kind != species.GAS:
            wanted = tuple((ion, -amount * n) for ion, n in brought)
            needs.append(_Need(wanted, identity.formula, -amount, bool(term.formula.charge)))
    return _Change(
        tuple((ion, n) for ion, n in ions.items() if abs(n) > 1e-12),
        tuple((formula, n) for formula, n in others.items() if n),
        tuple(needs),
    )


def _room(contents: Contents, need: _Need) -> float:
    """How many moles of reaction one reactant is enough for."""
    if not need.ions:
        return sum(mol for other, mol, _ in contents.others if other.formula == need.formula) / need.mol
    wanted = {ion: n for ion, n in need.ions if ion != "H2O"}
    if need.is_ion and len(wanted) > 1:
        wanted.pop("H+", None)  # hydrogensulfide is sulfide as much as it is itself: equilibrium tells
    if set(wanted) == {"H+"} and wanted["H+"] < 0:  # hydroxide: what is missing in hydrogen ions
        return max(0.0, -contents.ions.get("H+", 0.0)) / -wanted["H+"]
    return min(
        (max(0.0, contents.ions.get(ion, 0.0)) / n for ion, n in wanted.items() if n > 0), default=math.inf
    )


def _gases(equation: Equation, extent: float) -> tuple[Gas, ...]:
    """Gases that the equilibrium knows nothing of; the others it lets go itself."""
    found = []
    for term in equation.products:
        identity = species.identify(term.key)
        if (
            identity.kind in (species.GAS, species.UNFOLLOWED)
            and (term.formula.state or (identity.kind == species.GAS and "g")) == "g"
            and extent > 0
        ):
            mol = float(term.coefficient) * extent
            found.append(Gas(identity.name, identity.formula, identity.cas, mol, gas_volume_ml(mol)))
    return tuple(found)


# --- heat


@cache
def _enthalpies() -> dict[tuple[str, str], float]:
    """kJ/mol by formula and state; see the table for its sources."""
    # Keys are written out, so that the first answer reads no formulas; a test compares them.
    return {(key, state): float(kj_mol) for key, _, state, kj_mol, _ in published.table("enthalpies.csv")}


def _hill(text: str) -> str:
    formula = parse_formula(text)
    return f"{formula.hill}{formula.charge:+d}"


def formation_kj(formula: Formula) -> float | None:
    """Standard enthalpy of formation in kJ/mol at 25 °C, None if not in `tables/enthalpies.csv`.

    A dissolved salt or strong acid is the sum of its ions.
    """
    table = _enthalpies()
    state = formula.state or ("aq" if formula.charge else "")
    found = table.get((f"{formula.hill}{formula.charge:+d}", state))
    if found is not None or state != "aq":
        return found
    total, split = 0.0, species.identify(strip_state(formula)).ions
    if any(ion == "H+" for ion, _ in split) and not {ion for ion, _ in split} <= _STRONG_ACID:
        return None  # a weak acid is not the sum of its ions
    if formula.charge and len(split) > 1:
        return None  # nor is a complex, such as zincate
    for ion, count in split:
        part = table.get((_hill(ion), "aq" if ion != "H2O" else "l"))
        if part is None:
            return None
        total += float(count) * part
    return total or None


def enthalpy_kj(equation: Equation) -> tuple[float | None, tuple[str, ...]]:
    """(enthalpy of reaction in kJ for the equation as written, substances whose enthalpy is missing).

    States must be given: without them nothing is known but of ions.
    """
    total, missing = 0.0, []
    for sign, side in ((-1, equation.reactants), (1, equation.products)):
        for term in side:
            value = formation_kj(term.formula)
            if value is None:
                missing.append(term.formula.text)
            else:
                total += sign * float(term.coefficient) * value
    return (None if missing else total), tuple(missing)


def temperature_rise(heat_kj: float, mass_g: float, heat_capacity: float = 4.18) -> float:
    """Rise in °C if all the heat stays in the solution. heat_capacity in J/(g K), water's by default.

    Raises EquationError where there is no mass to warm.
    """
    if not mass_g > 0:
        raise EquationError("give the mass of the solution that takes up the heat")
    return heat_kj * 1000 / (mass_g * heat_capacity)
