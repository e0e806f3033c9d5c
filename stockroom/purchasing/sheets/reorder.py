"""The reorder list: what to buy from whom, at what price, by when, for the head of department to sign."""

from dataclasses import dataclass
from datetime import date

from stockroom.paper import kit
from stockroom.paper.kit import Column, Head, Sheet


@dataclass(frozen=True)
class ReorderLine:
    """So many packs of one offer. Prices in hundredths of the currency; None where nobody knows it."""

    reagent: str
    pack: str  # "2.5 L"
    packs: int
    price: int | None  # of one pack
    order_by: date | None  # the last day to order; None: no day presses
    why: str = ""  # "short from 4 Dec: Rainbow column", "below its reorder point"
    number: str = ""  # the supplier's own number for it
    formula: str = ""
    note: str = ""  # "half of it would expire unused"

    @property
    def cost(self) -> int | None:
        return None if self.price is None else self.price * self.packs


@dataclass(frozen=True)
class Supplier:
    """What goes to one supplier."""

    name: str
    lines: tuple[ReorderLine, ...]
    contact: str = ""  # account number, address, e-mail
    delivery: int = 0  # charge, in hundredths
    lead_time: str = ""  # "5 working days"

    @property
    def subtotal(self) -> int:
        """Known costs and delivery."""
        return self.delivery + sum(line.cost or 0 for line in self.lines)

    @property
    def unpriced(self) -> int:
        return sum(line.cost is None for line in self.lines)


@dataclass(frozen=True)
class Unmet:
    """Something needed that no supplier offers."""

    reagent: str
    amount: str
    needed_on: date | None
    why: str = ""
    formula: str = ""


@dataclass(frozen=True)
class ReorderList:
    """The whole list. `budget` is what may still be spent, None if none is set."""

    head: Head
    suppliers: tuple[Supplier, ...]
    unmet: tuple[Unmet, ...] = ()
    currency: str = "£"
    budget: int | None = None
    approved: str = ""  # "Approved by Dr Lindqvist on 27 Nov 2026"; "" leaves lines to sign on

    @property
    def total(self) -> int:
        return sum(supplier.subtotal for supplier in self.suppliers)


COLUMNS = (
    Column("", points=15),
    Column("Reagent", 3.4),
    Column("Supplier's number", 1.6),
    Column("Pack", points=48, align="right"),
    Column("Packs", points=36, align="right"),
    Column("Each", points=58, align="right"),
    Column("Cost", points=64, align="right"),
    Column("Order by", points=60),
    Column("Why", 3.2),
)


def render(data: ReorderList, paper: str = "A4") -> bytes:
    """The list as PDF, one block a supplier, with subtotals, total, budget and a line to sign on."""
    sheet = Sheet(data.head, paper)
    _summary(sheet, data)
    for supplier in data.suppliers:
        _supplier(sheet, supplier, data)
    if data.unmet:
        sheet.section("Cannot be ordered, or not in time", "Add an offer to a supplier, or find another way.")
        sheet.table(
            [
                Column("Reagent", 3),
                Column("Short by", points=70, align="right"),
                Column("Needed on", points=85),
                Column("Why", 3),
            ],
            [
                (kit.named(u.reagent, u.formula), kit.strong(u.amount), kit.day(u.needed_on, "—"), u.why)
                for u in data.unmet
            ],
        )
    if data.approved:
        sheet.paragraph(kit.strong(data.approved))
    elif data.suppliers:
        sheet.signatures(["Approved by department head", "Ordered by"])
    return sheet.pdf()


def _summary(sheet: Sheet, data: ReorderList) -> None:
    if not data.suppliers and not data.unmet:
        sheet.paragraph("Nothing needs ordering: what is on the shelf and on order covers every booking.")
        return
    unpriced = sum(supplier.unpriced for supplier in data.suppliers)
    total = kit.money(data.total, data.currency)
    pressing = [line.order_by for s in data.suppliers for line in s.lines if line.order_by]
    facts = [
        ("Total", kit.join((kit.strong(total), _unpriced(unpriced)), " ")),
        ("First to order by", kit.day(min(pressing), "") if pressing else ""),
    ]
    if data.budget is not None:
        left = data.budget - data.total
        state = (
            kit.text(f"{kit.money(left, data.currency)} left after this list")
            if left >= 0
            else kit.warning(f"over by {kit.money(-left, data.currency)}")
        )
        facts += [("Budget", kit.join((kit.money(data.budget, data.currency), state)))]
    sheet.facts(facts, columns=2)


def _supplier(sheet: Sheet, supplier: Supplier, data: ReorderList) -> None:
    lead = f"Lead time {supplier.lead_time}" if supplier.lead_time else ""
    sheet.section(supplier.name, kit.join((supplier.contact, lead), " · "))
    rows = [
        _row(line, data)
        for line in sorted(supplier.lines, key=lambda li: (li.order_by or date.max, li.reagent))
    ]
    if supplier.delivery:
        charge = kit.money(supplier.delivery, data.currency)
        rows.append(("", "Delivery", "", "", "", "", charge, "", ""))
    subtotal = kit.money(supplier.subtotal, data.currency)
    sheet.table(
        COLUMNS, rows, foot=("", "Subtotal", "", "", "", "", subtotal, "", _unpriced(supplier.unpriced))
    )


def _row(line: ReorderLine, data: ReorderList) -> tuple[object, ...]:
    late = line.order_by is not None and line.order_by < data.head.on
    by = kit.short_day(line.order_by, "—")
    return (
        kit.TickBox(),
        kit.named(line.reagent, line.formula),
        line.number,
        line.pack,
        kit.strong(str(line.packs)),
        kit.money(line.price, data.currency, "no price"),
        kit.money(line.cost, data.currency, "—"),
        kit.warning(f"{by} (past)") if late else by,
        kit.join((line.why, kit.small(line.note) if line.note else ""), " "),
    )


def _unpriced(lines: int) -> object:
    return kit.warning(f"and {kit.count(lines, 'line')} without a price") if lines else ""
