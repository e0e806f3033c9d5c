"""Puts reagents of the starter catalog into the database, unchecked, with where each datum comes from."""

from django.contrib.admin.models import ADDITION
from django.db import transaction

from stockroom.catalogue.loader import Catalogue, load
from stockroom.catalogue.loader import Chemical as ChemicalRow
from stockroom.catalogue.loader import Preparation as PreparationRow
from stockroom.catalogue.loader import Reagent as ReagentRow
from stockroom.chemistry.quantity import parse_amount
from stockroom.common.activity_log import note
from stockroom.hazards.models import ReagentHazard
from stockroom.inventory.models import Chemical, Component, Preparation, PreparationPart, Reagent, Synonym

#: what the catalog's short words for a source mean to a reader
_SOURCES = {"library": "the Python library “chemicals”"}


class CatalogueError(Exception):
    """A row that cannot be added; the message says what to change."""


def source_text(source: str) -> str:
    """A source as it is shown: never empty."""
    return _SOURCES.get(source, source or "from memory")


def fields_of(row: ReagentRow) -> dict:
    """What a row says of a reagent's own columns, but for the solvent."""
    return {
        "name": row.name,
        "kind": row.kind,
        "measure": row.measure,
        "density": row.density,
        "density_source": source_text(row.density_source) if row.density else "",
        "shelf_life_sealed_days": row.shelf_life_sealed_days,
        "shelf_life_opened_days": row.shelf_life_opened_days,
        "storage_kind": row.storage_kind,
        "transport_class": row.transport_text,
        "un_number": row.un_number,
        "groups": list(row.groups),
        "ageing_class": " ".join(row.ageing),
        "incompatibles": "; ".join(row.incompatibles),
        "protection": row.protection,
        "first_aid": row.first_aid,
        "spill": row.spill,
        "disposal": row.disposal,
        "disposal_route": row.disposal_route,
        "source": source_text(row.handling_source),
        "note": (
            f"Composition: {source_text(row.composition_source)}. "
            f"Transport: {source_text(row.transport_source)}."
        ),
    }


def add_chemical(row: ChemicalRow) -> Chemical:
    """The chemical with this CAS RN or name, created where it is not there yet."""
    return Adding(load(), None).chemical(row)


def add_classes(reagent: Reagent, row: ReagentRow) -> None:
    """The hazard classes of a row, unchecked, where the reagent is not there with its own already."""
    for key in row.hazard_classes:
        ReagentHazard.objects.get_or_create(
            reagent=reagent, hazard_class=key, defaults={"source": source_text(row.hazard_source)}
        )
    Reagent.objects.filter(pk=reagent.pk).update(hazard_state=_hazard_state(row))
    reagent.refresh_from_db()


@transaction.atomic
def add_reagent(row: ReagentRow, who=None) -> Reagent:
    """The reagent of a catalog row, created where it is not there yet.

    With it come its chemicals, hazard classes and, where the catalog knows how to make it up, its
    preparation and the reagents that go into that. `who` is noted as the one who added them.
    Raises CatalogueError where another reagent has the name already.
    """
    return Adding(load(), who).reagent(row)


class Adding:
    """Several addings in one transaction: what was found or created once is not asked for again."""

    def __init__(self, catalogue: Catalogue, who=None):
        self.catalogue = catalogue
        self.who = who
        self._reagents: dict[str, Reagent] = {}
        self._chemicals: dict[str, Chemical] = {}

    def reagent(self, row: ReagentRow) -> Reagent:
        """As `add_reagent`."""
        if row.key not in self._reagents:
            found = Reagent.objects.filter(catalogue_key=row.key).first()
            self._reagents[row.key] = found or self._create(row)
        return self._reagents[row.key]

    def chemical(self, row: ChemicalRow) -> Chemical:
        """By CAS RN, then by name, else created."""
        if row.key not in self._chemicals:
            found = Chemical.objects.filter(cas_rn=row.cas).first() if row.cas else None
            found = found or Chemical.objects.filter(name=row.name).first()
            self._chemicals[row.key] = found or self._create_chemical(row)
        return self._chemicals[row.key]

    def _create_chemical(self, row: ChemicalRow) -> Chemical:
        chemical = Chemical.objects.create(
            name=row.name,
            cas_rn=row.cas,
            formula=row.formula,
            note=f"Name, CAS RN and formula from {source_text(row.source).removeprefix('from ')}.",
        )
        Synonym.objects.bulk_create(Synonym(chemical=chemical, name=name) for name in row.synonyms)
        return chemical

    def _create(self, row: ReagentRow) -> Reagent:
        if Reagent.objects.filter(name=row.name).exists():
            raise CatalogueError(
                f"There is a reagent “{row.name}” already: give that another name, or use it as it is."
            )
        reagent = self._handling(row)
        Component.objects.bulk_create(
            Component(
                reagent=reagent,
                chemical=self.chemical(self.catalogue.chemicals[part.chemical]),
                value=part.value,
                unit=part.unit,
            )
            for part in row.components
        )
        ReagentHazard.objects.bulk_create(
            ReagentHazard(reagent=reagent, hazard_class=key, source=source_text(row.hazard_source))
            for key in row.hazard_classes
        )
        if made := self.catalogue.preparations.get(row.key):
            self._preparation(reagent, made)
        if self.who is not None:
            note(self.who, reagent, "added from the starter catalog", ADDITION)
        return reagent

    def _handling(self, row: ReagentRow) -> Reagent:
        return Reagent.objects.create(
            **fields_of(row),
            solvent=self.chemical(self.catalogue.chemicals[row.solvent]) if row.solvent else None,
            hazard_state=_hazard_state(row),
            catalogue_key=row.key,
        )

    def _preparation(self, reagent: Reagent, row: PreparationRow) -> None:
        preparation = Preparation.objects.create(
            reagent=reagent,
            yield_amount=parse_amount(row.yields, reagent.measure),
            method=row.method.strip(),
            lead_days=row.lead_days,
        )
        parts = [(self.reagent(self.catalogue.reagents[part.reagent]), part.amount) for part in row.parts]
        PreparationPart.objects.bulk_create(
            PreparationPart(preparation=preparation, reagent=used, amount=parse_amount(text, used.measure))
            for used, text in parts
        )


def _hazard_state(row: ReagentRow) -> str:
    if row.hazard_classes:
        return Reagent.HazardState.CLASSIFIED
    return Reagent.HazardState.NONE if row.classified else Reagent.HazardState.UNKNOWN
