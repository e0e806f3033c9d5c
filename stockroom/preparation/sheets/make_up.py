"""The instruction for making up a reagent: what to weigh and measure, in which order to do what."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stockroom.paper import kit
from stockroom.paper.kit import Column, Head, Markup, Sheet


@dataclass(frozen=True)
class Portion:
    """Something to weigh or measure: "sodium hydroxide", "4.00 g", "Prep room > Bases > 2"."""

    reagent: str
    amount: str
    place: str = ""
    container: str = ""  # the container's number or lot, where one is picked
    formula: str = ""


@dataclass(frozen=True)
class MakeUp:
    """One making-up. `steps` are in order, as the instruction reads; `warnings` come before them."""

    reagent: str
    amount: str  # "500 mL", already rounded up to glassware
    make_by: date
    portions: tuple[Portion, ...]
    steps: tuple[str, ...]
    glassware: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    needed_for: tuple[str, ...] = ()  # "Rainbow column, Tue 1 Dec P3"; or the reagent that it goes into
    level: int = 1  # 1 is made first; 2 uses what 1 made
    good_until: date | None = None
    formula: str = ""
    is_checked: bool = False  # hazard data compared with the supplier's sheet
    sources: tuple[str, ...] = ()  # "density table: CRC Handbook"; printed on the bench instruction


@dataclass(frozen=True)
class MakeUpSheet:
    """One or more makings-up, printed to take to the bench."""

    head: Head
    make_ups: tuple[MakeUp, ...]


def render(data: MakeUpSheet, paper: str = "A4") -> bytes:
    """The instructions as PDF, with room for what was really weighed, the batch's lot and a signature."""
    sheet = Sheet(data.head, paper)
    if not data.make_ups:
        sheet.paragraph("Nothing to make up.")
    for number, make_up in enumerate(data.make_ups, start=1):
        add_make_up(sheet, make_up, number if len(data.make_ups) > 1 else None)
        if make_up.sources:
            sheet.paragraph(kit.join(("Worked out from", kit.join(make_up.sources, "; ")), " "), muted=True)
        sheet.signatures(["Made by"])
    return sheet.pdf()


def add_make_up(sheet: Sheet, make_up: MakeUp, number: int | None = None) -> None:
    """One making-up as a block that stays on one page."""
    start = sheet.mark()
    count = f"{number}. " if number else ""
    title = kit.join((kit.named(make_up.reagent, make_up.formula), make_up.amount))
    sheet.item(kit.checked(Markup(f"{count}{title}"), make_up.is_checked))
    sheet.facts(
        [
            ("Make by", kit.strong(kit.day(make_up.make_by))),
            ("Expires", kit.day(make_up.good_until, "")),
            ("Glassware", kit.join(make_up.glassware)),
            ("For", kit.join(make_up.needed_for, "; ")),
        ],
        columns=2,
    )
    for warning in make_up.warnings:
        sheet.paragraph(kit.warning(warning))
    sheet.table(PORTIONS, _portions(make_up.portions), empty="No ingredients are written down for this.")
    sheet.bullets(make_up.steps, numbered=True)
    sheet.space(3)
    sheet.together(start)


PORTIONS = (
    Column("", points=15),
    Column("Weigh or measure", 3),
    Column("Amount", points=70, align="right"),
    Column("From", 3),
    Column("Actual", points=76),
)


def _portions(portions: Sequence[Portion]) -> list[tuple[object, ...]]:
    return [
        (
            kit.TickBox(),
            kit.named(portion.reagent, portion.formula),
            kit.strong(portion.amount),
            kit.join((portion.container, portion.place)),
            kit.WriteLine(),
        )
        for portion in portions
    ]
