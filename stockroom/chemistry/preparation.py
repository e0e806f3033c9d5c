"""Scaling a preparation: from how a reagent is made up once to the batch that is needed now.

Amounts are base units (microgram, microlitre, piece). A batch is rounded up to glassware that exists; every
part of it follows in proportion, and so do the amounts written in the lines of the method.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from stockroom.chemistry.concentration import PURE, Strength
from stockroom.chemistry.formula import FormulaError, parse_formula
from stockroom.chemistry.heat import heat_of_dissolving
from stockroom.chemistry.measuring import Measured, Vessel, round_number_up, set_out, vessel_for
from stockroom.chemistry.quantity import (
    COUNT,
    MASS,
    MAX_BASE_UNITS,
    VOLUME,
    QuantityError,
    format_amount,
    measure_of,
    parse,
    to_base,
)
from stockroom.chemistry.solution import (
    ACIDS,
    DISSOLVE_SHARE,
    WATER,
    WATER_SHARE,
    SolutionError,
    Stock,
    heat_of_pouring,
    last_steps,
    mark_steps,
    poorly_measured,
    rough,
    times_step,
)


@dataclass(frozen=True)
class Part:
    """One reagent of a preparation: base units of `measure` for one yield. formula "" where it has none.

    Water (formula H2O) is what it takes to make up to the mark, not an exact amount. strength, density_g_ml:
    of the reagent, for the heat it gives off; None where not known.
    """

    name: str
    measure: str
    amount: int
    formula: str = ""
    strength: Strength | None = None
    density_g_ml: Decimal | None = None


@dataclass(frozen=True)
class Preparation:
    """How a reagent is made up. yields: base units of `measure`. method: its own lines, for one yield; empty
    for the usual order of working."""

    name: str
    measure: str
    yields: int
    parts: tuple[Part, ...]
    method: tuple[str, ...] = ()
    keeps_days: int | None = None


@dataclass(frozen=True)
class Batch:
    """One making-up of a Preparation. amount: base units made. factor: of the preparation's own yield, exact.

    vessel: None for what is not a liquid. Each of `takes` has the exact and the rounded amount.
    """

    name: str
    measure: str
    amount: int
    factor: Fraction
    takes: tuple[Measured, ...]
    vessel: Vessel | None
    steps: tuple[str, ...]
    warnings: tuple[str, ...] = ()
    keeps_days: int | None = None


def scale(preparation, needed):
    """Batch that yields at least `needed` base units, rounded up to glassware (a liquid) or a round number.

    Pieces are made in whole yields. Raises SolutionError for amounts that cannot be.
    """
    _check_preparation(preparation, needed)
    vessel = None
    if preparation.measure == VOLUME:
        vessel = vessel_for(needed)
        amount = vessel.volume
    elif preparation.measure == COUNT:
        amount = ceil(Fraction(needed, preparation.yields)) * preparation.yields
    else:
        amount = round_number_up(needed)
    factor = Fraction(amount, preparation.yields)
    exact = [(part, ceil(part.amount * factor)) for part in preparation.parts]
    if max(amount, *(n for _, n in exact)) > MAX_BASE_UNITS:
        raise SolutionError("That is more than can be kept: make less.")
    takes = tuple(set_out(part.name, part.measure, n) for part, n in exact)
    return Batch(
        name=preparation.name,
        measure=preparation.measure,
        amount=amount,
        factor=factor,
        takes=takes,
        vessel=vessel,
        steps=_batch_steps(preparation, takes, vessel, factor),
        warnings=(*poorly_measured(takes), *heat_warnings(preparation)),
        keeps_days=preparation.keeps_days,
    )


def _check_preparation(preparation, needed):
    whole = [needed, preparation.yields, *(part.amount for part in preparation.parts)]
    if not all(isinstance(n, int) and n > 0 for n in whole):
        raise SolutionError("The yield, what is needed and every part must be above nought.")
    if needed > MAX_BASE_UNITS:
        raise SolutionError("That is more than can be kept: make less.")
    if not preparation.parts:
        raise SolutionError(f"{preparation.name} has no parts: write what it is made from.")


def _batch_steps(preparation, takes, vessel, factor):
    """The amounts, then the preparation's own method scaled to them, or the usual order of working."""
    amounts = [_amount_step(part, take) for part, take in zip(preparation.parts, takes, strict=True)]
    amounts += heat_warnings(preparation)
    if preparation.method:
        times = vessel.times if vessel else 1
        again = [times_step(vessel)] if times > 1 else []
        return (*amounts, *(_scaled(line, factor / times) for line in preparation.method), *again)
    last = last_steps(preparation.name, preparation.keeps_days)
    if vessel is None:
        return (*amounts, "Mix well.", *last)
    others = [part for part in preparation.parts if part.formula != "H2O"]
    liquids = ceil(sum(part.amount for part in others if part.measure == VOLUME) * factor)
    start = rough(max(vessel.volume - liquids, vessel.volume // 10) * DISSOLVE_SHARE)
    acid = any(
        part.measure == VOLUME and part.formula and parse_formula(part.formula).hill in ACIDS
        for part in others
    )
    return (
        *amounts,
        f"Put about {format_amount(start, VOLUME)} of {WATER} into a beaker; dissolve the solids in it.",
        "Add the liquids, stirring" + (", slowly: acid into water, never water into acid." if acid else "."),
        "Let it come to room temperature.",
        *mark_steps(vessel),
        *last,
    )


def heat_warnings(preparation):
    """What to say before a part that warms or cools the water much goes in; the same at every scale.

    Reckoned as if each part came alone into the water that is put out first; parts without a tabled heat, a
    formula or a strength are passed over.
    """
    if preparation.measure != VOLUME:
        return ()
    found = ((part, _heat_of(part, preparation)) for part in preparation.parts)
    return tuple(
        f"{part.name}: {heat.warning[:1].lower()}{heat.warning[1:]}"
        for part, heat in found
        if heat is not None and heat.warning
    )


def _heat_of(part, preparation):
    if not part.formula or part.formula == "H2O" or part.strength is None:
        return None
    others = (p for p in preparation.parts if p.measure == VOLUME and p.formula != "H2O")
    liquids = sum(p.amount for p in others)
    water = max(preparation.yields - liquids, preparation.yields // 10)
    try:
        if part.measure == VOLUME:
            stock = Stock(part.name, part.formula, part.strength, part.density_g_ml)
            return heat_of_pouring(stock, part.amount, rough(water * WATER_SHARE))
        if part.measure != MASS or part.strength.unit != PURE:
            return None
        grams = Decimal(part.amount) / 1_000_000
        moles = grams / Decimal(str(parse_formula(part.formula).molar_mass))
        return heat_of_dissolving(part.formula, moles, grams, Decimal(water) * DISSOLVE_SHARE / 1000)
    except (QuantityError, FormulaError):
        return None


def _amount_step(part, take):
    if part.formula == "H2O":
        return f"Have about {take.shown} of {take.what} ready."
    verbs = {MASS: "Weigh", VOLUME: "Measure", COUNT: "Count out"}
    return f"{verbs[take.measure]} {take.shown} of {take.what} ({take.tool})."


_AMOUNT_IN_TEXT = re.compile(r"(?<![\w.,/])\d+(?:\.\d+)? ?(?:kg|g|mg|µg|L|mL|µL)(?![\w/])")


def _scaled(line, factor):
    """A line of a method with the amounts in it ("about 700 mL") times `factor`, to three figures."""
    if factor == 1:
        return line

    def times(match):
        quantity = parse(match.group()).quantity
        measure = measure_of(quantity)
        return format_amount(max(1, round(to_base(quantity, measure) * factor)), measure, figures=3)

    return _AMOUNT_IN_TEXT.sub(times, line)
