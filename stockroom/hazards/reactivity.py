"""A reagent as the storage and mixing rules see it: its reactivity groups told from what it is made of."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import NamedTuple

from django.db.models import QuerySet, prefetch_related_objects

from stockroom.chemistry.concentration import PURE
from stockroom.chemistry.portion import Part, Portion
from stockroom.hazards.models import ReagentHazard
from stockroom.inventory.models import Component, Reagent
from stockroom.safety.groups import NOT_KNOWN, Reactivity, of_portion, reactivity, with_written
from stockroom.safety.storage import Item


def _by_reagent(rows) -> dict[int, frozenset[str]]:
    found = defaultdict(set)
    for reagent, word in rows:
        if word:
            found[reagent].add(word)
    return {reagent: frozenset(words) for reagent, words in found.items()}


def reagent_items(reagents: QuerySet) -> dict[int, Item]:
    """One item a reagent, by its key; it stands nowhere. Three queries."""
    inner = reagents.order_by().values("pk")
    hazards = _by_reagent(
        ReagentHazard.objects.filter(reagent__in=inner).values_list("reagent_id", "hazard_class")
    )
    parts = defaultdict(list)
    rows = Component.objects.filter(reagent__in=inner).order_by("pk")
    for reagent, *part in rows.values_list("reagent_id", *_PART):
        parts[reagent].append(part)
    made = map(_Made._make, reagents.values_list(*_Made._fields))
    return {row.pk: _item(row, row.pk, hazards.get(row.pk, frozenset()), parts[row.pk]) for row in made}


class _Made(NamedTuple):
    """What of a reagent's own row the rules look at."""

    pk: int
    name: str
    kind: str
    measure: str
    density: Decimal | None
    solvent__name: str | None
    groups: list
    transport_class: str
    storage_kind: str
    hazard_state: str


#: what of a component says what a reagent is made of
_PART = ("chemical__name", "chemical__formula", "chemical__cas_rn", "value", "unit")


def _portion(row: _Made, parts: Iterable[Sequence]) -> Portion:
    """What a reagent holds; `parts` are rows of `_PART`."""
    parts = tuple(Part(name, formula, cas or "", value, unit) for name, formula, cas, value, unit in parts)
    watery = row.kind == Reagent.Kind.SOLUTION and len(parts) == 1 and parts[0].unit != PURE
    solvent = row.solvent__name or ("water" if watery else "")
    return Portion(row.name, row.measure, 0, parts, solvent, row.density)


def _item(row: _Made, key: int | str, hazards: frozenset[str], parts: Iterable[Sequence]) -> Item:
    portion = _portion(row, parts)
    found = reactivity(of_portion(portion, row.kind))
    groups = with_written(found, frozenset(row.groups))
    settled = row.hazard_state != Reagent.HazardState.UNKNOWN
    if settled and not portion.parts:
        groups -= {NOT_KNOWN}  # nobody wrote down what it holds, but someone vouches for its hazards
    return Item(
        id=key,
        name=row.name,
        reagent_key=str(row.pk),
        hazard_keys=hazards,
        groups=groups,
        transport_class=row.transport_class or None,
        cas=frozenset(part.cas for part in portion.parts if part.cas),
        storage_kind=row.storage_kind,
        classified=settled,
        composed=not found.unknown,
    )


def item_of(reagent: Reagent, key: int | str = "new") -> Item:
    """A bottle of it that stands nowhere yet. At most four queries, none where MADE_OF was prefetched."""
    prefetch_related_objects([reagent], *MADE_OF)
    hazards = frozenset(row.hazard_class for row in reagent.hazards.all())
    return _item(_made(reagent), key, hazards, _parts(reagent))


def reactivity_of(reagent: Reagent) -> Reactivity:
    """The reactivity groups that its composition brings, with reasons. Queries as `item_of`."""
    prefetch_related_objects([reagent], *MADE_OF)
    return reactivity(of_portion(_portion(_made(reagent), _parts(reagent)), reagent.kind))


def _made(reagent: Reagent) -> _Made:
    solvent = reagent.solvent.name if reagent.solvent else None
    fields = {name: getattr(reagent, name) for name in _Made._fields if name != "solvent__name"}
    return _Made(**fields, solvent__name=solvent)


def _parts(reagent: Reagent) -> list[tuple]:
    return [
        (row.chemical.name, row.chemical.formula, row.chemical.cas_rn, row.value, row.unit)
        for row in reagent.components.all()
    ]


#: what must be prefetched of a reagent for its groups to be told without a query
MADE_OF = ("hazards", "components__chemical", "solvent")
