"""One reagent as the plain data of its one-page summary: each datum with its source, checked or not."""

import datetime
from collections.abc import Iterable

from django.db.models import QuerySet

from stockroom.common.person import name_of
from stockroom.hazards.classification import supplements_of
from stockroom.hazards.companions import companions_of
from stockroom.hazards.models import SafetyDataSheet
from stockroom.hazards.sheets.reagent_summary import Container as Row
from stockroom.hazards.sheets.reagent_summary import ReagentSummary, Statement
from stockroom.inventory.models import Container, Reagent
from stockroom.inventory.stock import state_of
from stockroom.paper.kit import Head
from stockroom.safety.label import gravest_first
from stockroom.wording.days import day_text

#: (title on the sheet, field of the reagent)
SECTIONS = (
    ("First aid", "first_aid"),
    ("PPE", "protection"),
    ("Keep away from", "incompatibles"),
    ("Spill", "spill"),
    ("Disposal", "disposal"),
)


def with_summary_data(reagents: QuerySet) -> QuerySet:
    return reagents.select_related("solvent").prefetch_related(
        "hazards", "components__chemical", "sheets__supplier", "sheets__checked_by"
    )


def summary_of(
    reagent: Reagent, containers: Iterable[Container], head: Head, on: datetime.date
) -> ReagentSummary:
    hazards = sorted(reagent.hazards.all(), key=lambda hazard: gravest_first(hazard.hazard_class))
    label = reagent.label
    components = list(reagent.components.all())
    only = components[0].chemical if len(components) == 1 else None
    solvent = f" in {reagent.solvent}" if reagent.solvent else ""
    return ReagentSummary(
        head=head,
        name=reagent.name,
        formula=only.formula if only else "",
        cas=", ".join(part.chemical.cas_rn for part in components if part.chemical.cas_rn),
        strength=(", ".join(str(part) for part in components) or "not written down") + solvent,
        signal_word=label.signal_word,
        pictograms=tuple(label.pictograms),
        hazards=(
            *(
                Statement(
                    f"{hazard.row.name}: {'; '.join(hazard.row.statements)}",
                    hazard.source,
                    hazard.is_checked,
                )
                for hazard in hazards
            ),
            *(Statement(row.text, row.source) for row in supplements_of(reagent)),
        ),
        is_classified=reagent.is_classified,
        properties=tuple(_properties(reagent)),
        sections=(
            ("Never mix with", _never(reagent)),
            *((title, _said(reagent, field)) for title, field in SECTIONS),
        ),
        containers=tuple(
            Row(
                row.code,
                reagent.text_of(row.balance),
                row.location.path,
                row.usable_until,
                state_of(row, on).text,
            )
            for row in containers
        ),
        data_sheet=_on_file(next(iter(reagent.sheets.all()), None)),
    )


#: how many reasons are printed, and how many reagents for each; the page has them all
_REASONS, _NAMES = 6, 3


def _never(reagent: Reagent) -> tuple[Statement, ...]:
    """What must not be mixed with it, most serious first, each reason with some of its reagents."""
    never = companions_of(reagent).never
    said = []
    for reason in never[:_REASONS]:
        names = [name for _, name in reason.others[:_NAMES]]
        more = len(reason.others) - len(names)
        rest = f" and {more} more" if more else ""
        text = f"{', '.join(names)}{rest}: {reason.finding.consequence}"
        said.append(Statement(text, reason.finding.source))
    if len(never) > _REASONS:
        said.append(Statement(f"{len(never) - _REASONS} more reasons on the page of the reagent"))
    return tuple(said)


def _said(reagent: Reagent, field: str) -> tuple[Statement, ...]:
    lines = getattr(reagent, field).splitlines()
    return tuple(
        Statement(line.strip(), reagent.source, reagent.is_checked) for line in lines if line.strip()
    )


def _properties(reagent: Reagent):
    def told(text: str, source: str = reagent.source) -> Statement:
        return Statement(text, source, reagent.is_checked)

    if reagent.density:
        yield (
            "Density",
            told(f"{reagent.density.normalize():f} g/mL", reagent.density_source or "from memory"),
        )
    yield "Storage", told(reagent.get_storage_kind_display())
    if reagent.transport_class:
        number = f", UN {reagent.un_number}" if reagent.un_number else ""
        yield "Transport class", told(f"{reagent.transport_class}{number}")
    for title, days in (
        ("Shelf life, sealed", reagent.shelf_life_sealed_days),
        ("Shelf life, opened", reagent.shelf_life_opened_days),
    ):
        if days is not None:
            yield title, told(f"{days} days")


def _on_file(sheet: SafetyDataSheet | None) -> str:
    if sheet is None:
        return ""
    words = [sheet.supplier.name if sheet.supplier else "on file"]
    if sheet.revision_date:
        words.append(f"revised {day_text(sheet.revision_date)}")
    who = sheet.checked_by and name_of(sheet.checked_by)
    words.append(f"checked {day_text(sheet.checked_on)} by {who}" if who else "not verified against SDS")
    return ", ".join(words)
