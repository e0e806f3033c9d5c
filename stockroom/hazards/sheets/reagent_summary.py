"""One page about one reagent: what it is, what it does, how to handle, spill, first aid, dispose."""

from dataclasses import dataclass
from datetime import date

from stockroom.hazards.statement import Statement
from stockroom.paper import kit
from stockroom.paper.kit import Column, Head, Sheet


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


#: how many containers are listed at most, tried in turn until the summary is one page
LISTED = (30, 12, 5, 0)


def render(data: ReagentSummary, paper: str = "A4") -> bytes:
    """The summary as PDF, on one page unless its own words need more.

    Each statement carries its source; unchecked ones say so. Containers for which there is no room on the
    page are counted, not listed.
    """
    tries = [listed for listed in LISTED if listed < len(data.containers)]
    for listed in (len(data.containers), *tries):
        sheet = _drawn(data, paper, listed)
        pdf = sheet.pdf()
        if sheet.pages == 1:
            return pdf
    return _drawn(data, paper, len(data.containers)).pdf()


def _drawn(data: ReagentSummary, paper: str, listed: int) -> Sheet:
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
    sheet.section("Handling", room=70)
    rows = [
        (kit.strong(title), [said(statement) for statement in statements] or kit.muted("nothing recorded"))
        for title, statements in data.sections
    ]
    sheet.table([Column("", points=92), Column("")], rows, headed=False, empty="Nothing recorded.")
    if data.properties:
        sheet.facts([(label, said(statement)) for label, statement in data.properties], columns=2)
    _containers(sheet, data.containers, listed)
    return sheet


def _containers(sheet: Sheet, containers: tuple[Container, ...], listed: int) -> None:
    sheet.section("Containers", room=70)
    if listed or not containers:
        sheet.table(
            [
                Column("Number", points=60),
                Column("Amount", points=80, align="right"),
                Column("Where", 2),
                Column("Expires", points=80),
                Column("State", 1.4),
            ],
            [
                (c.number, c.amount, c.place, kit.short_day(c.expires, "—"), c.state)
                for c in containers[:listed]
            ],
            empty="None in stock.",
        )
    left = len(containers) - listed
    if left > 0:
        more = "more, on the page of the reagent" if listed else "in stock, on the page of the reagent"
        sheet.paragraph(f"{kit.count(left, 'container')} {more}.", muted=True)


def _hazards(sheet: Sheet, data: ReagentSummary) -> None:
    sheet.section("Hazards")
    if not data.is_classified:
        sheet.paragraph(kit.warning("Not classified yet: treat as hazardous."))
    if data.pictograms:
        sheet.add(kit.Row([kit.pictogram(code, 38) for code in data.pictograms]))
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
