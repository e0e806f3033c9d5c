"""What the sewer authority's letters allow on a day, and the log of what was poured under them."""

import datetime
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Model
from django.utils import timezone

from stockroom.common.person import name_of
from stockroom.inventory.models import LedgerError
from stockroom.safety.sewer import COLLECT, Route, SewerPermission, propose_route
from stockroom.safety.waste import Waste, WasteRules
from stockroom.waste.models import DrainEntry, DrainPermission


@dataclass(frozen=True)
class Opening:
    """A letter that opens the drain for a waste, as far as a rule can tell, and the way there."""

    letter: DrainPermission
    route: Route


def valid_on(on: datetime.date) -> list[DrainPermission]:
    """Every letter that holds on the day, the one that allows most first. One query."""
    rows = DrainPermission.objects.filter(dated_on__lte=on, valid_until__gte=on)
    holding = [row for row in rows.select_related("recorded_by") if row.is_valid(on)]
    return sorted(holding, key=lambda row: not row.after_neutralising)


def as_permission(row: DrainPermission) -> SewerPermission:
    """The letter as the rules of `safety.sewer` see it."""
    return SewerPermission(
        allowed=True,
        reference=str(row),
        recorded_by=name_of(row.recorded_by),
        recorded_on=row.recorded_on,
        after_neutralising=row.after_neutralising,
        covers=row.covers,
    )


def permission_on(on: datetime.date) -> SewerPermission | None:
    """None where no letter holds on the day: then everything is collected."""
    return next((as_permission(row) for row in valid_on(on)), None)


def openings(waste: Waste, on: datetime.date, rules: WasteRules) -> list[Opening]:
    """Every letter under which the rules would let it go. Whether its words cover it, a person says."""
    found = [Opening(row, propose_route(waste, as_permission(row), rules)) for row in valid_on(on)]
    return [one for one in found if one.route.way != COLLECT]


def refused_ph(ph: Decimal, rules: WasteRules) -> str:
    """Why something of this pH may not be poured, "" if it may."""
    low, high = rules.sewer_ph_low, rules.sewer_ph_high
    if low <= ph <= high:
        return ""
    return f"Only between pH {low:g} and {high:g} may it go: neutralize it and measure again, or collect it."


def pour(
    letter: DrainPermission,
    amount: int,
    measure: str,
    *,
    description: str,
    ph: Decimal,
    who,
    rules: WasteRules,
    on: datetime.date | None = None,
    belongs_to: Model | None = None,
) -> DrainEntry:
    """Write down what went to the drain. The caller has asked `openings`, and somebody whether it is covered.

    Raises LedgerError where the letter does not hold on the day, the pH is wrong or the amount is zero.
    """
    on = on or timezone.localdate()
    if on > timezone.localdate():
        raise LedgerError("This date is in the future: enter today or an earlier day.")
    if not letter.is_valid(on):
        raise LedgerError(f"The letter {letter} does not hold on that day: collect it.")
    if amount <= 0:
        raise LedgerError("Enter an amount greater than zero.")
    if wrong := refused_ph(ph, rules):
        raise LedgerError(wrong)
    return DrainEntry.objects.create(
        permission=letter,
        description=description[:200],
        amount=amount,
        measure=measure,
        ph=ph,
        poured_on=on,
        who=who,
        belongs_to=belongs_to,
    )
