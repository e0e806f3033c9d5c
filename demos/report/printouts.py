"""Outcome and safety reminder as the plain data that their sheets draw."""

from demos.consumption.takes import Take, chosen_of, takes
from demos.models import Booking
from demos.report import beaker, briefing, outcome_report, reminder, served_steps
from demos.report.sheets import outcome as outcome_sheet
from demos.report.sheets import safety_reminder as reminder_sheet
from demos.simulation.restated_steps import portion_text
from stockroom.common.person import name_of
from stockroom.hazards.classification import supplements_of
from stockroom.hazards.statement import Statement
from stockroom.inventory.models import Reagent
from stockroom.paper import charts
from stockroom.paper.kit import Head
from stockroom.safety.gases import Gas
from stockroom.safety.label import label_elements
from stockroom.wording.days import day_text

#: what a demonstration must have prefetched for its sheets
PREFETCH = (
    "topics",
    "equipment",
    "steps__adds__reagent",
    "reactions",
    "ingredients__reagent__hazards",
    "ingredients__reagent__sheets",
    "ingredients__reagent__components__chemical",
    "ingredients__reagent__solvent",
    "ingredients__alternatives__reagent__hazards",
    "ingredients__alternatives__reagent__sheets",
    "ingredients__alternatives__reagent__components__chemical",
    "ingredients__alternatives__reagent__solvent",
)


def _sheet_of(reagent: Reagent) -> str:
    newest = next(iter(reagent.sheets.all()), None)
    if newest is None:
        return ""
    return f"revised {day_text(newest.revision_date)}" if newest.revision_date else "undated"


def _reagent(take: Take) -> reminder_sheet.Reagent:
    reagent, hazards = take.reagent, reminder.hazards_of(take.reagent)
    return reminder_sheet.Reagent(
        name=str(reagent),
        amount=portion_text(take.amount, reagent.measure),
        signal_word=hazards.label.signal_word,
        pictograms=tuple(hazards.label.pictograms),
        statements=(
            *(statement.text for statement in hazards.label.statements),
            *(row.text for row in supplements_of(reagent)),
        ),
        is_classified=reagent.is_classified,
        is_checked=not hazards.unchecked,
        data_sheet=_sheet_of(reagent),
    )


def _gas(gas: Gas) -> reminder_sheet.Reagent:
    label = label_elements(gas.classes)
    return reminder_sheet.Reagent(
        name=gas.name,
        amount="",
        formula=gas.formula,
        signal_word=label.signal_word,
        pictograms=tuple(label.pictograms),
        statements=tuple(statement.text for statement in label.statements),
        is_classified=True,
        is_product=True,
    )


def _printed(section: briefing.Section, told: briefing.Briefing) -> tuple[str, tuple[Statement, ...]]:
    air = briefing.of_air(told.air) if section is told.ventilation else ()
    return section.title, (*section.whole, *air, *section.each)


def safety_reminder(head: Head, booking: Booking) -> reminder_sheet.SafetyReminder:
    """What could hurt whom in one booking. Prefetch PREFETCH and `choices`."""
    demonstration = booking.demonstration
    chosen = chosen_of(booking)
    taken = takes(booking, demonstration.ingredients.all(), chosen)
    found = beaker.foresee(demonstration, booking.scale, chosen)
    told = briefing.brief(demonstration, taken, booking.room, found)
    warnings = [f"{row} is not classified yet: treat it as hazardous." for row in told.unknown]
    if told.air.over:
        warnings.append("Its vapor may pass a limit in this room if it all evaporates: see Ventilation.")
    return reminder_sheet.SafetyReminder(
        head=head,
        demonstration=str(demonstration),
        on=booking.on,
        period=str(booking.period),
        room=str(booking.room),
        class_name=booking.class_name,
        teacher=name_of(booking.teacher),
        showings=booking.showings,
        instead=served_steps.instead(demonstration, booking.scale, chosen),
        reagents=(*map(_reagent, taken), *map(_gas, told.gases)),
        sections=tuple(_printed(section, told) for section in told.sections),
        warnings=tuple(warnings),
    )


def outcome_sheet_data(head: Head, answered: dict, showings: int) -> outcome_sheet.OutcomeSheet:
    """What the outcome page says, for paper. `answered` as the page has it."""
    found, slow = answered["found"], answered.get("slow")
    demonstration = str(answered["demonstration"])
    if found.outcome is None:
        return outcome_sheet.OutcomeSheet(head, demonstration, showings, missing=(found.wrong, *found.gaps))
    outcome, path = found.outcome, outcome_report.path(found.outcome)
    left = outcome_report.left(outcome.residue) if outcome.residue else ()
    disposal = outcome_report.disposal_facts(found.disposal)
    return outcome_sheet.OutcomeSheet(
        head,
        demonstration,
        showings,
        reactions=tuple(_sheet_reaction(outcome_report.reaction(report)) for report in outcome.reactions),
        indicator=outcome.indicator.name if outcome.indicator else "",
        additions=tuple(map(_sheet_addition, outcome_report.rows(outcome))),
        path=path_points(path) if path else (),
        path_title=path.title if path else "",
        words=tuple(
            filter(
                None,
                (outcome_report.stands(outcome), *outcome_report.offers_in_words(outcome), *outcome.notes),
            )
        ),
        illustration=slow_lines(slow) if slow else (),
        illustration_note=slow.note if slow else "",
        illustration_unit=slow.unit if slow else "seconds",
        left=(*left, *disposal),
        neutralise=tuple(
            f"{outcome_report.dose_amount(dose)} of {dose.neutraliser.name}: pH {dose.ph_before:.1f} to "
            f"{dose.ph_after:.1f}. {' '.join(dose.notes)}"
            for dose in answered.get("doses", ())
        ),
        missing=(
            *found.gaps,
            *(f"Without a pH for a while: {why}." for why in outcome_report.no_ph(outcome)),
        ),
        sources=outcome_report.SOURCES,
        instead=answered["instead"],
    )


def path_points(path: outcome_report.Path) -> tuple[charts.PathPoint, ...]:
    """The path of the pH as the chart draws it."""
    return tuple(map(_path_point, path.stops))


def _path_point(stop: outcome_report.Stop) -> charts.PathPoint:
    point = stop.point
    colour = (point.colour.srgb, point.colour.words) if point.colour else ("#ffffff", "")
    return charts.PathPoint(point.label, point.state.ph, *colour, stop.mark, stop.at, stop.ph)


def slow_lines(slow: outcome_report.Slow) -> tuple[charts.Curve, ...]:
    """The curves of one meeting as the chart draws them."""
    return tuple(
        charts.Curve(
            f"{curve.temperature_c:g} °C", tuple((p.seconds / slow.seconds, p.ph) for p in curve.points)
        )
        for curve in slow.curves
    )


def _sheet_reaction(row: outcome_report.Reaction) -> outcome_sheet.Reaction:
    amounts = tuple(
        outcome_sheet.Amount(line.formula, line.role, line.moles, line.amount, line.limiting)
        for line in row.substances
    )
    return outcome_sheet.Reaction(row.equation, amounts, tuple(filter(None, (row.wrong, *row.notes))))


def _sheet_addition(row: outcome_report.Row) -> outcome_sheet.Addition:
    point = row.point
    colour = (point.colour.srgb, point.colour.words) if point.colour else ("#ffffff", "")
    return outcome_sheet.Addition(
        point.label,
        point.state.ph,
        row.sees,
        point.solids_words,
        *colour,
        volume=row.volume,
        temperature=row.temperature,
        ph_text=row.ph,
    )
