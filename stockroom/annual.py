"""The annual review: which shelves are to be walked, what is known to be wrong at each, and signing it."""

import datetime
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Exists, OuterRef, Q

from stockroom import review
from stockroom.models import AnnualReview, Container, Location, ShelfWalk, WasteContainer
from stockroom.sheets.annual_review import Finding
from stockroom.stock import Words

#: days after which the next one is due
YEAR = 365
#: what is wrong with the supply is nothing to be seen on a shelf
NOT_ON_SHELVES = ("late", "below")


class ReviewError(Exception):
    """A review that cannot be; the message says what to change."""


# --- when


def last_signed() -> AnnualReview | None:
    return AnnualReview.objects.exclude(signed_on=None).order_by("-signed_on", "-pk").first()


def standing(on: datetime.date) -> Words:
    """How long ago the last one was signed. One query."""
    last = last_signed()
    if last is None:
        return Words("Last annual review: never", "warn")
    days = (on - last.signed_on).days
    ago = "today" if days == 0 else f"{days} day{'s' if days != 1 else ''} ago"
    if days > YEAR:
        return Words(f"Last annual review {ago}: due", "warn")
    return Words(f"Last annual review {ago}", "good")


# --- where


def places_to_walk():
    """Places in use that hold no other place, and any other in which something stands all the same."""
    inner = Location.objects.filter(parent=OuterRef("pk"), retired_on=None)
    standing_here = Container.objects.filter(location=OuterRef("pk")).exclude(state=Container.State.GONE)
    waste = WasteContainer.objects.filter(location=OuterRef("pk"), collected_on=None)
    is_last = Q(retired_on=None) & ~Exists(inner)
    return Location.objects.filter(is_last | Exists(standing_here) | Exists(waste))


@transaction.atomic
def start(*, who, on: datetime.date, note: str = "") -> AnnualReview:
    """Begin a review of every shelf. Raises ReviewError."""
    going = AnnualReview.objects.filter(signed_on=None).first()
    if going:
        raise ReviewError(
            f"The review begun on {going.started_on:%d %b %Y} is not signed yet: finish that first."
        )
    if not places_to_walk().exists():
        raise ReviewError("No shelf is set up yet: add the department's places first.")
    begun = AnnualReview.objects.create(started_on=on, started_by=who, note=note)
    catch_up(begun)
    return begun


def catch_up(its: AnnualReview) -> int:
    """Take in shelves set up since, let go those that are no more and were not walked; how many are new."""
    wanted = {place.pk: place for place in places_to_walk()}
    known = set(its.walks.values_list("place_id", flat=True))
    new = [
        ShelfWalk(review=its, place=place, name=place.path, storage=place.get_storage_kind_display())
        for pk, place in wanted.items()
        if pk not in known
    ]
    ShelfWalk.objects.bulk_create(new)
    gone = known - set(wanted)
    if gone:
        its.walks.filter(walked_on=None, place_id__in=gone).delete()
    return len(new)


# --- what is there


@dataclass(frozen=True)
class Shelf:
    """A place as it stands now: `containers` as (number, reagent, amount, last day of use or None)."""

    containers: tuple[tuple[str, str, str, datetime.date | None], ...]
    findings: tuple[Finding, ...]


def shelves(places: Iterable[Location], on: datetime.date) -> dict[int, Shelf]:
    """Place -> what stands there and what is known to be wrong. A fixed number of queries."""
    places = list(places)
    here, reagents_at = defaultdict(list), defaultdict(set)
    rows = Container.objects.exclude(state=Container.State.GONE).select_related("reagent")
    for row in rows.order_by("reagent__name", "code"):
        here[row.location_id].append((row.code, row.reagent.name, row.balance_text, row.usable_until))
        reagents_at[row.location_id].add(row.reagent_id)
    for row in WasteContainer.objects.filter(collected_on=None).order_by("code"):
        here[row.location_id].append((row.code, "waste", row.contents_text, None))
    found = [finding for finding in review.findings(on) if finding.key not in NOT_ON_SHELVES]
    return {
        place.pk: Shelf(tuple(here[place.pk]), _at(place.path, reagents_at[place.pk], found))
        for place in places
    }


def _at(path: str, reagents: set[int], found: Iterable[review.Finding]) -> tuple[Finding, ...]:
    """What is said of this place, of the cabinet or room it is in, or of a reagent that stands in it."""
    return tuple(
        Finding(f"{finding.title}: {case.text}", finding.cure, case.detail)
        for finding in found
        for case in finding.cases
        if (
            case.place == path or path.startswith(f"{case.place} › ")
            if case.place
            else case.reagent in reagents
        )
    )


# --- walking and signing


@transaction.atomic
def write(walk: ShelfWalk, checks: list[dict], *, who, on: datetime.date) -> None:
    """Write down what was found before a shelf, with what the stockroom knew that day. Raises SignedError."""
    AnnualReview.objects.select_for_update().get(pk=walk.review_id)
    shelf = shelves([walk.place], on)[walk.place_id]
    walk.checks, walk.walked_by, walk.walked_on = checks, who, on
    walk.name, walk.storage = walk.place.path, walk.place.get_storage_kind_display()
    walk.findings = [{"what": row.what, "cure": row.cure, "source": row.source} for row in shelf.findings]
    walk.containers = [
        [number, reagent, amount, day.isoformat() if day else ""]
        for number, reagent, amount, day in shelf.containers
    ]
    walk.save()


@transaction.atomic
def sign(its: AnnualReview, *, who, on: datetime.date, note: str) -> None:
    """Close it with a name and a day. Raises ReviewError, SignedError."""
    its = AnnualReview.objects.select_for_update().get(pk=its.pk)
    its.refuse_if_signed()
    catch_up(its)
    left = its.walks.filter(walked_on=None).count()
    if left:
        shelves_left = "1 shelf is" if left == 1 else f"{left} shelves are"
        raise ReviewError(f"{shelves_left} not walked yet: walk every shelf before you sign.")
    its.signed_on, its.signed_by, its.note = on, who, note
    its.signed_name = who.get_full_name() or who.get_username()
    its.save()
