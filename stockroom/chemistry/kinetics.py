"""Slow and fast: a solid that dissolves slowly in a solution that is at equilibrium all the while.

The model, an illustration with its parameters in the open:

    rate = area · (m/m0)^(2/3) · [k_acid(T) · a(H+)^n + k_neutral(T)] · (1 − x/x_end)   in mol/s

k at 25 °C and its activation energy are published for a few solids (`tables/rates.csv`); the area of a gram
is a guess to be edited. m/m0 is the share of solid left, x what has dissolved, x_end what dissolves in the
end (the last factor stands only where solid is left over). Stirring, and gas clinging to the solid, are left
out. A solid without published constants has no curve.
"""

import math
from dataclasses import dataclass, replace
from functools import cache

from stockroom.chemistry import species
from stockroom.chemistry.aqueous import GAS_CONSTANT, Contents, settle
from stockroom.chemistry.formula import FormulaError, molar_mass, parse_formula
from stockroom.chemistry.published import rows as read_rows

_POINTS = 40
_ENOUGH = 0.99  # the last of it takes for ever
ILLUSTRATION = "An illustration from a simple model, not a measurement."


class KineticsError(ValueError):
    """No curve can be drawn; says why."""


@dataclass(frozen=True)
class Rate:
    """Constants of one solid: log k in mol/(m² s) at 25 °C, energies in kJ/mol, area in m²/g."""

    formula: str
    name: str
    acid_log_k: float
    acid_energy_kj: float
    acid_order: float
    neutral_log_k: float
    neutral_energy_kj: float
    area_m2_g: float
    area_note: str
    source: str

    def per_square_metre(self, ph: float, temperature_c: float) -> float:
        """mol/(m² s) far from equilibrium."""
        acid = 10 ** (self.acid_log_k - self.acid_order * ph) * _arrhenius(self.acid_energy_kj, temperature_c)
        return acid + 10**self.neutral_log_k * _arrhenius(self.neutral_energy_kj, temperature_c)


@dataclass(frozen=True)
class Point:
    """seconds since the pouring; share of the solid dissolved, 0 to 1."""

    seconds: float
    ph: float
    share_dissolved: float


@dataclass(frozen=True)
class Curve:
    """pH against time at one temperature. rate: the parameters used."""

    temperature_c: float
    points: tuple[Point, ...]
    rate: Rate
    caption: str = ILLUSTRATION


def _arrhenius(energy_kj: float, temperature_c: float) -> float:
    return math.exp(-energy_kj * 1000 / GAS_CONSTANT * (1 / (temperature_c + 273.15) - 1 / 298.15))


@cache
def rates() -> dict[str, Rate]:
    """Published rates by formula."""
    return {
        row["formula"]: Rate(**{key: value if key in _TEXTS else float(value) for key, value in row.items()})
        for row in read_rows("rates.csv")
    }


_TEXTS = ("formula", "name", "area_note", "source")


def rate_of(formula: str) -> Rate:
    """The published rate of a solid. Raises KineticsError where there is none."""
    try:
        atoms = parse_formula(formula).atoms
    except FormulaError as error:
        raise KineticsError(str(error)) from error
    for rate in rates().values():
        if parse_formula(rate.formula).atoms == atoms:
            return rate
    raise KineticsError(f"no published rate of dissolving is known here for {formula}, so no curve is drawn")


def dissolving(solution: Contents, solid_mol: float, rate: Rate, temperature_c: float = 20.0) -> Curve:
    """pH against time after `solid_mol` of a solid meets a solution at one temperature.

    Raises KineticsError for impossible parameters or where the pH cannot be computed.
    """
    if not (solid_mol > 0 and rate.area_m2_g > 0):
        raise KineticsError("give an amount and an area of the solid above nought")
    if not 0 <= temperature_c <= 100:
        raise KineticsError("give a temperature from 0 to 100 °C")
    solution = replace(solution, temperature_c=temperature_c)
    ions = {ion: float(n) for ion, n in species.identify(rate.formula).ions}
    end = _dissolves_in_the_end(solution, ions, solid_mol, rate.formula)
    area = rate.area_m2_g * solid_mol * molar_mass(rate.formula)
    points, seconds, before = [], 0.0, None
    for number in range(_POINTS + 1):
        # Denser towards the end, where the solution changes fastest.
        part = 1 - (1 - number / _POINTS) ** 2
        dissolved = end * min(part, _ENOUGH)
        state = settle(
            solution.changed({ion: n * dissolved for ion, n in ions.items()}), "", frozenset({rate.formula})
        )
        if state.ph is None:
            raise KineticsError(state.why_no_ph)
        pull = 1 - dissolved / end if end < solid_mol else 1.0
        left = max(1 - dissolved / solid_mol, 1e-9) ** (2 / 3)
        speed = area * left * rate.per_square_metre(state.ph, temperature_c) * pull
        if before is not None:
            amount, slowness = before
            seconds += (dissolved - amount) * (slowness + 1 / speed) / 2
        points.append(Point(seconds, state.ph, dissolved / solid_mol))
        before = (dissolved, 1 / speed)
    return Curve(temperature_c, tuple(points), rate)


def _dissolves_in_the_end(solution: Contents, ions, solid_mol: float, formula: str) -> float:
    state = settle(solution.changed({ion: n * solid_mol for ion, n in ions.items()}))
    if state.ph is None:
        raise KineticsError(state.why_no_ph)
    left = sum(s.mol for s in state.solids if parse_formula(s.formula).atoms == parse_formula(formula).atoms)
    return max(solid_mol - left, 1e-12)
