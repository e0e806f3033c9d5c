"""Orders in their several states, and the safety data sheets that came with what was bought."""

import datetime
from functools import partial

from demos.sample.events import ARRIVE, Event, School
from demos.sample.read import amount
from stockroom.hazards.models import ReagentHazard, SafetyDataSheet
from stockroom.inventory import ledger
from stockroom.inventory.models import Offer, Reagent
from stockroom.purchasing.models import Order, OrderLine


def events(school: School, rows: list[dict]) -> list[Event]:
    """Writes every order at once; what was delivered, all of it or a part, comes on its day."""
    found = []
    for row in rows:
        order = _order(school, row)
        if order.state == Order.State.RECEIVED:
            found.append(Event(order.expected_on, ARRIVE, partial(_came, school, row, order)))
        elif "part_came" in row:
            on = school.calendar.ago(row["part_came"])
            found.append(Event(on, ARRIVE, partial(_came, school, row, order)))
    return found


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
            received_packs=line["packs"] if row["state"] == Order.State.RECEIVED else line.get("came", 0),
        )
    return order


def _came(school: School, row: dict, order: Order, on: datetime.date) -> None:
    for line in order.lines.select_related("reagent"):
        if not line.received_packs:
            continue
        place = school.places[row["places"][line.reagent.catalogue_key]]
        for number in range(line.received_packs):
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
    """A sheet for most reagents: every seventh is missing, every fifth is older than the review.

    Of the newer ones every third has been checked against the bottle, and its hazard data ticked. What is
    made up here has a sheet written here.
    """
    supplier_of = dict(Offer.objects.order_by("-pk").values_list("reagent_id", "supplier_id"))
    technician = school.technicians[0]
    known = Reagent.objects.exclude(catalogue_key="").order_by("name")
    for number, reagent in enumerate(known):
        if number % 7 == 3:
            continue
        is_old = number % 5 == 1
        checked_on = None if is_old or number % 3 else school.calendar.ago(20 + number)
        SafetyDataSheet.objects.create(
            reagent=reagent,
            supplier_id=supplier_of.get(reagent.pk),
            revision_date=school.calendar.ago(1200 + number * 5 if is_old else 170 + number * 6),
            note="" if reagent.pk in supplier_of else "written here from the sheets of its parts",
            added_by=technician,
            added_on=school.calendar.ago(160),
            checked_by=technician if checked_on else None,
            checked_on=checked_on,
        )
        if checked_on:
            ReagentHazard.objects.filter(reagent=reagent).update(checked_by=technician, checked_on=checked_on)
