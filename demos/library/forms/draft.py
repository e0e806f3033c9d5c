"""A demonstration while it is written: ingredients and equations as far as they read. Nothing is saved."""

from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db.models import Q

from demos.library.forms.demonstration import MOST_ROWS
from stockroom.inventory.forms.amount import read_amount
from stockroom.inventory.models import Reagent


@dataclass(frozen=True)
class Line:
    """One ingredient as it stands in the form. reagent, amount: None where `wrong` says what to change."""

    name: str
    reagent: Reagent | None = None
    amount: int | None = None
    wrong: str = ""


@dataclass(frozen=True)
class Draft:
    lines: tuple[Line, ...]
    equations: tuple[str, ...]


def _rows(data, prefix: str) -> list[dict[str, str]]:
    total = data.get(f"{prefix}-TOTAL_FORMS", "")
    count = min(int(total), MOST_ROWS) if total.isdecimal() and len(total) < 5 else 0
    names = {"ingredients": ("reagent", "first"), "reactions": ("equation",)}[prefix]
    return [
        {name: data.get(f"{prefix}-{number}-{name}", "").strip() for name in names}
        for number in range(count)
        if not data.get(f"{prefix}-{number}-DELETE")
    ]


def read_draft(data) -> Draft:
    """Read what was sent of the form. One query for all reagents, and what `with_composition` prefetches."""
    rows = [row for row in _rows(data, "ingredients") if row["reagent"]]
    wanted = Q(pk=None)
    for row in rows:
        wanted |= Q(name__iexact=row["reagent"][:160])
    reagents = Reagent.objects.filter(wanted).select_related("solvent")
    by_name: dict[str, list[Reagent]] = {}
    for reagent in reagents.prefetch_related("components__chemical"):
        by_name.setdefault(reagent.name.casefold(), []).append(reagent)
    equations = tuple(row["equation"][:300] for row in _rows(data, "reactions") if row["equation"])
    return Draft(tuple(_line(row, by_name) for row in rows), equations)


def _line(row: dict[str, str], by_name: dict[str, list[Reagent]]) -> Line:
    name, text = row["reagent"][:160], row["first"][:80]
    found = by_name.get(name.casefold(), [])
    exact = [reagent for reagent in found if reagent.name == name] or found
    if len(exact) != 1:
        return Line(name, wrong="There is no such reagent: choose one from the list, or add it first.")
    if not text:
        return Line(name, exact[0], wrong="Say how much the first showing takes, to see its moles.")
    try:
        amount = read_amount(text, exact[0].measure, exact[0].density)
    except ValidationError as error:
        return Line(name, exact[0], wrong=error.message)
    return Line(name, exact[0], amount)
