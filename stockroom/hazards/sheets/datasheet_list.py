"""Which supplier's safety data sheets are missing, old, changed or never checked."""

from dataclasses import dataclass
from datetime import date

from stockroom.paper import kit
from stockroom.paper.kit import Column, Head, Sheet

STATES = {
    "missing": ("Missing", "Ask the supplier for these first. Treat the reagent as hazardous until then."),
    "changed": ("Changed since checked", "Compare what the stockroom says with the new sheet."),
    "due": ("Due for review", "Older than the department's review interval: look for a newer one."),
    "unchecked": ("Never checked", "The sheet is here; nobody has compared it with the stockroom's data."),
}


@dataclass(frozen=True)
class DataSheetLine:
    """One reagent whose sheet wants something done."""

    state: str  # a key of STATES
    reagent: str
    supplier: str = ""
    revision: date | None = None
    checked_by: str = ""
    checked_on: date | None = None
    places: str = ""  # where its containers stand
    hazard: str = ""  # "Danger: causes severe skin burns"
    note: str = ""
    formula: str = ""


@dataclass(frozen=True)
class SdsList:
    """The department's list. `total` is how many reagents are in stock."""

    head: Head
    lines: tuple[DataSheetLine, ...]
    total: int
    review_interval: str = ""  # "3 years"


def render(data: SdsList, paper: str = "A4") -> bytes:
    """The list as PDF, what is missing first."""
    sheet = Sheet(data.head, paper, sideways=True)
    counts = [
        f"{title.lower()}: {sum(line.state == key for line in data.lines)}"
        for key, (title, _) in STATES.items()
    ]
    sheet.facts(
        [
            ("Reagents in stock", kit.strong(data.total)),
            ("To do", "; ".join(counts)),
            ("Review interval", data.review_interval),
        ]
    )
    if not data.lines:
        sheet.paragraph("Every reagent in stock has a sheet that is current and verified.")
    for state, (title, note) in STATES.items():
        lines = sorted(
            (line for line in data.lines if line.state == state), key=lambda line: line.reagent.lower()
        )
        if lines:
            sheet.section(f"{title} ({len(lines)})", note)
            columns = MISSING_COLUMNS if state == "missing" else COLUMNS
            sheet.table(columns, [_row(line, len(columns)) for line in lines])
    return sheet.pdf()


COLUMNS = (
    Column("", points=15),
    Column("Reagent", 2),
    Column("Supplier and note", 2),
    Column("Revision", points=62),
    Column("Checked", points=62),
    Column("Where", 2.4),
    Column("Hazard", 3),
)
MISSING_COLUMNS = tuple(column for column in COLUMNS if column.title in ("", "Reagent", "Where", "Hazard"))


def _row(line: DataSheetLine, columns: int) -> tuple[object, ...]:
    first = (kit.TickBox(), kit.named(line.reagent, line.formula))
    last = (kit.small(line.places), kit.small(line.hazard))
    if columns == len(MISSING_COLUMNS):
        return *first, *last
    when = kit.short_day(line.checked_on, "")
    return (
        *first,
        kit.join((line.supplier, line.note)),
        kit.short_day(line.revision, "no date"),
        kit.join((when, line.checked_by)) or "never",
        *last,
    )
