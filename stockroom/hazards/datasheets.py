"""Which safety data sheets are missing, old, newer than the last check, or never checked."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from stockroom.hazards.models import SafetyDataSheet
from stockroom.inventory.models import Container, Reagent
from stockroom.safety.ageing import add_months
from stockroom.safety.label import label_elements

MISSING, CHANGED, DUE, UNCHECKED, FINE = "missing", "changed", "due", "unchecked", "fine"
#: what wants doing first
ORDER = (MISSING, CHANGED, DUE, UNCHECKED, FINE)


@dataclass(frozen=True)
class Standing:
    """The newest sheet of a reagent in stock and what it wants done; `sheet` is None where it is missing."""

    reagent: Reagent
    state: str
    sheet: SafetyDataSheet | None
    places: tuple[str, ...]

    @property
    def rank(self) -> int:
        return ORDER.index(self.state)


def in_stock() -> QuerySet:
    """Reagents of which a container stands somewhere, with all that is read here."""
    here = Container.objects.exclude(state=Container.State.GONE)
    sheets = SafetyDataSheet.objects.select_related("supplier", "checked_by")
    return (
        Reagent.objects.filter(Exists(here.filter(reagent=OuterRef("pk"))))
        .prefetch_related(
            Prefetch("sheets", sheets),
            Prefetch("containers", here.select_related("location"), to_attr="here"),
            "hazards",
        )
        .order_by("name")
    )


def newest_of(sheets: Iterable[SafetyDataSheet]) -> SafetyDataSheet | None:
    """The one revised last; without a date of revision, the day it was added counts."""
    return max(sheets, key=lambda sheet: (sheet.revision_date or sheet.added_on, sheet.pk), default=None)


def state_of(sheets: list[SafetyDataSheet], on: datetime.date, months: int) -> str:
    """`changed`: a newer sheet has come since one was checked. `due`: neither revised nor checked within
    `months` before the day, or without any date."""
    newest = newest_of(sheets)
    if newest is None:
        return MISSING
    if newest.checked_on is None and any(sheet.checked_on for sheet in sheets):
        return CHANGED
    seen = max((day for day in (newest.checked_on, newest.revision_date) if day), default=None)
    if seen is None or add_months(seen, months) < on:
        return DUE
    return FINE if newest.checked_on else UNCHECKED


def standings(on: datetime.date, months: int, reagents: QuerySet | None = None) -> list[Standing]:
    """Every reagent in stock, by name. Four queries."""
    found = []
    for reagent in in_stock() if reagents is None else reagents:
        sheets = list(reagent.sheets.all())
        places = tuple(dict.fromkeys(container.location.path for container in reagent.here))
        found.append(Standing(reagent, state_of(sheets, on, months), newest_of(sheets), places))
    return found


def hazard_words(reagent: Reagent) -> str:
    """ "Danger: causes severe skin burns …"; empty where nobody has classified it. Reads `hazards`."""
    if reagent.hazard_state == Reagent.HazardState.UNKNOWN:
        return ""
    label = label_elements([hazard.hazard_class for hazard in reagent.hazards.all()])
    said = "; ".join(statement.text for statement in label.statements)
    return ": ".join(part for part in (label.signal_word, said) if part) or "No hazard class applies"
