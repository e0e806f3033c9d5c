"""Sums of the bench: dilute, dissolve, convert, neutralize, mix. From reagents as kept to an answer in words.

Reads what `PREFETCH` names of each reagent; only `makers_of` asks the database.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from math import ceil

from stockroom.chemistry import solution
from stockroom.chemistry.aqueous import BeakerError, State, follow
from stockroom.chemistry.concentration import (
    BARE_UNITS,
    MOL_L,
    PURE,
    UNITS,
    W_W,
    Medium,
    Strength,
    convert_strength,
)
from stockroom.chemistry.concentration import Component as Share
from stockroom.chemistry.electron_transfer import DANGER, GASES, LEVELS, Transfer, course, transfers
from stockroom.chemistry.formula import FormulaError, molar_mass
from stockroom.chemistry.naming import main_form
from stockroom.chemistry.neutralise import Dose, NeutraliseError, options
from stockroom.chemistry.portion import PortionError, addition_of
from stockroom.chemistry.quantity import (
    COUNT,
    MASS,
    VOLUME,
    QuantityError,
    convert,
    format_amount,
    from_base,
    plain_figures,
    to_base,
)
from stockroom.hazards.reactivity import item_of
from stockroom.inventory.models import Chemical, Component, Preparation, Reagent
from stockroom.safety.storage import Conflict, Item, mixing_conflicts
from stockroom.waste import composition
from stockroom.wording.sentences import first_large, sentence

PREFETCH = ("hazards", "components__chemical")
#: two strengths closer than this are the same bottle
SAME = Decimal("0.01")
_WATERS = ("H2O",)
_NO_GAS_ML = 0.5
_MONSTER = 100_000  # a strength of so many mg/L is told better in another unit


class BenchError(ValueError):
    """What was asked has no answer; the message says what to change."""


@dataclass(frozen=True)
class Make:
    """A solution to make, and from what: parts are (reagent, base units)."""

    chemical: Chemical
    strength: Strength
    volume: int
    parts: tuple[tuple[Reagent, int], ...]
    steps: tuple[str, ...]


@dataclass(frozen=True)
class Answer:
    """facts: label and text, in order. steps: what to do, in order. warnings: before the steps.

    columns, rows: a table, where there is one. conflicts: what the mixing rules say. make: None where nothing
    is made.
    """

    title: str
    facts: tuple[tuple[str, str], ...] = ()
    warnings: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    make: Make | None = None


def _solute(reagent: Reagent) -> Component:
    """The chemical that a reagent's strength is told by: the first that is not water."""
    for part in reagent.components.all():
        if part.chemical.formula and part.chemical.formula not in _WATERS:
            return part
    raise BenchError(f"{reagent} has no chemical with a formula: add its composition first.")


def _stock(reagent: Reagent) -> tuple[solution.Stock, Component]:
    part = _solute(reagent)
    if part.unit == PURE and reagent.measure == MASS:
        raise BenchError(f"{reagent} is a solid: use “dissolve”.")
    strength = Strength(part.value, part.unit)
    return solution.Stock(reagent.name, part.chemical.formula, strength, reagent.density), part


_HYDRATE = re.compile(
    r"[ ,]+(hemi|mono|sesqui|di|tri|tetra|penta|hexa|hepta|octa|nona|deca|dodeca)hydrate$", re.IGNORECASE
)
_STRENGTH_WORDS = re.compile(
    r",?\s*(\d[\d.,]*\s*(%|mol/L|mmol/L|g/L|mg/L|M\b).*|concentrated|dilute|glacial|fuming|pellets|flakes|"
    r"powder|crystals)$",
    re.IGNORECASE,
)


def _name(reagent: Reagent, strength: Strength) -> str:
    """What stands on the label: the bottle's own name, without what tells its old strength or form."""
    name, before = reagent.name, ""
    while name != before:
        before, name = name, _HYDRATE.sub("", _STRENGTH_WORDS.sub("", name)).strip()
    return f"{name or reagent.name} {strength}"


def dilute(
    reagent: Reagent, strength: Strength, volume: int, weaker: Reagent | None = None, round_up: bool = True
) -> Answer:
    """A weaker solution from a stock, in water or in a weaker solution of the same chemical.

    Raises BenchError or chemistry's QuantityError, with what to change.
    """
    stock, part = _stock(reagent)
    name = _name(reagent, strength)
    several = [row for row in reagent.components.all() if row.chemical.formula not in _WATERS]
    if weaker is not None:
        other, _ = _stock(weaker)
        made, parts = (
            solution.blend(name, stock, other, strength, volume, round_up=round_up),
            (reagent, weaker),
        )
    else:
        made, parts = solution.dilute(name, stock, strength, volume, round_up=round_up), (reagent,)
    answer = _of_make_up(made, part.chemical, parts)
    if len(several) > 1 and weaker is None:
        rest = ", ".join(row.chemical.name for row in several if row != part)
        answer = replace(
            answer,
            warnings=(
                *answer.warnings,
                f"The strength is that of {part.chemical}; {rest} is diluted with it.",
            ),
        )
    return answer


def dissolve(reagent: Reagent, strength: Strength, volume: int, round_up: bool = True) -> Answer:
    """A solution in water from a solid. Strengths by mass are of the solid as weighed."""
    part = _solute(reagent)
    if reagent.measure != MASS:
        raise BenchError(f"{reagent} is not weighed: use “dilute”.")
    if part.unit not in (PURE, W_W):
        raise BenchError(f"{reagent} is kept by {part.unit}: its share by mass is needed to weigh it out.")
    purity = Decimal(1) if part.unit == PURE else part.value / 100
    solid = solution.Solid(reagent.name, part.chemical.formula, purity)
    made = solution.make_from_solid(_name(reagent, strength), solid, strength, volume, round_up=round_up)
    return _of_make_up(made, part.chemical, (reagent,))


def _of_make_up(made: solution.MakeUp, chemical: Chemical, reagents: tuple[Reagent, ...]) -> Answer:
    facts = [
        ("Makes", f"{format_amount(made.volume, VOLUME)} in a {made.vessel.name}"),
        *((f"Takes {take.what}", f"{take.shown}, {take.tool}") for take in made.takes),
        ("Comes to", f"{plain_figures(made.reached.value, 4)} {made.reached.unit}"),
        ("May be off by", f"{plain_figures(made.error_percent, 2)} %: rounding, tool and vessel together"),
    ]
    if made.heat is not None:
        rise = round(made.heat.rise)
        way = "warms" if rise > 0 else "cools"
        text = f"{way} by about {abs(rise)} °C if no heat is lost" if rise else "hardly any warming"
        facts.append(("Heat", f"{text} ({made.heat.source})"))
    make = Make(
        chemical,
        made.strength,
        made.volume,
        tuple(
            (reagent, _in_measure(reagent, take)) for reagent, take in zip(reagents, made.takes, strict=True)
        ),
        made.steps,
    )
    return Answer(made.name, tuple(facts), made.warnings, made.steps, make=make)


def _in_measure(reagent: Reagent, take) -> int:
    """The amount in base units as the reagent is kept: a liquid kept by mass is weighed on the shelf."""
    if take.measure == reagent.measure:
        return take.amount
    quantity = convert(from_base(take.amount, take.measure), reagent.measure, density_g_ml=reagent.density)
    return to_base(quantity, reagent.measure)


#: so much of a reagent is told in moles to learn what one mole of it is: large enough to round well
_REFERENCE = {MASS: 1_000_000_000, VOLUME: 1_000_000_000, COUNT: 1000}


def mol_per_unit(reagent: Reagent) -> float:
    """Moles of a reagent's own chemical in one base unit of it (microgram, microliter, piece).

    Raises BenchError naming what is missing.
    """
    reference = _REFERENCE[reagent.measure]
    try:
        addition = addition_of(composition.portion_of(reagent, reference))
    except PortionError as error:
        raise BenchError(_sentence(error)) from error
    mol = next((one.mol for one in addition.substances if one.mol), 0.0)
    if not mol and all(part.chemical.formula in _WATERS for part in reagent.components.all()):
        mol = addition.water_g / molar_mass("H2O")
    if not mol:
        raise BenchError(f"{reagent} has no chemical with a formula: moles of it mean nothing.")
    return mol / reference


def amount_of(reagent: Reagent, mol: Decimal) -> int:
    """The base units of a reagent that hold so many moles of its own chemical. Raises BenchError."""
    exact = float(mol) / mol_per_unit(reagent)
    amount = ceil(exact) if reagent.measure == COUNT else round(exact)
    if not amount:
        raise BenchError("That is too little to measure out: the smallest is 1 µg or 1 µL.")
    return amount


def _sentence(error: Exception) -> str:
    text = str(error)
    return f"{text[:1].upper()}{text[1:]}".rstrip(".") + "."


def convert_amount(reagent: Reagent, amount: int) -> Answer:
    """An amount as mass, volume and moles, and the strength in every unit; what cannot be told says why."""
    facts = [("Amount", reagent.text_of(amount))]
    for measure, label in ((MASS, "Mass"), (VOLUME, "Volume")):
        if measure != reagent.measure:
            facts.append((label, _converted(reagent, amount, measure)))
    try:
        addition = addition_of(composition.portion_of(reagent, amount))
    except PortionError as error:
        facts.append(("Moles", sentence(error)))
    else:
        if addition.water_g and not addition.substances:
            facts.append(("Moles", f"{plain_figures(addition.water_g / molar_mass('H2O'), 4)} mol"))
        for one in addition.substances:
            moles = f"{plain_figures(one.mol, 4)} mol, " if one.mol else ""
            facts.append((one.name, f"{moles}{format_amount(round(one.mass_g * 1e6), MASS, figures=4)}"))
    rows = tuple(
        (part.chemical.name, _strength_in(reagent, part, unit))
        for part in reagent.components.all()
        if part.chemical.formula and part.chemical.formula not in _WATERS
        for unit in UNITS
        if unit not in BARE_UNITS and _strength_in(reagent, part, unit)
    )
    return Answer(
        f"{reagent.text_of(amount)} of {reagent}", tuple(facts), columns=("Chemical", "Strength"), rows=rows
    )


def _converted(reagent: Reagent, amount: int, measure: str) -> str:
    try:
        quantity = convert(
            from_base(amount, reagent.measure),
            measure,
            density_g_ml=reagent.density,
            piece_mass_g=reagent.piece_mass_g,
        )
        return format_amount(to_base(quantity, measure), measure)
    except QuantityError as error:
        return str(error)


def _strength_in(reagent: Reagent, part: Component, unit: str) -> str:
    """ "" where the unit does not apply or something is missing, or where its number would be a monster."""
    if part.unit == PURE and reagent.measure != VOLUME:
        return f"100 {unit}" if unit == W_W else ""
    medium = Medium(density_g_ml=reagent.density, formula=part.chemical.formula)
    try:
        found = convert_strength(Strength(part.value, part.unit), unit, medium)
    except (QuantityError, FormulaError):
        return ""
    return "" if found.value >= _MONSTER else f"{plain_figures(found.value, 4)} {unit}"


def neutralise(reagent: Reagent, amount: int, ph: float | None, low: float, high: float) -> Answer:
    """What brings so much of a reagent into a range of pH. ph: as measured, None to have it worked out."""
    if reagent.measure != VOLUME:
        raise BenchError(f"{reagent} is not a liquid: dissolve it in water first, then neutralize that.")
    residue = composition.of_reagent(reagent, amount, ph).residue
    if residue.unknown:
        raise BenchError(f"{residue.unknown[0]} cannot be followed: collect it.")
    if residue.ph is not None and low <= residue.ph <= high:
        raise BenchError(f"At pH {residue.ph:.1f} it already lies between {low:g} and {high:g}.")
    try:
        found = options(residue, low, high)
    except NeutraliseError as error:
        raise BenchError(str(error)) from error
    if not found:
        raise BenchError("None of the usual neutralizers brings it there: dilute it first, or collect it.")
    wanted = f"from pH {found[0].ph_before:.1f} to between {low:g} and {high:g}"
    strong = "Concentrated: pour it into at least ten times its volume of cold water first."
    return Answer(
        f"{reagent.text_of(amount)} of {reagent}, {wanted}",
        warnings=(strong,) if _is_strong(reagent) else (),
        columns=("With", "About", "pH after, at 20 °C", "Gives off", "Caution"),
        rows=tuple(_dose_row(dose) for dose in found),
        steps=(
            "Work in a vessel three times the volume, in a fume hood if gas comes off.",
            "Add the neutralizer in small portions with stirring, and let each settle.",
            "Check the pH with paper; stop inside the range.",
            "Collect it: a neutral pH alone does not make it fit for the drain.",
        ),
    )


def _dose_row(dose: Dose) -> tuple[str, ...]:
    gas = (gas for gas in dose.gas if gas.volume_ml > _NO_GAS_ML)
    return (
        dose.neutraliser.name,
        _grams(dose.mass_g) if dose.mass_g is not None else _millilitres(dose.volume_ml),
        f"{dose.ph_after:.1f}",
        ", ".join(f"{_millilitres(one.volume_ml)} {one.name}" for one in gas) or "nothing",
        " ".join(dose.notes),
    )


def _grams(g: float) -> str:
    return format_amount(round(g * 1e6), MASS, figures=3)


def _millilitres(ml: float) -> str:
    return format_amount(round(ml * 1000), VOLUME, figures=3)


def _is_strong(reagent: Reagent) -> bool:
    """Whether it holds more than 2 mol/L of an acid or alkali (rule of thumb, no source)."""
    try:
        stock, _ = _stock(reagent)
        return stock.mol_l > 2
    except (BenchError, QuantityError):
        return False


def mix(portions: Sequence[tuple[Reagent, int]]) -> Answer:
    """What standing together comes to, in the order poured. Says first what the mixing rules say."""
    items: list[Item] = [item_of(reagent) for reagent, _ in portions]
    conflicts = mixing_conflicts(items).unmeant
    try:
        additions = [addition_of(composition.portion_of(reagent, amount)) for reagent, amount in portions]
        states = follow(additions)
    except (PortionError, BeakerError) as error:
        text = str(error)
        raise BenchError(f"{first_large(text)}.") from error
    return Answer(
        " and ".join(f"{reagent.text_of(amount)} of {reagent}" for reagent, amount in portions),
        _strengths_in(states[-1]),
        _notes_on(states),
        columns=("After adding", "Volume", "pH", "Undissolved", "Gas"),
        rows=tuple(map(_row_of, states)),
        conflicts=conflicts,
    )


def _row_of(state: State) -> tuple[str, ...]:
    return (
        state.label,
        _millilitres(state.volume_ml),
        _ph_of(state),
        ", ".join(f"{solid.name} {plain_figures(solid.mol, 3)} mol" for solid in state.solids),
        _gas_of(state, transfers(state)),
    )


def _strengths_in(state: State) -> tuple[tuple[str, str], ...]:
    """(name of the form most of it has, mol/L) of all that is dissolved."""
    litres = state.volume_ml / 1000
    dissolved = [one for one in state.dissolved if one.mol > 1e-9] if litres else []
    return tuple(
        (main_form(one.formula, one.name, state.ph), f"{plain_figures(one.mol / litres, 3)} mol/L")
        for one in dissolved
    )


def _notes_on(states: Sequence[State]) -> tuple[str, ...]:
    """What is to be said of them, each once: electron transfer first, the gravest first."""
    electrons = [(one, state) for state in states for one in transfers(state)]
    electrons.sort(key=lambda pair: LEVELS.index(pair[0].level))
    first = {one.words: _and_does(one, state) for one, state in electrons}
    without = ["The amounts below leave out what reacts by electron transfer"] if first else []
    told = [
        *first.values(),
        *without,
        *(note for state in states for note in (*state.notes, state.why_no_ph)),
    ]
    return tuple(sentence(note) for note in dict.fromkeys(filter(None, told)))


def _and_does(transfer: Transfer, state: State) -> str:
    went = course(state, transfer)
    return f"{transfer.words}. {went.words}" if went and went.words else transfer.words


def _ph_of(state: State) -> str:
    if state.ph is None:
        return "not computed"
    return f"{'about ' if state.approximate else ''}{state.ph:.1f} at {state.temperature_c:.0f} °C"


def _gas_of(state: State, electrons: tuple[Transfer, ...]) -> str:
    """What comes off by itself, and the most that may come off by electron transfer."""
    off = [f"{_millilitres(g.volume_ml)} {g.name}" for g in state.gas if g.volume_ml > _NO_GAS_ML]
    for one in electrons:
        went = course(state, one)
        made = {gas.formula: gas for gas in (went.gas if went else ()) if gas.volume_ml > _NO_GAS_ML}
        off += [f"up to {_millilitres(gas.volume_ml)} {gas.name}" for gas in made.values()]
        names = (GASES[key][0] for key in one.gases if key not in made and key in GASES)
        off += [f"{name} may come off" for name in names]
    told = " ".join(state.notes)
    off += [
        f"{name} may come off"
        for name, level, _ in GASES.values()
        if level == DANGER
        and re.search(rf"(gives off|smells of) {name}\b", told)
        and name not in " ".join(off)
    ]
    return ", ".join(dict.fromkeys(off))


# --- from an answer to a make-up


@dataclass(frozen=True)
class Maker:
    """A reagent of the same chemical and strength, and how it is made up; None where nobody wrote that."""

    reagent: Reagent
    preparation: Preparation | None


def makers_of(make: Make) -> list[Maker]:
    """Every reagent in use that is what was worked out, a salt counting as its hydrate does. Four queries."""
    wanted = _mol_l(make.chemical.formula, make.strength, None)
    same = _same_salt(make.chemical)
    rows = Reagent.objects.filter(components__chemical__in=same, retired_on=None).distinct()
    found = []
    for reagent in rows.exclude(pk__in=[part.pk for part, _ in make.parts]).prefetch_related(
        "components__chemical", "preparations"
    ):
        parts = [row for row in reagent.components.all() if row.chemical.formula not in _WATERS]
        if len(parts) != 1 or not _is_same(make, parts[0], reagent, wanted):
            continue
        preparations = [row for row in reagent.preparations.all() if row.retired_on is None]
        found.append(Maker(reagent, preparations[-1] if preparations else None))
    return sorted(found, key=lambda row: row.preparation is None)


def _same_salt(chemical: Chemical) -> list[Chemical]:
    """The chemical, and the same one with other water of crystallization: named alike but for it."""
    base = _HYDRATE.sub("", chemical.name)
    rows = Chemical.objects.filter(name__istartswith=base)
    return [row for row in rows if _HYDRATE.sub("", row.name).casefold() == base.casefold()] or [chemical]


def labelled(answer: Answer, name: str) -> Answer:
    """The same answer with another name on its label."""
    steps = tuple(step.replace(f"label: {answer.title},", f"label: {name},") for step in answer.steps)
    return replace(answer, steps=steps)


def _is_same(make: Make, part: Component, reagent: Reagent, wanted: Decimal | None) -> bool:
    as_written = (part.value, part.unit) == (make.strength.value, make.strength.unit)
    if as_written and part.chemical_id == make.chemical.pk:
        return True
    have = _mol_l(part.chemical.formula, Strength(part.value, part.unit), reagent.density)
    return wanted is not None and have is not None and abs(have - wanted) <= SAME * wanted


def _mol_l(formula: str, strength: Strength, density: Decimal | None) -> Decimal | None:
    try:
        share = Share("", formula, molar_mass(formula), strength.value, strength.unit)
        medium = Medium(density, Decimal(str(share.molar_mass)), formula=formula)
        return convert_strength(share.strength, MOL_L, medium).value
    except (QuantityError, FormulaError):
        return None
