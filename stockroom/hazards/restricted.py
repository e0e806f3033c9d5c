"""What is in stock and should not be in a teaching stockroom, with the reasons that are written down."""

from collections.abc import Iterable
from dataclasses import dataclass

from stockroom.chemistry.concentration import Strength
from stockroom.hazards.models import WrittenReason
from stockroom.inventory.models import Container, Reagent
from stockroom.safety.composition import Ingredient, constituents
from stockroom.safety.restricted import Part, Present, RestrictedFinding, restricted_findings


@dataclass(frozen=True)
class Restricted:
    """A listed substance in stock: its reagent, its containers, and the newest reason with who and when."""

    finding: RestrictedFinding
    reagent: Reagent
    containers: tuple[Container, ...]
    reason: WrittenReason | None


def parts_of(reagent: Reagent) -> tuple[Part, ...]:
    """Each chemical with its % (w/w), None where that cannot be worked out. Reads `components__chemical`."""
    chemicals = [part.chemical for part in reagent.components.all()]
    held = [
        Ingredient(
            part.chemical.name,
            Strength(None if part.unit in ("pure", "saturated") else part.value, part.unit),
            None,
            cas=part.chemical.cas_rn or "",
            formula=part.chemical.formula,
        )
        for part in reagent.components.all()
    ]
    found, _ = constituents(tuple(held), reagent.density)
    return tuple(
        Part(one.cas, one.percent, chemical.name, chemical.formula)
        for one, chemical in zip(found, chemicals, strict=True)
    )


def strengths_of(reagent: Reagent) -> tuple[tuple[str, float | None], ...]:
    """(CAS RN, % w/w or None where not known) of what it holds. Reads `components__chemical`."""
    return tuple((part.cas, part.percent) for part in parts_of(reagent) if part.cas)


def _found(reagents: Iterable[Reagent], containers: dict[int, list[Container]]) -> tuple[Restricted, ...]:
    named = {str(reagent.pk): reagent for reagent in reagents}
    present = [Present(key, reagent.name, parts_of(reagent)) for key, reagent in named.items()]
    written = {
        str(row.reagent_id): row
        for row in WrittenReason.objects.filter(reagent__in=named.values())
        .select_related("who")
        .order_by("on", "pk")
    }
    return tuple(
        Restricted(
            one,
            named[one.present.reagent_key],
            tuple(containers.get(int(one.present.reagent_key), ())),
            written.get(one.present.reagent_key),
        )
        for one in restricted_findings(present, {key: row.text for key, row in written.items()})
    )


def in_stock() -> tuple[Restricted, ...]:
    """Everything listed that stands on a shelf, what should never be there first. Four queries."""
    rows = Container.objects.present().select_related("location")
    containers: dict[int, list[Container]] = {}
    for container in rows.prefetch_related("reagent__components__chemical"):
        containers.setdefault(container.reagent_id, []).append(container)
    return _found([group[0].reagent for group in containers.values()], containers)


def of_reagent(reagent: Reagent) -> tuple[Restricted, ...]:
    """The rows of the list that a reagent meets, whether or not there is any of it."""
    return _found([reagent], {})
