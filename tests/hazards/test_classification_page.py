"""The page that reckons a reagent's classes from what it holds."""

from decimal import Decimal

import pytest
from django.urls import reverse

from stockroom.catalogue.loader import load
from stockroom.common.department import Department
from stockroom.hazards.classification import _families, classification_of
from stockroom.hazards.models import ReagentHazard
from stockroom.inventory import ledger
from stockroom.inventory.models import Chemical, Component, Preparation, Reagent

pytestmark = pytest.mark.django_db


def chemical(name, cas, formula):
    return Chemical.objects.create(name=name, cas_rn=cas, formula=formula)


def reagent(name, kind, components, classes=None, **more):
    row = Reagent.objects.create(name=name, kind=kind, measure="volume", **more)
    for holds, value, unit in components:
        Component.objects.create(reagent=row, chemical=holds, value=value, unit=unit)
    for key in classes or ():
        ReagentHazard.objects.create(reagent=row, hazard_class=key)
    row.refresh_from_db()
    return row


@pytest.fixture
def water(db):
    found, _ = Chemical.objects.get_or_create(
        cas_rn="7732-18-5", defaults={"name": "water", "formula": "H2O"}
    )
    return found


@pytest.fixture
def strong_acid(db):
    acid = chemical("hydrogen chloride test", "7647-01-0", "HCl")
    classes = ("met_corr_1", "skin_corr_1b", "eye_dam_1", "stot_se_3_irritation")
    return reagent("strong acid", "liquid", [(acid, 37, "% w/w")], classes, storage_kind="acids")


@pytest.fixture
def dilute_acid(strong_acid, water):
    acid = Chemical.objects.get(cas_rn="7647-01-0")
    return reagent("dilute acid", "solution", [(acid, 6, "mol/L")], solvent=water, density=Decimal("1.10"))


#: 6 mol/L hydrochloric acid: 29 CFR 1910.1200 App. A.2.4.3.4, a strong acid from 1 %
EXPECTED = {"met_corr_1", "skin_corr_1", "eye_dam_1", "stot_se_3_irritation"}
#: Regulation (EC) 1272/2008 Annex VI: irritant from 10 to 25 %
EXPECTED_IN_EUROPE = {"met_corr_1", "skin_irrit_2", "eye_irrit_2a", "stot_se_3_irritation"}


def test_classes_come_from_the_strongest_form(dilute_acid):
    found = classification_of(dilute_acid)
    assert found.complete
    assert set(found.classes) == EXPECTED


def test_the_limits_are_those_of_the_department_s_country(dilute_acid):
    department = Department.current()
    department.country = "DE"
    department.save()
    assert set(classification_of(dilute_acid).classes) == EXPECTED_IN_EUROPE


def test_a_chemical_without_a_classified_form_is_not_safe(dilute_acid, strong_acid):
    strong_acid.hazards.all().delete()
    found = classification_of(Reagent.objects.get(pk=dilute_acid.pk))
    assert not found.complete
    assert found.cautious


def test_a_hydrate_speaks_for_its_salt(water):
    salt = chemical("salt", None, "CuSO4")
    hydrate = chemical("hydrate", None, "CuSO4·5H2O")
    reagent("blue crystals", "hydrate", [(hydrate, None, "pure")], ("acute_tox_oral_4", "eye_dam_1"))
    solution = reagent("blue solution", "solution", [(salt, 5, "% w/w")], solvent=water, density=1)
    assert classification_of(solution).classes == ("eye_dam_1",)


def test_no_composition_no_classes(water):
    assert classification_of(reagent("nameless", "solution", [])) is None


def test_the_page_shows_the_reasoning(client, technician, dilute_acid):
    client.force_login(technician)
    page = client.get(reverse("reagent-classification", args=[dilute_acid.pk])).content.decode()
    assert "of 25 %" in page or "of 10 %" in page
    assert "Regulation" in page or "UN GHS" in page
    assert "<svg" in page
    assert "Add these classes, not verified against SDS" in page


def test_taking_the_classes_leaves_them_unchecked(client, technician, dilute_acid):
    client.force_login(technician)
    client.post(reverse("reagent-classification", args=[dilute_acid.pk]), {"ph": ""})
    rows = list(dilute_acid.hazards.all())
    assert {row.hazard_class for row in rows} == EXPECTED
    assert not any(row.is_checked for row in rows)
    assert all(row.source.startswith("worked out") for row in rows)
    dilute_acid.refresh_from_db()
    assert dilute_acid.hazard_state == Reagent.HazardState.CLASSIFIED


def test_taking_twice_adds_nothing(client, technician, dilute_acid):
    client.force_login(technician)
    url = reverse("reagent-classification", args=[dilute_acid.pk])
    client.post(url, {"ph": ""})
    page = client.post(url, {"ph": ""}, follow=True).content.decode()
    assert "Nothing to add" in page
    assert dilute_acid.hazards.count() == len(EXPECTED)


def test_half_known_classes_are_not_taken(client, technician, dilute_acid):
    dye = chemical("some dye", None, "")
    Component.objects.create(reagent=dilute_acid, chemical=dye, value=1, unit="% w/v")
    client.force_login(technician)
    url = reverse("reagent-classification", args=[dilute_acid.pk])
    page = client.post(url, {"ph": ""}, follow=True).content.decode()
    assert "Nothing is saved" in page
    assert "Not classified yet." in page
    assert not dilute_acid.hazards.exists()


def test_a_teacher_may_look_not_take(client, teacher, dilute_acid):
    client.force_login(teacher)
    url = reverse("reagent-classification", args=[dilute_acid.pk])
    page = client.get(url)
    assert page.status_code == 200
    assert "Add these classes" not in page.content.decode()
    client.post(url, {"ph": ""})
    assert not dilute_acid.hazards.exists()


@pytest.mark.parametrize("ph", ["nan", "1e999", "-50", "acid"])
def test_a_ph_that_cannot_be_is_said(client, technician, dilute_acid, ph):
    client.force_login(technician)
    page = client.get(reverse("reagent-classification", args=[dilute_acid.pk]), {"ph": ph})
    assert page.status_code == 200
    assert "errorlist" in page.content.decode()


def test_an_impossible_composition_is_said(client, technician, water):
    sugar, salt = chemical("sugar", None, ""), chemical("salt", None, "NaCl")
    row = reagent("too much", "solution", [(sugar, 70, "% w/w"), (salt, 60, "% w/w")], solvent=water)
    client.force_login(technician)
    page = client.get(reverse("reagent-classification", args=[row.pk])).content.decode()
    assert "add up to 130 %" in page


def test_signed_out_sees_the_sign_in_page(client, dilute_acid):
    answer = client.get(reverse("reagent-classification", args=[dilute_acid.pk]))
    assert answer.status_code == 302
    assert reverse("sign-in") in answer.url


def test_what_is_made_up_shows_the_classes_that_follow(client, technician, shelf, dilute_acid, strong_acid):
    preparation = Preparation.objects.create(reagent=dilute_acid, yield_amount=1_000_000)
    preparation.parts.create(reagent=strong_acid, amount=500_000)
    bottle = ledger.receive(strong_acid, shelf, 2_500_000, who=technician)
    batch = ledger.make_up(preparation, 1_000_000, [(bottle, 500_000)], location=shelf, who=technician)
    client.force_login(technician)
    pages = [reverse("preparation-detail", args=[preparation.pk]), batch.get_absolute_url()]
    for url in pages:
        page = client.get(url).content.decode()
        assert "Worked out from its composition" in page and "Corrosive to metals" in page
        assert reverse("reagent-classification", args=[dilute_acid.pk]) in page
    client.post(reverse("reagent-classification", args=[dilute_acid.pk]), {"ph": ""})
    for url in pages:
        assert "Worked out from its composition" not in client.get(url).content.decode()


def test_isomers_do_not_speak_for_one_another(water):
    """Tetrahydrofuran (carc. 2) has the formula of butanone; diethyl ether that of butan-1-ol."""
    ring = chemical("tetrahydrofuran", "109-99-9", "C4H8O")
    ketone = chemical("butanone", "78-93-3", "C4H8O")
    reagent("butanone, pure", "liquid", [(ketone, None, "pure")], ("flam_liq_2", "eye_irrit_2a"))
    half = reagent("half", "solution", [(ring, 50, "% w/w")], solvent=water, density=1)
    assert not classification_of(half).complete
    reagent("thf, pure", "liquid", [(ring, None, "pure")], ("flam_liq_2", "eye_irrit_2a", "carc_2"))
    assert "carc_2" in classification_of(half).classes


def test_an_organic_hydrate_follows_only_the_acid_that_it_is_named_after(water):
    hydrate = chemical("citric acid monohydrate", "5949-29-1", "C6H8O7·H2O")
    isomer = chemical("isocitric acid", "320-77-4", "C6H8O7")
    reagent("isocitric acid, pure", "solid", [(isomer, None, "pure")], ("skin_corr_1b",))
    solution = reagent("citric acid 20 %", "solution", [(hydrate, 20, "% w/w")], solvent=water, density=1)
    assert not classification_of(solution).complete
    acid = chemical("citric acid", "77-92-9", "C6H8O7")
    reagent("citric acid, dry", "solid", [(acid, None, "pure")], ("eye_irrit_2a",))
    found = classification_of(solution)
    assert found.complete
    assert "eye_irrit_2a" in found.classes
    assert "skin_corr_1b" not in found.classes


def test_every_hydrate_of_the_catalogue_finds_its_salt(water):
    rows = load().chemicals
    known = {
        key: Chemical(pk=n, name=row.name, formula=row.formula) for n, (key, row) in enumerate(rows.items())
    }
    families = _families(list(known.values()))
    joined = {key: families[known[key].pk] for key in rows if families[known[key].pk] != known[key].pk}
    assert joined == {key: known[row.anhydrous].pk for key, row in rows.items() if row.anhydrous}


def test_what_holds_more_than_water_is_no_hydrate(water):
    """Sodium percarbonate is an oxidizer that damages the eye; sodium carbonate is neither."""
    soda = chemical("sodium carbonate", "497-19-8", "Na2CO3")
    percarbonate = chemical("sodium percarbonate", "15630-89-4", "Na2CO3·1.5H2O2")
    reagent("soda, dry", "solid", [(soda, None, "pure")], ("eye_irrit_2a",))
    solution = reagent("bleach powder", "solution", [(percarbonate, 20, "% w/w")], solvent=water, density=1)
    assert not classification_of(solution).complete
