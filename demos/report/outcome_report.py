"""An outcome in words and rows, for the page and for the printed sheet alike."""

from dataclasses import dataclass

from demos.report.beaker import Disposal, Foreseen
from demos.simulation import dissolving
from demos.simulation.outcome import Outcome, Point, ReactionReport, is_left_to_equilibrium
from stockroom.chemistry.aqueous import ROOM_C, State
from stockroom.chemistry.electron_transfer import NOTE, course
from stockroom.chemistry.formula import molar_mass, plain_markup
from stockroom.chemistry.kinetics import Curve, KineticsError
from stockroom.chemistry.naming import free_ions, main_form
from stockroom.chemistry.neutralise import Dose, NeutraliseError, neutralise, options
from stockroom.chemistry.quantity import MASS, VOLUME, format_amount, plain_figures
from stockroom.chemistry.reaction import Equation, parse_equation
from stockroom.chemistry.residue import Gas, Residue
from stockroom.safety.sewer import COLLECT
from stockroom.safety.waste import Characterisation
from stockroom.wording.sentences import first_large, sentence

#: a warming or cooling beyond this is more than the water would do by itself
_MOST_WARMING, _MOST_COOLING = 75.0, -18.0
_NO_GAS_ML = 0.5
_TOLD_C = 0.5  # a warming or cooling below this is not told
_TITRATION = 3  # portions of one liquid that make a curve
_VERY_STRONG = 1.0  # mol/kg: beyond, a tenth of a pH means nothing
_DROP_ML, _CRYSTAL_G = 0.05, 0.02  # common practice: a drop; the least a spatula takes
SOURCES = (
    "equilibrium by USGS PHREEQC, minteq.v4.dat",
    "indicator ranges and rates of dissolving from the app's tables",
)


def millilitres(ml: float) -> str:
    return format_amount(max(round(ml * 1000), 0), VOLUME, figures=3)


def grams(g: float) -> str:
    return format_amount(max(round(g * 1e6), 0), MASS, figures=3)


def moles(mol: float) -> str:
    """Three figures, in mmol below a hundredth of a mole."""
    return f"{mol:.3g} mol" if mol >= 0.01 or mol == 0 else f"{mol * 1000:.3g} mmol"


def _listed(words) -> str:
    return ", ".join(words)


def _gases(gases) -> list[Gas]:
    """Those of which there is enough to speak of."""
    return [gas for gas in gases if gas.volume_ml > _NO_GAS_ML]


@dataclass(frozen=True)
class Row:
    """The beaker after one portion, as a line of the table."""

    number: int
    point: Point
    step: str
    volume: str
    temperature: str
    ph: str
    gas: str
    strength: str
    sees: str


def rows(outcome: Outcome) -> tuple[Row, ...]:
    found, at_once = [], dissolving.at_once(outcome)
    for number, point in enumerate(outcome.points, start=1):
        state = point.state
        several = any(p.step == point.step and p.portion > 1 for p in outcome.points)
        found.append(
            Row(
                number,
                point,
                f"{point.step}, portion {point.portion}" if several else str(point.step),
                millilitres(state.volume_ml),
                _celsius(state.temperature_c),
                _ph(state),
                _listed(f"{millilitres(g.volume_ml)} {g.name}" for g in _gases(state.gas)),
                _strength(state),
                " ".join(
                    filter(
                        None,
                        (
                            _first(at_once.get((point.step, point.portion))),
                            _sees(point, outcome.points[number - 2] if number > 1 else None),
                        ),
                    )
                ),
            )
        )
    return tuple(found)


def _ph(state: State) -> str:
    """With no more digits than the model can stand for."""
    if state.ph is None:
        return ""
    if not state.approximate:
        return f"{state.ph:.1f}"
    return f"about {state.ph:.1f}" if state.ionic_strength <= _VERY_STRONG else f"about {round(state.ph)}"


def _celsius(value: float) -> str:
    return f"{value:.0f} °C".replace("-0", "0")


def _first(found: dissolving.AtOnce | None) -> str:
    """What is seen before a slow solid has dissolved."""
    if found is None:
        return ""
    colour = f"{found.colour.words}, " if found.colour else ""
    return f"At once {colour}pH {found.ph:.1f}; then {found.solid} dissolves and takes it back."


def _strength(state: State) -> str:
    if state.ph is None:
        return ""
    return f"{state.ionic_strength:.2g}" if state.ionic_strength >= 1e-4 else "below 0.0001"


def _sees(point: Point, before: Point | None) -> str:
    """In words; a portion that does what the one before it did says so."""
    if before and point.sees and point.step == before.step and point.sees == before.sees:
        return "As after the portion before."
    return " ".join(point.sees)


@dataclass(frozen=True)
class Stop:
    """One point of the path. mark: the step it begins, or its line of the table, "" inside a step.

    at: milliliters added by then, None where it goes by line.
    """

    mark: str
    point: Point
    at: float | None = None

    @property
    def ph(self) -> str:
        return _ph(self.point.state)


@dataclass(frozen=True)
class Path:
    """The path of the pH. titrant: what is added by volume, "" where it goes by step."""

    stops: tuple[Stop, ...]
    titrant: str

    @property
    def title(self) -> str:
        return f"mL of {self.titrant} added" if self.titrant else "No. of the line in the table"


def path(outcome: Outcome) -> Path | None:
    """The path of the pH with the indicator's colors, as the table tells it; None where none has a pH.

    Where a step adds three portions or more of a liquid it is drawn against the volume of that, from what was
    there before its first portion; else one step beside the other.
    """
    numbered = [(n, p) for n, p in enumerate(outcome.points, start=1) if p.state.ph is not None]
    if not numbered:
        return None
    titrant = _titrant(outcome)
    if not titrant:
        return Path(tuple(Stop(str(n), p) for n, p in numbered), "")
    first = next(n for n, p in numbered if p.label == titrant)
    drawn, added, step = [], 0.0, 0
    for number, point in numbered:
        if number < first - 1:
            continue
        if point.label == titrant:
            added += point.addition.volume_ml
        mark = f"step {point.step}" if drawn and point.step != step else ""
        drawn.append(Stop(mark, point, added))
        step = point.step
    return Path(tuple(drawn), titrant)


def _titrant(outcome: Outcome) -> str:
    """The label of the liquid that comes in most portions, "" where none comes in three."""
    portions: dict[str, int] = {}
    for point in outcome.points:
        if point.state.ph is not None and point.addition.volume_ml:
            portions[point.label] = portions.get(point.label, 0) + 1
    most = max(portions, key=portions.__getitem__, default="")
    return most if portions.get(most, 0) >= _TITRATION else ""


def path_words(path: Path) -> str:
    """The same for those who do not see it."""
    parts = [
        (f"at {stop.at:.3g} mL" if stop.at is not None else f"after {stop.mark}, {stop.point.label}")
        + f": pH {stop.ph}"
        + (f", {stop.point.colour.words}" if stop.point.colour and stop.point.colour.words else "")
        for stop in path.stops
    ]
    return "; ".join(parts)


def no_ph(outcome: Outcome) -> tuple[str, ...]:
    """Why some portion has no pH, each reason once."""
    return tuple(dict.fromkeys(p.state.why_no_ph for p in outcome.points if p.state.why_no_ph))


def stands(outcome: Outcome) -> str:
    """How much more it takes, in a sentence, "" where nothing is told."""
    found = outcome.stands
    if found is None:
        return ""
    if not found.portions:
        return f"The next portion of {found.addition} uses up the last of the {found.solid}."
    plural = "portion" if found.portions == 1 else "portions"
    return (
        f"It stands {found.portions} more {plural} of {found.addition}; the next after that uses up the last "
        f"of the {found.solid}."
    )


# --- electron transfer that nobody wrote down


@dataclass(frozen=True)
class Offer:
    """What may react by electron transfer. words: a sentence. equation: "" where not known.

    does: what following it would do to the beaker, in words. follows: whether the beaker can follow it.
    """

    words: str
    level: str
    equation: str
    does: str
    follows: bool


def offers(outcome: Outcome) -> tuple[Offer, ...]:
    """What may react and is not followed, most serious first."""
    state = outcome.points[-1].state if outcome.points else None
    found = []
    for one in outcome.transfers:
        went = course(state, one)
        words = f"{first_large(one.words)}."
        found.append(Offer(words, one.level, one.equation, went.words if went else "", went is not None))
    return tuple(found)


def offers_in_words(outcome: Outcome) -> tuple[str, ...]:
    """The same for paper, the equation behind each."""
    return tuple(
        " ".join(filter(None, (one.words, one.does, one.equation and str(parse_equation(one.equation)))))
        for one in offers(outcome)
    )


#: from here on the reminder speaks of it (rule of thumb, no source)
_HOT, _MUCH_GAS_ML = 10.0, 100.0


def hazards_of_the_sum(found: Foreseen) -> tuple[str, ...]:
    """What one showing does that hurts, for the reminder: what may react unmeant, heat, cold, gas."""
    outcome = found.outcome
    if outcome is None:
        return ()
    said = [one.words for one in offers(outcome) if one.level != NOTE]
    said += [f"{note.rstrip('.')}." for note in outcome.notes if note.startswith(("Danger", "Fume hood"))]
    warmest, coldest = (
        pick((p.state.temperature_c for p in outcome.points), default=ROOM_C) for pick in (max, min)
    )
    poured = [p.addition.temperature_c for p in outcome.points]
    if warmest >= max([ROOM_C, *poured]) + _HOT:
        said.append(f"Warms to about {_celsius(warmest)}, by {warmest - ROOM_C:.0f} °C, if no heat is lost.")
    if coldest <= min([ROOM_C, *poured]) - _HOT:
        said.append(f"Cools to about {_celsius(coldest)}, if no heat comes in.")
    gases = [gas for gas in outcome.gas if gas.volume_ml >= _MUCH_GAS_ML]
    if gases:
        said.append(f"Gives off {_listed(f'about {_rounded_ml(g.volume_ml)} of {g.name}' for g in gases)}.")
    return tuple(dict.fromkeys(said))


def _rounded_ml(ml: float) -> str:
    return format_amount(round(ml * 1000), VOLUME, figures=2)


# --- written equations


@dataclass(frozen=True)
class Substance:
    """One substance of an equation. amount: mass, or volume of a gas."""

    formula: str
    role: str
    moles: str
    amount: str
    limiting: bool = False


@dataclass(frozen=True)
class Reaction:
    """One equation with its amounts; `notes` are sentences, `wrong` is what must be changed."""

    equation: str
    wrong: str
    substances: tuple[Substance, ...]
    notes: tuple[str, ...]


def reaction(report: ReactionReport) -> Reaction:
    text = str(report.equation) if report.equation else report.text
    if report.outcome is None:
        return Reaction(text, report.problem, (), ())
    found, lines = report.outcome, []
    left = dict(found.left)
    for key, used in found.used:
        rest, limits = left.get(key, 0.0), key in found.limiting
        lines.append(Substance(key, "used up" if limits else "used", moles(used), _mass(key, used), limits))
        if rest > 1e-9 and not limits:
            lines.append(Substance(key, "left over", moles(rest), _mass(key, rest)))
    for made in found.products:
        amount = grams(made.mass_g) if made.volume_ml is None else millilitres(made.volume_ml)
        lines.append(Substance(made.key, "made", moles(made.mol), amount))
    return Reaction(text, report.problem, tuple(lines) if found.extent else (), tuple(_notes(report)))


def _mass(key: str, mol: float) -> str:
    return grams(mol * molar_mass(key))


def _notes(report: ReactionReport) -> list[str]:
    found = report.outcome
    if not found.extent:
        missing = " and ".join(plain_markup(key) for key in found.limiting)
        return [f"With these amounts it does not happen here: no amount of {missing} is there to react."]
    notes = []
    if without_states := _without_states(report.equation):
        notes.append(
            f"Write the states, (s), (l), (g) or (aq), behind {_listed(without_states)}: without them no gas "
            "and no heat can be told."
        )
    if report.equation.reversible:
        notes.append("It goes both ways, so this is the most it can make, not what there will be.")
    if found.gas_ml > _NO_GAS_ML:
        notes.append(f"Gives about {millilitres(found.gas_ml)} of gas at 20 °C, if all of it comes off.")
    if found.heat_kj is None and not without_states:
        notes.append(
            "Heat not worked out: no enthalpy of formation is tabled for "
            f"{_listed(plain_markup(text) for text in found.heat_missing)}."
        )
    elif found.heat_kj is not None and abs(found.heat_kj) >= 0.05:
        notes.append(_heat(found.heat_kj, report.rise_c))
        if abs(report.rise_c or 0.0) >= _TOLD_C and is_left_to_equilibrium(report.equation):
            notes.append("The temperatures of the beaker leave this heat out.")
    return notes


def _without_states(equation: Equation) -> list[str]:
    """The substances of an equation that stand there without a state; an ion is always dissolved."""
    terms = (term.formula for term in (*equation.reactants, *equation.products))
    return list(dict.fromkeys(plain_markup(f.text) for f in terms if not f.state and not f.charge))


def _heat(kilojoules: float, rise: float | None) -> str:
    way = "Gives off" if kilojoules > 0 else "Takes up"
    text = f"{way} {plain_figures(abs(kilojoules), 2)} kJ"
    if rise is None or abs(rise) < _TOLD_C:
        return f"{text}."
    if rise > _MOST_WARMING:
        return f"{text}: enough to bring the water to the boil if none is lost."
    if rise < _MOST_COOLING:
        return f"{text}: more than the water can give, so it must be warmed to go all the way."
    if rise < 0:
        by = plain_figures(-rise, 2)
        return f"{text}: the water cools by {by} °C, unless a current or a flame drives it."
    return f"{text}: the water warms by {plain_figures(rise, 2)} °C if none is lost."


# --- what is left


def left(residue: Residue) -> tuple[tuple[str, str], ...]:
    """Label and text of each thing to say of the residue."""
    litres = residue.volume_ul * 1e-6
    free = [(name, molar * litres) for name, molar in free_ions(residue)]
    forms = [(main_form(p.formula, p.name, residue.ph), p.mol) for p in residue.components if p.mol > 1e-9]
    dissolved = [
        f"{name} {_molar(mol / litres)}" if litres else f"{name} {moles(mol)}"
        for name, mol in sorted([*forms, *free], key=lambda one: -one[1])
    ]
    found = [
        ("Volume", format_amount(residue.volume_ul, VOLUME, figures=3)),
        (
            "pH",
            "not computed"
            if residue.ph is None
            else f"{residue.ph:.1f} at {_celsius(residue.temperature_c)}",
        ),
        ("Dissolved, by the form most of it has", _listed(dissolved)),
        ("Undissolved", _listed(f"{s.name} {moles(s.mol)}" for s in residue.undissolved)),
        (
            "Gas gone",
            _listed(f"{g.name} {millilitres(g.volume_ml)}" for g in _gases(residue.gases)),
        ),
        ("Takes no part", _listed(_organic(o.name, o.percent_w_w) for o in residue.organics)),
        ("Not followed", "; ".join(residue.unknown)),
    ]
    return tuple((label, text) for label, text in found if text)


def _molar(value: float) -> str:
    return f"{value:.2g} mol/L" if value >= 1e-4 else "(a trace)"


def _organic(name: str, percent: float) -> str:
    return f"{name} {percent:.2g} % w/w" if percent >= 0.01 else f"{name}, a trace"


def characteristics(character: Characterisation) -> str:
    """The waste codes with their reasons, and what is not determined."""
    codes = [f"{code.code}: {code.why}" for code in character.codes]
    unknown = [f"not determined: {what}" for what in character.undetermined]
    return "; ".join([*codes, *unknown]) or "none of the listed characteristics"


def disposal_facts(disposal: Disposal | None) -> tuple[tuple[str, str], ...]:
    if disposal is None:
        return ()
    return (
        ("Characteristics", characteristics(disposal.character)),
        ("Way", " ".join(disposal.route.steps)),
        (
            "Joins" if disposal.route.way == COLLECT else "Joins, if it is collected after all",
            f"{disposal.stream.name} ({disposal.stream_why})",
        ),
    )


# --- neutralizing


def doses(residue: Residue | None, low: float, high: float) -> tuple[tuple[Dose, ...], str]:
    """(every neutralizer that does, why there is none)."""
    if residue is None:
        return (), "Nothing is left to neutralize."
    found = options(residue, low, high)
    if found:
        return found, ""
    gentlest = "sodium_hydrogencarbonate" if (residue.ph or 0) < low else "citric_acid"
    try:
        neutralise(residue, gentlest, low, high)
    except NeutraliseError as error:
        text = str(error)
        return (), f"{first_large(text)}."
    return (), "None of the usual neutralizers brings it there."


def dose_amount(dose: Dose) -> str:
    """To two figures, which is what paper and a spatula can tell."""
    if dose.mass_g is not None:
        few = dose.mass_g < _CRYSTAL_G
        return "a few crystals" if few else format_amount(round(dose.mass_g * 1e6), MASS, figures=2)
    drops = round(dose.volume_ml / _DROP_ML)
    if drops < 2:
        return "a drop or less"
    return f"{drops} drops" if drops <= 10 else format_amount(round(dose.volume_ml * 1000), VOLUME, figures=2)


def dose_gas(dose: Dose) -> str:
    return _listed(f"{millilitres(g.volume_ml)} {g.name}" for g in _gases(dose.gas))


# --- slow and fast


@dataclass(frozen=True)
class Slow:
    """The curves of one meeting; wrong: why there are none. unit: of the time, `seconds` of them in one."""

    curves: tuple[Curve, ...] = ()
    seconds: int = 1
    unit: str = "seconds"
    note: str = ""
    at_rest: str = ""
    wrong: str = ""

    @property
    def words(self) -> str:
        ends = [
            f"at {curve.temperature_c:g} °C pH {curve.points[0].ph:.1f} at once and "
            f"{curve.points[-1].ph:.1f} after {_time(curve.points[-1].seconds)}"
            for curve in self.curves
        ]
        return f"{'; '.join(ends)}; the last hundredth is not drawn, and at rest it stands at {self.at_rest}"


def _time(seconds: float) -> str:
    if seconds < 120:
        return f"{plain_figures(seconds, 2)} s"
    if seconds < 7200:
        return f"{plain_figures(seconds / 60, 2)} min"
    return f"{plain_figures(seconds / 3600, 2)} h"


def slow(form) -> Slow:
    """What a valid KineticsForm asks for."""
    rate = form.rate
    try:
        found = dissolving.curves(form.meeting, rate, form.temperatures)
    except KineticsError as error:
        return Slow(wrong=sentence(error))
    longest = max(curve.points[-1].seconds for curve in found)
    size, unit = next(
        (size, unit)
        for size, unit, upto in ((1, "seconds", 180), (60, "minutes", 7200), (3600, "hours", 1e99))
        if longest <= upto
    )
    note = (
        f"{found[0].caption} {rate.name}, {rate.area_m2_g:g} m² a gram ({form.meeting.rate.area_note}); "
        f"log k {rate.acid_log_k:g} with acid and {rate.neutral_log_k:g} without, at 25 °C. {rate.source}."
    )
    return Slow(found, size, unit, note, f"pH {form.meeting.ph_at_rest:.1f}")


def equations_note(found: Foreseen) -> str:
    if found.by_ingredients:
        return "Worked out with everything set aside for one showing, as if it all met."
    return "Worked out with what the steps put into the beaker."
