"""Pages and computations on a large department, as ratios to reading the same rows by plain SQL.

The baseline sends the very statements that the page sent, through a bare cursor, and fetches every row.
Times are the processor's, the least of three. Run by `python -m tests.bench`.
"""

import datetime
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass

from django.contrib.auth import get_user_model
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from demos.consumption.takes import ingredients_of, with_ingredients
from demos.models import Booking, Demonstration
from demos.planning import feasibility
from demos.prep import prep_list
from stockroom.common.department import Department
from stockroom.inventory.models import Container, Location, Reagent
from stockroom.purchasing import outlook, reorder
from stockroom.safety.storage import conflicts
from stockroom.storage.storage_items import items_of, places_of

REPEATS = 3
OUTLOOK = "outlook of the whole term"
#: what the outlook of the term may take at most, in readings of its rows by plain SQL
OUTLOOK_AT_MOST = 5


@dataclass(frozen=True)
class Row:
    """One measured thing: seconds of the processor for it and for its rows by plain SQL."""

    name: str
    seconds: float
    plain: float
    queries: int

    @property
    def ratio(self) -> float:
        return self.seconds / self.plain

    def __str__(self):
        times = f"{1000 * self.seconds:8.1f} ms {self.ratio:7.1f} x plain SQL"
        return f"{self.name:44} {times}, {self.queries} queries"


def least(call: Callable[[], object], repeats: int) -> float:
    times = []
    for _ in range(repeats):
        start = time.process_time()
        call()
        times.append(time.process_time() - start)
    return min(times)


def measured(name: str, call: Callable[[], object], repeats: int) -> Row:
    with CaptureQueriesContext(connection) as captured:
        call()
    statements = [row["sql"] for row in captured if row["sql"].startswith("SELECT")]

    def read() -> None:
        with closing(connection.connection.cursor()) as cursor:
            for statement in statements:
                cursor.execute(statement)
                cursor.fetchall()

    return Row(name, least(call, repeats), max(least(read, repeats), 1e-6), len(statements))


def computations(today: datetime.date) -> Iterator[tuple[str, Callable[[], object]]]:
    end = Department.current().term_end
    booking = Booking.objects.select_related("demonstration").order_by("on", "pk")[
        Booking.objects.count() // 2
    ]
    ingredients = ingredients_of(booking.demonstration)
    week = today + datetime.timedelta(6)
    yield "reading for the outlook", lambda: outlook.read(today)
    yield OUTLOOK, lambda: outlook.shortages(outlook.read(today), end)
    yield "what expires before it is used", lambda: outlook.expiring(outlook.read(today), end)
    yield "reorder list", lambda: reorder.propose(outlook.read(today), end)
    yield "feasibility of one booking", lambda: feasibility.check(booking, ingredients, outlook.read(today))
    yield (
        "standing of every booking",
        lambda: feasibility.standing_of(Booking.objects.all(), outlook.read(today)),
    )
    yield (
        "which demonstrations can be shown",
        lambda: feasibility.on_day(with_ingredients(Demonstration.objects.all()), week, outlook.read(today)),
    )
    yield "prep of a day", lambda: prep_list.prepare(outlook.read(today), today, today)
    yield (
        "conflicts on every shelf",
        lambda: conflicts(items_of(Container.objects.all()), places_of(Location.objects.all())),
    )


def pages() -> Iterator[tuple[str, Callable[[], object]]]:
    reagent, container = Reagent.objects.first(), Container.objects.first()
    booking = Booking.objects.first()
    shown = {
        "head": ["/", "/reorder/", "/outlook/"],
        "teacher": [
            "/",
            "/demonstrations/",
            "/bookings/",
            f"/bookings/add/?demonstration={booking.demonstration_id}",
        ],
        "technician": [
            "/",
            "/prep/",
            "/reagents/",
            "/reagents/?q=00042",
            "/containers/",
            "/containers/?page=200",
            reagent.get_absolute_url(),
            container.get_absolute_url(),
            f"/reagents/{reagent.pk}/outlook/",
            "/places/",
        ],
    }
    for name, addresses in shown.items():
        client = Client()
        client.force_login(get_user_model().objects.get(username=name))
        for address in addresses:
            yield f"{name} opens {address}", lambda client=client, address=address: _opened(client, address)


def _opened(client, address: str) -> None:
    answer = client.get(address)
    if answer.status_code != 200:
        raise RuntimeError(f"{address} answered {answer.status_code}.")


def measure(today: datetime.date, repeats: int = REPEATS) -> Iterator[Row]:
    for name, call in (*computations(today), *pages()):
        yield measured(name, call, repeats)


def judge(rows: list[Row]) -> str:
    ratio = next(row.ratio for row in rows if row.name == OUTLOOK)
    word = "met" if ratio <= OUTLOOK_AT_MOST else "NOT met"
    return f"The {OUTLOOK} at most {OUTLOOK_AT_MOST} x plain SQL: {word} ({ratio:.1f} x)"
