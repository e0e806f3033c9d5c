"""What a reagent must never be mixed with, on its page and on its printed summary."""

import pytest
from django.urls import reverse

from stockroom.catalogue.into_models import add_reagent
from stockroom.catalogue.loader import load
from stockroom.hazards.companions import companions_of
from stockroom.inventory.models import Reagent


@pytest.fixture
def shelf(db):
    keys = (
        "bleach_household",
        "hydrochloric_acid_6m",
        "ammonia_2m",
        "sodium_hydrogencarbonate_solid",
        "sand",
    )
    return {key: add_reagent(load().reagents[key]) for key in keys}


def test_each_reagent_stands_once_under_the_worst_that_happens(shelf):
    found = companions_of(shelf["bleach_household"])
    never = {name: one.finding.consequence for one in found.never for _, name in one.others}
    assert "chlorine" in never[shelf["hydrochloric_acid_6m"].name]
    assert "chloramine" in never[shelf["ammonia_2m"].name]
    assert shelf["sand"].name not in never
    acid = companions_of(shelf["hydrochloric_acid_6m"])
    assert not acid.missing and any(trait.group == "acid_strong" and trait.why for trait in acid.traits)


def test_nothing_written_down_is_not_known(shelf):
    unknown = Reagent.objects.create(name="grey powder", kind="solid", measure="mass", source="test")
    assert companions_of(unknown).missing
    assert ("grey powder") in [name for _, name in companions_of(shelf["bleach_household"]).unknown]


def test_the_page_says_what_and_why(shelf, client, teacher):
    client.force_login(teacher)
    page = client.get(reverse("reagent-mixing", args=[shelf["bleach_household"].pk])).content.decode()
    assert "Never with" in page and "Caution with" in page
    assert "chlorine" in page and shelf["hydrochloric_acid_6m"].name in page
    assert "hypochlorite ion" in page
    detail = client.get(shelf["bleach_household"].get_absolute_url()).content.decode()
    assert reverse("reagent-mixing", args=[shelf["bleach_household"].pk]) in detail


def test_the_number_of_queries_does_not_grow(shelf, django_assert_max_num_queries):
    with django_assert_max_num_queries(12):
        companions_of(shelf["bleach_household"])


def test_the_summary_prints(shelf, client, teacher):
    client.force_login(teacher)
    answer = client.get(reverse("reagent-summary", args=[shelf["bleach_household"].pk]))
    assert answer.status_code == 200 and answer.content.startswith(b"%PDF")
