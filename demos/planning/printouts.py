"""A booking as the plain data that its sheet draws."""

from demos.consumption.takes import Take, chosen_of, takes
from demos.models import Booking
from demos.planning.feasibility import Standing
from demos.planning.sheets import booking as booking_sheet
from demos.report import briefing, cautions, served_steps
from demos.report.printouts import _is_checked, _teacher
from demos.simulation.restated_steps import portion_text
from stockroom.paper.kit import Head


def booking_sheet_data(head: Head, booking: Booking, standing: Standing) -> booking_sheet.BookingSheet:
    """The demonstration as booked, for the teacher's hand. Prefetch PREFETCH and `choices`."""
    demonstration, chosen = booking.demonstration, chosen_of(booking)
    taken = takes(booking, demonstration.ingredients.all(), chosen)
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
        instead=served_steps.instead(demonstration, booking.scale, chosen),
        equipment=tuple(map(str, demonstration.equipment.all())),
        steps=served_steps.steps(demonstration, booking.scale, chosen),
        equations=tuple(reaction.equation for reaction in demonstration.reactions.all()),
        cautions=tuple((label, text) for label, text in beware if text),
        clear_up=demonstration.clean_up,
    )


def _ingredient(take: Take, booking: Booking) -> booking_sheet.Ingredient:
    row = take.ingredient
    use = served_steps.use_of(row, booking.scale, {row.pk: take.reagent.pk})
    others = [str(other.reagent) for other in row.alternatives.all() if other.reagent != take.reagent]
    instead = f"or {', '.join(others)}" if others else ""
    if take.replaces:
        instead = f"instead of {take.replaces}. {served_steps.note_of(row, take.reagent)}".strip()
    return booking_sheet.Ingredient(
        reagent=str(take.reagent),
        amount=portion_text(take.amount, take.reagent.measure),
        first=use.amount(row.first_amount),
        repeat=use.amount(row.repeat_amount) if row.repeat_amount else "",
        instead=instead,
        comes_back=take.returns,
        is_checked=_is_checked(take.reagent),
    )
