"""The school before anything happens in it: people, places, suppliers, reagents and what they cost."""

import datetime
from decimal import Decimal

from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group

from demos import sample
from demos.models import Period, Room
from demos.sample import read
from demos.sample.read import Calendar, amount
from stockroom.catalogue.into_models import Adding
from stockroom.catalogue.loader import load
from stockroom.common.department import Department
from stockroom.inventory.models import Location, Offer, Reagent, Supplier
from stockroom.purchasing.models import Budget


def people(passwords: dict[str, str]) -> dict:
    """Users by name. One without a password of its own cannot sign in until the head gives one."""
    found = {}
    for person in sample.PEOPLE:
        user = get_user_model().objects.create_user(
            person.username,
            password=passwords.get(person.username),
            first_name=person.first_name,
            last_name=person.last_name,
            email=f"{person.username}@quillmere.example",
        )
        user.groups.add(Group.objects.get(name=person.role))
        found[person.username] = user
    return found


def department(data: dict, calendar: Calendar) -> None:
    """The department, its rooms, periods and budgets. The term began six weeks ago."""
    row = Department.current()
    for name, value in data["department"].items():
        setattr(row, name, value)
    monday = calendar.today - datetime.timedelta(calendar.today.weekday())
    row.term_start = monday - datetime.timedelta(weeks=6)
    row.term_end = monday + datetime.timedelta(weeks=9, days=4)
    row.save()
    Room.objects.bulk_create(Room(**room) for room in data["room"])
    Period.objects.bulk_create(
        Period(name=name, start=datetime.time.fromisoformat(start), end=datetime.time.fromisoformat(end))
        for name, (start, end) in data["periods"].items()
    )
    for budget in data["budget"]:
        Budget.objects.create(
            name=budget["name"],
            amount=budget["amount"],
            start=calendar.today + datetime.timedelta(budget["start"]),
            end=calendar.today + datetime.timedelta(budget["end"]),
        )


def places() -> dict[str, Location]:
    """Shelves by their key in the data."""
    found = {}
    for room in read.toml("places.toml")["room"]:
        top = Location.objects.create(name=room["name"], level="room")
        for cabinet in room["cabinet"]:
            shelves, kind = cabinet["shelves"], cabinet["storage_kind"]
            middle = Location.objects.create(
                name=cabinet["name"],
                level="cabinet",
                parent=top,
                storage_kind=kind,
                note=cabinet.get("note", ""),
            )
            for key, name in shelves.items():
                found[key] = Location.objects.create(
                    name=name, level="shelf", parent=middle, storage_kind=kind
                )
    return found


def suppliers(data: dict) -> dict[str, Supplier]:
    return {key: Supplier.objects.create(**row) for key, row in data["suppliers"].items()}


#: grams of one piece, as the school weighed it
PIECES = {
    "zinc_strip": Decimal("14.3"),
    "copper_strip": Decimal("17.9"),
    "graphite_rod": Decimal("5.2"),
}


class Reagents:
    """Reagents by catalog key, added when first asked for."""

    def __init__(self):
        self.catalogue = load()
        self.adding = Adding(self.catalogue)

    def __getitem__(self, key: str) -> Reagent:
        reagent = self.adding.reagent(self.catalogue.reagents[key])
        if key in PIECES and reagent.piece_mass_g is None:
            reagent.piece_mass_g = PIECES[key]
            reagent.save()
        return reagent

    def amount(self, key: str, text: str) -> int:
        return amount(text, self[key].measure)


def offers(reagents: Reagents, by_key: dict[str, Supplier], calendar: Calendar) -> None:
    """Every pack of the price lists; catalog numbers count up from list to list."""
    rows = []
    for number, line in enumerate(read.table("offers.csv"), 1):
        reagent = reagents[line["reagent"]]
        for place, pack in enumerate(line["packs"].split("; "), 1):
            size, price = pack.split("=")
            rows.append(
                Offer(
                    supplier=by_key[line["supplier"]],
                    reagent=reagent,
                    catalogue_number=f"{line['supplier'][:2].upper()}-{1000 + number * 10 + place}",
                    pack_amount=amount(size, reagent.measure),
                    price=Decimal(price),
                    lead_days=int(line["lead"]),
                    price_date=calendar.ago(75),
                )
            )
    Offer.objects.bulk_create(rows)


def reorder_points(reagents: Reagents, points: dict[str, str]) -> None:
    for key, text in points.items():
        Reagent.objects.filter(pk=reagents[key].pk).update(reorder_point=reagents.amount(key, text))
