"""Containers as labels: the plain data that `sheets.container_label` draws."""

from collections.abc import Callable

from django.db.models import QuerySet

from stockroom.handling.sheets.container_label import Label
from stockroom.hazards.classification import supplements_of
from stockroom.inventory.models import Container, Reagent
from stockroom.safety.label import label_elements


def with_label_data(containers: QuerySet) -> QuerySet:
    """Containers with all that `label_of` reads, in a handful of queries."""
    return containers.select_related("reagent", "batch__made_by").prefetch_related(
        "reagent__hazards", "reagent__components__chemical"
    )


def label_of(container: Container, absolute: Callable[[str], str]) -> Label:
    """`absolute` turns a path into an address that a telephone can open."""
    reagent, batch = container.reagent, container.batch
    hazards = list(reagent.hazards.all())
    known = reagent.hazard_state != Reagent.HazardState.UNKNOWN
    label = label_elements([hazard.hazard_class for hazard in hazards] if known else None)
    components = list(reagent.components.all())
    only = components[0] if len(components) == 1 else None
    return Label(
        name=reagent.name,
        number=container.code,
        url=absolute(container.get_absolute_url()),
        strength=_strength(reagent, components),
        formula=only.chemical.formula if only else "",
        filled="Made" if batch else "Received",
        by=(batch.made_by.get_full_name() or batch.made_by.get_username()) if batch else "",
        on=batch.made_on if batch else container.received_on,
        expires=container.usable_until,
        lot=container.lot,
        signal_word=label.signal_word,
        pictograms=tuple(label.pictograms),
        statements=(
            *(statement.text for statement in label.statements if known),
            *(row.text for row in supplements_of(reagent)),
        ),
        precautions=tuple(precaution.text for precaution in label.precautions),
        is_classified=known,
        is_checked=reagent.is_checked if not hazards else all(hazard.is_checked for hazard in hazards),
    )


def _strength(reagent: Reagent, components) -> str:
    """How strong, where the name does not say it already."""
    if len(components) == 1:
        strength = components[0].strength
        said = reagent.name.replace("(", "").replace(")", "")
        return "" if strength == "pure" or strength in said else strength
    return ", ".join(str(component) for component in components)
