"""What each role asks first in the morning, read from the shelves and the bookings."""

import datetime
from dataclasses import dataclass
from decimal import Decimal

from demos.models import Booking
from demos.planning import feasibility
from demos.prep import prep_list
from stockroom.common.department import Department
from stockroom.hazards.models import SafetyDataSheet
from stockroom.inspection import annual_walk
from stockroom.inventory import ageing_items
from stockroom.inventory.models import Container, Reagent
from stockroom.purchasing import outlook as shelves
from stockroom.purchasing import reorder
from stockroom.purchasing.models import Order
from stockroom.purchasing.outlook import DEFAULT_DAYS

#: how far a landing page looks ahead
TEACHER_DAYS, TROUBLE_DAYS = 21, 28


@dataclass(frozen=True)
class Booked:
    """A booking and how it stands."""

    booking: Booking
    standing: feasibility.Standing


def _booked(bookings, outlook: shelves.Outlook) -> list[Booked]:
    rows = list(bookings.select_related("demonstration", "period", "room", "teacher"))
    standing = feasibility.standing_of(rows, outlook)
    return [Booked(row, standing[row.pk]) for row in rows]


def _planned(start: datetime.date, days: int):
    end = start + datetime.timedelta(days)
    return Booking.objects.filter(state=Booking.State.PLANNED, on__range=(start, end))


def for_teacher(user, outlook: shelves.Outlook) -> dict:
    """The teacher's own next bookings, and those that nobody has said anything about yet."""
    today = outlook.today
    own = _booked(_planned(today, TEACHER_DAYS).filter(teacher=user), outlook)
    silent = Booking.objects.filter(teacher=user, how_it_went="", on__lt=today).exclude(
        state=Booking.State.CANCELLED
    )
    return {
        "own": own,
        "trouble": [row for row in own if row.standing.state == "bad"],
        "silent": silent.select_related("demonstration").order_by("-on")[:5],
        "days": TEACHER_DAYS,
    }


def _end_of_term(today: datetime.date) -> datetime.date:
    end = Department.current().term_end
    return end if end and end >= today else today + datetime.timedelta(DEFAULT_DAYS)


@dataclass(frozen=True)
class Cost:
    """What the term costs: approved already, on orders being drawn up, and still proposed."""

    spending: reorder.Spending | None
    drafted: Decimal
    proposed: Decimal

    @property
    def left(self) -> Decimal | None:
        return self.spending and self.spending.left - self.drafted - self.proposed


def for_head(outlook: shelves.Outlook) -> dict:
    """What needs a decision, and what the term will cost."""
    today = outlook.today
    end = _end_of_term(today)
    to_buy = reorder.reorder_list(outlook, end)
    proposals = to_buy.proposals
    drafts = list(
        Order.objects.filter(state=Order.State.DRAFT).select_related("supplier").prefetch_related("lines")
    )
    here = Container.objects.present().filter(balance__gt=0)
    trouble = [row for row in _booked(_planned(today, TROUBLE_DAYS), outlook) if row.standing.state != "good"]
    return {
        "end": end,
        "drafts": drafts,
        "overdue": Order.objects.filter(state=Order.State.ORDERED, expected_on__lt=today).select_related(
            "supplier"
        ),
        "proposals": proposals,
        "pressing": [row for row in proposals if row.late or not row.buys],
        "cost": Cost(
            reorder.spending(today),
            sum((order.total for order in drafts), Decimal(0)),
            sum((row.cost for row in proposals), to_buy.later_cost),
        ),
        "trouble": [row for row in trouble if row.standing.state == "bad"],
        "to_order": [row for row in trouble if row.standing.readiness == "ready if ordered"],
        "annual": annual_walk.standing(today),
        "expired": here.filter(usable_until__lt=today).count(),
        "quarantined": here.filter(state=Container.State.QUARANTINED).count(),
        "unclassified": Reagent.objects.filter(
            retired_on=None, hazard_state=Reagent.HazardState.UNKNOWN
        ).count(),
        "without_sheet": Reagent.objects.filter(pk__in=Container.objects.present().values("reagent"))
        .exclude(pk__in=SafetyDataSheet.objects.values("reagent"))
        .count(),
    }


def for_technician(outlook: shelves.Outlook) -> dict:
    """What to make up, set out, put away and get rid of."""
    today = outlook.today
    tomorrow = outlook.week.forward(today + datetime.timedelta(1))
    aged = ageing_items.aged(today, ageing_items.SOON_DAYS)
    untouchable = [row.container for row in aged if row.untouchable]
    here = Container.objects.present().filter(balance__gt=0)
    here = here.exclude(pk__in=[container.pk for container in untouchable])
    return {
        "untouchable": untouchable,
        "prep": prep_list.prepare(outlook, today, tomorrow),
        "tomorrow": tomorrow,
        "to_record": Booking.objects.filter(state=Booking.State.PLANNED, on__lt=today).select_related(
            "demonstration"
        ),
        "ageing": [
            (row, row.dues[0].on and outlook.week.back(row.dues[0].on, today))
            for row in aged
            if row.is_pressing and not row.untouchable
        ],
        "arriving": Order.objects.filter(state=Order.State.ORDERED).select_related("supplier"),
        "expired": here.filter(usable_until__lt=today).count(),
        "quarantined": here.filter(state=Container.State.QUARANTINED).count(),
    }
