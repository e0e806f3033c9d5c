"""All that is known to be wrong, the most serious first, each kind with the page that mends it."""

import datetime
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from stockroom.common.department import Department
from stockroom.common.page import Page
from stockroom.hazards import datasheets, restricted
from stockroom.inventory.ageing_items import dues_of, hands_off_words
from stockroom.inventory.models import Container, Reagent
from stockroom.inventory.stock import with_balances
from stockroom.purchasing.models import Order
from stockroom.safety.ageing import HANDS_OFF_WORDS
from stockroom.safety.restricted import NEVER
from stockroom.safety.storage import HANDS_OFF
from stockroom.storage import limits
from stockroom.storage.advice import Shelves
from stockroom.wording.days import day_text

#: named at once on the page, with a word on each or without; the rest is folded away
MOST_EXPLAINED, MOST_NAMED = 4, 8
#: the keys of all findings, what can hurt somebody soonest first
GRAVEST_FIRST = (
    *("untouchable", "ageing", "never", "severe", "refrigerator", "serious", "limits", "unclassified"),
    *("tests", "expired", "reason", "quarantined", "sheet-missing", "sheet-changed", "caution", "unchecked"),
    *("sheet-due", "sheet-unchecked", "kept", "late", "below"),
)


@dataclass(frozen=True)
class Case:
    """One thing that is wrong: words, the page where it is put right, and what is said of it.

    `reagent` where it is about one. `place`: the path of the place it is about; empty where it is so wherever
    the reagent stands. `pair`: the names of two things that must not stand together.
    """

    text: str
    page: Page
    detail: str = ""
    reagent: int | None = None
    place: str = ""
    pair: tuple[str, ...] = ()


@dataclass(frozen=True)
class Finding:
    """One kind of trouble. `page` is the one that cures it; `tone` bad or warn.

    `on_paper`: what is said beside a container on the shelf, where only its papers are missing.
    """

    key: str
    title: str
    cure: str
    page: Page
    tone: str
    cases: tuple[Case, ...]
    #: in a word or two, for the sheet
    flag: str = ""
    on_paper: str = ""

    @property
    def count(self) -> int:
        return len(self.cases)

    @property
    def shown(self) -> int:
        return MOST_EXPLAINED if any(case.detail for case in self.cases) else MOST_NAMED

    @property
    def named(self) -> tuple[Case, ...]:
        return self.cases[: self.shown]

    @property
    def rest(self) -> tuple[Case, ...]:
        return self.cases[self.shown :]


def _bottle(container: Container, detail: str = "") -> Case:
    text = f"{container.code} {container.reagent}, {container.balance_text}"
    return Case(
        text, Page("container-detail", (container.pk,)), detail, container.reagent_id, container.location.path
    )


def _named(reagents: Iterable[Reagent], cured_by: str = "reagent-detail") -> tuple[Case, ...]:
    return tuple(Case(reagent.name, Page(cured_by, (reagent.pk,)), "", reagent.pk) for reagent in reagents)


def _here() -> list[Container]:
    rows = Container.objects.present().select_related("reagent", "location")
    return list(rows.prefetch_related("tests", "reagent__components__chemical"))


def findings(on: datetime.date) -> list[Finding]:
    """Every kind of trouble, the most serious first, those without a case too. A fixed number of queries."""
    here = _here()
    stocked = {container.reagent_id for container in here}
    reagents = with_balances(Reagent.objects.filter(retired_on=None), on).prefetch_related("hazards")
    kept = [reagent for reagent in reagents if reagent.pk in stocked]
    standing = Shelves.read()
    worst = {container.pk: _worst_of(container, on) for container in here}
    found = [
        *_listed(),
        *_together(standing),
        *_misplaced(standing),
        *_over_limits(here, worst),
        *_bottles(here, worst),
        *_data(kept),
        *_sheets(on),
        *_supply(reagents, on),
    ]
    return sorted(found, key=lambda finding: GRAVEST_FIRST.index(finding.key))


def _listed() -> list[Finding]:
    """What should not be in a teaching stockroom, what needs a written reason, and what has one."""
    never, reason, kept = [], [], []
    for row in restricted.in_stock():
        listed, pk = row.finding.listed, row.reagent.pk
        if listed.level != NEVER and row.reason:
            text = f"“{row.reason.text}” {row.reason.who}, {day_text(row.reason.on)}"
            kept.append(Case(row.reagent.name, Page("reason-add", (pk,)), text, pk))
            continue
        detail = f"{listed.why}. {listed.route} ({listed.source})"
        cases = never if listed.level == NEVER else reason
        cases.append(Case(row.reagent.name, Page("reason-add", (pk,)), detail, pk))
    page = Page("restricted-list")

    def finding(key: str, title: str, cure: str, tone: str, cases: list[Case], flag: str = "") -> Finding:
        return Finding(key, title, cure, page, tone, tuple(cases), flag)

    return [
        finding("never", "Should not be in a school", "Have it collected", "bad", never, "not for a school"),
        finding(
            "reason",
            "Needs a written reason to be kept",
            "Write the reason",
            "warn",
            reason,
            "needs a reason",
        ),
        finding("kept", "Kept for a written reason", "Read the reason again", "warn", kept),
    ]


def _together(standing: Shelves) -> list[Finding]:
    found = defaultdict(list)
    off = {item.id for item in standing.items if item.fate == HANDS_OFF}
    for conflict in standing.conflicts():
        text = f"{conflict.item_a.name} and {conflict.item_b.name}, {conflict.place.name}"
        page = Page("location-detail", (conflict.place.id,))
        detail = f"{conflict.consequence}. {conflict.apart}. {conflict.rule}; {conflict.source}"
        if not off.isdisjoint((*conflict.ids_a, *conflict.ids_b)):
            detail = f"{HANDS_OFF_WORDS} {detail}"
        pair = (conflict.item_a.name, conflict.item_b.name)
        # One of the two may be a waste container, which is no reagent.
        keys = (conflict.item_a.reagent_key, conflict.item_b.reagent_key)
        reagent = next((int(key) for key in keys if key.isdecimal()), None)
        found[conflict.severity].append(Case(text, page, detail, reagent, conflict.place.name, pair))
    flag = "incompatible storage"

    def finding(severity: str, title: str, tone: str, word: str) -> Finding:
        page = Page("conflict-list", query=(("at_least", severity),))
        return Finding(severity, title, "See where each is safe", page, tone, tuple(found[severity]), word)

    return [
        finding("severe", "Incompatible storage: severe", "bad", flag),
        finding("serious", "Incompatible storage: serious", "bad", flag),
        finding("caution", "Better apart", "warn", ""),
    ]


def _misplaced(standing: Shelves) -> list[Finding]:
    """What stands in a place that must not hold it, but for what nobody may touch."""
    cases = tuple(
        Case(
            f"{item.name}, {place.name}",
            Page("location-detail", (place.id,)),
            f"{why.consequence}. {why.rule}; {why.source}",
            int(item.reagent_key) if item.reagent_key.isdecimal() else None,
            place.name,
        )
        for item, place, why in standing.misplaced()
        if item.fate != HANDS_OFF
    )
    title, cure = "Flammable in a refrigerator not rated for it", "Move it to one that is rated"
    page = Page("location-list")
    return [Finding("refrigerator", title, cure, page, "bad", cases, "not rated for flammables")]


def _over_limits(here: list[Container], worst: dict[int, tuple[str, str]]) -> list[Finding]:
    page = Page("limit-list")
    place_of = {container.pk: container.location.path for container in here}
    cases = tuple(
        Case(
            f"{row.where}: {row.have}, limit {row.most}",
            Page("container-detail", (row.pk,)) if row.pk in place_of else page,
            f"{row.what} ({row.source})",
            place=place_of.get(row.pk, row.where),
        )
        for row in limits.read().over
        if row.pk not in place_of or worst[row.pk][0] != "untouchable"
    )
    return [Finding("limits", "Over a limit", "Move some, or use it up", page, "bad", cases)]


#: what is wrong with one bottle -> title, cure, the page that cures it, tone, in a word or two
_BOTTLES = {
    "untouchable": ("Do not touch: dangerous with age", "", Page("ageing"), "bad", "do not touch"),
    "ageing": (
        *("Dangerous with age, overdue", "Do not open it: follow what is said beside it"),
        *(Page("ageing"), "bad", "dangerous with age"),
    ),
    "tests": ("Test overdue", "Test it, or discard it", Page("ageing"), "warn", "test overdue"),
    "expired": (
        *("Expired with something left", "Discard or extend"),
        *(Page("container-list", query=(("expiry", "expired"),)), "bad", "expired"),
    ),
    "quarantined": (
        *("Quarantined", "Release or discard"),
        *(Page("container-list", query=(("state", Container.State.QUARANTINED),)), "warn", "quarantined"),
    ),
}


def _bottles(here: list[Container], worst: dict[int, tuple[str, str]]) -> list[Finding]:
    """Each bottle stands in one list, that of the most serious thing that is wrong with it."""
    found = defaultdict(list)
    for container in here:
        key, detail = worst[container.pk]
        found[key].append(_bottle(container, detail))
    first = hands_off_words()
    return [
        Finding(key, title, cure or first, page, tone, tuple(found[key]), flag)
        for key, (title, cure, page, tone, flag) in _BOTTLES.items()
    ]


def _worst_of(container: Container, on: datetime.date) -> tuple[str, str]:
    """(key, what is said of it) of the most serious thing wrong with a bottle; ("", "") where nothing is."""
    dangers = [due for due in dues_of(container, on) if due.overdue and due.rule.dangerous]
    for key, wanted in (
        ("untouchable", [due for due in dangers if due.hands_off]),
        ("ageing", [due for due in dangers if due.kind != "test"]),
        ("tests", dangers),
    ):
        if wanted:
            due = wanted[0]
            return key, f"{due.rule.name}, {due.why}. {due.advice}"
    if container.balance and container.is_expired(on):
        return "expired", ""
    if container.state == Container.State.QUARANTINED:
        return "quarantined", container.state_reason
    return "", ""


def _data(kept: list[Reagent]) -> list[Finding]:
    unknown = [row for row in kept if not row.is_classified]
    unchecked = [row for row in kept if row.is_classified and not row.is_verified]
    return [
        Finding(
            "unclassified",
            "Not classified yet",
            "Classify from the supplier's sheet",
            Page("reagent-list", query=(("hazard", "unknown"),)),
            "bad",
            _named(unknown, "reagent-hazards"),
            "not classified yet",
        ),
        Finding(
            "unchecked",
            "Hazard data not verified against SDS",
            "Check with the sheet in hand",
            Page("reagent-list", query=(("hazard", "unchecked"),)),
            "warn",
            _named(unchecked, "reagent-check"),
            on_paper="data not verified against SDS",
        ),
    ]


#: state of the sheet -> title, cure, the page that cures one, tone, in a word or two
_SHEETS = {
    datasheets.MISSING: ("Without a safety data sheet", "Add the sheets", "sheet-add", "bad", "no sheet"),
    datasheets.CHANGED: (
        *("Sheet changed since it was checked", "Check it again"),
        *("reagent-check", "warn", "sheet changed"),
    ),
    datasheets.DUE: (
        *("Sheet due for review", "Look for a newer one", "reagent-check", "warn", "sheet due"),
    ),
    datasheets.UNCHECKED: (
        *("Sheet never checked", "Compare it with the data"),
        *("reagent-check", "warn", "sheet not verified"),
    ),
}


def _sheets(on: datetime.date) -> list[Finding]:
    rows = datasheets.standings(on, Department.current().sheet_review_months)
    found = []
    for state, (title, cure, cured_by, tone, word) in _SHEETS.items():
        cases = _named((row.reagent for row in rows if row.state == state), cured_by)
        flag = "" if state == datasheets.UNCHECKED else word
        page = Page("sheet-list", query=(("state", state),))
        found.append(Finding(f"sheet-{state}", title, cure, page, tone, cases, flag, word))
    return found


def _supply(reagents: Iterable[Reagent], on: datetime.date) -> list[Finding]:
    late = Order.objects.filter(state=Order.State.ORDERED, expected_on__lt=on).select_related("supplier")
    cases = tuple(
        Case(str(order), Page("order-detail", (order.pk,)), f"expected {day_text(order.expected_on)}")
        for order in late
    )
    below = tuple(
        Case(
            row.name,
            Page("reagent-detail", (row.pk,)),
            f"{row.text_of(row.in_date)} usable, reorder point {row.text_of(row.reorder_point)}",
            row.pk,
        )
        for row in reagents
        if row.in_date < row.reorder_point
    )
    return [
        Finding(
            "late",
            "Orders overdue",
            "Ask the supplier",
            Page("order-list", query=(("state", "ordered"),)),
            "warn",
            cases,
        ),
        Finding(
            "below",
            "Below the reorder point",
            "See what to order",
            Page("reorder"),
            "warn",
            below,
            "below reorder point",
        ),
    ]
