"""Density of a solution in water by its strength, at 20 °C, from tables/densities.csv.

Between two rows of the table the density is taken on a straight line, which keeps it within 0.1 % of the
tables. Each answer names its source. A strength outside the table is an error, never an extrapolation.
"""

from bisect import bisect_left
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from stockroom.chemistry.formula import FormulaError, parse_formula
from stockroom.chemistry.published import rows as read_rows
from stockroom.chemistry.quantity import QuantityError

CELSIUS = 20
#: Slack for a strength at the very end of a table, after conversions there and back.
_ROUNDING = Decimal("1.000000001")
SOURCES = {
    "crc": "CRC Handbook of Chemistry and Physics, 102nd ed., Concentrative Properties of Aqueous Solutions",
    "perry": "Perry's Chemical Engineers' Handbook, 7th ed., Densities of Aqueous Solutions (from memory)",
    "laliberte": "Laliberté and Cooper, J. Chem. Eng. Data 49 (2004) 1141, coefficients of 2009",
}


@dataclass(frozen=True)
class TabledDensity:
    """g/mL at `celsius`, and where it comes from."""

    g_ml: Decimal
    source: str
    celsius: int = CELSIUS


@dataclass(frozen=True)
class _Row:
    percent: Decimal
    g_ml: Decimal
    source: str


@cache
def _tables():
    """Rows by Hill form, weakest first."""
    tables = {}
    for row in read_rows("densities.csv"):
        rows = tables.setdefault(_hill(row["formula"]), [])
        rows.append(_Row(Decimal(row["mass_percent"]), Decimal(row["g_ml"]), row["source"]))
    return tables


@cache
def _hill(formula):
    return parse_formula(formula).hill


def _rows(formula):
    try:
        rows = _tables().get(_hill(formula))
    except FormulaError:
        rows = None
    if rows is None:
        raise QuantityError(f"No density by strength is tabled for {formula}: give the solution's density.")
    return rows


def is_tabled(formula):
    """Whether solutions of `formula` in water have a density table."""
    try:
        return _hill(formula) in _tables()
    except FormulaError:
        return False


def reaches_pure(formula):
    """Whether the density table of `formula` runs up to 100 %, as a liquid's does."""
    return is_tabled(formula) and _rows(formula)[-1].percent == 100


def _segment(rows, position):
    """The two rows around `position`, an index as bisect_left gives it."""
    high = min(max(position, 1), len(rows) - 1)
    return rows[high - 1], rows[high]


def _tabled(low, high, percent):
    share = (percent - low.percent) / (high.percent - low.percent)
    names = dict.fromkeys(SOURCES[row.source] for row in (low, high))
    return TabledDensity(low.g_ml + share * (high.g_ml - low.g_ml), "; ".join(names))


def density(formula, mass_percent):
    """TabledDensity of a solution of `formula` in water at `mass_percent` (% w/w).

    Raises QuantityError where the substance is not tabled or the strength lies outside its table.
    """
    rows, percent = _rows(formula), Decimal(str(mass_percent))
    if not percent.is_finite() or not 0 <= percent <= rows[-1].percent:
        raise QuantityError(
            f"Densities of {formula} are tabled from 0 to {rows[-1].percent:g} % (w/w): "
            "give the solution's density."
        )
    return _tabled(*_segment(rows, bisect_left([row.percent for row in rows], percent)), percent)


def mass_percent_at(formula, mol_l):
    """% w/w (Decimal) of a solution of `formula` in water that holds `mol_l` mol/L, by the density table.

    Raises QuantityError where the substance is not tabled or the table does not reach that strength.
    """
    rows, grams = _rows(formula), Decimal(str(mol_l)) * Decimal(str(parse_formula(formula).molar_mass))
    per_litre = [row.percent * row.g_ml * 10 for row in rows]
    if not grams.is_finite() or not 0 <= grams <= per_litre[-1] * _ROUNDING:
        most = per_litre[-1] / Decimal(str(parse_formula(formula).molar_mass))
        raise QuantityError(f"{formula} in water is tabled up to {most:.3g} mol/L: check the strength.")
    grams = min(grams, per_litre[-1])
    low, high = _segment(rows, bisect_left(per_litre, grams))
    slope = (high.g_ml - low.g_ml) / (high.percent - low.percent)
    start = low.g_ml - slope * low.percent
    # percent x (start + slope x percent) x 10 = grams; written so that a slope of nought does no harm
    return 2 * grams / 10 / (start + (start * start + 4 * slope * grams / 10).sqrt())
