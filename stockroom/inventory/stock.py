"""Reads what stands on the shelves: balances in SQL, and the state of a container in words."""

import datetime
from dataclasses import dataclass

from django.db.models import BigIntegerField, Count, OuterRef, Q, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from stockroom.inventory.models import Container, Location

#: days before the last day of use from which a container is shown as expiring soon
SOON_DAYS = 30


def still_good(on: datetime.date, prefix: str = "") -> Q:
    """Containers that may be used on the day."""
    return Q(**{f"{prefix}usable_until": None}) | Q(**{f"{prefix}usable_until__gte": on})


def _of_containers(rows: QuerySet, key: str, figure) -> Coalesce:
    per_key = rows.order_by().values(key).annotate(figure=figure).values("figure")
    return Coalesce(Subquery(per_key, output_field=BigIntegerField()), Value(0))


def with_balances(reagents: QuerySet, on: datetime.date) -> QuerySet:
    """Annotate `on_shelf` (what is not gone), `in_date` (usable), `containers_here` and `expired_here`."""
    here = Container.objects.filter(reagent=OuterRef("pk")).present()
    in_use = here.filter(state=Container.State.IN_USE)
    return reagents.annotate(
        on_shelf=_of_containers(here, "reagent", Sum("balance")),
        in_date=_of_containers(in_use.filter(still_good(on)), "reagent", Sum("balance")),
        containers_here=_of_containers(here, "reagent", Count("pk")),
        expired_here=_of_containers(here.filter(usable_until__lt=on), "reagent", Count("pk")),
    )


def within(location: Location, prefix: str = "") -> Q:
    """What stands in a place or in any part of it."""
    return Q(**{f"{prefix}path": location.path}) | Q(**{f"{prefix}path__startswith": f"{location.path} › "})


@dataclass(frozen=True)
class Words:
    """A state in words, and the tone it is shown in: good, warn, bad or plain."""

    text: str
    tone: str


def state_of(container: Container, on: datetime.date) -> Words:
    """What matters most about a container on the day."""
    if container.is_gone:
        return Words("Gone", "plain")
    if container.state == Container.State.QUARANTINED:
        return Words("Quarantined", "bad")
    if container.is_expired(on):
        return Words("Expired", "bad")
    if container.balance == 0:
        return Words("Empty", "plain")
    if container.usable_until and (container.usable_until - on).days <= SOON_DAYS:
        days = (container.usable_until - on).days
        left = {0: "Last day today", 1: "1 day left"}
        return Words(left.get(days, f"{days} days left"), "warn")
    return Words("Opened" if container.opened_on else "Sealed", "good")


def reagent_state(reagent) -> Words:
    """How much there is of a reagent annotated by `with_balances`, against its reorder point."""
    if reagent.in_date == 0:
        return Words("No usable stock", "bad") if reagent.containers_here else Words("None here", "plain")
    if reagent.in_date < reagent.reorder_point:
        return Words("Below reorder point", "warn")
    if reagent.expired_here:
        return Words(f"{reagent.expired_here} expired", "warn")
    return Words("In stock", "good")


def unit_of(reagent, amount: int) -> str:
    """The unit in which people write such an amount: "mL" for 250 mL; "" where it has none."""
    return reagent.text_of(amount).partition(" ")[2]
