"""What a demonstration does to its reagents: reactions, the path of the pH, what is left, what to add."""

from dataclasses import dataclass

from stockroom.paper import charts, kit
from stockroom.paper.kit import Column, Head, Sheet


@dataclass(frozen=True)
class Amount:
    """One substance of a reaction: taken and made amounts, written out."""

    substance: str  # a formula
    role: str  # "taken", "made", "left over"
    moles: str
    amount: str
    is_limiting: bool = False


@dataclass(frozen=True)
class Reaction:
    """A reaction in the order it happens."""

    equation: str
    amounts: tuple[Amount, ...] = ()
    notes: tuple[str, ...] = ()  # "gives 240 mL of gas at 20 °C", "warms the beaker by about 4 °C"


@dataclass(frozen=True)
class Addition:
    """One row of the beaker's table, after something was added. ph: None where it is not computed."""

    what: str
    ph: float | None
    seen: str = ""  # what the class sees
    undissolved: str = ""
    colour: str = "#ffffff"
    colour_name: str = ""
    volume: str = ""
    temperature: str = ""  # "" where it is that of the room all along
    ph_text: str = ""  # with as many digits as it stands for: "9.6", "about 10"


@dataclass(frozen=True)
class OutcomeSheet:
    """`left` and `neutralise` are label and text; `illustration` are curves that only illustrate."""

    head: Head
    demonstration: str
    showings: int = 1
    reactions: tuple[Reaction, ...] = ()
    indicator: str = ""
    additions: tuple[Addition, ...] = ()
    words: tuple[str, ...] = ()  # what the class will see and why
    illustration: tuple[charts.Curve, ...] = ()
    illustration_note: str = ""  # the model and its parameters
    left: tuple[tuple[str, str], ...] = ()
    neutralise: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()  # species the database does not know, amounts nobody wrote down
    sources: tuple[str, ...] = ()
    illustration_unit: str = "seconds"
    path: tuple[charts.PathPoint, ...] = ()  # the pH as it is drawn
    path_title: str = ""  # what it is drawn against
    instead: tuple[str, ...] = ()  # what is taken in place of what is usual, in sentences


def render(data: OutcomeSheet, paper: str = "A4") -> bytes:
    """The outcome as PDF."""
    sheet = Sheet(data.head, paper)
    sheet.facts(
        [("Demonstration", kit.strong(data.demonstration)), ("Showings", str(data.showings))], columns=2
    )
    for words in data.instead:
        sheet.paragraph(kit.strong(words))
    for gap in data.missing:
        sheet.paragraph(kit.warning(gap))
    for reaction in data.reactions:
        _reaction(sheet, reaction)
    _beaker(sheet, data)
    if data.illustration:
        start = sheet.mark()
        sheet.section("Slow and fast", data.illustration_note or "An illustration, not a prediction.")
        sheet.add(charts.curves(data.illustration, data.illustration_unit, "pH", sheet.width))
        sheet.together(start)
    if data.left:
        start = sheet.mark()
        sheet.section("What is left")
        sheet.facts(data.left)
        sheet.together(start)
    if data.neutralise:
        sheet.section("To neutralize it, any one of these")
        sheet.bullets(data.neutralise)
    if data.sources:
        sheet.paragraph(kit.join(("Worked out with", kit.join(data.sources, "; ")), " "), muted=True)
    return sheet.pdf()


def _reaction(sheet: Sheet, reaction: Reaction) -> None:
    start = sheet.mark()
    sheet.section(kit.equation(reaction.equation))
    if reaction.amounts:
        sheet.table(
            [
                Column("Substance", 2),
                Column("What happens to it", 1.6),
                Column("Amount of substance", points=110, align="right"),
                Column("Amount", points=90, align="right"),
            ],
            [
                (
                    kit.formula(line.substance),
                    kit.join((line.role, kit.strong("limiting") if line.is_limiting else "")),
                    line.moles,
                    line.amount,
                )
                for line in reaction.amounts
            ],
        )
    sheet.bullets(reaction.notes)
    sheet.together(start)


def _beaker(sheet: Sheet, data: OutcomeSheet) -> None:
    if not data.additions:
        return
    start = sheet.mark()
    sheet.section("The beaker", f"With {data.indicator}." if data.indicator else "Without an indicator.")
    if data.path:
        sheet.add(charts.ph_path(data.path, sheet.width, x_title=data.path_title))
    sheet.together(start)
    sheet.bullets(data.words)
    sheet.table(
        [
            Column("No.", points=24, align="right"),
            Column("After adding", 2.2),
            Column("Volume", points=52, align="right"),
            Column("Temp.", points=38, align="right"),
            Column("pH", points=44, align="right"),
            Column("Color", 1.2),
            Column("Undissolved", 1.2),
            Column("What the class sees", 3),
        ],
        [
            (
                str(i),
                a.what,
                a.volume or "—",
                a.temperature or "—",
                kit.strong(a.ph_text) if a.ph_text else "—",
                a.colour_name or "—",
                kit.equation(a.undissolved) or "—",
                a.seen,
            )
            for i, a in enumerate(data.additions, start=1)
        ],
    )
