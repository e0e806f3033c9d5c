"""What has happened on the shelves so far, told to the ledger in the order of the days."""

import datetime
from functools import partial

from demos.sample import incidents, purchases, read, term
from demos.sample.events import ARRIVE, CLASS, DRAW, MAKE, Event, School
from stockroom.inventory import ledger
from stockroom.inventory.models import Container
from stockroom.preparation.batch import needs_of

#: why something was taken out, other than for a demonstration
_REASONS = (
    "practical, grade 10",
    "titration practical, grade 12",
    "refilled the dropper bottles",
    "practical, grade 11",
    "project, grade 12",
)
#: days between two draws on one bottle
_PACE = 11


def tell(school: School, past: list[term.Past]) -> None:
    """Every event of the data files and every past class, day by day."""
    data = read.toml("history.toml")
    events = [
        *_deliveries(school),
        *_made_up(school),
        *purchases.events(school, data["order"]),
        *incidents.events(school, data),
        *(
            Event(one.booking.on, CLASS, partial(_record, school, one, number))
            for number, one in enumerate(past)
        ),
    ]
    for event in sorted(events, key=lambda event: (event.on, event.rank)):
        event.act(event.on)
    _throw_away_empties(school)


def _record(school: School, one: term.Past, number: int, on: datetime.date) -> None:
    term.record(one, number, school.technicians[number % 2])


def _deliveries(school: School) -> list[Event]:
    events = []
    for number, row in enumerate(read.table("stock.csv")):
        on = school.calendar.ago(int(row["received"]))
        events.append(Event(on, ARRIVE, partial(_receive, school, row, number)))
        if row["opened"]:
            size, left = (school.reagents.amount(row["reagent"], row[name]) for name in ("size", "left"))
            events += _draws(school, (row["reagent"], "bought", number), size - left, int(row["opened"]))
    return events


def _receive(school: School, row: dict, number: int, on: datetime.date) -> None:
    today = school.calendar.today
    container = ledger.receive(
        school.reagents[row["reagent"]],
        school.places[row["place"]],
        school.reagents.amount(row["reagent"], row["size"]),
        who=school.technicians[number % 2],
        on=on,
        lot=f"{on:%y}{chr(65 + on.month)}{1043 + number * 37 % 8000}",
        supplier=school.suppliers.get(row["supplier"]),
        expires_on=today + datetime.timedelta(int(row["expires"])) if row["expires"] else None,
        note=row["note"],
    )
    school.keep(container, (row["reagent"], "bought", number))


def _draws(school: School, line: tuple, total: int, first: int) -> list[Event]:
    """Up to three draws that add up to `total`, the first of them the day the bottle was opened.

    Those of a reagent that does not keep once opened follow quickly on each other.
    """
    key, _, number = line
    life = school.reagents[key].shelf_life_opened_days
    pace = _PACE if life is None else max(1, min(_PACE, life // 4))
    times = min(3, max(1, first // pace), total)
    parts = [read.as_written(total // times)] * (times - 1)
    parts.append(total - sum(parts))
    return [
        Event(
            school.calendar.ago(first - place * pace),
            DRAW,
            partial(_take, school, line, part, number + place),
        )
        for place, part in enumerate(parts)
    ]


def _take(school: School, line: tuple, part: int, number: int, on: datetime.date) -> None:
    ledger.draw(
        school.containers[line],
        part,
        who=school.technicians[number % 2],
        why=_REASONS[number % len(_REASONS)],
        on=on,
    )


def _made_up(school: School) -> list[Event]:
    events = []
    for number, row in enumerate(read.table("made.csv")):
        key, days = row["reagent"], int(row["made"])
        made, left = (school.reagents.amount(key, row[name]) for name in ("amount", "left"))
        events.append(Event(school.calendar.ago(days), MAKE, partial(_make, school, row, number, made)))
        events += _draws(school, (key, "made", number), made - left, max(days - 3, 1))
    return events


def _make(school: School, row: dict, number: int, made: int, on: datetime.date) -> None:
    preparation = school.reagents[row["reagent"]].preparations.get()
    needs = needs_of(preparation, made, on)
    parts = [
        (container, need.picks[container.pk])
        for need in needs
        for container in need.containers
        if container.pk in need.picks
    ]
    batch = ledger.make_up(
        preparation,
        made,
        parts,
        location=school.places[row["place"]],
        who=school.technicians[number % 2],
        on=on,
    )
    school.keep(batch.container, (row["reagent"], "made", number))


def _throw_away_empties(school: School) -> None:
    empty = Container.objects.filter(balance=0, state=Container.State.IN_USE).order_by("pk")
    for number, container in enumerate(empty):
        ledger.discard(
            container,
            who=school.technicians[number % 2],
            why="empty: rinsed and thrown away",
            on=school.calendar.ago(1),
        )
