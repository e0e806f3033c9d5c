"""Counting a place: what stands there, what was found, and the corrections when the count is closed.

A count remembers what the ledger said when each amount was written down. If the ledger moves on before
the count is closed, that container is to be counted again: nobody can say which of the two came first.
"""

import datetime
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from stockroom.common.days import day_text
from stockroom.inventory import ledger
from stockroom.inventory.ageing_items import untouchable_ids
from stockroom.inventory.models import Container, CountLine, LedgerError, Location, StockCount
from stockroom.inventory.stock import within

#: more than one person walks in one go
MAX_LINES = 400


class CountError(Exception):
    """A count that cannot be; the message says what to change."""


class Overtaken(CountError):
    """The ledger moved on after these lines were counted."""

    def __init__(self, lines: list[CountLine]):
        codes = ", ".join(line.container.code for line in lines)
        super().__init__(f"The ledger has changed since these were counted: count them again. {codes}")
        self.lines = lines


def standing_in(location: Location):
    """The containers of a place and of all parts of it, without those that nobody may touch."""
    rows = Container.objects.filter(within(location, "location__")).exclude(state=Container.State.GONE)
    return rows.exclude(pk__in=untouchable_ids(timezone.localdate()))


@transaction.atomic
def start(location: Location, *, who, on: datetime.date, note: str = "") -> StockCount:
    """Begin a count of everything that stands in a place."""
    open_count = StockCount.objects.filter(location=location, closed_on=None).first()
    if open_count:
        began = f"{day_text(open_count.started_on)}"
        raise CountError(f"A count begun on {began} is still open: close that first.")
    containers = list(standing_in(location)[: MAX_LINES + 1])
    if not containers:
        raise CountError(f"Nothing stands in {location}: choose another place.")
    if len(containers) > MAX_LINES:
        raise CountError(
            f"More than {MAX_LINES} containers stand in {location}: count its cabinets or shelves one by one."
        )
    count = StockCount.objects.create(location=location, started_on=on, counted_by=who, note=note)
    CountLine.objects.bulk_create(CountLine(count=count, container=container) for container in containers)
    return count


def lines_of(count: StockCount) -> list[CountLine]:
    """The lines in the order one walks: place, reagent, number."""
    rows = count.lines.select_related("container__reagent", "container__location")
    return list(rows.order_by("container__location__path", "container__reagent__name", "container__code"))


@transaction.atomic
def catch_up(count: StockCount) -> int:
    """Add what has come to stand in the place since the count began; the number of new lines."""
    known = set(count.lines.values_list("container_id", flat=True))
    new = [container for container in standing_in(count.location) if container.pk not in known]
    CountLine.objects.bulk_create(CountLine(count=count, container=container) for container in new)
    return len(new)


def write(line: CountLine, counted: int | None, note: str) -> None:
    """Write down what was found, beside what the ledger says at this moment. None: not counted yet."""
    line.container.refresh_from_db(fields=["balance"])
    line.counted, line.note = counted, note
    line.expected = None if counted is None else line.container.balance
    line.save(update_fields=["counted", "expected", "note"])


def forget(lines: list[CountLine]) -> None:
    """Take back what was counted, so that it is counted again."""
    CountLine.objects.filter(pk__in=[line.pk for line in lines]).update(counted=None, expected=None)


@dataclass(frozen=True)
class Closed:
    """What closing did: containers corrected, and how many were not counted."""

    corrected: int
    uncounted: int


@transaction.atomic
def close(count: StockCount, *, who, on: datetime.date) -> Closed:
    """Correct every container that differs, all or nothing. Raises CountError or LedgerError."""
    count = StockCount.objects.select_for_update().get(pk=count.pk)
    if count.closed_on:
        raise CountError("This count is closed already.")
    # Locked before they are read, so that what is compared is what is corrected.
    here = count.lines.order_by().values("container")
    list(Container.objects.select_for_update().filter(pk__in=here).order_by("pk"))
    lines = lines_of(count)
    counted = [line for line in lines if line.counted is not None]
    if not counted:
        raise CountError("Nothing has been counted yet: enter what you found first.")
    moved = [line for line in counted if line.container.balance != line.expected]
    if moved:
        raise Overtaken(moved)
    why = f"count of {count.location}"
    corrected = 0
    for line in counted:
        if line.container.state == Container.State.GONE:
            raise LedgerError(
                f"{line.container.code} is gone: clear its line, or reverse the line that discarded it."
            )
        reason = f"{why}: {line.note}" if line.note else why
        corrected += bool(
            ledger.correct(line.container, line.counted, who=who, why=reason, on=on, belongs_to=count)
        )
    count.closed_on = on
    count.save(update_fields=["closed_on"])
    return Closed(corrected, len(lines) - len(counted))
