"""A large department, the same every time: what the benchmarks and nothing else work on.

Written straight into the tables, since tens of thousands of acts one by one would take longer than all that
is measured. Balances still equal the sums of their lines.
"""

import datetime
import random
from decimal import Decimal

from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group

from demos.consumption.takes import takes
from demos.models import Alternative, Booking, Demonstration, Ingredient, Period, Room, Topic
from demos.models.booking import booking_type
from stockroom.common.department import Department
from stockroom.hazards.models import ReagentHazard
from stockroom.inventory.models import (
    Chemical,
    Component,
    Container,
    Location,
    Movement,
    Offer,
    Preparation,
    PreparationPart,
    Reagent,
    Reservation,
    Supplier,
)
from stockroom.people import roles
from stockroom.purchasing.models import Order, OrderLine
from stockroom.safety.storage import reactivity_groups

TERM_DAYS = 84
GRAM, LITRE = 1_000_000, 1_000_000
CLASSES = ["skin_corr_1b", "flam_liq_2", "ox_liq_2", "acute_tox_oral_3", "eye_irrit_2", "aquatic_chronic_2"]
#: in this many of a hundred reagents
MADE_HERE, LASTING = 25, 60


def fill(today: datetime.date, reagents: int, containers: int, bookings: int) -> None:
    """Fill an empty database with so many of each. Every booking is planned, within the term."""
    rng = random.Random(1861)
    people = _people()
    _term(today)
    rows = _reagents(rng, reagents)
    _shelves(rng, rows, containers, people["technician"], today)
    _suppliers(rng, rows, people["head"], today)
    _preparations(rng, rows)
    demonstrations = _demonstrations(rng, rows, max(4, bookings // 20))
    _bookings(rng, demonstrations, bookings, people["teacher"], today)


def _people() -> dict:
    people = {}
    for name, role in (("head", roles.HEAD), ("teacher", roles.TEACHER), ("technician", roles.TECHNICIAN)):
        people[name] = get_user_model().objects.create_user(name)
        people[name].groups.add(Group.objects.get(name=role))
    return people


def _term(today: datetime.date) -> None:
    end = today + datetime.timedelta(TERM_DAYS)
    Department.objects.update_or_create(pk=1, defaults={"term_start": today, "term_end": end})
    for hour in range(8, 14):
        Period.objects.create(
            name=f"Period {hour - 7}", start=datetime.time(hour), end=datetime.time(hour, 50)
        )
    for number in range(12):
        Room.objects.create(name=f"Laboratory {number + 1}", volume_m3=200, air_changes_per_hour=4)


def _reagents(rng: random.Random, count: int) -> list[Reagent]:
    words = sorted(reactivity_groups())
    chemicals = Chemical.objects.bulk_create(
        Chemical(name=f"substance {n:05}", formula="NaCl", molar_mass=Decimal("58.44"))
        for n in range(count // 2)
    )
    rows = Reagent.objects.bulk_create(
        Reagent(
            name=f"reagent {n:05}",
            kind="solid" if n % 2 else "solution",
            measure="mass" if n % 2 else "volume",
            shelf_life_sealed_days=None if rng.randrange(100) < LASTING else rng.choice((30, 90, 365, 730)),
            reorder_point=rng.choice((0, 0, 0, 50 * GRAM, 200 * GRAM)),
            hazard_state="classified",
            groups=[words[n % len(words)]],
            source="generated",
        )
        for n in range(count)
    )
    Component.objects.bulk_create(
        Component(reagent=row, chemical=chemicals[n % len(chemicals)]) for n, row in enumerate(rows)
    )
    ReagentHazard.objects.bulk_create(
        ReagentHazard(reagent=row, hazard_class=rng.choice(CLASSES), source="generated") for row in rows
    )
    return rows


def _shelves(rng: random.Random, reagents, count: int, who, today: datetime.date) -> None:
    room = Location.objects.create(name="Store", level="room")
    shelves = []
    for c in range(20):
        cabinet = Location.objects.create(name=f"Cabinet {c + 1}", level="cabinet", parent=room)
        shelves += [
            Location.objects.create(name=f"Shelf {s + 1}", level="shelf", parent=cabinet) for s in range(5)
        ]
    rows, drawn = [], []
    for n in range(count):
        received = today - datetime.timedelta(rng.randrange(1, 700))
        size = rng.choice((100, 250, 500, 1000, 2500)) * GRAM
        taken = rng.choice((0, 0, size // 4, size // 2, size))
        until = None if rng.randrange(3) else received + datetime.timedelta(rng.randrange(300, 1500))
        rows.append(
            Container(
                code=f"C-{n + 1:06}",
                reagent=reagents[n % len(reagents)],
                lot=f"L{n:05}",
                location=rng.choice(shelves),
                received_on=received,
                opened_on=received if taken else None,
                expires_on=until,
                usable_until=until,
                pack_amount=size,
                balance=size - taken,
                state="gone" if taken == size else "quarantined" if rng.randrange(50) == 0 else "in_use",
            )
        )
        drawn.append(taken)
    rows = Container.objects.bulk_create(rows)
    Movement.objects.bulk_create(
        Movement(
            container=row,
            kind="receive",
            change=row.pack_amount,
            balance_after=row.pack_amount,
            on=row.received_on,
            who=who,
            why="delivery",
            to_location=row.location,
        )
        for row in rows
    )
    Movement.objects.bulk_create(
        Movement(
            container=row,
            kind="draw",
            change=-taken,
            balance_after=row.balance,
            on=row.received_on,
            who=who,
            why="practical",
        )
        for row, taken in zip(rows, drawn, strict=True)
        if taken
    )


def _suppliers(rng: random.Random, reagents, head, today: datetime.date) -> None:
    suppliers = [Supplier.objects.create(name=f"Supplier {n + 1}") for n in range(8)]
    offers = []
    for n, row in enumerate(reagents):
        for size in rng.sample((100, 250, 500, 1000, 2500), 2):
            price = Decimal(rng.randrange(300, 9000)) / 100
            offers.append(
                Offer(
                    supplier=suppliers[n % 8],
                    reagent=row,
                    pack_amount=size * GRAM,
                    price=price,
                    lead_days=rng.choice((3, 7, 14)),
                )
            )
    offers = Offer.objects.bulk_create(offers)
    order = Order.objects.create(
        supplier=suppliers[0],
        state="ordered",
        created_on=today,
        created_by=head,
        expected_on=today + datetime.timedelta(5),
    )
    OrderLine.objects.bulk_create(
        OrderLine(
            order=order,
            reagent=offer.reagent,
            offer=offer,
            packs=2,
            pack_amount=offer.pack_amount,
            unit_price=offer.price,
        )
        for offer in offers[::40]
    )


def _preparations(rng: random.Random, reagents) -> None:
    """A reagent is made from ones further down the list, so that there is no circle and there are levels."""
    made = [n for n in range(len(reagents) - 3) if n % 100 < MADE_HERE]
    rows = Preparation.objects.bulk_create(
        Preparation(reagent=reagents[n], yield_amount=LITRE, method="Weigh.\nDissolve.") for n in made
    )
    PreparationPart.objects.bulk_create(
        PreparationPart(preparation=row, reagent=reagents[part], amount=rng.randrange(5, 200) * GRAM)
        for row, n in zip(rows, made, strict=True)
        for part in rng.sample(range(n + 1, len(reagents)), 2)
    )


def _demonstrations(rng: random.Random, reagents, count: int) -> list[Demonstration]:
    topic = Topic.objects.create(name="Generated")
    rows = Demonstration.objects.bulk_create(
        Demonstration(
            title=f"demonstration {n:04}",
            summary="Something turns blue.",
            minutes=10,
            protection="Goggles.",
            clean_up="Collect.",
        )
        for n in range(count)
    )
    for row in rows:
        row.topics.add(topic)
    ingredients = Ingredient.objects.bulk_create(
        Ingredient(
            demonstration=row,
            reagent=reagent,
            first_amount=rng.randrange(1, 40) * GRAM,
            repeat_amount=GRAM,
            returns=rng.randrange(10) == 0,
        )
        for row in rows
        for reagent in rng.sample(reagents, 4)
    )
    Alternative.objects.bulk_create(
        Alternative(ingredient=row, reagent=rng.choice(reagents), amount=2, per_amount=1)
        for row in ingredients[::5]
    )
    wanted = Demonstration.objects.prefetch_related(
        "ingredients__reagent", "ingredients__alternatives__reagent"
    )
    return list(wanted)


def _bookings(rng: random.Random, demonstrations, count: int, teacher, today: datetime.date) -> None:
    periods, rooms = list(Period.objects.all()), list(Room.objects.all())
    rows = Booking.objects.bulk_create(
        Booking(
            demonstration=rng.choice(demonstrations),
            on=today + datetime.timedelta(rng.randrange(TERM_DAYS)),
            period=rng.choice(periods),
            room=rng.choice(rooms),
            class_name=f"Class {n % 40}",
            showings=rng.choice((1, 1, 2, 3)),
            teacher=teacher,
        )
        for n in range(count)
    )
    kind = booking_type()
    Reservation.objects.bulk_create(
        Reservation(
            reagent=take.reagent,
            amount=take.amount,
            needed_on=row.on,
            returns=take.returns,
            purpose=f"{row.demonstration} for {row.class_name}",
            belongs_type=kind,
            belongs_id=row.pk,
        )
        for row in rows
        for take in takes(row, row.demonstration.ingredients.all())
    )
