"""What is waiting to be got rid of, and how: containers that are expired, of retired reagents or quarantined,
and waste containers. Collected by default."""

import datetime
from dataclasses import dataclass

from django.db.models import Q
from django.utils.formats import date_format

from stockroom.inventory.models import Container, Reagent
from stockroom.safety import route as ways
from stockroom.safety.sewer import COLLECT, Route, SewerPermission, propose_route
from stockroom.safety.waste import Waste, WasteRules

#: routes whose note tells how somebody collects it
COLLECTED = frozenset({ways.COLLECT, ways.ALONE, ways.SUPPLIER, ways.CALL})


def day(on: datetime.date) -> str:
    return date_format(on, "j M Y")


def waiting(on: datetime.date):
    """Containers with something left that are expired, quarantined or of a retired reagent."""
    return (
        Container.objects.exclude(state=Container.State.GONE)
        .filter(
            Q(usable_until__lt=on)
            | Q(state=Container.State.QUARANTINED)
            | Q(reagent__retired_on__isnull=False)
        )
        .select_related("reagent__solvent", "location")
        .prefetch_related("tests", "reagent__hazards", "reagent__components__chemical")
    )


@dataclass(frozen=True)
class Why:
    """Which part of the sheet a container stands in, and the reason in words."""

    kind: str
    words: str


def why_of(container: Container, on: datetime.date) -> Why:
    reasons = []
    if container.state == Container.State.QUARANTINED:
        reasons.append(Why("quarantined", f"quarantined: {container.state_reason}"))
    if container.is_expired(on):
        reasons.append(Why("expired", f"expired {day(container.usable_until)}"))
    if container.reagent.retired_on:
        reasons.append(Why("retired", f"reagent retired {day(container.reagent.retired_on)}"))
    return Why(reasons[0].kind, "; ".join(reason.words for reason in reasons))


def to_drain(waste: Waste, permission: SewerPermission | None, rules: WasteRules) -> Route | None:
    """The way to the drain where the authority's letter and the rules both open it."""
    route = propose_route(waste, permission, rules)
    return None if route.way == COLLECT else route


def how_to_collect(reagent: Reagent) -> str:
    """What a reagent's note says of getting rid of it, unless its route is another than collecting.

    A drain is nothing for this sheet: it takes what the authority has allowed, which no note can know.
    """
    return reagent.disposal if reagent.disposal_route in COLLECTED else ""
