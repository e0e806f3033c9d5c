"""The stock review: what is there, what it is for, what to keep, for the head of department to decide."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stockroom.paper import charts, kit
from stockroom.paper.kit import Band, Column, Head, Sheet


@dataclass(frozen=True)
class ReviewLine:
    """One reagent. Amounts are written in its own unit; `flags` are in plain words, worst first."""

    reagent: str
    on_hand: str
    containers: int
    reserved: str = ""
    used: str = ""  # over the past year
    reorder_point: str = ""
    first_short: date | None = None
    first_expiry: date | None = None
    flags: tuple[str, ...] = ()  # "expired container", "stands beside an oxidizer", "not classified yet"
    formula: str = ""
    is_checked: bool = False


@dataclass(frozen=True)
class ReviewGroup:
    """Reagents that are reviewed together: a place or a kind of storage."""

    name: str
    lines: tuple[ReviewLine, ...]


@dataclass(frozen=True)
class StockReview:
    """`counts` head the sheet ("expired containers", 4); `costs` are hundredths by month, for the chart."""

    head: Head
    groups: tuple[ReviewGroup, ...]
    counts: tuple[tuple[str, int], ...] = ()
    costs: tuple[tuple[str, int], ...] = ()
    currency: str = "£"


def render(data: StockReview, paper: str = "A4") -> bytes:
    """The review as PDF, sideways, with a column to write new reorder points and one to keep or not."""
    sheet = Sheet(data.head, paper, sideways=True)
    sheet.facts([(label, kit.strong(f"{number:,}")) for label, number in data.counts], columns=4)
    if data.costs:
        start = sheet.mark()
        sheet.section("Cost by month")
        sheet.add(charts.by_month(data.costs, data.currency, sheet.width, 130))
        sheet.together(start)
    sheet.section("Reagents")
    rows: list[Sequence[object] | Band] = []
    for group in data.groups:
        rows.append(Band(f"{group.name} ({kit.count(len(group.lines), 'reagent')})"))
        rows += [_row(line, data.head.on) for line in group.lines]
    sheet.table(COLUMNS, rows, empty="No reagent is in stock.")
    sheet.signatures(["Reviewed by department head"])
    return sheet.pdf()


COLUMNS = (
    Column("Reagent", 3),
    Column("On hand", points=60, align="right"),
    Column("In", points=28, align="right"),
    Column("Reserved", points=60, align="right"),
    Column("Used, year", points=60, align="right"),
    Column("First short", points=62),
    Column("First expiry", points=62),
    Column("Look at", 2.6),
    Column("Reorder point", points=62, align="right"),
    Column("New point", points=56),
    Column("Keep", points=30),
)


def _row(line: ReviewLine, today: date) -> tuple[object, ...]:
    expiry = kit.short_day(line.first_expiry, "—")
    return (
        kit.checked(kit.named(line.reagent, line.formula), line.is_checked),
        kit.strong(line.on_hand),
        str(line.containers),
        line.reserved or "—",
        line.used or "—",
        kit.warning(kit.short_day(line.first_short)) if line.first_short else "—",
        kit.warning(expiry) if line.first_expiry and line.first_expiry < today else expiry,
        kit.join((flag for flag in line.flags), "; "),
        line.reorder_point or "none",
        kit.WriteLine(),
        kit.TickBox(),
    )
