"""The starter catalogue hangs together: every key leads somewhere, every row says where it comes from."""

import re

import pytest

from stockroom.catalogue.loader import load
from stockroom.safety.label import HAZARD_CLASSES

CATALOGUE = load()
REAGENTS = list(CATALOGUE.reagents.values())
STORAGE_KINDS = {
    *("general", "flammables", "acids", "bases", "oxidisers", "toxics"),
    *("cold", "ventilated", "waste", "gas", "outside"),
}
UNITS = {"% w/w", "% w/v", "% v/v", "mol/L", "mol/kg", "g/L", "mg/L", "pure", "vol H2O2", "saturated"}
KINDS = {"solid", "liquid", "solution", "mixture", "hydrate", "metal", "indicator", "gas"}
SOURCE = re.compile(r"library|from memory|published: .{8,}")


def each(rows):
    return pytest.mark.parametrize("row", rows, ids=lambda row: getattr(row, "key", None) or row.reagent)


@each(REAGENTS)
def test_reagent_speaks_the_vocabulary(row):
    assert row.kind in KINDS
    assert row.measure in {"mass", "volume", "count"}
    assert row.storage_kind in STORAGE_KINDS
    assert {component.unit for component in row.components} <= UNITS
    assert set(row.hazard_classes) <= set(HAZARD_CLASSES)
    assert row.classified
    for source in (row.composition_source, row.hazard_source, row.density_source or "from memory"):
        assert SOURCE.fullmatch(source)
    assert all((row.protection, row.first_aid, row.spill, row.disposal))


@each(REAGENTS)
def test_reagent_leads_to_its_chemicals(row):
    keys = [component.chemical for component in row.components]
    assert keys
    assert len(keys) == len(set(keys))
    assert set(keys) <= set(CATALOGUE.chemicals)
    assert not row.solvent or row.solvent in CATALOGUE.chemicals


@each(REAGENTS)
def test_liquid_has_a_density_and_opened_life_is_no_longer_than_sealed(row):
    if row.measure == "volume":
        assert row.density
        assert row.density_source
    if row.shelf_life_opened_days:
        assert row.shelf_life_opened_days <= row.shelf_life_sealed_days


@each(CATALOGUE.preparations.values())
def test_preparation_leads_to_reagents(row):
    assert row.reagent in CATALOGUE.reagents
    assert {part.reagent for part in row.parts} <= set(CATALOGUE.reagents) - {row.reagent}
    assert len(row.method.splitlines()) >= 2


def test_names_and_numbers_are_not_used_twice():
    names = [row.name for row in REAGENTS]
    cas = [row.cas for row in CATALOGUE.chemicals.values() if row.cas]
    chemicals = [row.name for row in CATALOGUE.chemicals.values()]
    assert sorted(names) == sorted(set(names))
    assert sorted(cas) == sorted(set(cas))
    assert sorted(chemicals) == sorted(set(chemicals))


def test_every_working_solution_can_be_made():
    """What a supplier seldom sells at that strength has a preparation."""
    bought = {"vinegar_white", "bleach_household", "universal_indicator", "ethanol_denatured"}
    solutions = {row.key for row in REAGENTS if row.kind in ("solution", "mixture")}
    assert solutions - bought - set(CATALOGUE.preparations) == set()
