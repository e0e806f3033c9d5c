"""From the starter catalog into the database."""

import dataclasses

import pytest
from django.contrib.admin.models import LogEntry

from stockroom.catalogue.into_models import CatalogueError, add_reagent
from stockroom.catalogue.loader import load
from stockroom.chemistry.quantity import parse_amount
from stockroom.inventory.models import Chemical, Preparation, Reagent

pytestmark = pytest.mark.django_db


@pytest.fixture
def rows():
    return load().reagents


def test_a_reagent_comes_with_what_it_holds_and_what_is_known_of_it(rows):
    reagent = add_reagent(rows["sulfuric_acid_96"])
    component = reagent.components.get()
    assert component.chemical.cas_rn == "7664-93-9"
    assert component.strength == "96 % w/w"
    assert "oil of vitriol" in [synonym.name for synonym in component.chemical.synonyms.all()]
    assert {hazard.hazard_class for hazard in reagent.hazards.all()} >= {"skin_corr_1a"}
    assert reagent.hazard_state == Reagent.HazardState.CLASSIFIED
    assert not any(hazard.is_checked for hazard in reagent.hazards.all())
    assert reagent.source and all(hazard.source for hazard in reagent.hazards.all())


def test_what_it_is_made_up_from_comes_too(rows):
    reagent = add_reagent(rows["glucose_alkaline"])
    parts = reagent.preparations.get().parts.all()
    assert {part.reagent.catalogue_key for part in parts} == {
        "glucose_solid",
        "sodium_hydroxide_1m",
        "water_purified",
    }
    alkali = Reagent.objects.get(catalogue_key="sodium_hydroxide_1m")
    assert alkali.preparations.get().parts.filter(reagent__catalogue_key="sodium_hydroxide_pellets").exists()
    assert {part.reagent.catalogue_key: part.amount for part in parts}["sodium_hydroxide_1m"] == 150_000


def test_twice_is_once(rows):
    first = add_reagent(rows["sodium_chloride_0_1m"])
    counts = Reagent.objects.count(), Chemical.objects.count(), Preparation.objects.count()
    assert add_reagent(rows["sodium_chloride_0_1m"]) == first
    assert (Reagent.objects.count(), Chemical.objects.count(), Preparation.objects.count()) == counts


def test_a_chemical_that_is_there_is_used_again(rows):
    salt = Chemical.objects.create(name="common salt", cas_rn="7647-14-5", formula="NaCl")
    reagent = add_reagent(rows["sodium_chloride_solid"])
    assert reagent.components.get().chemical == salt


def test_a_name_that_is_taken_is_said_and_nothing_is_written(rows, make_reagent):
    make_reagent(name=rows["sodium_hydroxide_pellets"].name)
    with pytest.raises(CatalogueError, match="give that another name"):
        add_reagent(rows["sodium_hydroxide_1m"])
    assert Reagent.objects.count() == 1
    assert not Chemical.objects.filter(name="sodium hydroxide").exists()


def test_no_class_is_known_from_not_classified(rows):
    water = add_reagent(rows["water_purified"])
    assert water.hazard_state == Reagent.HazardState.NONE
    row = dataclasses.replace(rows["sand"], classified=False, hazard_classes=())
    assert add_reagent(row).hazard_state == Reagent.HazardState.UNKNOWN


def test_who_added_it_is_kept(rows, technician):
    reagent = add_reagent(rows["sand"], technician)
    entry = LogEntry.objects.get(object_id=reagent.pk)
    assert entry.user == technician and "catalog" in entry.change_message


def test_every_preparation_is_written_in_the_measure_of_its_reagents():
    catalogue = load()
    for key, made in catalogue.preparations.items():
        assert parse_amount(made.yields, catalogue.reagents[key].measure) > 0
        for part in made.parts:
            assert parse_amount(part.amount, catalogue.reagents[part.reagent].measure) > 0
