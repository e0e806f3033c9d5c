"""Acts on stock from the pages: each writes one line, and a refused one writes nothing."""

import datetime

import pytest
from django.urls import reverse

from stockroom.hazards.models import ReagentHazard
from stockroom.inventory import ledger
from stockroom.inventory.models import Container, Location, Movement, Reagent


@pytest.fixture
def bottle(make_reagent, make_container):
    ethanol = make_reagent("Ethanol", measure="volume", density="0.79")
    return make_container(ethanol, 2_500_000)


@pytest.fixture
def waste(shelf, today):
    return ledger.open_waste(
        stream="flammable_organic", capacity=5_000_000, measure="volume", location=shelf, started_on=today
    )


def act(client, container, name, **data):
    data.setdefault("why", "class 9b")
    data.setdefault("on", datetime.date.today().isoformat())
    return client.post(reverse("container-act", args=[container.pk, name]), data)


def balance(container) -> int:
    return Container.objects.get(pk=container.pk).balance


# --- receiving


def delivery(reagent, place, **change):
    data = {"reagent": reagent.name, "amount": "2.5 L", "how_many": "1", "location": place.pk, "lot": "N-1"}
    return data | {"on": datetime.date.today().isoformat()} | change


def test_a_delivery_of_equal_containers(keeper, technician, make_reagent, shelf, supplier, today):
    ethanol = make_reagent("Ethanol", measure="volume")
    expires = today + datetime.timedelta(700)
    data = delivery(ethanol, shelf, how_many="3", supplier=supplier.pk, expires_on=expires.isoformat())
    answer = keeper.post(reverse("container-receive"), data)
    containers = Container.objects.all()
    assert answer.url.startswith(reverse("labels"))
    assert all(container.code in answer.url for container in containers)
    assert [(c.balance, c.lot, c.usable_until, c.supplier) for c in containers] == [
        (2_500_000, "N-1", expires, supplier)
    ] * 3
    assert set(Movement.objects.values_list("kind", "change", "who")) == {
        ("receive", 2_500_000, technician.pk)
    }
    assert ledger.prove() == (3, [])


def test_one_container_leads_to_its_page(keeper, make_reagent, shelf):
    answer = keeper.post(reverse("container-receive"), delivery(make_reagent(measure="volume"), shelf))
    assert answer.url == Container.objects.get().get_absolute_url()


def test_the_address_fills_in_what_it_knows(keeper, make_reagent, shelf):
    reagent = make_reagent("Ethanol", measure="volume")
    page = keeper.get(reverse("container-receive"), {"reagent": reagent.pk, "location": shelf.pk})
    assert page.context["form"]["reagent"].value() == "Ethanol"
    for odd in ("x", "-1", "9" * 30, ""):
        assert keeper.get(reverse("container-receive"), {"reagent": odd, "location": odd}).status_code == 200


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"reagent": ""}, "reagent"),
        ({"reagent": "Nothing of the kind"}, "reagent"),
        ({"reagent": "Etha\0nal"}, "reagent"),
        ({"reagent": "<script>alert(1)</script>"}, "reagent"),
        ({"amount": ""}, "amount"),
        ({"amount": "2.5"}, "amount"),
        ({"amount": "0 L"}, "amount"),
        ({"amount": "-1 L"}, "amount"),
        ({"amount": "2 kg"}, "amount"),
        ({"amount": "3 pieces"}, "amount"),
        ({"amount": "5 parsec"}, "amount"),
        ({"amount": "1e30 L"}, "amount"),
        ({"amount": "9" * 500}, "amount"),
        ({"how_many": "0"}, "how_many"),
        ({"how_many": "51"}, "how_many"),
        ({"how_many": "two"}, "how_many"),
        ({"location": ""}, "location"),
        ({"location": "999999"}, "location"),
        ({"location": "../.."}, "location"),
        ({"lot": "l" * 61}, "lot"),
        ({"on": "2999-01-01"}, "on"),
        ({"on": "0001-01-01"}, "on"),
        ({"expires_on": "2001-01-01"}, "expires_on"),
        ({"opened_on": "2999-01-01"}, "opened_on"),
        ({"opened_on": "2001-01-01"}, "opened_on"),
        ({"note": "n" * 201}, "note"),
    ],
)
def test_a_bad_delivery_is_answered_beside_the_field(keeper, make_reagent, shelf, change, field):
    data = delivery(make_reagent("Ethanol", measure="volume"), shelf) | change
    answer = keeper.post(reverse("container-receive"), data)
    assert answer.status_code == 200
    assert field in answer.context["form"].errors
    assert answer.context["form"][field].value() == change[field]
    assert not Container.objects.exists()
    assert "<script>alert" not in answer.content.decode()


def test_nothing_is_received_of_a_retired_reagent(keeper, make_reagent, shelf, today):
    reagent = make_reagent("Ethanol", measure="volume", retired_on=today)
    answer = keeper.post(reverse("container-receive"), delivery(reagent, shelf))
    assert "is retired" in answer.content.decode()
    assert not Container.objects.exists()


def test_a_place_where_it_must_not_stand_is_warned_of(keeper, make_reagent, make_container, shelf):
    acid = make_reagent("Strong acid", measure="volume", groups=["acid_strong"])
    base = make_reagent("Strong base", groups=["base_strong"])
    for reagent in (acid, base):
        ReagentHazard.objects.create(reagent=reagent, hazard_class="skin_corr_1a")
    make_container(base, 1000)
    url, data = reverse("container-receive"), delivery(acid, shelf)
    answer = keeper.post(url, data)
    assert "must not be stored beside Strong base" in str(answer.context["form"].errors["location"])
    assert Container.objects.count() == 1
    page = keeper.post(url, data | {"despite": "on"}, follow=True).content.decode()
    assert "Strong acid must not be stored beside Strong base" in page
    assert Container.objects.count() == 2


def test_nor_is_it_moved_there_without_a_tick(keeper, make_reagent, make_container):
    acid = make_reagent("Strong acid", measure="volume", groups=["acid_strong"])
    base = make_reagent("Strong base", groups=["base_strong"])
    for reagent in (acid, base):
        ReagentHazard.objects.create(reagent=reagent, hazard_class="skin_corr_1a")
    safe = Location.objects.create(name="Acids room", level="room")
    there = make_container(base, 1000).location
    bottle = make_container(acid, 1000, location=safe)
    answer = act(keeper, bottle, "move", location=there.pk)
    assert "must not be stored beside Strong base" in str(answer.context["form"].errors["location"])
    assert Container.objects.get(pk=bottle.pk).location == safe
    act(keeper, bottle, "move", location=there.pk, despite="on")
    assert Container.objects.get(pk=bottle.pk).location == there


# --- acts on one container


def test_draw_and_give_back_in_the_units_people_write(keeper, technician, bottle):
    assert act(keeper, bottle, "draw", amount="1/2 L").url == bottle.get_absolute_url()
    assert balance(bottle) == 2_000_000
    act(keeper, bottle, "draw", amount="79 g")
    assert balance(bottle) == 1_900_000
    act(keeper, bottle, "give-back", amount="100 cm3", why="left over")
    assert balance(bottle) == 2_000_000
    line = Movement.objects.first()
    assert (line.kind, line.why, line.who) == ("return", "left over", technician)
    assert Container.objects.get(pk=bottle.pk).opened_on == datetime.date.today()


def test_move_correct_and_set_apart(keeper, bottle, shelf):
    other = Location.objects.create(name="Cold room", level="room")
    act(keeper, bottle, "move", location=other.pk)
    assert Container.objects.get(pk=bottle.pk).location == other
    act(keeper, bottle, "correct", amount="0 mL")
    assert balance(bottle) == 0
    act(keeper, bottle, "quarantine", why="cap cracked")
    assert Container.objects.get(pk=bottle.pk).state == "quarantined"
    page = keeper.get(bottle.get_absolute_url()).content.decode()
    assert "/draw/" not in page and "/release/" in page
    act(keeper, bottle, "release", why="new cap")
    assert Container.objects.get(pk=bottle.pk).state == "in_use"
    assert ledger.prove()[1] == []


def test_discarding_all_into_waste(keeper, bottle, waste):
    act(keeper, bottle, "discard", amount="", into=waste.pk, why="too old", vouched="known")
    waste.refresh_from_db()
    assert waste.contents == 0, "what nobody has described stands by itself"
    Reagent.objects.update(groups=["acid_dilute"])
    act(keeper, bottle, "discard", amount="", into=waste.pk, why="too old", vouched="known")
    waste.refresh_from_db()
    assert (balance(bottle), waste.contents) == (0, 2_500_000)
    assert Container.objects.get(pk=bottle.pk).state == "gone"
    assert "/discard/" not in keeper.get(bottle.get_absolute_url()).content.decode()


def test_what_does_not_fit_into_the_waste_container_is_not_discarded(keeper, bottle, waste, technician):
    ledger.add_waste(waste, 4_000_000, description="rinsings", who=technician)
    answer = act(keeper, bottle, "discard", amount="2 L", into=waste.pk)
    assert "90 % full" in str(answer.context["form"].errors)
    assert balance(bottle) == 2_500_000


@pytest.mark.parametrize(
    ("name", "change", "field"),
    [
        ("draw", {"amount": "3 L"}, "amount"),
        ("draw", {"amount": "5"}, "amount"),
        ("draw", {"amount": "1 piece"}, "amount"),
        ("draw", {"amount": "0.000001 uL"}, "amount"),
        ("draw", {"amount": "1 L", "why": "  "}, "why"),
        ("draw", {"amount": "1 L", "why": "w" * 201}, "why"),
        ("draw", {"amount": "1 L", "on": "2999-01-01"}, "on"),
        ("draw", {"amount": "1 L", "on": "2020-01-01"}, "on"),
        ("draw", {"amount": "=cmd|' /C calc'!A0"}, "amount"),
        ("give-back", {"amount": "1 mL"}, "amount"),
        ("move", {"location": "77777"}, "location"),
        ("correct", {"amount": "2.5 L"}, "amount"),
        ("correct", {"amount": "none"}, "amount"),
        ("discard", {"amount": "2.6 L"}, "amount"),
        ("discard", {"into": "4444"}, "into"),
        ("quarantine", {"why": ""}, "why"),
        ("release", {"why": "fine"}, "__all__"),
    ],
)
def test_a_refused_act_says_why_keeps_the_text_and_writes_nothing(keeper, bottle, name, change, field):
    answer = act(keeper, bottle, name, **change)
    assert answer.status_code == 200
    form = answer.context["form"]
    assert field in form.errors
    for typed, text in change.items():
        assert form[typed].value() == text
    assert Movement.objects.count() == 1
    assert balance(bottle) == 2_500_000


def test_nobody_draws_from_what_is_out_of_date(keeper, make_reagent, make_container, today):
    day = datetime.timedelta(1)
    old = make_container(make_reagent(measure="volume"), 1000, on=today - 9 * day, expires_on=today - day)
    assert "expired after" in act(keeper, old, "draw", amount="1 mL").content.decode()
    assert balance(old) == 1000


def test_a_retired_place_is_not_offered(keeper, bottle, today):
    old = Location.objects.create(name="Old room", level="room", retired_on=today)
    assert "location" in act(keeper, bottle, "move", location=old.pk).context["form"].errors


def test_htmx_gets_the_form_alone(keeper, bottle):
    url = reverse("container-act", args=[bottle.pk, "draw"])
    part = keeper.get(url, headers={"HX-Request": "true", "HX-Target": "act"}).content.decode()
    assert "<html" not in part and f'action="{url}"' in part
    assert "<html" in keeper.get(url).content.decode()


# --- the opposite line


def test_the_opposite_line_mends_a_slip_once(keeper, bottle):
    act(keeper, bottle, "draw", amount="1 L")
    slip = Movement.objects.first()
    url = reverse("movement-reverse", args=[slip.pk])
    assert "1 L of" in keeper.get(url).content.decode()
    assert "why" in keeper.post(url, {"why": ""}).context["form"].errors
    assert keeper.post(url, {"why": "was 100 mL"}).url == bottle.get_absolute_url()
    assert balance(bottle) == 2_500_000
    again = keeper.post(url, {"why": "once more"})
    assert "reversed already" in again.content.decode()
    assert Movement.objects.count() == 3
    assert Movement.objects.filter(pk=slip.pk, change=-1_000_000).exists()


def test_whoever_acts_on_what_nobody_has_classified_is_told_so(keeper, make_reagent, make_container):
    bottle = make_container(make_reagent("Mystery"), 1_000_000)
    page = keeper.get(reverse("container-act", args=[bottle.pk, "move"])).content.decode()
    assert "Not classified yet" in page
    bottle.reagent.hazards.create(hazard_class="skin_irrit_2")
    page = keeper.get(reverse("container-act", args=[bottle.pk, "move"])).content.decode()
    assert "Not classified yet" not in page
