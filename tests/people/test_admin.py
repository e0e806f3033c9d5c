"""The repair pages: every list and form opens, and the ledger can only be read."""

import pytest
from django.contrib import admin
from django.contrib.auth import get_user_model
from django.urls import reverse

from stockroom.inventory import ledger
from stockroom.inventory.models import Container, Movement, Preparation, Reagent


@pytest.fixture
def mender(client, db):
    person = get_user_model().objects.create_superuser("mender", password="a-long-phrase-7")
    client.force_login(person)
    return client


@pytest.fixture
def container(make_reagent, make_container, technician, shelf):
    salt = make_reagent(formula="NaCl")
    brine = make_reagent("Brine", measure="volume")
    preparation = Preparation.objects.create(reagent=brine, yield_amount=1_000_000)
    preparation.parts.create(reagent=salt, amount=360_000_000)
    container = make_container(salt, 500_000_000)
    ledger.make_up(preparation, 1_000_000, [(container, 360_000_000)], location=shelf, who=technician)
    return container


STOCKROOM = [model for model in admin.site._registry if model._meta.app_label == "stockroom"]


@pytest.mark.parametrize("model", STOCKROOM, ids=[model.__name__ for model in STOCKROOM])
def test_lists_and_forms_open(mender, container, model):
    name = f"admin:stockroom_{model._meta.model_name}"
    assert mender.get(reverse(f"{name}_changelist"), {"q": "salt"}).status_code == 200
    for row in model._base_manager.all()[:2]:
        assert mender.get(reverse(f"{name}_change", args=[row.pk])).status_code == 200


@pytest.mark.parametrize("act", ["change", "delete"])
def test_a_line_of_the_ledger_is_neither_changed_nor_deleted(mender, container, act):
    line = Movement.objects.filter(container=container).last()
    url = reverse(f"admin:stockroom_movement_{act}", args=[line.pk])
    assert mender.post(url, {"change": 5, "why": "mine", "post": "yes"}).status_code == 403
    line.refresh_from_db()
    assert line.why == "delivery"


def test_no_line_is_added_by_hand(mender, container):
    assert mender.get(reverse("admin:stockroom_movement_add")).status_code == 403
    assert mender.get(reverse("admin:stockroom_container_add")).status_code == 403


def test_a_balance_is_not_open_to_repair(mender, container):
    url = reverse("admin:stockroom_container_change", args=[container.pk])
    data = {"lot": "NEW-LOT", "balance": 7, "location": 1, "supplier": "", "opened_on": "", "expires_on": ""}
    assert mender.post(url, data | {"note": ""}).status_code == 302
    fresh = Container.objects.get(pk=container.pk)
    assert (fresh.lot, fresh.balance) == ("NEW-LOT", 140_000_000)
    assert ledger.prove()[1] == []


def test_a_measure_is_not_open_to_repair(mender, container):
    url = reverse("admin:stockroom_reagent_change", args=[container.reagent_id])
    page = mender.get(url).content.decode()
    assert 'name="measure"' not in page
    assert Reagent.objects.get(pk=container.reagent_id).measure == "mass"


@pytest.mark.parametrize("role", ["head", "teacher", "technician"])
def test_roles_alone_do_not_open_it(client, request, role):
    client.force_login(request.getfixturevalue(role))
    assert client.get(reverse("admin:index")).status_code == 302
