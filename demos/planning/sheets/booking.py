"""A booking on paper for the teacher: what to show, in which order, with what, and how to clear up."""

from dataclasses import dataclass
from datetime import date

from stockroom.paper import kit
from stockroom.paper.kit import Column, Head, Sheet


@dataclass(frozen=True)
class Ingredient:
    """What the demonstration takes, as worked out for this booking."""

    reagent: str
    amount: str  # for all showings together
    first: str = ""  # for the first showing
    repeat: str = ""  # for each further showing
    instead: str = ""  # "or nitric acid 1 mol/L"
    comes_back: bool = False
    formula: str = ""
    is_checked: bool = False


@dataclass(frozen=True)
class BookingSheet:
    """A demonstration as booked. Steps in order; `equations` as people write them."""

    head: Head
    demonstration: str
    on: date
    period: str
    room: str
    class_name: str
    teacher: str
    showings: int
    state: str = ""  # "ready", "ready if ordered by Thu 3 Dec"
    reasons: tuple[str, ...] = ()
    groups: int = 0
    minutes: int = 0
    topics: tuple[str, ...] = ()
    summary: str = ""
    ingredients: tuple[Ingredient, ...] = ()
    equipment: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    equations: tuple[str, ...] = ()
    cautions: tuple[tuple[str, str], ...] = ()  # ("PPE", "goggles, gloves")
    clear_up: str = ""
    instead: tuple[str, ...] = ()  # what is taken in place of what is usual, in sentences


def render(data: BookingSheet, paper: str = "A4") -> bytes:
    """The booking as PDF, with room to write how it went."""
    sheet = Sheet(data.head, paper)
    sheet.facts(
        [
            ("When", kit.strong(kit.join((kit.day(data.on), data.period)))),
            ("Where", data.room),
            ("Class", data.class_name),
            ("Teacher", data.teacher),
            ("Showings", str(data.showings)),
            ("Student groups", str(data.groups) if data.groups else ""),
            ("Duration", kit.count(data.minutes, "minute") if data.minutes else ""),
            ("Topics", ", ".join(data.topics)),
        ],
        columns=2,
    )
    if data.state:
        sheet.paragraph(kit.strong(data.state))
        sheet.bullets(data.reasons)
    if data.summary:
        sheet.paragraph(data.summary)
    _ingredients(sheet, data)
    if data.equipment:
        sheet.section("Equipment")
        sheet.ticks(data.equipment, columns=3)
    sheet.section("Steps")
    for words in data.instead:
        sheet.paragraph(kit.strong(words))
    sheet.bullets(data.steps or ("No step is written down.",), numbered=bool(data.steps))
    if data.equations:
        sheet.section("What happens")
        for equation in data.equations:
            sheet.paragraph(kit.equation(equation))
    start = sheet.mark()
    sheet.section("Take care")
    sheet.facts([*data.cautions, ("Cleanup", data.clear_up)])
    sheet.together(start)
    _outcome(sheet)
    return sheet.pdf()


def _ingredients(sheet: Sheet, data: BookingSheet) -> None:
    sheet.section("Materials")
    sheet.table(
        [
            Column("Reagent", 3),
            Column("All showings", points=72, align="right"),
            Column("First", points=62, align="right"),
            Column("Each repeat", points=66, align="right"),
            Column("Instead", 2),
        ],
        [
            (
                kit.checked(kit.named(line.reagent, line.formula), line.is_checked),
                kit.strong(line.amount),
                line.first,
                line.repeat,
                kit.join((line.instead, kit.small("comes back") if line.comes_back else ""), " "),
            )
            for line in data.ingredients
        ],
        empty="No ingredient is written down.",
    )


def _outcome(sheet: Sheet) -> None:
    start = sheet.mark()
    sheet.section("How it went", room=90)
    for label in ("Worked as planned", "Really used", "Change next time"):
        sheet.table(
            [Column("", points=95), Column("")],
            [(kit.muted(label), kit.WriteLine(16))],
            lines=False,
            headed=False,
        )
    sheet.together(start)
