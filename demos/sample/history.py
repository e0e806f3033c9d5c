"""What has happened on the shelves so far, told to the ledger in the order of the days."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass, field

from demos.sample import read, term
from demos.sample.read import Calendar, amount
from demos.sample.shelves import Reagents
from stockroom import ledger
from stockroom.making import needs_of
from stockroom.models import (
    Container,
    CountLine,
    Location,
    Offer,
    Order,
    OrderLine,
    Reagent,
    ReagentHazard,
    SafetyDataSheet,
    StockCount,
    Supplier,
    WasteContainer,
)

#: why something was taken out, other than for a demonstration
_REASONS = (
    "practical, year 10",
    "titration practical, year 12",
    "refilled the dropper bottles",
    "practical, year 11",
    "project, year 13",
)
#: days between two draws on one bottle
_PACE = 11


@dataclass
class School:
    """What the history works on: the nouns by their keys in the data."""

    calendar: Calendar
    people: dict
    places: dict[str, Location]
    suppliers: dict[str, Supplier]
    reagents: Reagents
    #: first container of each reagent, for the events that name one
    first: dict[str, Container] = field(default_factory=dict)
    waste: dict[str, WasteContainer] = field(default_factory=dict)

    @property
    def technicians(self) -> tuple:
        return self.people["fenwick"], self.people["brandt"]


@dataclass(frozen=True)
class Event:
    """One thing on one day. Of two on a day, the lower rank comes first: what is taken must be there."""

    on: datetime.date
    rank: int
    act: Callable[[datetime.date], object]


def tell(school: School, past: list[term.Past]) -> None:
    """Every event of the data files and every past class, day by day."""
    data = read.toml("history.toml")
    events = [
        *_deliveries(school),
        *_made_up(school),
        *_orders(school, data["order"]),
        *_moves_and_quarantines(school, data),
        *_waste(school, data["waste"]),
        *(_count(school, row) for row in data["count"]),
        *(
            Event(one.booking.on, 4, lambda on, one=one, n=n: term.record(one, n, school.technicians[n % 2]))
            for n, one in enumerate(past)
        ),
    ]
    for event in sorted(events, key=lambda event: (event.on, event.rank)):
        event.act(event.on)
    _throw_away_empties(school)


def _deliveries(school: School) -> list[Event]:
    events = []
    for number, row in enumerate(read.table("stock.csv")):
        on = school.calendar.ago(int(row["received"]))
        events.append(Event(on, 0, lambda on, row=row, n=number: _receive(school, row, n, on)))
    for number, row in enumerate(read.table("stock.csv")):
        if row["opened"]:
            size, left = (school.reagents.amount(row["reagent"], row[name]) for name in ("size", "left"))
            events += _draws(school, (row["reagent"], number), size - left, int(row["opened"]), number)
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
    school.first.setdefault(row["reagent"], container)
    school.first[row["reagent"], number] = container


def _draws(school: School, key: tuple, total: int, first: int, number: int) -> list[Event]:
    """Up to three draws that add up to `total`, the first of them the day the bottle was opened.

    Those of a reagent that does not keep once opened follow quickly on each other.
    """
    life = school.reagents[key[0]].shelf_life_opened_days
    pace = _PACE if life is None else max(1, min(_PACE, life // 4))
    times = min(3, max(1, first // pace), total)
    parts = [total * (place + 1) // times - total * place // times for place in range(times)]
    return [
        Event(
            school.calendar.ago(first - place * pace),
            3,
            lambda on, part=part, place=place: ledger.draw(
                school.first[key],
                part,
                who=school.technicians[(number + place) % 2],
                why=_REASONS[(number + place) % len(_REASONS)],
                on=on,
            ),
        )
        for place, part in enumerate(parts)
        if part
    ]


def _made_up(school: School) -> list[Event]:
    events = []
    for number, row in enumerate(read.table("made.csv")):
        key, days = row["reagent"], int(row["made"])
        made, left = (school.reagents.amount(key, row[name]) for name in ("amount", "left"))
        act = Event(
            school.calendar.ago(days),
            2,
            lambda on, row=row, n=number, made=made: _make(school, row, n, made, on),
        )
        events += [act, *_draws(school, (key, "made", number), made - left, max(days - 3, 1), number)]
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
    school.first.setdefault(row["reagent"], batch.container)
    school.first[row["reagent"], "made", number] = batch.container


def _throw_away_empties(school: School) -> None:
    empty = Container.objects.filter(balance=0, state=Container.State.IN_USE).order_by("pk")
    for number, container in enumerate(empty):
        ledger.discard(
            container,
            who=school.technicians[number % 2],
            why="empty: rinsed and thrown away",
            on=school.calendar.ago(1),
        )


def _moves_and_quarantines(school: School, data: dict) -> list[Event]:
    moves = [
        Event(
            school.calendar.ago(row["ago"]),
            5,
            lambda on, row=row: ledger.move(
                school.first[row["reagent"]],
                school.places[row["to"]],
                who=school.people[row["who"]],
                why=row["why"],
                on=on,
            ),
        )
        for row in data["move"]
    ]
    return moves + [
        Event(
            school.calendar.ago(row["ago"]),
            5,
            lambda on, row=row: ledger.quarantine(
                school.first[row["reagent"]], who=school.people[row["who"]], why=row["why"], on=on
            ),
        )
        for row in data["quarantine"]
    ]


def _count(school: School, row: dict) -> Event:
    return Event(school.calendar.ago(row["ago"]), 6, lambda on: _count_one(school, row, on))


def _count_one(school: School, row: dict, on: datetime.date) -> None:
    who, place = school.people[row["who"]], school.places[row["place"]]
    count = StockCount.objects.create(
        location=place, started_on=on, closed_on=on, counted_by=who, note=row["note"]
    )
    differs = {school.reagents[key].pk: text for key, text in row["differs"].items()}
    for container in place.containers.exclude(state=Container.State.GONE).select_related("reagent"):
        expected = container.balance
        text = differs.get(container.reagent_id)
        counted = amount(text, container.reagent.measure) if text else expected
        ledger.correct(container, counted, who=who, why=f"counted {place.name}", on=on, belongs_to=count)
        CountLine.objects.create(count=count, container=container, expected=expected, counted=counted)


def _waste(school: School, rows: list[dict]) -> list[Event]:
    events = []
    for row in rows:
        events.append(
            Event(school.calendar.ago(row["started"]), 0, lambda on, row=row: _open(school, row, on))
        )
        events += [
            Event(
                school.calendar.ago(entry["ago"]),
                7,
                lambda on, row=row, entry=entry: ledger.add_waste(
                    school.waste[row["key"]],
                    amount(entry["amount"], "volume"),
                    description=entry["text"],
                    ph=entry.get("ph"),
                    who=school.technicians[0],
                    on=on,
                ),
            )
            for entry in row["entries"]
        ]
    return events


def _open(school: School, row: dict, on: datetime.date) -> None:
    school.waste[row["key"]] = ledger.open_waste(
        stream=row["stream"],
        capacity=amount(row["capacity"], "volume"),
        measure="volume",
        location=school.places[row["place"]],
        started_on=on,
        note=row.get("note", ""),
    )


def _orders(school: School, rows: list[dict]) -> list[Event]:
    events = []
    for row in rows:
        order = _order(school, row)
        if row["state"] == Order.State.RECEIVED:
            on = order.expected_on
            events.append(Event(on, 0, lambda on, row=row, order=order: _order_came(school, row, order, on)))
    return events


def _order(school: School, row: dict) -> Order:
    created, head = school.calendar.ago(row["created"]), school.people["adeyemi"]
    sent = {}
    if row["state"] != Order.State.DRAFT:
        sent = {
            "approved_on": created,
            "approved_by": head,
            "ordered_on": created,
            "expected_on": school.calendar.ago(row["expected"]),
        }
    order = Order.objects.create(
        supplier=school.suppliers[row["supplier"]],
        state=row["state"],
        created_on=created,
        created_by=head,
        **sent,
    )
    for line in row["lines"]:
        reagent = school.reagents[line["reagent"]]
        offer = Offer.objects.get(
            supplier=order.supplier, reagent=reagent, pack_amount=amount(line["pack"], reagent.measure)
        )
        OrderLine.objects.create(
            order=order,
            reagent=reagent,
            offer=offer,
            packs=line["packs"],
            pack_amount=offer.pack_amount,
            unit_price=offer.price,
            reason=line["reason"],
            received_packs=line["packs"] if row["state"] == Order.State.RECEIVED else 0,
        )
    return order


def _order_came(school: School, row: dict, order: Order, on: datetime.date) -> None:
    for line in order.lines.select_related("reagent"):
        place = school.places[row["places"][line.reagent.catalogue_key]]
        for number in range(line.packs):
            ledger.receive(
                line.reagent,
                place,
                line.pack_amount,
                who=school.technicians[0],
                why=f"delivery of order {order.pk}",
                on=on,
                lot=f"{on:%y}{chr(65 + on.month)}{7001 + line.pk * 10 + number}",
                supplier=order.supplier,
                belongs_to=order,
            )


def safety_sheets(school: School) -> None:
    """A sheet for most bought reagents: every seventh is missing, every fifth is older than the review.

    Of the newer ones every third has been checked against the bottle, and its hazard data ticked.
    """
    bought = Reagent.objects.filter(offers__isnull=False).distinct().order_by("name")
    supplier_of = dict(Offer.objects.order_by("-pk").values_list("reagent_id", "supplier_id"))
    technician = school.technicians[0]
    for number, reagent in enumerate(bought):
        if number % 7 == 3:
            continue
        is_old = number % 5 == 1
        checked_on = None if is_old or number % 3 else school.calendar.ago(20 + number)
        SafetyDataSheet.objects.create(
            reagent=reagent,
            supplier_id=supplier_of[reagent.pk],
            revision_date=school.calendar.ago(1500 + number * 7 if is_old else 200 + number * 9),
            added_by=technician,
            added_on=school.calendar.ago(150),
            checked_by=technician if checked_on else None,
            checked_on=checked_on,
        )
        if checked_on:
            ReagentHazard.objects.filter(reagent=reagent).update(checked_by=technician, checked_on=checked_on)
