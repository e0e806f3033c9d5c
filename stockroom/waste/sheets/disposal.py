"""The disposal sheet: every expired, retired and waste container, with what to do with it and why."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from stockroom.paper import kit
from stockroom.paper.kit import Column, Head, Sheet

COLLECT = "Collect"
KINDS = {
    "expired": "Expired",
    "quarantined": "Quarantined",
    "retired": "Retired",
    "waste": "Waste containers",
}


@dataclass(frozen=True)
class Item:
    """One container to get rid of. `route` is "Collect" unless the department has recorded another."""

    kind: str  # a key of KINDS
    what: str
    number: str
    amount: str
    place: str
    why: str  # "expired 3 Sep 2026", "waste since 1 Oct, 90 % full"
    how: str  # "keep closed and upright; hand over with its data sheet"
    route: str = COLLECT
    formula: str = ""
    hazard: str = ""  # hazard statements, waste codes
    pictograms: tuple[str, ...] = ()
    source: str = ""  # the rule or sheet that says how
    do_not_open: bool = False  # a peroxide former past its test, dry picric acid: isolate and call
    is_checked: bool = False


@dataclass(frozen=True)
class DisposalSheet:
    """All items, in any order, and who collects them."""

    head: Head
    items: tuple[Item, ...]
    collector: str = ""  # name and telephone of the licensed contractor
    notes: tuple[str, ...] = ()  # monthly totals against limits, the department's own instruction


def render(data: DisposalSheet, paper: str = "A4") -> bytes:
    """The sheet as PDF, sideways; what must not be touched comes first."""
    sheet = Sheet(data.head, paper, sideways=True)
    if not data.items:
        sheet.paragraph("Nothing is waiting for disposal.")
        return sheet.pdf()
    by_kind = [
        f"{label.lower()}: {sum(item.kind == kind for item in data.items)}" for kind, label in KINDS.items()
    ]
    sheet.facts(
        [
            ("Containers", kit.join((kit.strong(len(data.items)), kit.text("; ".join(by_kind))), " · ")),
            ("Collected by", data.collector),
        ]
    )
    sheet.bullets(data.notes)
    _untouchable(sheet, [item for item in data.items if item.do_not_open])
    rest = sorted((item for item in data.items if not item.do_not_open), key=_order)
    for kind, items in groupby(rest, key=lambda item: item.kind):
        sheet.section(KINDS.get(kind, kind))
        sheet.table(COLUMNS, [_row(item) for item in items])
    sheet.paragraph("Nothing goes down a drain unless this sheet says so and your authority has allowed it.")
    sheet.signatures(["Packed by", "Handed over to"])
    return sheet.pdf()


COLUMNS = (
    Column("", points=15),
    Column("Number", points=44),
    Column("What", 2.2),
    Column("How much", points=54, align="right"),
    Column("Where", 1.5),
    Column("Why", 1.5),
    Column("Hazard", 3.4),
    Column("Route", points=50),
    Column("How", 2.6),
)


def _untouchable(sheet: Sheet, items: Sequence[Item]) -> None:
    if items:
        sheet.section("Do not open or move")
        sheet.paragraph(
            kit.warning(
                "Leave these where they are. Keep people away. Call the disposal firm or the fire department."
            )
        )
        sheet.table(COLUMNS, [_row(item) for item in sorted(items, key=_order)])


def _row(item: Item) -> tuple[object, ...]:
    route = kit.strong(item.route) if item.route == COLLECT else kit.warning(item.route)
    return (
        kit.TickBox(),
        item.number,
        kit.checked(kit.named(item.what, item.formula), item.is_checked),
        kit.strong(item.amount),
        item.place,
        item.why,
        [kit.hazards(item.pictograms, 14), item.hazard or kit.warning("Not classified: treat as hazardous")],
        route,
        kit.join((item.how, kit.small(item.source) if item.source else ""), " "),
    )


def _order(item: Item) -> tuple[int, str, str]:
    kinds = list(KINDS)
    return (kinds.index(item.kind) if item.kind in kinds else len(kinds), item.place, item.what)
