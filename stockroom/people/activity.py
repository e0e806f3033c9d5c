"""Activity log: the ledger, the waste log, the drain log and noted acts as one list, newest first."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib.admin.models import ADDITION, CHANGE, DELETION, LogEntry
from django.db.models import CharField, F, QuerySet, Value
from django.utils import timezone

from stockroom.chemistry.quantity import format_amount
from stockroom.common.person import name_of
from stockroom.inventory.models import Movement, WasteEntry
from stockroom.waste.models import DrainEntry
from stockroom.wording.days import day_text

LEDGER, WASTE, DRAIN, NOTED = "ledger", "waste", "drain", "noted"
#: (value, words) of the kinds that can be asked for; "ledger:draw" is one kind of ledger line
KINDS = [
    (
        "Ledger",
        [(LEDGER, "Every line of the ledger"), *((f"{LEDGER}:{k}", w) for k, w in Movement.Kind.choices)],
    ),
    ("Waste", [(WASTE, "Waste added"), (DRAIN, "Poured down the drain")]),
    (
        "Other acts",
        [
            (NOTED, "Every other act"),
            (f"{NOTED}:{ADDITION}", "Added"),
            (f"{NOTED}:{CHANGE}", "Changed"),
            (f"{NOTED}:{DELETION}", "Removed"),
        ],
    ),
]


#: SQLite takes so many parameters and no more
_AT_ONCE = 5_000


@dataclass(frozen=True)
class Asked:
    """What to show. `since` and `until` are moments; all None or "" shows everything."""

    person: object | None = None
    since: datetime.datetime | None = None
    until: datetime.datetime | None = None
    kind: str = ""


@dataclass(frozen=True)
class Act:
    """One act: when, who, of which kind, what in words, on what.

    about: (label of its model, its id), None where that is not there any more."""

    at: datetime.datetime
    who: str
    kind: str
    what: str
    thing: str
    about: tuple[str, int] | None


def _narrowed(rows: QuerySet, asked: Asked, who: str, at: str, source: str) -> QuerySet:
    if asked.person:
        rows = rows.filter(**{who: asked.person})
    if asked.since:
        rows = rows.filter(**{f"{at}__gte": asked.since})
    if asked.until:
        rows = rows.filter(**{f"{at}__lt": asked.until})
    # Without an order of their own: a union is ordered as a whole.
    rows = rows.order_by().annotate(source=Value(source, CharField()), moment=F(at))
    return rows.values_list("moment", "source", "pk")


def keys(asked: Asked) -> QuerySet:
    """(moment, source, pk) of every act asked for, newest first; countable and sliceable."""
    source, _, detail = asked.kind.partition(":")
    parts = []
    if source in ("", LEDGER):
        lines = Movement.objects.filter(kind=detail) if detail else Movement.objects.all()
        parts.append(_narrowed(lines, asked, "who", "at", LEDGER))
    if source in ("", WASTE):
        parts.append(_narrowed(WasteEntry.objects.all(), asked, "who", "at", WASTE))
    if source in ("", DRAIN):
        parts.append(_narrowed(DrainEntry.objects.all(), asked, "who", "at", DRAIN))
    if source in ("", NOTED):
        noted = LogEntry.objects.filter(action_flag=detail) if detail else LogEntry.objects.all()
        parts.append(_narrowed(noted, asked, "user", "action_time", NOTED))
    first, *others = parts
    rows = first.union(*others, all=True) if others else first
    return rows.order_by("-moment", "source", "-pk")


def acts(wanted: Iterable[tuple]) -> list[Act]:
    """The acts of some of `keys`, in the same order. Four queries for every few thousand."""
    wanted = list(wanted)
    return [
        act for start in range(0, len(wanted), _AT_ONCE) for act in _told(wanted[start : start + _AT_ONCE])
    ]


def _told(wanted: list[tuple]) -> list[Act]:
    found = {}
    for source, rows, tell in (
        (LEDGER, Movement.objects.select_related("who", "container__reagent"), _movement),
        (WASTE, WasteEntry.objects.select_related("who", "waste_container"), _waste),
        (DRAIN, DrainEntry.objects.select_related("who", "permission"), _drain),
        (NOTED, LogEntry.objects.select_related("user", "content_type"), _noted),
    ):
        pks = [pk for _, kind, pk in wanted if kind == source]
        found |= {(source, row.pk): tell(row) for row in (rows.filter(pk__in=pks) if pks else ())}
    return [found[source, pk] for _, source, pk in wanted if (source, pk) in found]


def _movement(line: Movement) -> Act:
    container = line.container
    amount = container.reagent.text_of(abs(line.change)) if line.change else ""
    what = ": ".join(part for part in (amount, line.why) if part)
    if line.on != timezone.localdate(line.at):
        what += f" (on {day_text(line.on)})"
    about = ("stockroom.Container", container.pk)
    return Act(line.at, name_of(line.who), line.get_kind_display(), what, str(container), about)


def _waste(entry: WasteEntry) -> Act:
    container = entry.waste_container
    what = f"{format_amount(entry.amount, container.measure)}: {entry.description}"
    about = ("stockroom.WasteContainer", container.pk)
    return Act(entry.at, name_of(entry.who), "Waste added", what, str(container), about)


def _drain(entry: DrainEntry) -> Act:
    what = f"{entry.amount_text}: {entry.description}"
    about = ("stockroom.DrainPermission", entry.permission_id)
    return Act(entry.at, name_of(entry.who), "Poured down the drain", what, str(entry.permission), about)


def _noted(entry: LogEntry) -> Act:
    kind = {ADDITION: "Added", DELETION: "Removed"}.get(entry.action_flag, "Changed")
    return Act(
        entry.action_time,
        name_of(entry.user),
        kind,
        entry.get_change_message(),
        entry.object_repr,
        _about(entry),
    )


def _about(entry: LogEntry) -> tuple[str, int] | None:
    model = entry.content_type.model_class() if entry.content_type else None
    if model is None or entry.action_flag == DELETION or not (entry.object_id or "").isdecimal():
        return None
    return model._meta.label, int(entry.object_id)
