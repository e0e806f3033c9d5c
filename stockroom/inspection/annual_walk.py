"""The annual review: which shelves to walk, what is known to be wrong at each, signing or abandoning it."""

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Exists, OuterRef, Q

from stockroom.common.days import day_text
from stockroom.inspection import findings as review
from stockroom.inspection.known_fault import KnownFault
from stockroom.inspection.models import AnnualReview, ShelfWalk
from stockroom.inventory.models import Container, Location, WasteContainer
from stockroom.inventory.stock import Words

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
    going = AnnualReview.objects.filter(signed_on=None, abandoned_on=None).first()
    if going:
        raise ReviewError(
            f"The review begun on {day_text(going.started_on)} is not signed yet: "
            "finish that first, or abandon it."
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
    """A place as it stands now.

    `containers` as (number, reagent, amount, last day of use or None, what its papers lack); `findings` are
    what can be seen and put right before the shelf.
    """

    containers: tuple[tuple[str, str, str, datetime.date | None, str], ...]
    findings: tuple[KnownFault, ...]


def shelves(places: Iterable[Location], on: datetime.date) -> dict[int, Shelf]:
    """Place -> what stands there and what is known to be wrong. A fixed number of queries."""
    places = list(places)
    found = [finding for finding in review.findings(on) if finding.key not in NOT_ON_SHELVES]
    lacking = _lacking(found)
    here, reagents_at = defaultdict(list), defaultdict(set)
    rows = Container.objects.exclude(state=Container.State.GONE).select_related("reagent")
    for row in rows.order_by("reagent__name", "code"):
        papers = ", ".join(lacking[row.reagent_id])
        here[row.location_id].append((row.code, row.reagent.name, row.balance_text, row.usable_until, papers))
        reagents_at[row.location_id].add(row.reagent_id)
    for row in WasteContainer.objects.filter(collected_on=None).order_by("code"):
        here[row.location_id].append((row.code, "waste", row.contents_text, None, ""))
    seen = [finding for finding in found if not finding.on_paper]
    return {
        place.pk: Shelf(tuple(here[place.pk]), _at(place.path, reagents_at[place.pk], seen))
        for place in places
    }


def _lacking(found: Iterable[review.Finding]) -> dict[int, list[str]]:
    """Reagent -> what its papers lack: a word beside each container, no finding of the shelf."""
    lacking = defaultdict(list)
    for finding in found:
        for case in finding.cases if finding.on_paper else ():
            lacking[case.reagent].append(finding.on_paper)
    return lacking


def _at(path: str, reagents: set[int], found: Iterable[review.Finding]) -> tuple[KnownFault, ...]:
    """What is said of this place, of the cabinet or room it is in, or of a reagent that stands in it."""
    said = []
    for finding in found:
        pairs = defaultdict(list)
        for case in finding.cases:
            if not _is_about(case, path, reagents):
                continue
            if case.pair:
                pairs[case.place, case.detail].append(case.pair)
            else:
                said.append(KnownFault(f"{finding.title}: {case.text}", finding.cure, case.detail))
        for (place, detail), those in pairs.items():
            where = "" if place == path else f" ({place})"
            said += [
                KnownFault(f"{finding.title}: {one} with {', '.join(others)}{where}", finding.cure, detail)
                for one, others in _gathered(those)
            ]
    return tuple(said)


def _is_about(case: review.Case, path: str, reagents: set[int]) -> bool:
    if case.place:
        return case.place == path or path.startswith(f"{case.place} › ")
    return case.reagent in reagents


def _gathered(pairs: list[tuple[str, str]]) -> list[tuple[str, list[str]]]:
    """Pairs as one name with all its others, the name in most pairs first: bleach with this and that."""
    left, gathered = list(pairs), []
    while left:
        one = Counter(name for pair in left for name in dict.fromkeys(pair)).most_common(1)[0][0]
        others = [b if a == one else a for a, b in left if one in (a, b)]
        gathered.append((one, list(dict.fromkeys(others))))
        left = [pair for pair in left if one not in pair]
    return gathered


# --- walking and signing


@transaction.atomic
def write(walk: ShelfWalk, checks: list[dict], *, who, on: datetime.date) -> None:
    """Write down what was found before a shelf, with what the stockroom knew that day. Raises ClosedError."""
    AnnualReview.objects.select_for_update().get(pk=walk.review_id)
    shelf = shelves([walk.place], on)[walk.place_id]
    walk.checks, walk.walked_by, walk.walked_on = checks, who, on
    walk.name, walk.storage = walk.place.path, walk.place.get_storage_kind_display()
    walk.findings = [{"what": row.what, "cure": row.cure, "source": row.source} for row in shelf.findings]
    walk.containers = [
        [number, reagent, amount, day.isoformat() if day else "", papers]
        for number, reagent, amount, day, papers in shelf.containers
    ]
    walk.save()


@transaction.atomic
def sign(its: AnnualReview, *, who, on: datetime.date, note: str) -> None:
    """Close it with a name and a day. Raises ReviewError, ClosedError."""
    its = AnnualReview.objects.select_for_update().get(pk=its.pk)
    its.refuse_if_closed()
    catch_up(its)
    left = its.walks.filter(walked_on=None).count()
    if left:
        shelves_left = "1 shelf is" if left == 1 else f"{left} shelves are"
        raise ReviewError(f"{shelves_left} not walked yet: walk every shelf before you sign.")
    its.signed_on, its.signed_by, its.note = on, who, note
    its.signed_name = who.get_full_name() or who.get_username()
    its.save()


@transaction.atomic
def abandon(its: AnnualReview, *, who, on: datetime.date, why: str) -> None:
    """Close it unsigned, for a reason. What was walked stays to be read. Raises ClosedError."""
    its = AnnualReview.objects.select_for_update().get(pk=its.pk)
    its.refuse_if_closed()
    its.abandoned_on, its.abandoned_by, its.abandoned_for = on, who, why
    its.save()
