"""A reagent of the starter catalog as the storage and mixing rules see it."""

from stockroom.catalogue.loader import Reagent
from stockroom.catalogue.portions import portion_of
from stockroom.safety.groups import Reactivity, of_portion, reactivity, with_written
from stockroom.safety.storage import Item


def reactivity_of(row: Reagent) -> Reactivity:
    """The reactivity groups that its composition brings."""
    return reactivity(of_portion(portion_of(row, 0), row.kind))


def item_of(row: Reagent) -> Item:
    """A bottle of it that stands nowhere. Raises KeyError where a chemical is missing."""
    portion = portion_of(row, 0)
    found = reactivity(of_portion(portion, row.kind))
    return Item(
        id=row.key,
        name=row.name,
        reagent_key=row.key,
        hazard_keys=frozenset(row.hazard_classes),
        groups=with_written(found, frozenset(row.groups)),
        transport_class=row.transport_text or None,
        cas=frozenset(part.cas for part in portion.parts if part.cas),
        storage_kind=row.storage_kind,
        classified=row.classified,
        composed=not found.unknown,
    )
