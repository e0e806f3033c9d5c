"""Constants of solids that no database of the engine has: from solubility products and tabled solubility.

Run only when the databases are derived again (`database.py`). A solubility product (`tables/products.csv`) is
a constant as it stands. Of a salt that dissolves well only the solubility is tabled (`tables/saturated.csv`,
grams of the anhydrous substance in 100 g of water): its constant is the ion activity product that an activity
model gives for that solution, so that the same model finds the tabled solubility again. Above 0.5 mol/kg no
model's activities are quite true; each model has its own constants therefore.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from math import log10

from phreeqc import Phreeqc

from stockroom.chemistry import published, species
from stockroom.chemistry.formula import molar_mass

_HYDROXIDE_OF_OXIDE = {"OH-": 2, "H2O": -1}
INSOLUBLE = 1e-4  # mol/L
_AS_WRITTEN = {"OH-", "Cr2O7-2"}  # species of their own, of which products are tabled
_NEVER = -900  # what the engine says of a solid that cannot be
_DECIMALS = 4  # of a logarithm, so that every machine derives the same text


@dataclass(frozen=True)
class Solubility:
    """A row of `tables/saturated.csv`. grams: by °C, of the anhydrous substance in 100 g of water."""

    phase: str
    substance: str
    grams: dict[float, float]
    source: str

    @property
    def formula(self) -> str:
        return self.substance.partition("@")[0]

    def molality(self, celsius: float) -> float:
        """mol of the substance per kilogram of water at one of the tabled temperatures."""
        return self.grams[celsius] * 10 / molar_mass(self.formula)


def solubilities() -> tuple[Solubility, ...]:
    """Solids with a tabled solubility."""
    found = []
    for phase, substance, grams, source in published.table("saturated.csv"):
        pairs = (pair.split(":") for pair in grams.split())
        found.append(Solubility(phase, substance, {float(c): float(g) for c, g in pairs}, source))
    return tuple(found)


def products() -> dict[str, tuple[float, str]]:
    """(solubility product at 25 °C, source) by phase."""
    ions = ions_by_phase()
    return {
        phase: (_held(ions[phase]) if value == "insoluble" else float(value), source)
        for phase, value, source in published.table("products.csv")
    }


def _held(ions: tuple[tuple[str, Fraction], ...]) -> float:
    """The product of a solid of which no more is told than that it is insoluble: of INSOLUBLE mol/L of it.

    >>> _held((("Ba+2", 1), ("SO4-2", 1)))
    1e-08
    """
    product = 1.0
    for ion, count in ions:
        if ion != "H2O":
            product *= (float(count) * INSOLUBLE) ** float(count)
    return product


def named() -> frozenset[str]:
    """The phases that get their constants here."""
    return frozenset(products()) | {row.phase for row in solubilities()}


def ions_by_phase() -> dict[str, tuple[tuple[str, Fraction], ...]]:
    """Ions and counts of every solid and gas of `tables/solids.csv`."""
    return {row[0]: species.parse_ions(row[-1]) for row in published.table("solids.csv")}


def dissolution(ions: tuple[tuple[str, Fraction], ...]) -> str:
    """The equation by which a solid goes into the engine's species.

    >>> dissolution((("Ca+2", 1), ("SO4-2", 1), ("H2O", 2)))
    'CaSO4:2H2O = Ca+2 + SO4-2 + 2 H2O'
    """
    known, water, name = species.ions(), 0, ""
    total: dict[str, Fraction] = {}
    for ion, count in ions:
        if ion == "H2O":
            water = count
        else:
            name += _grouped(_engine(known[ion]), count)
        for part, number in _simple(ion).items():
            total[part] = total.get(part, 0) + number * count
    left = name + (f":{float(water):g}H2O" if water else "")
    taken = "".join(f" + {_term(ion, -count)}" for ion, count in total.items() if count < 0)
    given = " + ".join(_term(ion, count) for ion, count in total.items() if count > 0)
    return f"{left}{taken} = {given}"


def _simple(ion: str) -> dict[str, int]:
    if ion == "O-2":
        return _HYDROXIDE_OF_OXIDE
    return {ion: 1} if ion in _AS_WRITTEN else species.simplest(ion)


def _engine(ion: species.Ion) -> str:
    return "".join(part if count == 1 else f"{part}{count:g}" for part, count in ion.engine)


def _grouped(formula: str, count: Fraction) -> str:
    return formula if count == 1 else f"({formula}){float(count):g}"


def _term(ion: str, count: Fraction) -> str:
    name = engine_species(ion)
    return name if count == 1 else f"{float(count):g} {name}"


def engine_species(ion: str) -> str:
    """The engine's name of an ion, such as "N_rH4+" for NH4+."""
    if ion == "H2O":
        return ion
    found = species.ions()[ion]
    sign = "+" if found.charge > 0 else "-"
    size = abs(found.charge)
    return _engine(found) + (sign + (str(size) if size > 1 else "") if size else "")


def least_interactions() -> dict[tuple[str, str], float]:
    """The least SIT coefficient, by (cation, anion) in the engine's names, with which the ion activity
    product still grows with half its ideal slope up to the tabled solubility.
    """
    ions, found = ions_by_phase(), {}
    for row in solubilities():
        charged = [(ion, float(n)) for ion, n in ions[row.phase] if species.ions()[ion].charge]
        if len(charged) == 2:
            (one, first), (other, second) = charged
            most = max(row.molality(celsius) for celsius in row.grams)
            least = -0.5 * (first + second) / (2.303 * most * 2 * first * second)
            pair = (engine_species(one), engine_species(other))
            found[pair] = max(found.get(pair, least), least)
    return {pair: round(least, 3) for pair, least in found.items()}


def product_text() -> str:
    """PHREEQC PHASES lines for the solids with a solubility product."""
    ions = ions_by_phase()
    return "".join(
        f"{phase}\n\t{dissolution(ions[phase])}\n\tlog_k {round(log10(value), _DECIMALS):g}\n"
        for phase, (value, _) in products().items()
    )


def saturation_text(
    database: str, translate: Callable[[str], str] = str, only: frozenset[str] | None = None
) -> str:
    """PHREEQC PHASES lines for the solids with a tabled solubility, under the activity model of a database.

    translate: what turns this package's names of elements into the database's. only: these phases, None for
    all. Raises ValueError where the database cannot hold a solution.
    """
    rows = [row for row in solubilities() if only is None or row.phase in only]
    ions = ions_by_phase()
    equations = {row.phase: translate(dissolution(ions[row.phase])) for row in rows}
    trial = "".join(f"{phase}\n\t{equation}\n\tlog_k 0\n" for phase, equation in equations.items())
    engine = Phreeqc()
    for silence in (engine.SetErrorFileOn, engine.SetOutputFileOn, engine.SetLogFileOn):
        silence(False)
    engine.SetSelectedOutputFileOn(False)
    if engine.LoadDatabaseString(f"{database}\nPHASES\n{trial}"):
        raise ValueError(engine.GetErrorString())
    text = ""
    for row in rows:
        logs = {celsius: _ion_product(engine, row, celsius, translate) for celsius in row.grams}
        text += f"{row.phase}\n\t{equations[row.phase]}\n\t{_constant(logs)}\n"
    return text


def _ion_product(engine: Phreeqc, row: Solubility, celsius: float, translate: Callable[[str], str]) -> float:
    """log10 of the ion activity product of the saturated solution."""
    formula, _, cas = row.substance.partition("@")
    known, amounts = species.ions(), {}
    for ion, count in species.identify(formula, "", cas).brings:
        for part, number in known[ion].engine:
            amounts[part] = amounts.get(part, 0.0) + count * number * row.molality(celsius)
    lines = "".join(f" {translate(part)} {mol:.10g}\n" for part, mol in amounts.items() if part != "H2O")
    errors = engine.RunString(
        f"SOLUTION 1\n pH 7\n temp {celsius:g}\nREACTION 1\n{lines} 1\nREACTION_TEMPERATURE 1\n {celsius:g}\n"
        f"SELECTED_OUTPUT 1\n -reset false\n -saturation_indices {row.phase}\nEND\n"
    )
    if errors:
        raise ValueError(f"{row.phase} at {celsius:g} °C: {engine.GetErrorString()}")
    found = engine.GetSelectedOutputValue(engine.GetSelectedOutputRowCount() - 1, 0)
    if found < _NEVER:
        raise ValueError(f"{row.phase}: the database lacks something of it")
    return round(found, _DECIMALS)


def _constant(logs: dict[float, float]) -> str:
    """A line with the constant: of one temperature as it is, of more with what they allow to tell.

    >>> _constant({25.0: -2.0})
    'log_k -2'
    """
    if len(logs) == 1:
        (value,) = logs.values()
        return f"log_k {value:g}"
    rows = [
        (Fraction(str(celsius)) + Fraction("273.15"), Fraction(str(log))) for celsius, log in logs.items()
    ]
    terms = [lambda t: 1, lambda t: 1 / t] if len(rows) == 2 else [lambda t: 1, lambda t: t, lambda t: 1 / t]
    basis = [[Fraction(term(t)) for term in terms] for t, _ in rows]
    normal = [
        [
            *(sum(row[i] * row[j] for row in basis) for j in range(len(terms))),
            sum(row[i] * log for row, (_, log) in zip(basis, rows, strict=True)),
        ]
        for i in range(len(terms))
    ]
    found = [float(value) for value in species.solve_exact(normal, len(terms))]
    first, slope, inverse = found if len(found) == 3 else (found[0], 0.0, found[1])
    return f"-analytical_expression {first:.8g} {slope:.8g} {inverse:.8g}"
