"""The count sheet: walk the shelves with it, write down what is really there."""

from dataclasses import dataclass
from datetime import date

from stockroom.paper import kit
from stockroom.paper.kit import Band, Column, Head, Sheet


@dataclass(frozen=True)
class CountSheetLine:
    """One container. `expected` is left empty for a blind count."""

    number: str
    reagent: str
    unit: str  # "mL": what the counted amount is to be written in
    expected: str = ""
    lot: str = ""
    expires: date | None = None
    formula: str = ""


@dataclass(frozen=True)
class Place:
    """A shelf with its containers in the order they are counted."""

    name: str
    lines: tuple[CountSheetLine, ...]


@dataclass(frozen=True)
class CountSheet:
    """The shelves to count."""

    head: Head
    places: tuple[Place, ...]


def render(data: CountSheet, paper: str = "A4") -> bytes:
    """The sheet as PDF: a blank column for the count, empty rows for what stands there unlisted."""
    sheet = Sheet(data.head, paper)
    blind = not any(line.expected for place in data.places for line in place.lines)
    columns = [
        Column("Number", points=46),
        Column("Reagent", 3),
        Column("Lot", 1.2),
        Column("Expires", points=62),
        *([] if blind else [Column("Expected", points=64, align="right")]),
        Column("Counted", points=92, align="right"),
        Column("Note", 1.6),
    ]
    rows: list[object] = []
    for place in data.places:
        rows.append(Band(f"{place.name} ({kit.count(len(place.lines), 'container')})"))
        rows += [_row(line, blind, data.head.on) for line in place.lines]
        rows.append((kit.small("not listed"), *[""] * (len(columns) - 1)))
    sheet.paragraph(
        "Write what you find, zero included. Containers that are not listed go on the empty row.", muted=True
    )
    sheet.table(columns, rows if data.places else [], empty="No shelf to count.", tall=22)
    if data.places:
        sheet.signatures(["Counted by", "Checked by"])
    return sheet.pdf()


def _row(line: CountSheetLine, blind: bool, today: date) -> tuple[object, ...]:
    expires = kit.short_day(line.expires, "—")
    return (
        line.number,
        kit.named(line.reagent, line.formula),
        line.lot,
        kit.warning(expires) if line.expires and line.expires < today else expires,
        *(() if blind else (line.expected,)),
        kit.muted(line.unit),
        "",
    )
