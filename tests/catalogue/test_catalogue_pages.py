"""Adding a reagent by typing a name or CAS RN: suggestions, a filled-in form, its sources."""

import pytest
from django.urls import reverse

from stockroom.catalogue.loader import load
from stockroom.catalogue.start import start_from, suggest
from stockroom.inventory.models import Chemical, Component, Reagent

pytestmark = pytest.mark.django_db


@pytest.fixture
def row():
    """A row of the catalog with classes and a solvent."""
    return next(row for row in load().reagents.values() if row.hazard_classes and row.solvent and row.density)


def sent(client, key, **changes):
    """Post the form as it was shown."""
    url = f"{reverse('reagent-add')}?start={key}"
    shown = client.get(url)
    form, formset = shown.context["form"], shown.context["formset"]
    data = {name: form[name].value() for name in form.fields if form[name].value() not in (None, False)}
    for one in [formset.management_form, *formset.forms]:
        values = {one[name].html_name: one[name].value() for name in one.fields if name != "DELETE"}
        data |= {name: "" if value is None else value for name, value in values.items()}
    return client.post(url, data | changes)


def test_who_may_look_up(client, head, teacher, technician):
    url = reverse("reagent-suggestions")
    for person, may in ((head, 200), (technician, 200), (teacher, 403)):
        client.force_login(person)
        assert client.get(url, {"q": "acid"}).status_code == may
    client.logout()
    assert reverse("sign-in") in client.get(url).url


def test_a_name_a_synonym_and_a_number_find_it(keeper, row):
    chemical = load().chemicals[row.components[0].chemical]
    for text in (row.name, chemical.cas, chemical.name[:6]):
        page = keeper.get(reverse("reagent-suggestions"), {"q": text}).content.decode()
        assert chemical.name.split()[0].lower() in page.lower()
    assert (
        f"start=catalogue%3A{row.key}"
        in keeper.get(reverse("reagent-suggestions"), {"q": row.name}).content.decode()
    )


def test_it_works_without_javascript(keeper, row):
    assert f"catalogue%3A{row.key}" in keeper.get(reverse("reagent-add"), {"q": row.name}).content.decode()


def test_the_form_is_filled_in_with_its_sources_and_nothing_is_saved(keeper, row):
    page = keeper.get(reverse("reagent-add"), {"start": f"catalogue:{row.key}"})
    assert page.context["form"]["name"].value() == row.name
    text = page.content.decode()
    assert "None of it is verified against SDS" in text and "Hazard classes" in text
    assert not Reagent.objects.exists() and not Chemical.objects.exists()


def test_saving_brings_chemicals_and_classes_unchecked(keeper, row):
    answer = sent(keeper, f"catalogue:{row.key}")
    assert answer.status_code == 302
    reagent = Reagent.objects.get()
    assert {hazard.hazard_class for hazard in reagent.hazards.all()} == set(row.hazard_classes)
    assert not reagent.is_checked and not any(hazard.is_checked for hazard in reagent.hazards.all())
    assert all(hazard.source for hazard in reagent.hazards.all())
    assert (reagent.catalogue_key, reagent.hazard_state) == (row.key, "classified")
    assert reagent.components.count() == len(row.components) and reagent.solvent
    assert reagent.density == row.density


def test_another_strength_takes_no_classes_over(keeper, row):
    changes = {"components-0-value": "0.5", "components-0-unit": "% w/w"}
    page = keeper.post(
        f"{reverse('reagent-add')}?start=catalogue:{row.key}",
        {
            "name": "Something weaker",
            "kind": "solution",
            "measure": "volume",
            "storage_kind": "general",
            "source": "from memory",
            "components-TOTAL_FORMS": 1,
            "components-INITIAL_FORMS": 0,
            "components-0-chemical": load().chemicals[row.components[0].chemical].name,
            **changes,
        },
        follow=True,
    ).content.decode()
    assert "were not taken over" in page
    reagent = Reagent.objects.get()
    assert not reagent.hazards.exists() and reagent.hazard_state == "unknown"


def test_a_mistake_saves_nothing(keeper, row):
    answer = sent(keeper, f"catalogue:{row.key}", name="")
    assert answer.status_code == 200 and "name" in answer.context["form"].errors
    assert not Chemical.objects.exists() and not Reagent.objects.exists()


def test_a_chemical_known_by_another_name_is_used(keeper, row):
    chemical = load().chemicals[row.components[0].chemical]
    known = Chemical.objects.create(name="Our own name", cas_rn=chemical.cas, formula=chemical.formula)
    sent(keeper, f"catalogue:{row.key}")
    assert Component.objects.filter(chemical=known).exists()


def test_what_is_here_already_leads_there(keeper, row, make_reagent):
    reagent = make_reagent(row.name)
    page = keeper.get(reverse("reagent-suggestions"), {"q": row.name}).content.decode()
    assert "here already" in page and reagent.get_absolute_url() in page


def test_the_library_gives_name_and_formula_only(keeper):
    """Butyl butyrate, CAS RN 109-21-7, C8H16O2, is in no teaching catalogue."""
    found, slip = suggest("109-21-7")
    assert not slip and found[-1].key == "library:109-21-7"
    answer = sent(keeper, found[-1].key, kind="liquid", measure="volume")
    assert answer.status_code == 302
    reagent = Reagent.objects.get()
    assert (reagent.hazard_state, reagent.components.get().chemical.formula) == ("unknown", "C8H16O2")
    assert "not verified against SDS" in reagent.note


@pytest.mark.parametrize(
    "text",
    ["", " ", "x", "7647-01-1", "<script>alert(1)</script>", "\x00", "9" * 500, "%", "acid; drop", "日本"],
)
def test_odd_texts_get_an_answer(keeper, text):
    for url in (reverse("reagent-suggestions"), reverse("reagent-add")):
        answer = keeper.get(url, {"q": text})
        assert answer.status_code == 200
        assert "<script>alert" not in answer.content.decode()


def test_a_slip_in_the_number_is_said(keeper):
    assert 'role="alert"' in keeper.get(reverse("reagent-suggestions"), {"q": "7647-01-1"}).content.decode()


@pytest.mark.parametrize("key", ["catalogue:nothing", "library:1", "library:acid", "x", ":", "catalogue"])
def test_an_unknown_start_is_an_empty_form(keeper, key):
    assert start_from(key) is None
    assert keeper.get(reverse("reagent-add"), {"start": key}).context["start"] is None


def test_a_chemical_in_the_address_is_saved(keeper):
    """The row filled in beforehand comes back as it was shown, and counts."""
    chemical = Chemical.objects.create(name="Salt", formula="NaCl")
    url = f"{reverse('reagent-add')}?chemical={chemical.pk}"
    data = {
        "name": "Table salt",
        "kind": "solid",
        "measure": "mass",
        "storage_kind": "general",
        "source": "from memory",
        "components-TOTAL_FORMS": 1,
        "components-INITIAL_FORMS": 0,
        "components-0-chemical": "Salt",
        "components-0-unit": "pure",
    }
    assert keeper.post(url, data).status_code == 302
    assert Reagent.objects.get().components.get().chemical == chemical


def test_the_substance_by_itself_stands_before_what_it_is_mixed_into():
    names = [one.name for one in suggest("copper sulphate")[0]]
    assert names[0] == "copper(II) sulfate, anhydrous"
    assert names.index("copper(II) sulfate 1 mol/L") < names.index("biuret reagent")


def test_degrees_stay_degrees_celsius():
    assert "Flash point 150 °C" in start_from("library:88-89-1").fields["note"]
