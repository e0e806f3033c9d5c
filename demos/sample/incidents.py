"""Moves, quarantines, counts, waste, and a bottle that nobody knows."""

import datetime
from functools import partial

from demos.sample.events import ARRIVE, COLLECT, COUNT, PUT_AWAY, WASTE, Event, School
from demos.sample.read import amount
from stockroom.common import activity_log
from stockroom.inventory import counting, ledger
from stockroom.inventory.models import Reagent
from stockroom.waste import composition as wasting


def events(school: School, data: dict) -> list[Event]:
    ago = school.calendar.ago
    told = [
        *(Event(ago(row["ago"]), PUT_AWAY, partial(_move, school, row)) for row in data["move"]),
        *(Event(ago(row["ago"]), PUT_AWAY, partial(_quarantine, school, row)) for row in data["quarantine"]),
        *(Event(ago(row["ago"]), COUNT, partial(_count, school, row)) for row in data["count"]),
        Event(ago(data["unknown"]["ago"]), PUT_AWAY, partial(_find, school, data["unknown"])),
    ]
    for row in data["waste"]:
        told.append(Event(ago(row["started"]), ARRIVE, partial(_open, school, row)))
        told += [
            Event(ago(entry["ago"]), WASTE, partial(_throw, school, row, entry)) for entry in row["entries"]
        ]
        if "collected" in row:
            told.append(Event(ago(row["collected"]), COLLECT, partial(_collected, school, row)))
    return told


def _move(school: School, row: dict, on: datetime.date) -> None:
    ledger.move(
        school.containers[row["reagent"]],
        school.places[row["to"]],
        who=school.people[row["who"]],
        why=row["why"],
        on=on,
    )


def _quarantine(school: School, row: dict, on: datetime.date) -> None:
    ledger.quarantine(school.containers[row["reagent"]], who=school.people[row["who"]], why=row["why"], on=on)


def _count(school: School, row: dict, on: datetime.date) -> None:
    who, place = school.people[row["who"]], school.places[row["place"]]
    count = counting.start(place, who=who, on=on, note=row["note"])
    less = {school.reagents[key].pk: school.reagents.amount(key, text) for key, text in row["less"].items()}
    is_open = row.get("is_open", False)
    for line in counting.lines_of(count):
        reagent = line.container.reagent_id
        if reagent in less or not is_open:
            counting.write(line, line.container.balance - less.get(reagent, 0), "")
    if not is_open:
        counting.close(count, who=who, on=on)


def _find(school: School, row: dict, on: datetime.date) -> None:
    who = school.people[row["who"]]
    reagent = Reagent.objects.create(name=row["name"], kind=Reagent.Kind.LIQUID, measure="volume")
    container = ledger.receive(
        reagent,
        school.places[row["place"]],
        amount(row["size"], "volume"),
        who=who,
        why="found on the bench",
        on=on,
    )
    ledger.quarantine(container, who=who, why=row["why"], on=on)


def _open(school: School, row: dict, on: datetime.date) -> None:
    school.waste[row["key"]] = ledger.open_waste(
        stream=row["stream"],
        capacity=amount(row["capacity"], "volume"),
        measure="volume",
        location=school.places[row["place"]],
        started_on=on,
        note=row.get("note", ""),
    )


def _throw(school: School, row: dict, entry: dict, on: datetime.date) -> None:
    volume, text, ph = amount(entry["amount"], "volume"), entry["text"], entry.get("ph")
    composition = {}
    if "of" in entry:
        reagent = school.reagents[entry["of"]]
        composition = wasting.as_data(wasting.of_reagent(reagent, volume, ph))
        text = f"{reagent}: {text}"
    ledger.add_waste(
        school.waste[row["key"]],
        volume,
        description=text,
        ph=ph,
        who=school.technicians[0],
        on=on,
        composition=composition,
    )


def _collected(school: School, row: dict, on: datetime.date) -> None:
    waste = school.waste[row["key"]]
    waste.refresh_from_db()
    waste.closed_on = waste.collected_on = on
    waste.save(update_fields=["closed_on", "collected_on"])
    activity_log.note(school.technicians[0], waste, f"collected by {row['by']}")
