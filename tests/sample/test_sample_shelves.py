"""What the invented school's shelves show of the rules: bleach put away with the acids, an old ether."""

import pytest
from django.contrib.auth import get_user_model
from django.urls import reverse

from stockroom.inventory.models import Container, Location
from stockroom.storage.advice import Shelves, conflicts_at

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("school")]


@pytest.fixture
def bleach():
    return Container.objects.get(reagent__name="sodium hypochlorite 10 % (w/w)")


def test_the_expired_bleach_goes_into_the_waste_and_not_to_the_ammonia(client, bleach):
    plan = Shelves.read().plan()
    # The iron(II) sulfate beside it is past its day as well.
    iron = Container.objects.get(reagent__name__startswith="iron(II) sulfate 0.1 mol/L in", state="in_use")
    assert {item.id for item in plan.waste} == {bleach.pk, iron.pk}
    assert (plan.moves, plan.left, plan.proven) == ((), (), True)
    assert all(item.fate_why.startswith("expired ") for item in plan.waste)
    client.force_login(get_user_model().objects.filter(groups__name="Technician").first())
    for name in ("move-plan", "conflict-list"):
        page = client.get(reverse(name)).content.decode()
        assert reverse("container-act", args=[bleach.pk, "discard"]) in page
        assert reverse("container-act", args=[bleach.pk, "move"]) not in page
        assert "Bases cabinet" not in page


def test_only_the_bleach_is_in_conflict(bleach):
    found = Shelves.read().conflicts()
    assert found and all(bleach.pk in (*one.ids_a, *one.ids_b) for one in found)
    assert {one.reach for one in found} == {"cabinet"}


def test_bleach_may_stand_on_no_tray_of_the_acids_or_of_the_ammonia(bleach):
    for tray in Location.objects.filter(level="shelf", parent__name__in=("Acids cabinet", "Bases cabinet")):
        found = conflicts_at(bleach.reagent, tray)
        assert found and found[0].severity == "severe" and found[0].reach == "cabinet", tray


def test_iron_sulfate_is_not_offered_the_tray_that_holds_bleach(client, bleach):
    name = "iron(II) sulfate 0.1 mol/L in sulfuric acid 0.1 mol/L"
    made = Container.objects.filter(reagent__name=name).latest("received_on")
    preparation = made.batch.preparation
    assert made.location == bleach.location
    client.force_login(get_user_model().objects.filter(groups__name="Technician").first())
    page = client.get(reverse("preparation-make-up", args=[preparation.pk])).content.decode()
    assert f'<option value="{bleach.location_id}" selected>' not in page
    assert f'<option value="{bleach.location_id}">' in page


def test_the_old_ether_is_offered_to_nobody(client):
    ether = Container.objects.get(reagent__name="diethyl ether")
    client.force_login(get_user_model().objects.filter(groups__name="Technician").first())
    main = client.get(ether.get_absolute_url()).content.decode().split("<main", 1)[1]
    assert main.index("DO NOT TOUCH") < main.index("<h1")
    for act in ("draw", "give-back", "move", "correct", "quarantine"):
        assert reverse("container-act", args=[ether.pk, act]) not in main
