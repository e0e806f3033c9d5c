"""Comparing what is said of a reagent with the supplier's sheet in hand, and ticking what agrees."""

import datetime
import hashlib
import json
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet

from stockroom.common.activity_log import note
from stockroom.hazards.models import ReagentHazard, SafetyDataSheet
from stockroom.inventory.models import Container, Reagent

#: (title on the page, field of the reagent), in the order of the sections of a safety data sheet
HANDLING = (
    ("First aid", "first_aid"),
    ("Spill", "spill"),
    ("Keep away from", "incompatibles"),
    ("PPE", "protection"),
    ("Disposal", "disposal"),
)
#: what is compared but not text to read on its own
_OTHER = ("hazard_state", "storage_kind", "transport_class", "un_number", "density", "groups", "ageing_class")


class ChangedMeanwhile(Exception):
    """What was ticked is no longer what the stockroom says; the message says what to do."""


@dataclass(frozen=True)
class Ticks:
    """What agrees with the sheet: the hazard classes, the handling data, and that the sheet is the newest."""

    classes: bool = False
    handling: bool = False
    sheet: SafetyDataSheet | None = None

    @property
    def words(self) -> str:
        said = (("hazard classes", self.classes), ("handling", self.handling), ("sheet", self.sheet))
        return ", ".join(word for word, ticked in said if ticked)


def stamp_of(reagent: Reagent) -> str:
    """A short word that changes with anything that is compared. Three queries."""
    said = [str(getattr(reagent, field)) for _, field in HANDLING]
    said += [str(getattr(reagent, field)) for field in _OTHER]
    said += sorted(reagent.hazards.values_list("hazard_class", flat=True))
    said += sorted(map(str, reagent.components.values_list("chemical", "value", "unit")))
    said += sorted(str(pk) for pk in reagent.sheets.values_list("pk", flat=True))
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()[:16]


@transaction.atomic
def tick(reagent: Reagent, ticks: Ticks, stamp: str, *, who, on: datetime.date) -> None:
    """Write down who compared what on which day. Raises ChangedMeanwhile where `stamp` no longer holds."""
    reagent = Reagent.objects.select_for_update().get(pk=reagent.pk)
    if stamp != stamp_of(reagent):
        raise ChangedMeanwhile("Somebody changed this reagent meanwhile: read it again, then tick.")
    checked = {"checked_by": who, "checked_on": on}
    if ticks.classes:
        ReagentHazard.objects.filter(reagent=reagent).update(**checked)
    if ticks.handling:
        Reagent.objects.filter(pk=reagent.pk).update(**checked)
    if ticks.sheet:
        SafetyDataSheet.objects.filter(pk=ticks.sheet.pk).update(**checked)
    note(who, reagent, f"checked against the supplier's sheet: {ticks.words}")


def untick(reagent: Reagent, *, handling: bool) -> None:
    """What it holds has changed: nothing that was compared with the old sheet is checked any more."""
    unchecked = {"checked_by": None, "checked_on": None}
    ReagentHazard.objects.filter(reagent=reagent).update(**unchecked)
    if handling:
        Reagent.objects.filter(pk=reagent.pk).update(**unchecked)


def not_verified() -> Q:
    """Condition on reagents: classified, and not `is_verified`."""
    open_class = ReagentHazard.objects.filter(reagent=OuterRef("pk"), checked_on=None)
    unknown = Q(hazard_state=Reagent.HazardState.UNKNOWN)
    return ~unknown & (Q(checked_on=None) | Exists(open_class))


def unchecked() -> QuerySet:
    """Reagents in stock of which something is classified or written down, and not all of it checked."""
    here = Container.objects.filter(reagent=OuterRef("pk")).present()
    return Reagent.objects.filter(not_verified(), Exists(here), retired_on=None).order_by("name")


def next_unchecked(after: Reagent) -> Reagent | None:
    """The next by name that wants checking, after the last the first again; None when all is done."""
    rest = unchecked().exclude(pk=after.pk)
    return rest.filter(name__gt=after.name).first() or rest.first()
