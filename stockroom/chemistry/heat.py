"""Heat of dissolving and diluting in water, and how far it warms what is in the beaker.

tables/heats.csv holds the integral heat of solution at 25 °C: kJ for each mole of the pure chemical
dissolved in `water_ratio` moles of water. Between two rows the heat is taken on a straight line in r / (r +
2), the shape of Thomsen's formula for sulfuric acid. A chemical with one row only, at infinite dilution, is
reckoned with that.

The rise supposes that no heat is lost. Heat capacity: 4.18 J/(g K) for the water, 1.0 for what is dissolved,
on the low side for acids and alkalis, so that the rise comes out on the high side.
"""

from bisect import bisect_left
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from stockroom.chemistry.formula import FormulaError, parse_formula
from stockroom.chemistry.published import rows as read_rows
from stockroom.chemistry.quantity import QuantityError

SOURCES = {
    "felder": "Felder and Rousseau, Elementary Principles of Chemical Processes, Table B.11 (from memory)",
    "koretsky": "Koretsky, Engineering and Chemical Thermodynamics, Table 2.1",
    "parker": "Parker, NSRDS-NBS 2 (1965), in the CRC Handbook, Enthalpy of Solution of Electrolytes",
    "nbs": "formation enthalpies of the NBS Tables, J. Phys. Chem. Ref. Data 11 Suppl. 2 (from memory)",
}
WATER_MOLAR_MASS = Decimal("18.015")
WATER_HEAT_CAPACITY = Decimal("4.18")
SOLUTE_HEAT_CAPACITY = Decimal("1.0")

#: Rises in °C (rule of thumb, no source): worth a warning; needs cooling; may boil from room temperature.
WARM, HOT, BOILING = Decimal(10), Decimal(30), Decimal(70)


@dataclass(frozen=True)
class Heat:
    """Heat of one step. kilojoules: given off (negative: taken up). rise: °C, negative where it cools."""

    kilojoules: Decimal
    rise: Decimal
    source: str

    @property
    def warning(self):
        """What to say to the person at the bench, or ""."""
        rise = round(self.rise)
        if self.rise >= BOILING:
            return (
                f"Could boil: if no heat is lost it warms by about {rise} °C. Work in an ice bath, add in "
                "small portions, and let it cool in between."
            )
        if self.rise >= HOT:
            return f"Gets hot, by about {rise} °C: stand the beaker in cold water and add in small portions."
        if self.rise >= WARM:
            return f"Gets warm, by about {rise} °C: add slowly, stirring."
        if self.rise <= -WARM:
            return f"Gets cold, by about {-rise} °C: let it come back to room temperature before making up."
        return ""


@dataclass(frozen=True)
class _Curve:
    places: tuple[Decimal, ...]
    heats: tuple[Decimal, ...]
    source: str


def _place(ratio):
    return Decimal(1) if ratio == Decimal("inf") else ratio / (ratio + 2)


@cache
def _curves():
    rows = {}
    for row in read_rows("heats.csv"):
        key = _key(row["formula"])
        rows.setdefault(key, []).append(
            (_place(Decimal(row["water_ratio"])), Decimal(row["kj_per_mol"]), SOURCES[row["source"]])
        )
    return {
        key: _Curve(tuple(p for p, _, _ in points), tuple(h for _, h, _ in points), points[0][2])
        for key, points in rows.items()
    }


def _key(formula):
    """A hydrate and its salt share no heat, so the water counts."""
    parsed = parse_formula(formula)
    return parsed.hill, parsed.water


def _curve(formula):
    try:
        return _curves().get(_key(formula))
    except FormulaError:
        return None


def heat_of_solution(formula, water_ratio):
    """(kJ a mole as a Decimal, source) of dissolving the pure chemical in `water_ratio` moles of water a
    mole.

    Negative where heat is given off. None where the chemical, or so little water, is not tabled.
    Raises QuantityError for a ratio below nought.
    """
    ratio = Decimal(str(water_ratio))
    if ratio.is_nan() or ratio < 0:
        raise QuantityError("The water a mole must be nought or more.")
    curve, place = _curve(formula), _place(ratio)
    if curve is None:
        return None
    if len(curve.places) == 1:
        return curve.heats[0], curve.source
    if place < curve.places[0]:
        return None
    high = min(max(bisect_left(curve.places, place), 1), len(curve.places) - 1)
    (x0, x1), (y0, y1) = curve.places[high - 1 : high + 1], curve.heats[high - 1 : high + 1]
    share = min((place - x0) / (x1 - x0), Decimal(1))
    return y0 + share * (y1 - y0), curve.source


def _warming(kilojoules, solute_g, water_g, source):
    capacity = solute_g * SOLUTE_HEAT_CAPACITY + water_g * WATER_HEAT_CAPACITY
    return Heat(kilojoules, kilojoules * 1000 / capacity, source)


def heat_of_dissolving(formula, moles, solute_g, water_g):
    """Heat of dissolving so many moles (Decimal), weighing solute_g, in water_g grams of water; None if not
    tabled.
    """
    if moles <= 0 or solute_g <= 0 or water_g <= 0:
        raise QuantityError("Moles and grams must be above nought.")
    found = heat_of_solution(formula, water_g / WATER_MOLAR_MASS / moles)
    if found is None:
        return None
    return _warming(-found[0] * moles, solute_g, water_g, found[1])


def heat_of_diluting(formula, moles, solute_g, water_before_g, water_after_g):
    """Heat of bringing a solution from water_before_g to water_after_g grams of water; None if not tabled.

    moles, solute_g: of the chemical in it. All Decimals. Raises QuantityError where water would be taken
    away.
    """
    if moles <= 0 or solute_g <= 0 or not 0 <= water_before_g <= water_after_g or water_after_g == 0:
        raise QuantityError("A dilution starts from some of the chemical and adds water.")
    curve = _curve(formula)
    before = heat_of_solution(formula, water_before_g / WATER_MOLAR_MASS / moles)
    after = heat_of_solution(formula, water_after_g / WATER_MOLAR_MASS / moles)
    if curve is None or len(curve.places) == 1 or before is None or after is None:
        return None
    return _warming((before[0] - after[0]) * moles, solute_g, water_after_g, curve.source)
