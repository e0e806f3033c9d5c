"""The safety reminder of one booking: what could hurt whom, and what to do about it, on a page or two."""

from dataclasses import dataclass, field
from datetime import date

from stockroom.hazards.sheets.reagent_summary import said
from stockroom.hazards.statement import Statement
from stockroom.paper import kit
from stockroom.paper.kit import Column, Head, Sheet


@dataclass(frozen=True)
class Reagent:
    """A reagent of the demonstration, or what it makes (a gas, the mixture left over)."""

    name: str
    amount: str
    formula: str = ""
    signal_word: str = ""
    pictograms: tuple[str, ...] = ()
    statements: tuple[str, ...] = ()
    is_classified: bool = False  # whoever fills this in has to say so
    is_checked: bool = False
    data_sheet: str = ""  # "revised 2 Feb 2025"; "" says that it is missing
    is_product: bool = False


@dataclass(frozen=True)
class SafetyReminder:
    """`sections` hold statements with their source; an empty one says that nothing is recorded."""

    head: Head
    demonstration: str
    on: date
    period: str
    room: str
    class_name: str
    teacher: str
    showings: int
    reagents: tuple[Reagent, ...]
    sections: tuple[tuple[str, tuple[Statement, ...]], ...] = ()  # ("First aid", (...)), in printing order
    warnings: tuple[str, ...] = field(default=())  # "not for schools", "over the exposure limit"
    instead: tuple[str, ...] = ()  # what is taken in place of what is usual, in sentences


def render(data: SafetyReminder, paper: str = "A4") -> bytes:
    """The reminder as PDF. Read it before the class; the teacher signs that it was read."""
    sheet = Sheet(data.head, paper)
    sheet.facts(
        [
            ("Demonstration", kit.strong(data.demonstration)),
            ("When", kit.join((kit.day(data.on), data.period))),
            ("Where", data.room),
            ("Class", data.class_name),
            ("Teacher", data.teacher),
            ("Showings", str(data.showings)),
        ],
        columns=2,
    )
    for warning in data.warnings:
        sheet.paragraph(kit.warning(warning))
    for words in data.instead:
        sheet.paragraph(kit.strong(words))
    sheet.section("What is in it and what it makes")
    sheet.table(COLUMNS, [_row(reagent) for reagent in data.reagents], empty="No reagent is listed.")
    nothing = kit.warning("Not mentioned. Look in the supplier's safety data sheet.")
    rows = [
        (kit.strong(title), [_marked(said(one), len(statements)) for one in statements] or nothing)
        for title, statements in data.sections
    ]
    sheet.table([Column("", points=82), Column("")], rows, headed=False)
    sheet.signatures(["Read by (signature)"])
    return sheet.pdf()


COLUMNS = (
    Column("Reagent", 2.2),
    Column("Amount", points=58, align="right"),
    Column("Pictograms", points=76),
    Column("What it does", 4),
    Column("Data sheet", 1.3),
)


def _row(reagent: Reagent) -> tuple[object, ...]:
    name = kit.checked(kit.named(reagent.name, reagent.formula), reagent.is_checked)
    signal = kit.strong(reagent.signal_word.upper()) if reagent.signal_word else ""
    if not reagent.is_classified:
        does: object = kit.warning("Not classified yet: treat as hazardous.")
    else:
        listed = kit.sentences(reagent.statements) or "no hazard class applies"
        does = kit.join((signal, listed), " ")
    sheet = reagent.data_sheet or ("—" if reagent.is_product else kit.warning("missing"))
    made = kit.small("made in it") if reagent.is_product else ""
    return (kit.join((name, made), " "), reagent.amount, kit.hazards(reagent.pictograms, 17), does, sheet)


def _marked(words: kit.Markup, beside: int) -> kit.Markup:
    """With a mark in front where others stand in the same cell."""
    return kit.join(("•", words), " ") if beside > 1 else words
