"""A measured amount of a reagent, told in moles: from bottle and label to what goes into the beaker."""

from dataclasses import dataclass
from decimal import Decimal

from stockroom.chemistry import species
from stockroom.chemistry.aqueous import Addition, Substance
from stockroom.chemistry.concentration import (
    G_L,
    PURE,
    W_W,
    Medium,
    Strength,
    convert_strength,
)
from stockroom.chemistry.density import is_tabled
from stockroom.chemistry.formula import FormulaError, molar_mass
from stockroom.chemistry.quantity import COUNT, MASS, VOLUME, QuantityError

_SPIRIT_G_ML = Decimal("0.8")  # a spirit whose density nobody gave; only its share of the whole hangs on it


class PortionError(ValueError):
    """An amount that cannot be told in moles; the message names what is missing."""


@dataclass(frozen=True)
class Part:
    """One chemical of a reagent: `value` in `unit`, one of concentration.UNITS."""

    name: str
    formula: str
    cas: str
    value: Decimal | None
    unit: str


@dataclass(frozen=True)
class Portion:
    """So much of a reagent. amount in base units of `measure` (microgram, microlitre, pieces).

    solvent: name of what the parts are dissolved in, "" for a solid or a pure liquid. piece_g: grams of one
    piece, where it is counted.
    """

    reagent: str
    measure: str
    amount: int
    parts: tuple[Part, ...]
    solvent: str = "water"
    density_g_ml: Decimal | None = None
    piece_g: float | None = None


def addition_of(portion: Portion, label: str = "", temperature_c: float = 20.0) -> Addition:
    """The portion as an addition to a beaker.

    A water solution without a density is taken as 1 g/mL. The room a solid takes up is left out.
    Raises PortionError naming what is missing.
    """
    label = label or portion.reagent
    if portion.amount < 0:
        raise PortionError(f"{label}: the amount cannot be negative")
    if not portion.parts:
        raise PortionError(f"{label}: its composition is not given")
    if portion.measure == VOLUME:
        return _of_volume(portion, label, temperature_c)
    if portion.measure == MASS:
        grams = portion.amount * 1e-6
    elif portion.measure == COUNT and portion.piece_g:
        grams = portion.amount * portion.piece_g
    else:
        raise PortionError(f"{label}: the mass of one piece is needed to count it in moles")
    return _of_mass(portion, label, grams, temperature_c)


def _of_mass(portion: Portion, label: str, grams: float, temperature_c: float) -> Addition:
    litres = None
    if portion.density_g_ml:
        litres = grams / float(portion.density_g_ml) / 1000
    substances, solutes = [], 0.0
    for part in portion.parts:
        if part.unit == PURE:
            mass = grams
        elif part.unit == W_W:
            mass = grams * float(part.value) / 100
        elif litres is not None:
            mass = litres * _grams_per_litre(part, portion, label)
        else:
            raise PortionError(
                f"{label}: its density is needed, since it is weighed and its strength is by volume"
            )
        substances.append(_substance(part, mass))
        solutes += mass
    rest = max(0.0, grams - solutes)
    volume = litres * 1000 if litres is not None else (rest if portion.solvent else 0.0)
    return _with_solvent(portion, label, substances, rest, volume, temperature_c)


def _of_volume(portion: Portion, label: str, temperature_c: float) -> Addition:
    litres = portion.amount * 1e-6
    density = float(portion.density_g_ml) if portion.density_g_ml is not None else 1.0
    substances, solutes = [], 0.0
    for part in portion.parts:
        if part.unit == PURE and portion.density_g_ml is None and part.formula != "H2O":
            raise PortionError(f"{label}: its density is needed to count it in moles")
        mass = litres * _grams_per_litre(part, portion, label)
        substances.append(_substance(part, mass))
        solutes += mass
    rest = max(0.0, litres * 1000 * density - solutes)
    if len(portion.parts) == 1 and portion.parts[0].unit == PURE:
        rest = 0.0
    return _with_solvent(portion, label, substances, rest, litres * 1000, temperature_c)


def _with_solvent(portion, label, substances, rest_g, volume_ml, temperature_c) -> Addition:
    # Water told as a part (distilled water, a hydrogel) is water to dissolve in, not a chemical beside it.
    water = sum(s.mass_g for s in substances if s.formula == "H2O")
    others = [s for s in substances if s.formula != "H2O"]
    if portion.solvent.casefold() in ("water", "distilled water", "deionised water"):
        water += rest_g
    elif portion.solvent and rest_g:
        others.append(Substance(portion.solvent, mass_g=rest_g))
    return Addition(label, tuple(others), water, volume_ml, temperature_c)


def _substance(part: Part, grams: float) -> Substance:
    mol = 0.0
    if part.formula:
        try:
            mol = grams / molar_mass(part.formula)
        except FormulaError as error:
            raise PortionError(str(error)) from error
    return Substance(part.name, part.formula, part.cas, mol, grams)


def _grams_per_litre(part: Part, portion: Portion, label: str) -> float:
    if part.formula == "H2O" and part.unit == PURE:
        return 1000 * float(portion.density_g_ml or 1)
    medium = Medium(density_g_ml=portion.density_g_ml, formula=part.formula)
    if portion.density_g_ml is None and portion.solvent.casefold() == "water" and part.unit == W_W:
        medium = (
            Medium(formula=part.formula)
            if is_tabled(part.formula)
            else Medium(Decimal(1), formula=part.formula)
        )
    try:
        return float(convert_strength(Strength(part.value, part.unit), G_L, medium).value)
    except QuantityError as error:
        kind = species.identify(part.formula, part.name, part.cas).kind
        if part.unit == "% v/v" and kind == species.ORGANIC:
            return float(part.value * 10 * _SPIRIT_G_ML)
        raise PortionError(f"{label}: {error}") from error
