"""From bookings, as read, to the plain data that the printed sheets draw."""

from collections.abc import Iterable

from demos.prep import prep_list
from demos.prep.sheets import prep as prep_sheet
from demos.report import briefing, reminder
from stockroom.common.person import name_of
from stockroom.paper.kit import Head
from stockroom.preparation.sheets.make_up import MakeUp, Portion


def _portion(part: prep_list.PartToTake) -> Iterable[Portion]:
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


def make_up(row: prep_list.ToMake) -> MakeUp:
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
        needed_for=(*row.purposes, row.also_for) if row.also_for else row.purposes,
        level=-row.level,
        good_until=row.good_until,
        is_checked=row.reagent.is_verified,
    )


def _source(row: prep_list.SetOut) -> str:
    words = [source.container.code for source in row.sources if source.container]
    if row.to_make:
        words.append("made up first")
    if row.missing:
        words.append(f"MISSING {row.take.reagent.text_of(row.missing)}")
    return ", ".join(words)


def _booking_prep(row: prep_list.BookingPrep) -> prep_sheet.BookingPrep:
    booking = row.booking
    demonstration = booking.demonstration
    return prep_sheet.BookingPrep(
        demonstration=str(demonstration),
        on=booking.on,
        period=str(booking.period),
        room=str(booking.room),
        class_name=booking.class_name,
        teacher=name_of(booking.teacher),
        showings=booking.showings,
        set_out=tuple(
            prep_sheet.SetOut(
                reagent=str(line.take.reagent),
                amount=line.take.reagent.text_of(line.take.amount),
                source=_source(line),
                comes_back=line.take.returns,
                is_checked=line.take.reagent.is_verified,
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


def prep_sheet_data(head: Head, found: prep_list.Prep) -> prep_sheet.PrepSheet:
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
