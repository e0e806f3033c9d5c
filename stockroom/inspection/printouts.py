"""The stock review as the plain data that its sheet draws."""

import datetime
from collections import defaultdict

from django.db.models import Min, Q, Sum

from stockroom.inspection.findings import Finding
from stockroom.inspection.sheets.stock_review import ReviewGroup, ReviewLine
from stockroom.inventory.models import Container, Movement, Reagent, StorageKind
from stockroom.inventory.stock import with_balances
from stockroom.purchasing import outlook as shelves
from stockroom.purchasing.models import Order, OrderLine


def groups(on: datetime.date, found: list[Finding], end: datetime.date) -> tuple[ReviewGroup, ...]:
    """Every reagent in stock, by the storage it asks for. A fixed number of queries."""
    flags = defaultdict(list)
    for finding in found:
        for case in finding.cases:
            if finding.flag and case.reagent and finding.flag not in flags[case.reagent]:
                flags[case.reagent].append(finding.flag)
    year_ago = on - datetime.timedelta(365)
    used = dict(
        Movement.objects.filter(kind__in=(Movement.Kind.DRAW, Movement.Kind.RETURN), on__gt=year_ago)
        .order_by()
        .values_list("container__reagent")
        .annotate(total=-Sum("change"))
    )
    read = shelves.read(on)
    reserved = defaultdict(int)
    for row in read.reserved:
        reserved[row.reagent_id] += row.amount if row.on >= on else 0
    short = {row.reagent.pk: row.on for row in shelves.shortages(read, end) if row.by}
    standing = ~Q(containers__state=Container.State.GONE)
    # Grouped rows lose the order that the model names.
    rows = with_balances(Reagent.objects.order_by("name"), on).annotate(
        first_expiry=Min("containers__usable_until", filter=standing)
    )
    by_kind = defaultdict(list)
    for reagent in rows.prefetch_related("hazards", "components__chemical"):
        if reagent.containers_here:
            line = _line(
                reagent,
                reserved[reagent.pk],
                used.get(reagent.pk, 0),
                short.get(reagent.pk),
                flags[reagent.pk],
            )
            by_kind[reagent.storage_kind].append(line)
    return tuple(
        ReviewGroup(StorageKind(kind).label, tuple(by_kind[kind]))
        for kind in StorageKind.values
        if by_kind[kind]
    )


def _line(
    reagent: Reagent, reserved: int, used: int, short: datetime.date | None, flags: list[str]
) -> ReviewLine:
    components = list(reagent.components.all())
    return ReviewLine(
        reagent=reagent.name,
        on_hand=reagent.text_of(reagent.on_shelf),
        containers=reagent.containers_here,
        reserved=reagent.text_of(reserved) if reserved else "",
        used=reagent.text_of(used) if used > 0 else "",
        reorder_point=reagent.text_of(reagent.reorder_point) if reagent.reorder_point else "",
        first_short=short,
        first_expiry=reagent.first_expiry,
        flags=tuple(flags),
        formula=components[0].chemical.formula if len(components) == 1 else "",
        is_checked=reagent.is_checked and all(hazard.is_checked for hazard in reagent.hazards.all()),
    )


def costs(on: datetime.date) -> tuple[tuple[str, int], ...]:
    """What was ordered in each of the last twelve months, in hundredths."""
    first = (on.replace(day=1) - datetime.timedelta(330)).replace(day=1)
    lines = OrderLine.objects.filter(order__ordered_on__gte=first).exclude(order__state=Order.State.CANCELLED)
    by_month = defaultdict(int)
    for day, packs, price in lines.values_list("order__ordered_on", "packs", "unit_price"):
        by_month[day.year, day.month] += int(packs * price * 100)
    if not by_month:
        return ()
    months = [(first.year + (first.month - 1 + n) // 12, (first.month - 1 + n) % 12 + 1) for n in range(12)]
    return tuple((f"{datetime.date(*month, 1):%b %y}", by_month[month]) for month in months)
