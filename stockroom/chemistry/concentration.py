"""Strength: how much of a chemical a reagent holds, in the units people write, and the way between them.

    % w/w      g in 100 g of the reagent          % w/v   g in 100 mL of it
    % v/v      mL of the pure liquid in 100 mL    g/L, mg/L, mol/L   in a litre of the reagent
    mol/kg     mol in a kilogram of the solvent   vol H2O2   litres of oxygen (0 °C, 101.325 kPa) from a litre
    pure       nothing else                       saturated  what the solvent will hold

Every conversion goes over grams in a litre. One that needs a density, a molar mass or a solubility it is not
given is a QuantityError that names it. Where the chemical has a density table (density.py) and no density is
given, the table is used.
"""

import re
from dataclasses import dataclass
from decimal import Decimal, DecimalException
from functools import cache

from stockroom.chemistry import density as densities
from stockroom.chemistry.formula import FormulaError, parse_formula
from stockroom.chemistry.published import rows as read_rows
from stockroom.chemistry.quantity import MAX_TEXT, QuantityError, positive

W_W, W_V, V_V = "% w/w", "% w/v", "% v/v"
MOL_L, MOL_KG, G_L, MG_L = "mol/L", "mol/kg", "g/L", "mg/L"
PURE, VOL_H2O2, SATURATED = "pure", "vol H2O2", "saturated"
UNITS = (W_W, W_V, V_V, MOL_L, MOL_KG, G_L, MG_L, PURE, VOL_H2O2, SATURATED)
#: Units that carry no number of their own.
BARE_UNITS = (PURE, SATURATED)

_MOST = {MOL_L: 60, MOL_KG: 1000, G_L: 25_000, MG_L: 25_000_000, VOL_H2O2: 700, W_W: 100, V_V: 100, W_V: 200}
#: Litres of oxygen at 0 °C and 101.325 kPa from a mole of hydrogen peroxide: half the molar volume 22.414 L.
OXYGEN_L_PER_MOL = Decimal("11.207")


class StrengthError(QuantityError):
    """A strength that cannot be used; the message says what to change."""


@dataclass(frozen=True)
class Strength:
    """A number and one of UNITS. value is None for "pure" and "saturated"."""

    value: Decimal | None
    unit: str

    def __str__(self):
        return self.unit if self.value is None else f"{_plain(self.value)} {self.unit}"


@dataclass(frozen=True)
class Component:
    """One chemical of a reagent's composition, as plain data. molar_mass in g/mol; value as in Strength."""

    chemical_key: str
    formula: str
    molar_mass: float
    value: Decimal | None
    unit: str

    @property
    def strength(self):
        return Strength(self.value, self.unit)


@dataclass(frozen=True)
class Medium:
    """What is known of the reagent around the chemical; None where it is not.

    density_g_ml: of the reagent. pure_g_ml: of the pure chemical, a liquid. solubility_g_l: grams of it in a
    litre of saturated solution. formula: of the chemical; with it molar mass, density by strength and
    solubility are looked up where they are not given.
    """

    density_g_ml: Decimal | None = None
    molar_mass: Decimal | None = None
    pure_g_ml: Decimal | None = None
    solubility_g_l: Decimal | None = None
    formula: str = ""


_UNIT_SPELLINGS = (
    (W_W, r"%\s*\(?\s*(?:w/w|m/m|wt|by (?:mass|weight))\s*\)?|wt\s*%|mass\s*%"),
    (W_V, r"%\s*\(?\s*(?:w/v|m/v)\s*\)?"),
    (V_V, r"%\s*\(?\s*(?:v/v|by volume)\s*\)?|vol\s*%|% vol"),
    (MOL_L, r"mol\s*/\s*(?:l|dm3|dm\^3)|mol\s*l-1|mol\s*dm-3|m|molar"),
    ("mmol/L", r"mmol\s*/\s*(?:l|dm3)|mm"),
    (MOL_KG, r"mol\s*/\s*kg|molal"),
    (G_L, r"g\s*/\s*(?:l|dm3)|kg\s*/\s*m3|mg\s*/\s*ml"),
    ("g/mL", r"g\s*/\s*(?:ml|cm3)"),
    (MG_L, r"mg\s*/\s*(?:l|dm3)|[uµ]g\s*/\s*ml"),
    (VOL_H2O2, r"vol(?:s|ume|umes)?(?:\s*h2o2|\s*of oxygen)?"),
)
_FACTORS = {"mmol/L": (MOL_L, Decimal("0.001")), "g/mL": (G_L, Decimal(1000))}
_AMBIGUOUS = {
    "%": "Say which per cent: % w/w, % w/v or % v/v.",
    "n": "Write normality as mol/L of the chemical: 1 N sulfuric acid is 0.5 mol/L.",
    "ppm": "Write parts per million as mg/L.",
}
_TIDY = str.maketrans(
    {"μ": "µ", "³": "3", "⁻": "-", "¹": "1", "−": "-", "–": "-", "\u00a0": " ", "₂": "2", ",": "."}
)


def _plain(value):
    text = f"{value.normalize():f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def check(value, unit):
    """A Strength of `value` and `unit`, after its range is verified.

    Raises StrengthError for an unknown unit, a negative or absurd number, a percentage above 100, or a number
    where the unit takes none.
    """
    if unit not in UNITS:
        raise StrengthError(f"Unknown unit of strength “{str(unit)[:20]}”: use one of {', '.join(UNITS)}.")
    if unit in BARE_UNITS:
        if value is not None:
            raise StrengthError(f"“{unit}” takes no number.")
        return Strength(None, unit)
    try:
        number = Decimal(str(value))
    except DecimalException:
        raise StrengthError(f"Write the strength as a number in {unit}.") from None
    if not number.is_finite() or number < 0:
        raise StrengthError(f"A strength is nought or more: write it as a number in {unit}.")
    if number > _MOST[unit]:
        most = f"{_MOST[unit]} %" if "%" in unit else f"{_MOST[unit]} {unit}"
        raise StrengthError(f"{_plain(number)} {unit} is more than there can be: at most {most}.")
    return Strength(number, unit)


def parse_strength(text):
    """A Strength from "96 % (w/w)", "0,1 mol/L", "2 M", "5% w/v", "20 vol", "pure", "saturated".

    Raises StrengthError; for a bare per cent, normality and ppm it says how to write them.
    """
    if not isinstance(text, str) or not text.strip() or len(text) > MAX_TEXT:
        raise StrengthError("Write the strength as a number and a unit, such as 1 mol/L or 96 % w/w.")
    tidy = " ".join(text.translate(_TIDY).lower().split())
    if tidy in ("pure", "neat", "100 %", "100%"):
        return Strength(None, PURE)
    if tidy in ("saturated", "sat", "sat."):
        return Strength(None, SATURATED)
    match = re.fullmatch(r"([-+]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d{1,2})?)\s*(.*)", tidy, re.ASCII)
    if not match:
        raise StrengthError(
            f"“{text.strip()[:40]}” is not a strength: write for instance 1 mol/L or 96 % w/w."
        )
    number, word = match.groups()
    if word in _AMBIGUOUS:
        raise StrengthError(_AMBIGUOUS[word])
    for unit, spelling in _UNIT_SPELLINGS:
        if re.fullmatch(spelling, word):
            unit, factor = _FACTORS.get(unit, (unit, Decimal(1)))
            return check(Decimal(number) * factor, unit)
    raise StrengthError(f"Add a unit to “{number}”, one of {', '.join(UNITS[:7])}.")


@cache
def _solubilities():
    rows = read_rows("solubilities.csv")
    return {parse_formula(row["formula"]).hill: (Decimal(row["g_per_l"]), row["source"]) for row in rows}


def solubility(formula):
    """(grams in a litre of saturated solution in water, source) of a tabled chemical; StrengthError if
    not.
    """
    try:
        return _solubilities()[parse_formula(formula).hill]
    except (KeyError, FormulaError):
        raise StrengthError(f"The solubility of {formula or 'the chemical'} is needed, in g/L.") from None


def _needed(value, name, unit, most):
    if value is None:
        raise StrengthError(f"The {name} is needed for this conversion: give it in {unit}.")
    return positive(name, value, most, unit)


def _molar_mass(medium):
    if medium.molar_mass is None and medium.formula:
        try:
            return Decimal(str(parse_formula(medium.formula).molar_mass))
        except FormulaError as error:
            raise StrengthError(str(error)) from None
    return _needed(medium.molar_mass, "molar mass", "g/mol", 10**7)


def _pure_density(medium):
    if medium.pure_g_ml is None and densities.reaches_pure(medium.formula):
        return densities.density(medium.formula, 100).g_ml
    return _needed(medium.pure_g_ml, "density of the pure liquid", "g/mL", 25)


def _is_looked_up(medium, fraction=0):
    """Whether the density table serves at this mass fraction; a solid's table ends before 100 %."""
    if medium.density_g_ml is not None or not densities.is_tabled(medium.formula):
        return False
    return fraction < 1 or densities.reaches_pure(medium.formula)


def _density_at_fraction(fraction, medium):
    if _is_looked_up(medium, fraction):
        return densities.density(medium.formula, fraction * 100).g_ml
    return _needed(medium.density_g_ml, "density of the reagent", "g/mL", 25)


def _fraction_of(grams_per_litre, medium):
    """Mass fraction of a reagent that holds so many grams in a litre."""
    if _is_looked_up(medium):
        return densities.mass_percent_at(medium.formula, grams_per_litre / _molar_mass(medium)) / 100
    fraction = grams_per_litre / (_needed(medium.density_g_ml, "density of the reagent", "g/mL", 25) * 1000)
    if fraction > Decimal("1.0005"):
        raise StrengthError("That is stronger than the pure chemical: check the strength and the density.")
    return min(fraction, Decimal(1))


def _per_litre(strength, medium):
    """Grams of the chemical in a litre of the reagent."""
    value, unit = strength.value, strength.unit
    if unit in (W_W, PURE):
        fraction = Decimal(1) if unit == PURE else value / 100
        return fraction * _density_at_fraction(fraction, medium) * 1000
    if unit == W_V:
        return value * 10
    if unit == V_V:
        return value * 10 * _pure_density(medium)
    if unit == SATURATED:
        if medium.solubility_g_l is None:
            return solubility(medium.formula)[0]
        return positive("solubility", medium.solubility_g_l, 10_000, "g/L")
    if unit == MOL_KG:
        grams = value * _molar_mass(medium)
        fraction = grams / (1000 + grams)
        return fraction * _density_at_fraction(fraction, medium) * 1000
    if unit == VOL_H2O2:
        value = value / OXYGEN_L_PER_MOL
    factors = {G_L: 1, MG_L: Decimal("0.001")}
    return value * (factors[unit] if unit in factors else _molar_mass(medium))


def _from_per_litre(grams, unit, medium):
    if unit == W_W:
        return _fraction_of(grams, medium) * 100
    if unit == W_V:
        return grams / 10
    if unit == V_V:
        return grams / 10 / _pure_density(medium)
    if unit == MOL_KG:
        fraction = _fraction_of(grams, medium)
        if fraction >= 1:
            raise StrengthError("A pure chemical has no strength in mol/kg of solvent.")
        return fraction * 1000 / (1 - fraction) / _molar_mass(medium)
    if unit == MG_L:
        return grams * 1000
    if unit == G_L:
        return grams
    moles = grams / _molar_mass(medium)
    return moles * OXYGEN_L_PER_MOL if unit == VOL_H2O2 else moles


def convert_strength(strength, unit, medium):
    """The Strength in another unit, given what `medium` knows of the reagent.

    strength: a Strength. unit: one of UNITS with a number. medium: a Medium.
    Raises StrengthError naming what is missing, or where the result is stronger than the pure chemical.
    """
    check(strength.value, strength.unit)
    if unit not in UNITS or unit in BARE_UNITS:
        raise StrengthError(f"A strength cannot be turned into “{str(unit)[:20]}”.")
    if VOL_H2O2 in (strength.unit, unit) and parse_formula(medium.formula or "H2O2").hill != "H2O2":
        raise StrengthError("Volumes are for hydrogen peroxide only.")
    if strength.unit == unit:
        return strength
    if strength.unit == PURE and unit in (W_W, V_V):
        return Strength(Decimal(100), unit)
    if VOL_H2O2 in (strength.unit, unit) and not medium.formula:
        medium = Medium(medium.density_g_ml, medium.molar_mass, medium.pure_g_ml, None, "H2O2")
    if {strength.unit, unit} == {W_W, MOL_KG}:
        return _between_mass_units(strength, unit, medium)
    grams = _per_litre(strength, medium)
    if strength.unit != PURE and (medium.density_g_ml is not None or _is_looked_up(medium)):
        _fraction_of(grams, medium)  # refuses what is stronger than the pure chemical
    value = _from_per_litre(grams, unit, medium)
    if unit == V_V and value > 100:
        raise StrengthError("That is stronger than the pure chemical: check the strength and the density.")
    return Strength(value, unit)


def _between_mass_units(strength, unit, medium):
    """% w/w and mol/kg need no density."""
    if unit == W_W:
        grams = strength.value * _molar_mass(medium)
        return Strength(grams * 100 / (1000 + grams), W_W)
    fraction = strength.value / 100
    if fraction >= 1:
        raise StrengthError("A pure chemical has no strength in mol/kg of solvent.")
    return Strength(fraction * 1000 / (1 - fraction) / _molar_mass(medium), MOL_KG)
