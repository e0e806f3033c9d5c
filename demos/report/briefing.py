"""Everything a safety reminder says of one booking: the same on screen before it is saved and on paper."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from demos.consumption.takes import Take
from demos.models import Demonstration, Room
from demos.report import cautions, outcome_report, reminder, vapour_exposure
from demos.report.beaker import Foreseen
from demos.report.vapour_exposure import Air
from stockroom.chemistry.reaction import EquationError, parse_equation
from stockroom.hazards.statement import Statement
from stockroom.inventory.models import Reagent
from stockroom.safety.gases import Gas, gases
from stockroom.safety.label import label_elements
from stockroom.safety.storage import Conflict
from stockroom.safety.vapour import LIMIT_SOURCE, MODEL_SOURCE

#: what the catalog writes where there is nothing to say of a reagent
NOTHING = "None of its own."
_WORKED_OUT = "worked out from the steps of one showing, no heat lost"
#: what holds of every demonstration: a pair named under “Do not mix” may meet where a step says so, no more
ONLY_AS_WRITTEN = "Mix only what the steps mix, in their order and amounts."
#: classes of which a flame, a spark or what burns must keep away
_BURNS = ("flam_", "pyr_", "self_heat", "water_react", "ox_", "org_perox", "expl", "self_react")


@dataclass(frozen=True)
class Section:
    """One heading: what holds for the whole demonstration, then reagent by reagent."""

    title: str
    whole: tuple[Statement, ...] = ()
    each: tuple[Statement, ...] = ()


@dataclass(frozen=True)
class Briefing:
    """`gases` are those that the equations show coming off; `air` goes under Ventilation."""

    distance: Section
    protection: Section
    ventilation: Section
    ignition: Section
    cautions: Section
    reaction: Section
    do_not_mix: Section
    first_aid: Section
    spill: Section
    waste: Section
    gases: tuple[Gas, ...]
    air: Air
    unknown: tuple[Reagent, ...]

    @property
    def sections(self) -> tuple[Section, ...]:
        general = (self.cautions,) if self.cautions.whole else ()
        return (
            *(self.distance, self.protection, self.ventilation, self.ignition, *general),
            *((self.reaction,) if self.reaction.whole else ()),
            *(self.do_not_mix, self.first_aid, self.spill, self.waste),
        )


def brief(
    demonstration: Demonstration, taken: Sequence[Take], room: Room | None, found: Foreseen | None = None
) -> Briefing:
    """What could hurt whom where this is taken, and what to do about it. found: what one showing does.

    No query where `reactions`, and of every reagent reminder.PREFETCH, were prefetched.
    """
    reagents = list(dict.fromkeys(take.reagent for take in taken))
    meeting = reminder.mixing(demonstration, reagents)
    air = vapour_exposure.air_of(((take.reagent, take.amount) for take in taken if not take.returns), room)
    given = given_off(demonstration)
    keep_apart, general = cautions.sort(demonstration.safety_note)
    return Briefing(
        distance=Section(
            "Distance",
            _said(distance(demonstration)),
        ),
        protection=Section("PPE", _said(demonstration.protection), of_each(reagents, "protection")),
        ventilation=Section("Ventilation", (*_said(ventilation(demonstration)), *map(_of_gas, given))),
        ignition=Section("Ignition sources", _said(demonstration.ignition_note), _burning(reagents)),
        cautions=Section("Cautions", _said(general)),
        reaction=Section(
            "Heat and gas",
            tuple(Statement(text, _WORKED_OUT, True) for text in outcome_report.hazards_of_the_sum(found))
            if found
            else (),
        ),
        do_not_mix=Section(
            "Do not mix",
            (*_said(ONLY_AS_WRITTEN), *_said(keep_apart), *_apart(meeting.unmeant)),
            of_each(reagents, "incompatibles"),
        ),
        first_aid=Section("First aid", (), of_each(reagents, "first_aid")),
        spill=Section("Spill", (), of_each(reagents, "spill")),
        waste=Section(
            "Cleanup", _said(demonstration.clean_up), of_each(reagents, "disposal", "Left unused, ")
        ),
        gases=given,
        air=air,
        unknown=tuple(row for row in reagents if not row.is_classified),
    )


def distance(demonstration: Demonstration) -> str:
    """How far students keep back, in meters and in whole feet, rounded up."""
    meters = demonstration.distance_m
    if not meters:
        return "Students may stand at the bench."
    return f"Students keep back {meters.normalize():f} m ({ceil(float(meters) / 0.3048)} ft)."


def ventilation(demonstration: Demonstration) -> str:
    parts = (demonstration.get_ventilation_display(), demonstration.ventilation_note)
    return ". ".join(part for part in parts if part)


def given_off(demonstration: Demonstration) -> tuple[Gas, ...]:
    """The gases of the table that its equations have on the right, but not as dissolved."""
    found = {}
    for row in demonstration.reactions.all():
        try:
            equation = parse_equation(row.equation)
        except EquationError:
            continue
        for term in equation.products:
            if term.key in gases() and term.formula.state != "aq":
                found[term.key] = gases()[term.key]
    return tuple(found.values())


def of_each(reagents: Iterable[Reagent], field: str, before: str = "") -> tuple[Statement, ...]:
    """What is recorded under one heading, with where it comes from; reagents with the same words together.

    before: what stands in front of their names.
    """
    said = defaultdict(list)
    for reagent in reagents:
        text = getattr(reagent, field).strip()
        if text and text != NOTHING:
            said[text, reagent.source, reagent.is_checked].append(str(reagent))
    return tuple(
        Statement(f"{before}{', '.join(names)}: {text}", source, checked)
        for (text, source, checked), names in said.items()
    )


def _said(text: str) -> tuple[Statement, ...]:
    """Words of the demonstration's own: no datum of a supplier's sheet, so nothing to check against one."""
    return (Statement(text, "the demonstration", True),) if text else ()


def _burning(reagents: Iterable[Reagent]) -> tuple[Statement, ...]:
    rows = []
    for reagent in reagents:
        for row in reagent.hazards.all():
            if row.hazard_class.startswith(_BURNS):
                words = "; ".join(row.row.statements).lower()
                rows.append(Statement(f"{reagent}: {words}", row.source, row.is_checked))
    return tuple(rows)


def _of_gas(gas: Gas) -> Statement:
    label = label_elements(gas.classes, precautions=0)
    words = "; ".join(statement.text for statement in label.statements).lower()
    return Statement(f"{gas.name.capitalize()} comes off: {words}", gas.source)


def of_air(air: Air) -> tuple[Statement, ...]:
    """What the air would hold, and what is not known of the room."""
    source = f"{MODEL_SOURCE}, from memory; limits: {LIMIT_SOURCE}"
    said = [Statement(line.text, source, True) for line in air.lines]
    return (*(Statement(text, "the room as written down", True) for text in air.missing), *said)


def _apart(conflicts: Iterable[Conflict]) -> tuple[Statement, ...]:
    """Worst first; pairs of which the same is to be said share a line, so that the worst is not drowned."""
    pairs = defaultdict(list)
    for one in conflicts:
        pairs[one.consequence, one.source].append(f"{one.item_a.name} and {one.item_b.name}")
    return tuple(
        Statement(f"{'; '.join(names)}: {consequence}", source, True)
        for (consequence, source), names in pairs.items()
    )
