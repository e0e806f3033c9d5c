"""From bookings, as read, to the plain data that the printed sheets draw."""

from collections.abc import Iterable

from demos import account, briefing, cautions, preparing, reminder, served
from demos import booking as bookings
from demos.feasibility import Standing
from demos.models import Booking
from demos.restating import portion_text
from demos.sheets import booking as booking_sheet
from demos.sheets import outcome as outcome_sheet
from demos.sheets import prep as prep_sheet
from demos.sheets import safety_reminder as reminder_sheet
from stockroom.classification import supplements_of
from stockroom.days import day_text
from stockroom.models import Reagent
from stockroom.safety.gases import Gas
from stockroom.safety.label import label_elements
from stockroom.sheets.kit import Head
from stockroom.sheets.make_up import MakeUp, Portion
from stockroom.sheets.reagent_summary import Statement

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


def _teacher(booking: Booking) -> str:
    return booking.teacher.get_full_name() or booking.teacher.get_username()


def _is_checked(reagent: Reagent) -> bool:
    return not reminder.hazards_of(reagent).unchecked


def _portion(part: preparing.Part) -> Iterable[Portion]:
    for source in part.sources:
        yield Portion(
            str(part.reagent),
            part.reagent.text_of(source.amount),
            source.container.location.path if source.container else "",
            source.container.code if source.container else "",
        )
    if part.rest:
        where = "made up first" if part.is_made else "MISSING"
        yield Portion(str(part.reagent), part.reagent.text_of(part.rest), where)


def make_up(row: preparing.ToMake) -> MakeUp:
    """One making-up as the sheets print it; level 1 is what must be made first."""
    batch = row.batch
    warnings = list(batch.warnings) if batch else [row.wrong]
    return MakeUp(
        reagent=str(row.reagent),
        amount=row.reagent.text_of(row.amount),
        make_by=row.latest,
        portions=tuple(portion for part in row.parts for portion in _portion(part)),
        steps=batch.steps if batch else (),
        glassware=(batch.vessel.name,) if batch and batch.vessel else (),
        warnings=tuple(warnings),
        needed_for=row.purposes,
        level=-row.level,
        good_until=row.good_until,
        is_checked=row.reagent.is_checked,
    )


def _source(row: preparing.SetOut) -> str:
    words = [source.container.code for source in row.sources if source.container]
    if row.to_make:
        words.append("made up first")
    if row.missing:
        words.append(f"MISSING {row.take.reagent.text_of(row.missing)}")
    return ", ".join(words)


def _booking_prep(row: preparing.BookingPrep) -> prep_sheet.BookingPrep:
    booking = row.booking
    demonstration = booking.demonstration
    return prep_sheet.BookingPrep(
        demonstration=str(demonstration),
        on=booking.on,
        period=str(booking.period),
        room=str(booking.room),
        class_name=booking.class_name,
        teacher=_teacher(booking),
        showings=booking.showings,
        set_out=tuple(
            prep_sheet.SetOut(
                reagent=str(line.take.reagent),
                amount=line.take.reagent.text_of(line.take.amount),
                source=_source(line),
                comes_back=line.take.returns,
                is_checked=_is_checked(line.take.reagent),
                pictograms=tuple(reminder.hazards_of(line.take.reagent).label.pictograms),
            )
            for line in row.rows
        ),
        equipment=tuple(map(str, demonstration.equipment.all())),
        groups=booking.groups,
        state=row.standing.headline,
        protection=demonstration.protection,
        ventilation=briefing.ventilation(demonstration),
        ignition=demonstration.ignition_note,
        temperatures="; ".join(row.temperatures),
        notes=booking.note,
        clear_up=demonstration.clean_up,
    )


def prep_sheet_data(head: Head, found: preparing.Prep) -> prep_sheet.PrepSheet:
    """The technician's days on paper."""
    problems = [f"{row.booking}: {row.standing.headline}" for row in found.problems]
    problems += [f"{row.booking}: {row.wrong}" for row in found.bookings if row.wrong]
    return prep_sheet.PrepSheet(
        head=head,
        make_ups=tuple(map(make_up, found.make_ups)),
        takes=tuple(
            prep_sheet.Take(
                reagent=str(row.container.reagent),
                container=row.container.code + (f", lot {row.container.lot}" if row.container.lot else ""),
                place=row.container.location.path,
                amount=row.container.reagent.text_of(row.amount),
                needed_for=row.purposes,
                expires=row.container.usable_until,
                note="opened" if row.container.opened_on else "",
            )
            for row in found.fetches
        ),
        bookings=tuple(map(_booking_prep, found.bookings)),
        problems=tuple(problems),
    )


def _sheet_of(reagent: Reagent) -> str:
    newest = next(iter(reagent.sheets.all()), None)
    if newest is None:
        return ""
    return f"revised {day_text(newest.revision_date)}" if newest.revision_date else "undated"


def _reagent(take: bookings.Take) -> reminder_sheet.Reagent:
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
        is_classified=reagent.hazard_state != Reagent.HazardState.UNKNOWN,
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
    chosen = bookings.chosen_of(booking)
    taken = bookings.takes(booking, demonstration.ingredients.all(), chosen)
    told = briefing.brief(demonstration, taken, booking.room)
    warnings = [f"{row} is not classified yet: treat it as hazardous." for row in told.unknown]
    if told.air.over:
        warnings.append("Its vapour may pass a limit in this room if it all evaporates: see Ventilation.")
    return reminder_sheet.SafetyReminder(
        head=head,
        demonstration=str(demonstration),
        on=booking.on,
        period=str(booking.period),
        room=str(booking.room),
        class_name=booking.class_name,
        teacher=_teacher(booking),
        showings=booking.showings,
        instead=served.instead(demonstration, booking.scale, chosen),
        reagents=(*map(_reagent, taken), *map(_gas, told.gases)),
        sections=tuple(_printed(section, told) for section in told.sections),
        warnings=tuple(warnings),
    )


def booking_sheet_data(head: Head, booking: Booking, standing: Standing) -> booking_sheet.BookingSheet:
    """The demonstration as booked, for the teacher's hand. Prefetch PREFETCH and `choices`."""
    demonstration, chosen = booking.demonstration, bookings.chosen_of(booking)
    taken = bookings.takes(booking, demonstration.ingredients.all(), chosen)
    keep_apart, general = cautions.sort(demonstration.safety_note)
    beware = (
        ("PPE", demonstration.protection),
        ("Ventilation", briefing.ventilation(demonstration)),
        ("Ignition sources", demonstration.ignition_note),
        ("Distance", briefing.distance(demonstration)),
        ("Cautions", general),
        ("Do not mix", keep_apart),
    )
    return booking_sheet.BookingSheet(
        head=head,
        demonstration=str(demonstration),
        on=booking.on,
        period=str(booking.period),
        room=str(booking.room),
        class_name=booking.class_name,
        teacher=_teacher(booking),
        showings=booking.showings,
        state=standing.headline,
        groups=booking.groups,
        minutes=demonstration.minutes,
        topics=tuple(map(str, demonstration.topics.all())),
        summary=demonstration.summary,
        ingredients=tuple(_ingredient(take, booking) for take in taken),
        instead=served.instead(demonstration, booking.scale, chosen),
        equipment=tuple(map(str, demonstration.equipment.all())),
        steps=served.steps(demonstration, booking.scale, chosen),
        equations=tuple(reaction.equation for reaction in demonstration.reactions.all()),
        cautions=tuple((label, text) for label, text in beware if text),
        clear_up=demonstration.clean_up,
    )


def _ingredient(take: bookings.Take, booking: Booking) -> booking_sheet.Ingredient:
    row = take.ingredient
    use = served.use_of(row, booking.scale, {row.pk: take.reagent.pk})
    others = [str(other.reagent) for other in row.alternatives.all() if other.reagent != take.reagent]
    instead = f"or {', '.join(others)}" if others else ""
    if take.replaces:
        instead = f"instead of {take.replaces}. {served.note_of(row, take.reagent)}".strip()
    return booking_sheet.Ingredient(
        reagent=str(take.reagent),
        amount=portion_text(take.amount, take.reagent.measure),
        first=use.amount(row.first_amount),
        repeat=use.amount(row.repeat_amount) if row.repeat_amount else "",
        instead=instead,
        comes_back=take.returns,
        is_checked=_is_checked(take.reagent),
    )


def outcome_sheet_data(head: Head, answered: dict, showings: int) -> outcome_sheet.OutcomeSheet:
    """What the outcome page says, for paper. `answered` as the page has it."""
    found, slow = answered["found"], answered.get("slow")
    demonstration = str(answered["demonstration"])
    if found.outcome is None:
        return outcome_sheet.OutcomeSheet(head, demonstration, showings, missing=(found.wrong, *found.gaps))
    outcome, path = found.outcome, account.path(found.outcome)
    left = account.left(outcome.residue) if outcome.residue else ()
    disposal = account.disposal_facts(found.disposal)
    return outcome_sheet.OutcomeSheet(
        head,
        demonstration,
        showings,
        reactions=tuple(_sheet_reaction(account.reaction(report)) for report in outcome.reactions),
        indicator=outcome.indicator.name if outcome.indicator else "",
        additions=tuple(map(_sheet_addition, account.rows(outcome))),
        path=path.points if path else (),
        path_title=path.title if path else "",
        words=tuple(
            filter(None, (account.stands(outcome), *account.offers_in_words(outcome), *outcome.notes))
        ),
        illustration=slow.lines if slow else (),
        illustration_note=slow.note if slow else "",
        illustration_unit=slow.unit if slow else "seconds",
        left=(*left, *disposal),
        neutralise=tuple(
            f"{account.dose_amount(dose)} of {dose.neutraliser.name}: pH {dose.ph_before:.1f} to "
            f"{dose.ph_after:.1f}. {' '.join(dose.notes)}"
            for dose in answered.get("doses", ())
        ),
        missing=(*found.gaps, *account.no_ph(outcome)),
        sources=account.SOURCES,
        instead=answered["instead"],
    )


def _sheet_reaction(row: account.Reaction) -> outcome_sheet.Reaction:
    amounts = tuple(
        outcome_sheet.Amount(line.formula, line.role, line.moles, line.amount, line.limiting)
        for line in row.substances
    )
    return outcome_sheet.Reaction(row.equation, amounts, tuple(filter(None, (row.wrong, *row.notes))))


def _sheet_addition(row: account.Row) -> outcome_sheet.Addition:
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
