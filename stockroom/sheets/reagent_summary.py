"""One page about one reagent: what it is, what it does, how to handle, spill, first aid, dispose."""

from dataclasses import dataclass
from datetime import date

from . import kit
from .kit import Column, Head, Sheet


@dataclass(frozen=True)
class Statement:
    """Something said about the reagent and who says so."""

    text: str
    source: str = ""  # "29 CFR 1910.1200 App. C", "supplier's sheet, rev. 3", "from memory"
    is_checked: bool = False


@dataclass(frozen=True)
class Container:
    """A container of it."""

    number: str
    amount: str
    place: str
    expires: date | None = None
    state: str = ""  # "opened 3 Oct 2026", "expired"


@dataclass(frozen=True)
class ReagentSummary:
    """`properties` are label and statement; `sections` are a title and what it says, in printing order."""

    head: Head
    name: str
    formula: str = ""
    cas: str = ""
    strength: str = ""
    signal_word: str = ""
    pictograms: tuple[str, ...] = ()
    hazards: tuple[Statement, ...] = ()
    is_classified: bool = False  # whoever fills this in has to say so
    properties: tuple[tuple[str, Statement], ...] = ()  # ("Density", Statement("1.84 g/mL", "..."))
    sections: tuple[tuple[str, tuple[Statement, ...]], ...] = ()  # ("First aid", (...))
    containers: tuple[Container, ...] = ()
    data_sheet: str = ""  # "Harrow & Pike, revised 2 Feb 2025, checked 3 Mar 2026 by I. Okafor"


def render(data: ReagentSummary, paper: str = "A4") -> bytes:
    """The summary as PDF. Each statement carries its source; unchecked ones say so."""
    sheet = Sheet(data.head, paper)
    sheet.facts(
        [
            ("Reagent", kit.strong(kit.named(data.name, data.formula))),
            ("Strength", data.strength),
            ("CAS RN", data.cas),
            ("Safety data sheet", data.data_sheet or kit.warning("missing: ask the supplier for it")),
        ]
    )
    _hazards(sheet, data)
    if data.properties:
        sheet.section("Properties")
        sheet.facts([(label, said(statement)) for label, statement in data.properties], columns=2)
    for title, statements in data.sections:
        sheet.section(title)
        sheet.bullets([said(statement) for statement in statements] or [kit.muted("nothing recorded")])
    sheet.section("Containers")
    sheet.table(
        [
            Column("Number", points=60),
            Column("Amount", points=80, align="right"),
            Column("Where", 2),
            Column("Expires", points=80),
            Column("State", 1.4),
        ],
        [(c.number, c.amount, c.place, kit.short_day(c.expires, "—"), c.state) for c in data.containers],
        empty="None in stock.",
    )
    return sheet.pdf()


def _hazards(sheet: Sheet, data: ReagentSummary) -> None:
    sheet.section("Hazards")
    if not data.is_classified:
        sheet.paragraph(kit.warning("Not classified yet: treat as hazardous."))
    if data.pictograms:
        sheet.add(kit.Row([kit.pictogram(code, 44) for code in data.pictograms]))
        sheet.space(3)
    if data.signal_word:
        sheet.paragraph(kit.strong(data.signal_word.upper()))
    sheet.bullets(said(hazard) for hazard in data.hazards)
    if data.is_classified and not data.hazards:
        sheet.paragraph("No hazard class applies, as far as it was classified.")


def said(statement: Statement) -> kit.Markup:
    """A statement with its source in small letters, and marked where unchecked."""
    source = kit.small(f"({statement.source})") if statement.source else ""
    return kit.checked(kit.join((statement.text, source), " "), statement.is_checked)
