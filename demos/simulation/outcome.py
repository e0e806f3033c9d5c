"""What a demonstration does: the beaker step by step, what the class sees and why, and what is left.

Pure: told in plain data, answered in plain data. The pH and the solids come from equilibrium
(stockroom.chemistry.aqueous); electron transfer comes from the equations that go with the demonstration.
"""

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import cache, partial

from stockroom.chemistry import indicator as indicators
from stockroom.chemistry import species
from stockroom.chemistry.aqueous import (
    HOTTEST,
    MODEL_LIMIT,
    ROOM_C,
    Addition,
    BeakerError,
    Contents,
    State,
    follow_moves,
    phases,
    settle,
    to_residue,
)
from stockroom.chemistry.electron_transfer import DANGER, GASES, LEVELS, Transfer, transfers
from stockroom.chemistry.indicator import Colour, Indicator
from stockroom.chemistry.portion import Portion, PortionError, addition_of
from stockroom.chemistry.published import rows as read_rows
from stockroom.chemistry.quantity import COUNT
from stockroom.chemistry.reaction import (
    Equation,
    EquationError,
    balance,
    imbalance,
    parse_equation,
    react_in_order,
    run_in,
    temperature_rise,
)
from stockroom.chemistry.reaction import (
    Outcome as ReactionOutcome,
)
from stockroom.chemistry.residue import Gas, Residue

MAX_POINTS = 200
_SEEN_MOL = 1e-6
_SEEN_ML = 1.0
_SEEN_ICE_G = 0.5
_FELT = 0.5  # °C
_FROTHS = 1.0  # volumes of gas for one of liquid, in one portion (rule of thumb, no source)
_WARMS = 2.0  # °C that a hand feels on the glass
_COLOURED = 1e-3  # mol/L of a colored ion that a class can see
_MOST_PORTIONS = 10_000
_INERT = {species.METAL, species.INSOLUBLE, species.ORGANIC, species.DYE}
_MOST_ROUNDS = 40


class OutcomeError(ValueError):
    """A demonstration whose outcome cannot be worked out; the message says what to change."""


@dataclass(frozen=True)
class Step:
    """A step that puts something into the beaker. portion: None where a step adds nothing.

    portions: how many times that portion is added, one after another. temperature_c: of what is added, None
    for that of the room; where nothing is added, what the whole beaker is brought to, None for nothing.
    """

    number: int
    text: str
    portion: Portion | None = None
    portions: int = 1
    temperature_c: float | None = None


@dataclass(frozen=True)
class Point:
    """The beaker after one portion, or after it was warmed or cooled (then `addition` is of nothing).

    colour: of the indicator, None where there is none yet or no pH. sees: what the class sees, in sentences.
    solids_words: the solids with their colors, "" if none.
    """

    step: int
    portion: int
    label: str
    addition: Addition
    state: State
    colour: Colour | None
    solids_words: str
    sees: tuple[str, ...]


@dataclass(frozen=True)
class ReactionReport:
    """One written equation. problem: what is wrong with it, "" if nothing.

    equation: balanced, None where it cannot be. was_balanced: whether it was as written. outcome: for the
    amounts of the whole demonstration. rise_c: warming if all heat stays in the beaker, None where unknown.
    """

    text: str
    equation: Equation | None
    was_balanced: bool
    problem: str
    outcome: ReactionOutcome | None
    rise_c: float | None


@dataclass(frozen=True)
class Stands:
    """How many more portions of the last addition the beaker stands before a solid is used up."""

    solid: str
    addition: str
    portions: int


@dataclass(frozen=True)
class Outcome:
    """All of it. indicator: None where none is added. gas: given off in all. notes: what to know.

    transfers: what may react by electron transfer and has no written equation, most serious first.
    """

    points: tuple[Point, ...]
    reactions: tuple[ReactionReport, ...]
    indicator: Indicator | None
    stands: Stands | None
    gas: tuple[Gas, ...]
    residue: Residue | None
    notes: tuple[str, ...]
    transfers: tuple[Transfer, ...] = ()


def foresee(steps: tuple[Step, ...], equations: tuple[str, ...] = (), room_c: float = 20.0) -> Outcome:
    """Follow a demonstration from its first step to what is left.

    equations: in plain text, in the order they happen. room_c: at which gas volumes are told.
    A reagent that cannot be followed does not stop it: from there on there is no pH, and the reason is given.
    Raises OutcomeError for amounts no beaker takes or too many portions.
    """
    _check(steps)
    reports = [_read(text) for text in equations]
    runnable = tuple(r.equation for r in reports if r.equation is not None)
    moves, log = _moves(steps), _Log()
    try:
        states = follow_moves(
            [(move.addition.label, partial(_moved, move=move, equations=runnable, log=log)) for move in moves]
        )
    except BeakerError as error:
        raise OutcomeError(f"step {moves[max(len(log.made) - 1, 0)].step.number}: {error}") from error
    points, shown = _points(moves, states, log)
    told = _told(runnable)
    notes = log.notes + [note for point in points for note in point.state.notes if not note.startswith(told)]
    poured = [move.addition for move in moves if move.step.portion]
    reports = _reckon(reports, poured, room_c)
    last = points[-1].state if points else None
    residue = _left(last, [gas for point in points for gas in point.state.gas]) if last else None
    stands = _stands(last, poured[-1]) if last and poured else None
    gas = residue.gases if residue else ()
    for model in dict.fromkeys(point.state.model for point in points if point.state.model):
        notes.append(f"Above {MODEL_LIMIT:g} mol/kg, pH and solids are computed with {model}.")
    if any(point.state.approximate for point in points):
        notes.append("Where the solution is concentrated the pH is approximate.")
    notes += _warnings(points, log)
    may_react, poisons = _transfers([point.state for point in points], runnable)
    notes = [*poisons, *notes]
    notes = tuple(dict.fromkeys(notes))
    return Outcome(tuple(points), tuple(reports), shown, stands, gas, residue, notes, may_react)


def _left(last: State, gone: list[Gas]) -> Residue:
    """What is left once it stands at the temperature of the room."""
    if abs(last.temperature_c - ROOM_C) < _FELT:
        return to_residue(last, gone)
    at_rest = settle(last.contents.brought_to(ROOM_C))
    return to_residue(at_rest, [*gone, *at_rest.gas])


@dataclass(frozen=True)
class _Move:
    """One portion on its way into the beaker, or a warming or cooling of it.

    problem: why nothing can be followed from here on. note: what to know of it.
    """

    step: Step
    number: int
    addition: Addition
    problem: str = ""
    note: str = ""


@dataclass
class _Log:
    """What the written equations did on the way: gases made by each move, and what to say of them.

    poured: so far. heat_kj: given off so far by the equations, for what was poured. boiled: steps in which
    the heat is more than the water takes.
    """

    made: list[tuple[Gas, ...]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    poured: list[Addition] = field(default_factory=list)
    heat_kj: float = 0.0
    boiled: list[int] = field(default_factory=list)


def _moves(steps: tuple[Step, ...]) -> list[_Move]:
    moves = []
    for step in steps:
        if step.portion:
            addition, problem, note = _pour(step)
            moves += [_Move(step, number, addition, problem, note) for number in range(1, step.portions + 1)]
        elif step.temperature_c is not None:
            label = f"(brought to {celsius(step.temperature_c)})"
            moves.append(_Move(step, 1, Addition(label, ())))
    return moves


def _moved(contents: Contents, move: _Move, equations: tuple[Equation, ...], log: _Log) -> Contents:
    """The contents after one move. Raises OutcomeError naming the step."""
    try:
        if move.step.portion is None:
            contents = contents.brought_to(move.step.temperature_c)
        else:
            contents = contents.with_addition(move.addition)
            log.poured.append(move.addition)
        if move.problem and move.problem not in contents.unknown:
            contents = replace(contents, unknown=(*contents.unknown, move.problem))
        contents, made = _run_all(contents, equations, log.notes)
        contents = _warmed(contents, move, equations, log)
    except (BeakerError, EquationError) as error:
        raise OutcomeError(f"step {move.step.number}: {error}") from error
    log.made.append(tuple(made))
    log.notes += [move.note] if move.note else []
    return contents


def _warmed(contents: Contents, move: _Move, equations: tuple[Equation, ...], log: _Log) -> Contents:
    """With the heat that the written equations give off for what this move adds."""
    if not equations or move.step.portion is None:
        return contents
    heat = _heat_kj(equations, log.poured)
    new, log.heat_kj = heat - log.heat_kj, heat
    warm = contents.warmed(new)
    if new > 0 and warm.temperature_c >= HOTTEST > contents.temperature_c:
        log.boiled.append(move.step.number)
    return warm


def _heat_kj(equations: tuple[Equation, ...], poured: list[Addition]) -> float:
    """Given off by all equations whose enthalpy is known, but not what is left to equilibrium."""
    one_way = tuple(e for e in equations if not is_left_to_equilibrium(e))
    try:
        outcomes = react_in_order(one_way, _amounts(poured), ROOM_C, _excess(one_way))
    except (EquationError, BeakerError):
        return 0.0
    return sum(outcome.heat_kj or 0.0 for outcome in outcomes)


def is_left_to_equilibrium(equation: Equation) -> bool:
    """Whether equilibrium decides how far it goes: written both ways, or a solid that dissolves or falls out.

    Its heat is not in the temperature of the beaker.
    """
    return equation.reversible or _is_dissolving(equation)


def _is_dissolving(equation: Equation) -> bool:
    """Whether one side is a single solid, water aside, that the equilibrium knows."""
    for side in (equation.reactants, equation.products):
        kept = [term for term in side if term.key != "H2O"]
        if len(kept) == 1 and kept[0].formula.state == "s":
            return species.identify(kept[0].key).kind == species.ELECTROLYTE
    return False


def _points(moves: list[_Move], states: tuple[State, ...], log: _Log) -> tuple[list[Point], Indicator | None]:
    """The beaker after each move, in words and colors, and the indicator that gives them."""
    points: list[Point] = []
    shown: Indicator | None = None
    for move, state, made in zip(moves, states, log.made, strict=True):
        state = replace(state, gas=(*made, *state.gas))
        if move.step.portion:
            shown = shown or _indicator_in(move.step.portion)
        colour = indicators.colour_at(shown.key, state.ph) if shown and _is_ph(state.ph) else None
        before = points[-1] if points else None
        sees = _sees(
            before.state if before else None, state, before.colour if before else None, colour, move.addition
        )
        label, solids = move.addition.label, _solid_words(state)
        points.append(Point(move.step.number, move.number, label, move.addition, state, colour, solids, sees))
    return points, shown


def _warnings(points: list[Point], log: _Log) -> list[str]:
    """What the heat and the gas of the sum do to the vessel, what to do first."""
    found = [
        f"Danger of boiling over: in step {number} the reaction gives more heat than the water takes below "
        "100 °C. Use less, or add it in small portions in an ice bath"
        for number in dict.fromkeys(log.boiled)
    ]
    found += [
        f"Fume hood. Comes off: {GASES[gas.formula][2]}"
        for point in points
        for gas in point.state.gas
        if gas.volume_ml >= _SEEN_ML and gas.formula in GASES and GASES[gas.formula][1] == DANGER
    ]
    froths: dict[int, float] = {}
    for point in points:
        gas = sum(gas.volume_ml for gas in point.state.gas)
        if gas >= _FROTHS * max(point.state.volume_ml, _SEEN_ML):
            froths[point.step] = max(froths.get(point.step, 0.0), gas)
    found += [
        f"Danger of frothing over: in step {number} about {_rounded(ml)} of gas comes off, more than the "
        "liquid there. Use a tall open vessel; never stopper it"
        for number, ml in froths.items()
    ]
    return found


def _transfers(
    states: list[State], equations: tuple[Equation, ...]
) -> tuple[tuple[Transfer, ...], list[str]]:
    """(what may react and no written equation brings together, words of danger of the rest).

    After any portion; each once, most serious first.
    """
    written = [_takes(equation) for equation in equations]
    found: dict[str, Transfer] = {}
    poisons: dict[str, None] = {}
    for one in (one for state in states for one in transfers(state)):
        if not _is_written(one, written):
            found.setdefault(one.words, one)
        elif one.level == DANGER:
            poisons[one.words] = None
    return tuple(sorted(found.values(), key=lambda one: (LEVELS.index(one.level), one.slow))), list(poisons)


def _is_written(transfer: Transfer, written: list[frozenset[str]]) -> bool:
    ways = [transfer.reacting]
    if transfer.equation:
        ways.append(_takes(parse_equation(transfer.equation)))
    return any(way <= takes for way in ways for takes in written)


@cache
def _takes(equation: Equation) -> frozenset[str]:
    """The ions and substances on the left of an equation, and water."""
    found = {"H+", "H2O"}
    for term in equation.reactants:
        identity = species.identify(term.key)
        found |= {identity.formula, identity.name, *(ion for ion, _ in identity.brings)}
    return frozenset(found)


def reckon(
    portions: tuple[Portion, ...], equations: tuple[str, ...], room_c: float = 20.0
) -> tuple[ReactionReport, ...]:
    """The written equations, in order, on these amounts all together; what has no moles is left out.

    Raises nothing for an equation that cannot be read: its report says what is wrong.
    """
    additions = []
    for portion in portions:
        with suppress(PortionError):
            additions.append(addition_of(portion))
    return tuple(_reckon([_read(text) for text in equations], additions, room_c))


def without_moles(portions: tuple[Portion, ...]) -> tuple[str, ...]:
    """Why a portion cannot be told in moles, for each that cannot."""
    found = []
    for portion in portions:
        try:
            addition_of(portion)
        except PortionError as error:
            found.append(str(error))
    return tuple(found)


def _check(steps: tuple[Step, ...]) -> None:
    count = sum(step.portions for step in steps if step.portion)
    if any(step.portions < 1 for step in steps):
        raise OutcomeError("a step adds at least one portion")
    if count > MAX_POINTS:
        raise OutcomeError(f"{count} portions are more than can be followed: {MAX_POINTS} at most")


def _pour(step: Step) -> tuple[Addition, str, str]:
    """(the addition, why it ends the following or "", what to know or "")."""
    try:
        return pour(step), "", ""
    except PortionError as error:
        kinds = {species.identify(part.formula, part.name, part.cas).kind for part in step.portion.parts}
        if kinds and kinds <= _INERT and step.portion.measure == COUNT:
            return Addition(step.portion.reagent, ()), "", f"{error}; without it, it is taken as not reacting"
        return Addition(step.portion.reagent, ()), str(error), ""


def pour(step: Step) -> Addition:
    """One portion of a step that adds something. Raises PortionError naming what is missing."""
    if step.temperature_c is None:
        return addition_of(step.portion)
    found = addition_of(step.portion, temperature_c=step.temperature_c)
    how = "as ice at" if found.is_ice else "at"
    return replace(found, label=f"{found.label} {how} {celsius(step.temperature_c)}")


def celsius(value: float) -> str:
    """A temperature as people read it."""
    return f"{float(value):g} °C".replace("-", "−")


def _is_ph(ph: float | None) -> bool:
    return ph is not None and -5 <= ph <= 20


def _indicator_in(portion: Portion) -> Indicator | None:
    for part in portion.parts:
        if found := indicators.find(part.name, part.cas):
            return found
    return indicators.find(portion.reagent) if not portion.parts else None


# --- written equations


def _read(text: str) -> ReactionReport:
    try:
        equation = parse_equation(text)
        unequal = imbalance(equation)
        balanced = balance(equation) if unequal else equation
    except EquationError as error:
        return ReactionReport(text, None, False, str(error), None, None)
    problem = f"not balanced as written ({unequal}); balanced here" if unequal else ""
    return ReactionReport(text, balanced, not unequal, problem, None, None)


def _told(equations: tuple[Equation, ...]) -> tuple[str, ...]:
    """How the notes begin that a written equation has answered already."""
    return (*_solids_told(equations), "\0")


def _solids_told(equations: tuple[Equation, ...]) -> list[str]:
    """Of solids whose equation is written nothing more need be said."""
    terms = [term for equation in equations for term in (*equation.reactants, *equation.products)]
    found = [species.identify(term.key) for term in terms]
    return [f"{i.name}: " for i in found if i.kind == species.INSOLUBLE]


def _run_all(
    contents: Contents, equations: tuple[Equation, ...], notes: list[str]
) -> tuple[Contents, list[Gas]]:
    """Run the equations in order, and again while one makes what another takes."""
    made: list[Gas] = []
    for _ in range(_MOST_ROUNDS):
        went = 0.0
        for equation in equations:
            run = run_in(contents, equation)
            contents = run.contents
            made += run.gas
            went = max(went, run.extent)
            if run.problem:
                notes.append(f"{equation} is shown but not followed in the beaker: {run.problem}")
        if went < _SEEN_MOL:
            break
    return contents, _together(made)


def _together(gases: list[Gas]) -> list[Gas]:
    """One entry a gas."""
    found: dict[str, Gas] = {}
    for gas in gases:
        before = found.get(gas.formula)
        if before:
            gas = replace(gas, mol=gas.mol + before.mol, volume_ml=gas.volume_ml + before.volume_ml)
        found[gas.formula] = gas
    return list(found.values())


def _reckon(reports: list[ReactionReport], additions: list[Addition], room_c: float) -> list[ReactionReport]:
    """Run the equations on the amounts of the whole demonstration."""
    amounts = _amounts(additions)
    equations = tuple(report.equation for report in reports if report.equation is not None)
    try:
        outcomes = iter(react_in_order(equations, amounts, room_c, _excess(equations)))
    except (EquationError, BeakerError) as error:
        return [replace(report, problem=report.problem or str(error)) for report in reports]
    grams = sum(addition.water_g for addition in additions)
    done = []
    for report in reports:
        if report.equation is None:
            done.append(report)
            continue
        outcome = next(outcomes)
        rise = temperature_rise(outcome.heat_kj, grams) if outcome.heat_kj is not None and grams > 0 else None
        done.append(replace(report, outcome=outcome, rise_c=rise))
    return done


def _amounts(additions: list[Addition]) -> dict[str, float]:
    """Moles by formula, and beside them by ion, for equations written either way."""
    amounts: dict[str, float] = {}
    for addition in additions:
        for substance in addition.substances:
            if substance.formula and substance.mol:
                amounts[substance.formula] = amounts.get(substance.formula, 0.0) + substance.mol
            identity = species.identify(substance.formula, substance.name, substance.cas)
            for ion, count in identity.ions:
                if count > 0 and species.ions()[ion].charge:
                    amounts[ion] = amounts.get(ion, 0.0) + float(count) * substance.mol
    return amounts


def _excess(equations: tuple[Equation, ...]) -> frozenset[str]:
    """Water and gases of the air never limit, save where nothing else is there to."""
    keys = {term.key for equation in equations for term in equation.reactants if len(equation.reactants) > 1}
    return frozenset(key for key in keys if key in ("H2O", "O2"))


# --- in words


@cache
def _solid_colours() -> dict[str, str]:
    return {phase.formula: phase.colour for phase in phases()}


def _solid_words(state: State) -> str:
    colours = _solid_colours()
    words = [
        " ".join(filter(None, (colours.get(solid.formula, ""), solid.name)))
        for solid in state.solids
        if solid.mol > _SEEN_MOL
    ]
    return ", ".join(words)


def _sees(
    before: State | None,
    after: State,
    colour_before: Colour | None,
    colour: Colour | None,
    addition: Addition,
) -> tuple[str, ...]:
    """What the class sees after one portion, and why."""
    words: list[str] = []
    if not after.volume_ml and not after.solids:
        words.append(f"{_first_up(addition.label)} lies dry in the beaker.")
    if colour and colour_before is None:
        words.append(f"The indicator is {colour.words}.")
    elif colour and colour.words != colour_before.words:
        words.append(f"The indicator goes from {colour_before.words} to {colour.words}.")
    words += _solids_seen(before, after, addition)
    words += [
        f"It fizzes: about {_rounded(gas.volume_ml)} of {gas.name} comes off."
        for gas in after.gas
        if gas.volume_ml >= _SEEN_ML
    ]
    words += _tints(before, after)
    words += _ice(before, after)
    words += _warmth(before, after, addition)
    words += _steadiness(before, after, addition)
    return tuple(words)


def _warmth(before: State | None, after: State, addition: Addition) -> list[str]:
    """Where a reaction warms or cools it beyond what the pouring does."""
    start = addition.temperature_c
    if before is None or not addition.volume_ml and not addition.substances:
        return []
    low, high = sorted((before.temperature_c, start))
    if after.temperature_c >= HOTTEST > high:
        return ["It boils, if no heat is lost."]
    if after.temperature_c > high + _WARMS:
        return [f"It warms to about {after.temperature_c:.0f} °C, if no heat is lost."]
    if after.temperature_c < low - _WARMS:
        return [f"It cools to about {celsius(round(after.temperature_c))}, if no heat comes in."]
    return []


def _ice(before: State | None, after: State) -> list[str]:
    had, has = (state.contents.ice_g if state else 0.0 for state in (before, after))
    if has > _SEEN_ICE_G:
        return ["Ice is left in it, which keeps it at 0 °C."] if had <= _SEEN_ICE_G else []
    return ["The last of the ice melts."] if had > _SEEN_ICE_G else []


def _solids_seen(before: State | None, after: State, addition: Addition) -> list[str]:
    colours = _solid_colours()
    old = {solid.formula: solid.mol for solid in before.solids} if before else {}
    poured = _formulas(addition)
    words = []
    for solid in after.solids:
        was, colour = old.get(solid.formula, 0.0), colours.get(solid.formula, "")
        name = " ".join(filter(None, (colour, solid.name)))
        if was <= _SEEN_MOL < solid.mol:
            dissolves = species.identify(solid.formula, solid.name).kind == species.ELECTROLYTE
            if solid.formula in poured or before is None or not before.contents.water_g:
                words.append(
                    f"Some {name} lies undissolved."
                    if dissolves
                    else f"{_first_up(name)} lies in the beaker."
                )
            elif not dissolves:
                words.append(f"A solid forms: {name}.")
            else:
                words.append(f"A {colour or 'new'} solid forms: {solid.name}, more than the water can hold.")
        elif was > _SEEN_MOL and solid.mol < 0.98 * was:
            words.append(f"Part of the {name} dissolves.")
    now = {solid.formula for solid in after.solids if solid.mol > _SEEN_MOL}
    for solid in before.solids if before else ():
        if solid.mol > _SEEN_MOL and solid.formula not in now:
            words.append(f"The last of the {solid.name} dissolves: the beaker clears.")
    return words


def _tints(before: State | None, after: State) -> list[str]:
    """Color of the solution itself, where it is new or goes."""
    old, new = (_tint(state) if state else {} for state in (before, after))
    words = [f"The solution turns {colour}: {name}." for name, colour in new.items() if name not in old]
    if not words:
        words = [f"The {colour} of the {name} fades." for name, colour in old.items() if name not in new]
    return words


def _tint(state: State) -> dict[str, str]:
    """Color by the name of what has it; a complex in place of the ions it is made of."""
    litres = max(state.volume_ml, 1e-9) / 1000
    known, strength = species.ions(), {part.formula: part.mol / litres for part in state.dissolved}
    forms = {form: mol / litres for form, mol in state.forms}
    found = {
        formula: (known[formula].name, known[formula].colour)
        for formula, molar in strength.items()
        if known[formula].colour and molar >= _COLOURED
    }
    others = {identity.name for identity, mol, grams in state.contents.others if mol or grams}
    for row in complexes():
        if row.is_there(strength, forms, others, state.ph):
            found.pop(row.ion, None)
            found[row.name] = (row.name, row.colour)
    return dict(found.values())


@dataclass(frozen=True)
class Complex:
    """A row of tables/complexes.csv: what together has a color that its parts do not have.

    forms: the engine's names of it, none where the engine does not have it; then `needs` tells when it is
    there: ions with mol/L, or names of what takes no part in the equilibrium with 0, within the span of pH.
    ion: whose color it takes away. from_mol_l, share: how much of it, and what part of the ion, shows.
    """

    name: str
    forms: frozenset[str]
    ion: str
    needs: tuple[tuple[str, float], ...]
    low_ph: float
    high_ph: float
    from_mol_l: float
    share: float
    colour: str
    source: str

    def is_there(
        self, strength: Mapping[str, float], forms: Mapping[str, float], others: set[str], ph: float | None
    ) -> bool:
        """Whether it shows. strength: mol/L of ions; forms: of the engine's forms; others: names of the rest.

        Without a pH every pH fits.
        """
        if self.forms:
            molar = sum(forms.get(form, 0.0) for form in self.forms)
            return molar >= self.from_mol_l and molar >= self.share * strength.get(self.ion, 0.0)
        fits = ph is None or self.low_ph <= ph <= self.high_ph
        return fits and all(
            strength.get(what, 0.0) >= least if least else what in others for what, least in self.needs
        )


@cache
def complexes() -> tuple[Complex, ...]:
    """Colored complexes that a class knows a metal or iodine by."""
    return tuple(map(_complex, read_rows("complexes.csv")))


def _complex(row: Mapping[str, str]) -> Complex:
    least = float(row["from_mol_l"])
    needs = []
    for part in row["needs"].split():
        what, _, molar = part.partition(":")
        needs.append((what, float(molar or (least if what in species.ions() else 0))))
    return Complex(
        row["name"],
        frozenset(row["forms"].split()),
        row["ion"],
        tuple(needs),
        float(row["ph_low"] or -99),
        float(row["ph_high"] or 99),
        least,
        float(row["share"]),
        row["colour"],
        row["source"],
    )


def _steadiness(before: State | None, after: State, addition: Addition) -> list[str]:
    """Why the pH stays or jumps."""
    if before is None or before.ph is None or after.ph is None:
        return []
    change = after.ph - before.ph
    gives = _gives(addition)
    if not gives:
        return []
    if (gives == "acid") == (change > 0):  # such as hydrogencarbonate, which is either
        gives = "alkali" if change > 0 else "acid"
    shrinking = any(
        solid.mol > after.solid(solid.formula) + _SEEN_MOL and not _is_element(solid.formula)
        for solid in before.solids
    )
    if abs(change) < 0.5 and shrinking:
        return [
            f"The pH hardly moves: as fast as the {gives} comes, the solid dissolves and makes up for it."
        ]
    growing = any(
        solid.mol > before.solid(solid.formula) + _SEEN_MOL
        and solid.formula not in _formulas(addition)
        and not _is_element(solid.formula)
        for solid in after.solids
    )
    if abs(change) < 0.5 and growing:
        return [f"The pH hardly moves: the solid that forms takes up the {gives}."]
    if abs(change) < 0.3 and 3 < after.ph < 11 and not _is_left_free(before, after, addition):
        return [f"The pH hardly moves: what is dissolved takes up the {gives}, it is a buffer."]
    if abs(change) > 2:
        way, what = ("falls", "acid") if change < 0 else ("rises", "alkali")
        used_up = "alkali" if change < 0 else "acid"
        # In water alone nothing was there to be used up.
        was_other = (before.ph > 7.5 and change < 0) or (before.ph < 6.5 and change > 0)
        why = (
            f"the {used_up} that took it up is used up" if was_other else f"nothing there takes up the {what}"
        )
        return [f"The pH {way} steeply, {before.ph:.1f} to {after.ph:.1f}: {why}."]
    return []


def _formulas(addition: Addition) -> set[str]:
    return {substance.formula for substance in addition.substances}


def _is_element(formula: str) -> bool:
    """Whether it is one element alone, such as iodine or a metal, which takes up neither acid nor alkali."""
    return re.fullmatch(r"[A-Z][a-z]?\d*", formula) is not None


def _acid_in(addition: Addition) -> float:
    """Moles of hydrogen ions it brings; negative where it brings hydroxide."""
    acid = 0.0
    for substance in addition.substances:
        for ion, count in species.identify(substance.formula, substance.name, substance.cas).ions:
            acid += substance.mol * float(count) * species.simplest(ion).get("H+", 0)
    return acid


def _gives(addition: Addition) -> str:
    acid = _acid_in(addition)
    return "acid" if acid > _SEEN_MOL else "alkali" if acid < -_SEEN_MOL else ""


def _is_left_free(before: State, after: State, addition: Addition) -> bool:
    """Whether most of what came in shows as free hydrogen or hydroxide ions: then nothing buffers it."""
    free = [state.volume_ml / 1000 * (10**-state.ph - 10 ** (state.ph - 14)) for state in (before, after)]
    return abs(free[1] - free[0]) > 0.5 * abs(_acid_in(addition))


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]


def _rounded(ml: float) -> str:
    """A volume to two significant figures, as a class can tell."""
    two = float(f"{ml:.2g}")
    return f"{two:g} mL" if two < 1000 else f"{two / 1000:g} L"


# --- how much more it stands


def _stands(state: State, addition: Addition) -> Stands | None:
    """Portions like the last one until the first solid that shrinks is gone. None if none does."""
    if state.ph is None:
        return None
    try:
        once = settle(state.contents.with_addition(addition))
        shrinking = [
            solid
            for solid in state.solids
            if solid.mol > _SEEN_MOL and once.solid(solid.formula) < 0.999 * solid.mol
        ]
        if not shrinking:
            return None
        solid = min(shrinking, key=lambda s: s.mol / (s.mol - once.solid(s.formula)))
        count = _last_with(solid.formula, state.contents, addition)
    except BeakerError:
        return None
    return None if count is None else Stands(solid.name, addition.label, count)


def _last_with(formula: str, contents: Contents, addition: Addition) -> int | None:
    """The most portions after which some of the solid still lies there."""

    def stays(count: int) -> bool:
        return settle(contents.with_addition(addition.times(count))).solid(formula) > _SEEN_MOL

    low, high = 0, 1
    while stays(high):
        low, high = high, high * 2
        if high > _MOST_PORTIONS:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if stays(middle) else (low, middle)
    return low
