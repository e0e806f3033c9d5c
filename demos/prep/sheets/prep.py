"""The prep sheet: what a technician makes up, fetches and sets out for a day or a week."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stockroom.paper import kit
from stockroom.paper.kit import Column, Head, Sheet
from stockroom.preparation.sheets.make_up import MakeUp, add_make_up


@dataclass(frozen=True)
class Take:
    """A container to fetch and how much to draw from it, first expired first."""

    reagent: str
    container: str  # "0127, lot A1-33"
    place: str
    amount: str
    needed_for: tuple[str, ...] = ()
    expires: date | None = None
    note: str = ""  # "opened: use before 0131"
    formula: str = ""


@dataclass(frozen=True)
class SetOut:
    """A reagent to set out for a booking."""

    reagent: str
    amount: str
    source: str = ""  # "0127", "made up Mon 30 Nov"
    comes_back: bool = False  # a catalyst, an electrode: reserved, not consumed
    formula: str = ""
    is_checked: bool = False
    pictograms: tuple[str, ...] = ()  # "GHS05"


@dataclass(frozen=True)
class BookingPrep:
    """A booked demonstration as the bench must stand when the class comes in."""

    demonstration: str
    on: date
    period: str
    room: str
    class_name: str
    teacher: str
    showings: int
    set_out: tuple[SetOut, ...]
    equipment: tuple[str, ...] = ()
    groups: int = 0  # student groups it is handed out to
    state: str = ""  # "ready", "ready after making up", "cannot be ready: ..."
    protection: str = ""
    ventilation: str = ""
    ignition: str = ""
    temperatures: str = ""  # "water, purified at 2 °C (step 3)"
    notes: str = ""
    clear_up: str = ""


@dataclass(frozen=True)
class PrepSheet:
    """Everything for one day or week. All amounts are already written in the unit people use."""

    head: Head
    make_ups: tuple[MakeUp, ...] = ()
    takes: tuple[Take, ...] = ()
    bookings: tuple[BookingPrep, ...] = ()
    problems: tuple[str, ...] = ()  # what cannot be ready and why


def render(data: PrepSheet, paper: str = "A4") -> bytes:
    """The sheet as PDF: problems, make-up list, containers to fetch, then one block a booking."""
    sheet = Sheet(data.head, paper)
    if data.problems:
        sheet.section("Sort out first")
        sheet.bullets(kit.warning(problem) for problem in data.problems)
    if not (data.make_ups or data.takes or data.bookings):
        sheet.paragraph("No demonstration is booked for these days: nothing to make up or set out.")
        return sheet.pdf()
    _make_ups(sheet, data.make_ups)
    _takes(sheet, data.takes)
    _bookings(sheet, data.bookings)
    return sheet.pdf()


def _make_ups(sheet: Sheet, make_ups: tuple[MakeUp, ...]) -> None:
    sheet.section(
        "Make up", "In this order. Write down what you really weighed or measured, then post the batch."
    )
    if not make_ups:
        sheet.paragraph("Nothing to make up: everything comes from the shelf.", muted=True)
    for number, make_up in enumerate(sorted(make_ups, key=lambda m: (m.make_by, m.level)), start=1):
        add_make_up(sheet, make_up, number)


def _takes(sheet: Sheet, takes: tuple[Take, ...]) -> None:
    sheet.section("Fetch", "Containers in the order they stand. The one that expires first is named first.")
    sheet.table(
        [
            Column("", points=15),
            Column("Place", 2.2),
            Column("Container", 1.5),
            Column("Reagent", 3),
            Column("Take", points=58, align="right"),
            Column("Expires", points=58),
            Column("For", 2.4),
            Column("Taken", points=52),
        ],
        [
            (
                kit.TickBox(),
                take.place,
                take.container,
                kit.join(
                    (kit.named(take.reagent, take.formula), kit.small(take.note) if take.note else ""), " "
                ),
                kit.strong(take.amount),
                kit.short_day(take.expires, "—"),
                kit.join(_some(take.needed_for), "; "),
                kit.WriteLine(),
            )
            for take in sorted(takes, key=lambda t: (t.place, t.reagent, t.expires or date.max, t.container))
        ],
        empty="No container to fetch.",
    )


def _some(names: Sequence[str]) -> list[str]:
    """The first few of a long list: each booking is named again where it is set out."""
    return list(names) if len(names) <= 3 else [*names[:2], f"and {len(names) - 2} more"]


def _bookings(sheet: Sheet, bookings: tuple[BookingPrep, ...]) -> None:
    sheet.section("Set out")
    if not bookings:
        sheet.paragraph("No demonstration is booked.", muted=True)
    days: set[date] = set()
    for booking in sorted(bookings, key=lambda b: (b.on, b.period, b.room)):
        start = sheet.mark()
        if booking.on not in days:
            days.add(booking.on)
            sheet.band(kit.day(booking.on))
        _booking(sheet, booking)
        sheet.together(start)


def _booking(sheet: Sheet, booking: BookingPrep) -> None:
    groups = kit.count(booking.groups, "group") if booking.groups else ""
    where = kit.join(
        (
            booking.period,
            booking.room,
            booking.class_name,
            booking.teacher,
            kit.count(booking.showings, "showing"),
            groups,
        ),
        " · ",
    )
    sheet.item(booking.demonstration)
    sheet.paragraph(kit.join((where, kit.strong(booking.state) if booking.state else ""), " · "))
    sheet.table(
        [
            Column("", points=15),
            Column("Reagent", 3.4),
            Column("Amount", points=62, align="right"),
            Column("From", 1.9),
            Column("Hazards", points=78),
            Column("Used", points=58),
            Column("Left over", points=58),
        ],
        [
            (
                kit.TickBox(),
                kit.checked(kit.named(line.reagent, line.formula), line.is_checked),
                kit.strong(line.amount),
                kit.join((line.source, kit.small("comes back") if line.comes_back else ""), " "),
                kit.hazards(line.pictograms),
                kit.WriteLine(),
                kit.WriteLine(),
            )
            for line in booking.set_out
        ],
        empty="No reagent to set out.",
    )
    if booking.equipment:
        sheet.ticks(booking.equipment, columns=3)
    sheet.facts(
        [
            ("Warm or cold", booking.temperatures),
            ("PPE", booking.protection),
            ("Ventilation", booking.ventilation),
            ("Ignition sources", booking.ignition),
            ("Notes", booking.notes),
            ("Cleanup", booking.clear_up),
        ]
    )
