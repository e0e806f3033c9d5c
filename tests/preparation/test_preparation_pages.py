"""Preparations: parts on one screen, and making up from the containers that expire first."""

import datetime

import pytest
from django.urls import reverse

from stockroom.inventory import ledger
from stockroom.inventory.models import Batch, Chemical, Container, Movement, Preparation, PreparationPart

#: so that no rule of storage bears on these tests
SETTLED = {"hazard_state": "none", "groups": ["aqueous"]}


@pytest.fixture
def acid(make_reagent):
    return make_reagent("Sulfuric acid 96 %", measure="volume", density="1.84", **SETTLED)


@pytest.fixture
def water(make_reagent):
    return make_reagent("Water", measure="volume", **SETTLED)


@pytest.fixture
def dilute(make_reagent):
    return make_reagent("Sulfuric acid 1 mol/L", measure="volume", shelf_life_sealed_days=365, **SETTLED)


@pytest.fixture
def preparation(acid, water, dilute):
    preparation = Preparation.objects.create(reagent=dilute, yield_amount=1_000_000, method="Acid into water")
    PreparationPart.objects.create(preparation=preparation, reagent=acid, amount=55_600)
    PreparationPart.objects.create(preparation=preparation, reagent=water, amount=950_000)
    return preparation


RECIPE = {
    "reagent": "Sulfuric acid 1 mol/L",
    "name": "",
    "yield_amount": "1 L",
    "lead_days": "0",
    "method": "Cool the water.\nPour the acid slowly into it.",
    "parts-TOTAL_FORMS": "2",
    "parts-INITIAL_FORMS": "0",
    "parts-0-reagent": "Sulfuric acid 96 %",
    "parts-0-amount": "102.3 g",
    "parts-1-reagent": "water",
    "parts-1-amount": "950 mL",
}


def test_one_screen_writes_a_preparation(keeper, acid, water, dilute):
    answer = keeper.post(reverse("preparation-add"), RECIPE)
    preparation = Preparation.objects.get()
    assert answer.url == preparation.get_absolute_url()
    parts = dict(preparation.parts.values_list("reagent__name", "amount"))
    # 102.3 g at 1.84 g/mL
    assert parts == {"Sulfuric acid 96 %": 55_598, "Water": 950_000}
    page = keeper.get(preparation.get_absolute_url()).content.decode()
    assert "<li>Pour the acid slowly into it.</li>" in page


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"reagent": ""}, "required"),
        ({"reagent": "Aqua regia"}, "There is no reagent"),
        ({"yield_amount": "1 kg"}, "density"),
        ({"yield_amount": "0 mL"}, "greater than zero"),
        ({"lead_days": "90"}, "at most 60"),
        ({"parts-0-amount": "50"}, "Add a unit"),
        ({"parts-0-amount": "2 pieces"}, "mass of one piece"),
        ({"parts-0-reagent": "<script>x</script>"}, "There is no reagent"),
        ({"parts-0-reagent": "Sulfuric acid 1 mol/L", "parts-0-amount": "9 mL"}, "made from itself"),
        ({"parts-0-reagent": "Water", "parts-0-amount": "9 mL"}, "is listed twice"),
        ({"parts-TOTAL_FORMS": "0"}, "at least 1"),
    ],
)
def test_bad_input_writes_nothing(keeper, acid, water, dilute, change, message):
    page = keeper.post(reverse("preparation-add"), RECIPE | change)
    assert page.status_code == 200
    assert message in page.content.decode()
    assert "<script>x" not in page.content.decode()
    assert not Preparation.objects.exists()


def test_nothing_is_made_round_in_a_circle(keeper, preparation, make_reagent):
    back = {"reagent": "Sulfuric acid 96 %", "parts-TOTAL_FORMS": "1"}
    back |= {"parts-0-reagent": "Sulfuric acid 1 mol/L", "parts-0-amount": "1 L"}
    page = keeper.post(reverse("preparation-add"), RECIPE | back).content.decode()
    assert "round in a circle" in page
    assert Preparation.objects.count() == 1


def test_turning_a_preparation_round_is_no_circle_with_its_own_old_self(keeper, preparation, acid, dilute):
    part = preparation.parts.get(reagent=acid)
    preparation.parts.exclude(pk=part.pk).delete()
    turned = RECIPE | {"reagent": "Sulfuric acid 96 %", "parts-TOTAL_FORMS": "1", "parts-INITIAL_FORMS": "1"}
    turned |= {"parts-0-id": part.pk, "parts-0-reagent": "Sulfuric acid 1 mol/L", "parts-0-amount": "1 L"}
    assert keeper.post(reverse("preparation-edit", args=[preparation.pk]), turned).status_code == 302
    preparation.refresh_from_db()
    assert (preparation.reagent, preparation.parts.get().reagent) == (acid, dilute)


def test_a_part_can_be_taken_out(keeper, preparation):
    parts = list(preparation.parts.all())
    data = RECIPE | {"parts-INITIAL_FORMS": "2", "parts-1-DELETE": "on"}
    data |= {f"parts-{number}-id": part.pk for number, part in enumerate(parts)}
    keeper.post(reverse("preparation-edit", args=[preparation.pk]), data)
    assert [part.reagent.name for part in preparation.parts.all()] == ["Sulfuric acid 96 %"]


def test_the_list_searches_product_and_parts(keeper, preparation):
    for text in ("1 mol/L", "96 %"):
        table = keeper.get(reverse("preparation-list"), {"q": text}).context["table"]
        assert len(table.rows) == 1, text


def test_an_empty_list_says_what_to_do_first(keeper):
    assert "Write the first" in keeper.get(reverse("preparation-list")).content.decode()


# --- making up


@pytest.fixture
def shelves(acid, water, make_container, today):
    """Acid in three bottles (late, soon, expired), water in one."""
    day = datetime.timedelta
    late = make_container(acid, 500_000, expires_on=today + day(300))
    soon = make_container(acid, 500_000, expires_on=today + day(30))
    old = make_container(acid, 500_000, on=today - day(9), expires_on=today - day(1))
    return {"late": late, "soon": soon, "old": old, "water": make_container(water, 10_000_000)}


def make_up_url(preparation):
    return reverse("preparation-make-up", args=[preparation.pk])


def shown_form(client, preparation, **query) -> dict:
    form = client.get(make_up_url(preparation), query).context["form"]
    return {name: form[name].value() or "" for name in form.fields if name != "meant"}


def test_the_first_to_expire_is_proposed_and_the_expired_is_not(keeper, preparation, shelves):
    shown = shown_form(keeper, preparation, amount="500 mL")
    assert shown["amount"] == "500 mL"
    assert shown[f"take_{shelves['soon'].pk}"] == "27.8 mL"
    assert shown[f"take_{shelves['late'].pk}"] == ""
    assert shown[f"take_{shelves['water'].pk}"] == "475 mL"
    assert f"take_{shelves['old'].pk}" not in shown


def test_making_up_posts_the_ledger_and_leads_to_the_new_container(
    keeper, technician, preparation, shelves, shelf, today
):
    data = shown_form(keeper, preparation) | {"location": shelf.pk, "on": today.isoformat()}
    data |= {"for_what": "class 10a"}
    answer = keeper.post(make_up_url(preparation), data)
    batch = Batch.objects.get()
    made = batch.container
    assert answer.url == made.get_absolute_url()
    assert (made.balance, made.usable_until) == (1_000_000, today + datetime.timedelta(365))
    assert Container.objects.get(pk=shelves["soon"].pk).balance == 444_400
    assert Container.objects.get(pk=shelves["water"].pk).balance == 9_050_000
    assert set(Movement.objects.filter(kind="draw").values_list("why", flat=True)) == {
        "making up Sulfuric acid 1 mol/L for class 10a"
    }
    assert ledger.prove()[1] == []
    page = keeper.get(answer.url).content.decode()
    assert reverse("container-label", args=[made.pk]) in page
    assert "55.6 mL Sulfuric acid 96 %" in keeper.get(batch.get_absolute_url()).content.decode()


def test_amounts_far_from_the_recipe_are_asked_about_once(keeper, preparation, shelves, shelf, today):
    data = shown_form(keeper, preparation) | {"location": shelf.pk, "on": today.isoformat()}
    data[f"take_{shelves['soon'].pk}"] = "5.56 mL"
    answer = keeper.post(make_up_url(preparation), data)
    page = answer.content.decode()
    assert "5.56 mL instead of 55.6 mL" in page and 'name="meant"' in page
    assert not Batch.objects.exists()
    assert keeper.post(make_up_url(preparation), data | {"meant": "on"}).status_code == 302
    assert Container.objects.get(pk=shelves["soon"].pk).balance == 494_440


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"amount": ""}, "amount"),
        ({"amount": "1"}, "amount"),
        ({"amount": "1 kg"}, "amount"),
        ({"amount": "<b>"}, "amount"),
        ({"location": ""}, "location"),
        ({"on": "2999-01-01"}, "on"),
        ({"expires_on": "2001-01-01"}, "expires_on"),
        ({"take soon": "3 pieces"}, "take soon"),
        ({"take soon": "-1 mL"}, "take soon"),
        ({"take soon": ""}, "__all__"),
        ({"note": "n" * 501}, "note"),
    ],
)
def test_bad_making_up_writes_nothing(keeper, preparation, shelves, shelf, today, change, field):
    names = {"take soon": f"take_{shelves['soon'].pk}"}
    data = shown_form(keeper, preparation) | {"location": shelf.pk, "on": today.isoformat()}
    data |= {names.get(name, name): value for name, value in change.items()}
    answer = keeper.post(make_up_url(preparation), data)
    assert names.get(field, field) in answer.context["form"].errors
    assert not Batch.objects.exists()
    assert Container.objects.get(pk=shelves["soon"].pk).balance == 500_000


def test_too_little_left_is_said_with_where_to_go(keeper, preparation, acid, water, make_container):
    make_container(water, 10_000_000)
    make_container(acid, 10_000)
    page = keeper.get(make_up_url(preparation)).content.decode()
    assert "45.6 mL short" in page and acid.get_absolute_url() in page


def test_more_than_a_bottle_holds_is_refused_whole(keeper, preparation, shelves, shelf, today):
    data = shown_form(keeper, preparation, amount="1 L") | {"location": shelf.pk, "on": today.isoformat()}
    data |= {f"take_{shelves['soon'].pk}": "600 mL", "meant": "on"}
    answer = keeper.post(make_up_url(preparation), data)
    assert "less than 600 mL" in answer.content.decode()
    assert not Batch.objects.exists()
    assert Container.objects.get(pk=shelves["water"].pk).balance == 10_000_000


def test_htmx_gets_the_parts_alone(keeper, preparation, shelves):
    headers = {"HX-Request": "true", "HX-Target": "parts"}
    part = keeper.get(make_up_url(preparation), {"amount": "2 L"}, headers=headers).content.decode()
    assert "<html" not in part and "111.2 mL" in part
    wrong = keeper.get(make_up_url(preparation), {"amount": "two"}, headers=headers).content.decode()
    assert 'role="alert"' in wrong


def test_a_retired_preparation_is_not_made_up(keeper, preparation, today):
    keeper.post(reverse("preparation-retire", args=[preparation.pk]))
    assert keeper.get(make_up_url(preparation)).status_code == 404


def test_queries_do_not_grow_with_the_rows(keeper, preparation, shelves, make_container, count_queries):
    lists, pages = [], []
    acid = shelves["soon"].reagent
    for rows in (2, 20):
        for number in range(Preparation.objects.count(), rows):
            other = Preparation.objects.create(reagent=preparation.reagent, yield_amount=1, name=f"{number}")
            other.parts.create(reagent=acid, amount=1)
            make_container(acid, 1000)
        lists.append(count_queries(keeper, reverse("preparation-list")))
        pages.append(count_queries(keeper, make_up_url(preparation)))
    assert lists[0] == lists[1]
    assert pages[0] == pages[1]


def test_making_up_warns_of_heat_and_names_the_glassware(keeper, preparation, acid):
    chemical = Chemical.objects.create(name="sulfuric acid as it is sold", formula="H2SO4")
    acid.components.create(chemical=chemical, value=96, unit="% w/w")
    part = preparation.parts.get(reagent=acid)
    part.amount = 300_000
    part.save()
    page = keeper.get(make_up_url(preparation), {"amount": "1 L"}).content.decode()
    assert "Glassware: 1 L volumetric flask" in page
    assert f"{acid}: could boil" in page or f"{acid}: gets hot" in page
    page = keeper.get(make_up_url(preparation), {"amount": "700 mL"}).content.decode()
    assert "No flask has exactly this volume" in page
    assert 'href="?amount=1%20L"' in page
