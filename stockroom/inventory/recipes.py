"""Which reagent is made from which, and whether a preparation would go round in a circle."""

from collections.abc import Iterable
from dataclasses import dataclass

from stockroom.common.department import Department
from stockroom.inventory.models import Preparation, PreparationPart, Reagent
from stockroom.supply.requirements import circle_through


@dataclass(frozen=True)
class LeftOut:
    """A reagent whose preparation no plan can follow, since it goes back to the reagent itself."""

    reagent_id: int
    text: str


def one_at_a_time() -> None:
    """Let nobody else write preparations until this transaction ends: two halves make a circle."""
    Department.current()
    Department.objects.select_for_update().get(pk=1)


def _made_from(without: Preparation | None) -> dict[int, set[int]]:
    """Reagent id -> what goes into it by any preparation in use, that of a retired reagent too."""
    rows = PreparationPart.objects.filter(preparation__retired_on=None)
    if without is not None and without.pk:
        rows = rows.exclude(preparation=without.pk)
    below: dict[int, set[int]] = {}
    for product, part in rows.values_list("preparation__reagent", "reagent"):
        below.setdefault(product, set()).add(part)
    return below


def circles_of(
    product: Reagent, parts: Iterable[Reagent], without: Preparation | None = None
) -> dict[Reagent, str]:
    """Part -> why the product must not be made from it, beside all preparations in use but `without`."""
    made_from = _made_from(without)
    wrong = {}
    for part in parts:
        circle = circle_through(product.pk, [part.pk], made_from)
        if part.pk == product.pk:
            wrong[part] = "Nothing is made from itself: leave this out."
        elif circle:
            names = Reagent.objects.in_bulk(circle)
            through = _named([names[key] for key in circle[2:-1]], " through ")
            wrong[part] = f"{part} is itself made from {product}{through}: this would go round in a circle."
    return wrong


def why_not_back(preparation: Preparation) -> str:
    """Why a retired preparation cannot be brought back, or nothing."""
    parts = [part.reagent for part in preparation.parts.select_related("reagent")]
    wrong = circles_of(preparation.reagent, parts, without=preparation)
    return " ".join(wrong.values())


def _named(reagents: Iterable[Reagent], before: str) -> str:
    names = [str(reagent) for reagent in reagents]
    return before + " and ".join(filter(None, [", ".join(names[:-1]), names[-1]])) if names else ""


def left_out(circles: Iterable[tuple[int, ...]]) -> tuple[LeftOut, ...]:
    """In words, which preparations a plan leaves out. One query, and none where there is no circle."""
    circles = tuple(circles)
    names = Reagent.objects.in_bulk({key for circle in circles for key in circle}) if circles else {}
    rows = []
    for circle in circles:
        through = _named([names[key] for key in circle[1:-1]], " through ")
        text = f"{names[circle[0]]} is made from itself{through}: left out of the plan."
        rows.append(LeftOut(circle[0], text))
    return tuple(rows)
