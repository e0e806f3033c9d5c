"""Making up solutions: what to weigh and measure, in which glassware, in which order, how warm it gets.

Volumes in microlitre, masses in microgram (ints); strengths as concentration.Strength. What is made is
rounded up to glassware that exists unless told otherwise. The instruction lines are plain text, in order.
They say how to make the solution, not what protects the one who makes it: the supplier's safety data sheet
comes first.
"""

from dataclasses import dataclass
from decimal import ROUND_DOWN, Context, Decimal

from stockroom.chemistry import density as densities
from stockroom.chemistry import heat as heats
from stockroom.chemistry.concentration import (
    MOL_L,
    Medium,
    Strength,
    check,
    convert_strength,
    solubility,
)
from stockroom.chemistry.formula import parse_formula
from stockroom.chemistry.measuring import (
    Measured,
    Vessel,
    measure_out,
    vessel_for,
    weigh,
)
from stockroom.chemistry.quantity import (
    VOLUME,
    QuantityError,
    format_amount,
)

WATER = "purified water"
#: Share of the final volume in which a solid is dissolved (common practice, no source).
DISSOLVE_SHARE = Decimal("0.7")
#: Share of the water still to come that is put out before a stock is poured in, leaving room to rinse.
WATER_SHARE = Decimal("0.9")


def _three(value):
    """Three figures, never written with an exponent."""
    return f"{Context(prec=3).plus(value):f}"


def _hills(*formulas):
    return frozenset(parse_formula(formula).hill for formula in formulas)


ACIDS = _hills("H2SO4", "HCl", "HNO3", "H3PO4", "CH3COOH", "HCOOH", "HClO4", "HBr", "HI", "HF", "H2SO3")
ALKALIS = _hills("NaOH", "KOH", "LiOH", "NH3")
FUMING = _hills("HCl", "HNO3", "CH3COOH", "HCOOH", "HBr", "HI", "HF", "NH3", "Br2")
#: mol/L above which a fuming reagent is poured in a fume cupboard (rule of thumb, no source).
_FUMING_FROM = 3


class SolutionError(QuantityError):
    """A solution that cannot be made as asked; the message says what to change."""


@dataclass(frozen=True)
class Solid:
    """What is weighed. formula: of the form on the shelf, hydrate water included. purity: grams in a gram.

    active: formula of what the strength is stated in, where it differs (the anhydrous salt of a hydrate); one
    mole of the solid gives one of it.
    """

    name: str
    formula: str
    purity: Decimal = Decimal(1)
    active: str = ""

    @property
    def stated_in(self):
        return self.active or self.formula


@dataclass(frozen=True)
class Stock:
    """A solution on the shelf. density_g_ml None: by the table of its chemical, where there is one."""

    name: str
    formula: str
    strength: Strength
    density_g_ml: Decimal | None = None

    @property
    def medium(self):
        return Medium(density_g_ml=self.density_g_ml, formula=self.formula)

    @property
    def mol_l(self):
        """mol/L, a Decimal. Raises QuantityError naming what is missing."""
        return convert_strength(self.strength, MOL_L, self.medium).value


@dataclass(frozen=True)
class MakeUp:
    """How one solution is made.

    strength: as asked. reached: with the rounded amounts, in the same unit (mol/L for "saturated").
    error_percent: how far strength may be off in all, rounding, tools and vessel together. heat: None where
    nothing is tabled. water_g: grams of water in it all told, None where the density of the result is not
    known.
    """

    name: str
    strength: Strength
    reached: Strength
    vessel: Vessel
    takes: tuple[Measured, ...]
    steps: tuple[str, ...]
    warnings: tuple[str, ...]
    error_percent: Decimal
    heat: heats.Heat | None = None
    water_g: Decimal | None = None
    keeps_days: int | None = None

    @property
    def volume(self):
        """Microlitre made."""
        return self.vessel.volume


def _litres(volume):
    return Decimal(volume) / 1_000_000


def rough(volume):
    """Microlitre rounded down to two figures, for water that need not be exact."""
    return max(1, int(Context(prec=2, rounding=ROUND_DOWN).plus(Decimal(volume))))


def _target(strength, formula, density_g_ml):
    """mol/L of what is asked for, checked to be above nought."""
    check(strength.value, strength.unit)
    found = convert_strength(strength, MOL_L, Medium(density_g_ml=density_g_ml, formula=formula)).value
    if found <= 0:
        raise SolutionError("The strength to make must be above nought.")
    return found


def _final_mass_g(formula, mol_l, volume, density_g_ml):
    """Grams of the finished solution, or None where its density is not known."""
    if density_g_ml is None and densities.is_tabled(formula):
        percent = densities.mass_percent_at(formula, mol_l)
        density_g_ml = densities.density(formula, percent).g_ml
    return None if density_g_ml is None else Decimal(str(density_g_ml)) * _litres(volume) * 1000


def _reached(strength, mol_l, take):
    """What the rounded amount gives. % w/w is taken to follow the amount in proportion, as it nearly does."""
    share = Decimal(take.amount) / take.exact
    if strength.value is None:
        return Strength(mol_l * share, MOL_L)
    return Strength(strength.value * share, strength.unit)


def _total_error(takes, vessel):
    return sum((abs(t.rounding_percent) + t.tolerance_percent for t in takes), vessel.tolerance_percent)


def poorly_measured(takes):
    return tuple(
        f"{take.shown} of {take.what} cannot be measured well ({take.tool}): make more of it, or make a "
        "stronger stock first and dilute that."
        for take in takes
        if take.is_poor
    )


def mark_steps(vessel):
    steps = [f"Rinse it into a {vessel.name}, with all rinsings, and make up to the mark with {WATER}."]
    if vessel.times > 1:
        steps.append(times_step(vessel))
    return steps


def times_step(vessel):
    return f"Do all this {vessel.times} times, with an equal part of the amounts each time."


def last_steps(name, keeps_days):
    label = f"Stopper, turn over several times to mix, and label: {name}, date made, your initials"
    return [label + (f", use within {keeps_days} days." if keeps_days else ".")]


def _check_solid(solid):
    purity = Decimal(str(solid.purity))
    if not purity.is_finite() or not 0 < purity <= 1:
        raise SolutionError("The purity must be above 0 and at most 1 (99 % is 0.99).")
    if not parse_formula(solid.stated_in).parts:
        raise SolutionError("Give the formula of a solid.")
    return purity


def _check_soluble(solid, mol_l, solubility_g_l):
    """Refuse more than dissolves; say nothing where the solubility is not known."""
    if solubility_g_l is None:
        try:
            solubility_g_l = solubility(solid.stated_in)[0]
        except QuantityError:
            return
    grams = mol_l * Decimal(str(parse_formula(solid.stated_in).molar_mass))
    most = Decimal(str(solubility_g_l))
    if grams > most:
        raise SolutionError(
            f"{_three(grams)} g/L of {solid.stated_in} will not dissolve: about {_three(most)} g/L does. "
            "Ask for a weaker solution, or make a suspension and say so."
        )


def make_from_solid(
    name,
    solid,
    strength,
    volume,
    *,
    density_g_ml=None,
    solubility_g_l=None,
    keeps_days=None,
    round_up=True,
):
    """MakeUp of a solution in water from a Solid.

    strength: a Strength of solid.stated_in. volume: microlitre wanted. density_g_ml: of the finished
    solution, needed for % w/w where no table has it. Raises QuantityError (SolutionError) for what cannot be
    made.
    """
    purity, vessel = _check_solid(solid), vessel_for(volume, round_up=round_up)
    mol_l = _target(strength, solid.stated_in, density_g_ml)
    _check_soluble(solid, mol_l, solubility_g_l)
    moles = mol_l * _litres(vessel.volume)
    grams = moles * Decimal(str(parse_formula(solid.formula).molar_mass)) / purity
    take = weigh(solid.name, round(grams * 1_000_000))
    start = rough(vessel.volume * DISSOLVE_SHARE)
    heat = heats.heat_of_dissolving(solid.formula, moles, grams, _litres(start) * 1000)
    final = _final_mass_g(solid.stated_in, mol_l, vessel.volume, density_g_ml)
    return MakeUp(
        name=name,
        strength=strength,
        reached=_reached(strength, mol_l, take),
        vessel=vessel,
        takes=(take,),
        steps=_solid_steps(name, take, vessel, start, heat, keeps_days),
        warnings=_warnings((take,), heat, solid.formula, mol_l),
        error_percent=_total_error((take,), vessel),
        heat=heat,
        water_g=None if final is None else final - grams,
        keeps_days=keeps_days,
    )


def _solid_steps(name, take, vessel, start, heat, keeps_days):
    warms = heat is not None and heat.rise >= heats.WARM
    how = ", a little at a time, stirring" if warms else ", stirring,"
    return (
        f"Weigh {take.shown} of {take.what} ({take.tool}).",
        f"Put about {format_amount(start, VOLUME)} of {WATER} into a beaker.",
        *_heat_first(heat),
        f"Add the solid to the water{how} until it is dissolved.",
        *_heat_after(heat),
        *mark_steps(vessel),
        *last_steps(name, keeps_days),
    )


def _heat_first(heat):
    """The warning goes before the step it is about."""
    return [heat.warning] if heat is not None and heat.warning else []


def _heat_after(heat):
    return ["Let it come to room temperature."] if heat is not None and heat.warning else []


def _warnings(takes, heat, formula, mol_l):
    found = list(poorly_measured(takes))
    if heat is not None and heat.warning:
        found.append(heat.warning)
    key = parse_formula(formula).hill
    if key in FUMING and mol_l >= _FUMING_FROM:
        found.append("Gives off fumes: pour it in a fume cupboard.")
    if heat is None and key in ACIDS | ALKALIS:
        found.append("The heat given off is not tabled: add slowly, stirring, and feel for warmth.")
    return tuple(found)


def dilute(name, stock, strength, volume, *, density_g_ml=None, keeps_days=None, round_up=True):
    """MakeUp of a weaker solution in water from a Stock.

    strength: a Strength of stock.formula. volume: microlitre wanted. density_g_ml: of the finished solution,
    needed for % w/w where no table has it. Raises SolutionError where the stock is too weak, and
    QuantityError naming what is missing.
    """
    vessel = vessel_for(volume, round_up=round_up)
    have, want = stock.mol_l, _target(strength, stock.formula, density_g_ml)
    if want >= have:
        raise SolutionError(
            f"{stock.name} holds {have:.3g} mol/L, which is not above the {want:.3g} mol/L asked for: "
            "take a stronger stock, or make it from the solid."
        )
    take = measure_out(stock.name, max(1, round(vessel.volume * want / have)))
    start = rough((vessel.volume - take.exact) * WATER_SHARE)
    heat = heat_of_pouring(stock, take.exact, start)
    final = _final_mass_g(stock.formula, want, vessel.volume, density_g_ml)
    solute = want * _litres(vessel.volume) * Decimal(str(parse_formula(stock.formula).molar_mass))
    return MakeUp(
        name=name,
        strength=strength,
        reached=_reached(strength, want, take),
        vessel=vessel,
        takes=(take,),
        steps=_dilution_steps(name, stock, take, vessel, start, heat, keeps_days),
        warnings=_warnings((take,), heat, stock.formula, have),
        error_percent=_total_error((take,), vessel),
        heat=heat,
        water_g=None if final is None else final - solute,
        keeps_days=keeps_days,
    )


def heat_of_pouring(stock, volume, water):
    """Heat of pouring `volume` of a Stock into `water`, both in microlitre; None where heat or density is not
    known. Raises QuantityError naming what is missing for its strength.
    """
    mol_l = stock.mol_l
    mass = _final_mass_g(stock.formula, mol_l, volume, stock.density_g_ml)
    if mass is None or not mol_l:
        return None
    moles = mol_l * _litres(volume)
    solute = moles * Decimal(str(parse_formula(stock.formula).molar_mass))
    before = max(Decimal(0), mass - solute)
    return heats.heat_of_diluting(stock.formula, moles, solute, before, before + _litres(water) * 1000)


def _dilution_steps(name, stock, take, vessel, start, heat, keeps_days):
    how = ", stirring."
    if parse_formula(stock.formula).hill in ACIDS:
        how = ", slowly, stirring: acid into water, never water into acid."
    elif heat is not None and heat.rise >= heats.WARM:
        how = ", slowly, stirring."
    return (
        f"Put about {format_amount(start, VOLUME)} of {WATER} into a beaker.",
        *_heat_first(heat),
        f"Measure {take.shown} of {take.what} ({take.tool}) and pour it into the water{how}",
        *_heat_after(heat),
        *mark_steps(vessel),
        *last_steps(name, keeps_days),
    )


def blend(name, strong, weak, strength, volume, *, keeps_days=None, round_up=True):
    """MakeUp of a solution between two Stocks of one chemical, by mixing them.

    Volumes are taken to add up, and the flask is made up with the weaker one. Raises SolutionError where the
    strength does not lie between them.
    """
    if parse_formula(strong.formula).hill != parse_formula(weak.formula).hill:
        raise SolutionError("Two solutions of one chemical can be blended, not of two.")
    high, low, want = strong.mol_l, weak.mol_l, _target(strength, strong.formula, None)
    if not low < want < high:
        raise SolutionError(
            f"{want:.3g} mol/L does not lie between {low:.3g} and {high:.3g} mol/L: choose other solutions."
        )
    vessel = vessel_for(volume, round_up=round_up)
    part = round(vessel.volume * (want - low) / (high - low))
    if not 0 < part < vessel.volume:
        raise SolutionError("The strength is too near one of the two solutions: use that one as it is.")
    first, second = measure_out(strong.name, part), measure_out(weak.name, vessel.volume - part)
    start = rough(second.exact * WATER_SHARE)
    reached = (high * first.amount + low * (vessel.volume - first.amount)) / vessel.volume
    steps = [
        f"Put about {format_amount(start, VOLUME)} of {weak.name} into a beaker.",
        f"Measure {first.shown} of {strong.name} ({first.tool}) and pour it in slowly, stirring.",
        "Let it come to room temperature.",
        f"Rinse it into a {vessel.name} with {weak.name}, and make up to the mark with {weak.name}.",
        *last_steps(name, keeps_days),
    ]
    return MakeUp(
        name=name,
        strength=strength,
        reached=Strength(reached, MOL_L),
        vessel=vessel,
        takes=(first, second),
        steps=tuple(steps),
        warnings=poorly_measured((first,)),
        error_percent=_total_error((first,), vessel),
        keeps_days=keeps_days,
    )
