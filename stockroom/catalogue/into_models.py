"""Puts reagents of the starter catalogue into the database, unchecked, with where each datum comes from."""

from django.db import transaction

from stockroom.catalogue.loader import Catalogue, load
from stockroom.catalogue.loader import Chemical as ChemicalRow
from stockroom.catalogue.loader import Preparation as PreparationRow
from stockroom.catalogue.loader import Reagent as ReagentRow
from stockroom.chemistry.quantity import parse_amount
from stockroom.models import (
    Chemical,
    Component,
    Preparation,
    PreparationPart,
    Reagent,
    ReagentHazard,
    Synonym,
)

#: what the catalogue's short words for a source mean to a reader
_SOURCES = {"library": "the Python library “chemicals”"}


class CatalogueError(Exception):
    """A row that cannot be added; the message says what to change."""


def source_text(source: str) -> str:
    """A source as it is shown: never empty."""
    return _SOURCES.get(source, source or "from memory")


@transaction.atomic
def add_reagent(row: ReagentRow, who=None) -> Reagent:
    """The reagent of a catalogue row, created where it is not there yet.

    With it come its chemicals, hazard classes and, where the catalogue knows how to make it up, its
    preparation and the reagents that go into that. `who` is noted as the one who added them.
    Raises CatalogueError where another reagent has the name already.
    """
    return _Adding(load(), who).reagent(row)


class _Adding:
    """One adding: finds what is there already, once, and creates the rest."""

    def __init__(self, catalogue: Catalogue, who):
        self.catalogue = catalogue
        self.who = who

    def reagent(self, row: ReagentRow) -> Reagent:
        if found := Reagent.objects.filter(catalogue_key=row.key).first():
            return found
        if Reagent.objects.filter(name=row.name).exists():
            raise CatalogueError(
                f"There is a reagent “{row.name}” already: give that another name, or use it as it is."
            )
        reagent = self._create(row)
        for part in row.components:
            Component.objects.create(
                reagent=reagent,
                chemical=self.chemical(self.catalogue.chemicals[part.chemical]),
                value=part.value,
                unit=part.unit,
            )
        for key in row.hazard_classes:
            ReagentHazard.objects.create(
                reagent=reagent, hazard_class=key, source=source_text(row.hazard_source)
            )
        if made := self.catalogue.preparations.get(row.key):
            self._preparation(reagent, made)
        self._note(reagent)
        reagent.refresh_from_db()
        return reagent

    def chemical(self, row: ChemicalRow) -> Chemical:
        """By CAS RN, then by name, else created."""
        found = Chemical.objects.filter(cas_rn=row.cas).first() if row.cas else None
        if found := found or Chemical.objects.filter(name=row.name).first():
            return found
        chemical = Chemical.objects.create(
            name=row.name,
            cas_rn=row.cas,
            formula=row.formula,
            note=f"Name, CAS RN and formula from {source_text(row.source).removeprefix('from ')}.",
        )
        Synonym.objects.bulk_create(Synonym(chemical=chemical, name=name) for name in row.synonyms)
        return chemical

    def _create(self, row: ReagentRow) -> Reagent:
        none_applies = row.classified and not row.hazard_classes
        return Reagent.objects.create(
            name=row.name,
            kind=row.kind,
            measure=row.measure,
            solvent=self.chemical(self.catalogue.chemicals[row.solvent]) if row.solvent else None,
            density=row.density,
            density_source=source_text(row.density_source) if row.density else "",
            shelf_life_sealed_days=row.shelf_life_sealed_days,
            shelf_life_opened_days=row.shelf_life_opened_days,
            hazard_state=Reagent.HazardState.NONE if none_applies else Reagent.HazardState.UNKNOWN,
            storage_kind=row.storage_kind,
            transport_class=row.transport_text,
            un_number=row.un_number,
            groups=list(row.groups),
            ageing_class=" ".join(row.ageing),
            incompatibles="; ".join(row.incompatibles),
            protection=row.protection,
            first_aid=row.first_aid,
            spill=row.spill,
            disposal=row.disposal,
            source=source_text(row.handling_source),
            note=(
                f"Composition: {source_text(row.composition_source)}. "
                f"Transport: {source_text(row.transport_source)}."
            ),
            catalogue_key=row.key,
        )

    def _preparation(self, reagent: Reagent, row: PreparationRow) -> None:
        preparation = Preparation.objects.create(
            reagent=reagent,
            yield_amount=parse_amount(row.yields, reagent.measure),
            method=row.method.strip(),
            lead_days=row.lead_days,
        )
        for part in row.parts:
            used = self.reagent(self.catalogue.reagents[part.reagent])
            PreparationPart.objects.create(
                preparation=preparation, reagent=used, amount=parse_amount(part.amount, used.measure)
            )

    def _note(self, reagent: Reagent) -> None:
        if self.who is not None:
            from django.contrib.admin.models import ADDITION

            from stockroom.activity import note

            note(self.who, reagent, "added from the starter catalogue", ADDITION)
