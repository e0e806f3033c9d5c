"""Incompatible storage, the move plan, and the place for what has come."""

import datetime
import re

import pytest
from django.contrib.admin.models import LogEntry
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stockroom.hazards.reactivity import item_of
from stockroom.inventory import ledger
from stockroom.inventory.models import Container, Location, Offer, Preparation, PreparationPart
from stockroom.purchasing.models import Order, OrderLine
from stockroom.storage.advice import Shelves
from tests.paper.sheet_reading import pages

pytestmark = pytest.mark.django_db
ML, G = 1_000, 1_000_000
PAGES = ["conflict-list", "move-plan", "move-plan-sheet"]


@pytest.fixture
def acid(make_reagent):
    return make_reagent("Hydrochloric acid", "volume", groups=["acid_strong"], storage_kind="acids")


@pytest.fixture
def bleach(make_reagent):
    return make_reagent("Bleach", "volume", groups=["hypochlorite"], storage_kind="general")


@pytest.fixture
def cabinet(shelf):
    return Location.objects.create(
        name="Acids cabinet", level="cabinet", parent=shelf.parent.parent, storage_kind="acids"
    )


@pytest.fixture
def clash(acid, bleach, make_container):
    return make_container(acid, 500 * ML), make_container(bleach, 500 * ML)


@pytest.mark.parametrize("name", PAGES)
def test_everyone_may_look(client, head, teacher, technician, clash, name):
    for person in (head, teacher, technician):
        client.force_login(person)
        assert client.get(reverse(name)).status_code == 200


@pytest.mark.parametrize("name", PAGES)
def test_signed_out_sees_the_sign_in_page(client, db, name):
    assert reverse("sign-in") in client.get(reverse(name)).url


@pytest.mark.parametrize("name", PAGES[:2])
def test_nothing_wrong_is_said(client, technician, acid, make_container, name):
    make_container(acid, 500 * ML)
    client.force_login(technician)
    assert 'class="empty"' in client.get(reverse(name)).content.decode()


def test_a_conflict_names_rule_consequence_severity_source_and_the_cure(client, technician, clash, cabinet):
    client.force_login(technician)
    page = client.get(reverse("conflict-list")).content.decode()
    for words in ("chlorine", "named pair: hypochlorite acid", "Severe", "Source:", cabinet.path):
        assert words in page
    assert f"/containers/{clash[0].pk}/move/?location={cabinet.pk}" in page


def test_a_teacher_is_offered_no_move(client, teacher, clash, cabinet):
    client.force_login(teacher)
    for name in PAGES[:2]:
        assert "/move/" not in client.get(reverse(name)).content.decode()


def test_the_link_leads_to_a_move_form_filled_in(client, technician, clash, cabinet):
    client.force_login(technician)
    url = reverse("container-act", args=[clash[0].pk, "move"])
    page = client.get(url, {"location": cabinet.pk, "why": "<b>parted"}).content.decode()
    assert f'<option value="{cabinet.pk}" selected>' in page
    assert "&lt;b&gt;parted" in page


def test_no_place_is_said(client, technician, clash):
    client.force_login(technician)
    page = client.get(reverse("conflict-list")).content.decode()
    assert "no place is safe for it" in page


def test_the_severity_filter(client, technician, clash):
    client.force_login(technician)
    for asked in ("caution", "severe", "drink"):
        page = client.get(reverse("conflict-list"), {"at_least": asked})
        assert "chlorine" in page.content.decode()


def test_the_plan_is_shortest_and_says_so(client, technician, clash, cabinet):
    client.force_login(technician)
    page = client.get(reverse("move-plan")).content.decode()
    assert "1 move for 1 conflict" in page
    assert "Proven: no plan has fewer moves" in page


def test_following_the_plan_leaves_nothing(client, technician, clash, cabinet, today):
    client.force_login(technician)
    ledger.move(clash[0], cabinet, who=technician, why="move plan")
    assert "no move is needed" in client.get(reverse("move-plan")).content.decode()


def test_what_no_move_cures_is_named(client, technician, clash):
    client.force_login(technician)
    page = client.get(reverse("move-plan")).content.decode()
    assert "No safe place found" in page
    assert "Proven" not in page


def test_the_sheet_lists_the_moves(client, technician, clash, cabinet):
    client.force_login(technician)
    answer = client.get(reverse("move-plan-sheet"), {"paper": "Letter"})
    assert answer["Content-Type"] == "application/pdf"
    text = " ".join(pages(answer.content))
    assert "Acids cabinet" in text and clash[0].code in text and "No plan has fewer moves" in text


def test_the_same_queries_for_few_and_many(client, technician, acid, bleach, make_container, cabinet):
    client.force_login(technician)

    def count(name):
        with CaptureQueriesContext(
            connection,
        ) as seen:
            client.get(reverse(name))
        return len(seen)

    for reagent in (acid, bleach):
        make_container(reagent, ML)
    client.get(reverse("conflict-list"))
    few = [count(name) for name in PAGES]
    for _ in range(10):
        for reagent in (acid, bleach):
            make_container(reagent, ML)
    assert [count(name) for name in PAGES] == few


# --- receiving


def received(client, reagent, location, today, **more):
    data = {"reagent": reagent.name, "amount": "500 mL", "how_many": 1, "location": location.pk, "on": today}
    return client.post(reverse("container-receive"), data | more)


def test_places_come_by_safety(client, technician, acid, bleach, make_container, shelf, cabinet):
    make_container(bleach, ML)
    client.force_login(technician)
    page = client.get(reverse("container-receive"), {"reagent": acid.pk}).content.decode()
    assert page.index("Safe for it") < page.index("It must not be stored here")
    assert f'<option value="{cabinet.pk}" selected>' in page
    assert "not beside Bleach" in page


def test_htmx_gets_the_list_alone(client, technician, acid, cabinet, shelf):
    client.force_login(technician)
    url = reverse("receive-places")
    part = client.get(url, {"reagent": acid.name}).content.decode()
    assert part.startswith("<select") and f'value="{cabinet.pk}" selected' in part
    kept = client.get(url, {"reagent": acid.name, "location": shelf.pk}).content.decode()
    assert f'value="{shelf.pk}" selected' in kept
    for odd in ({"reagent": "x" * 999}, {"location": "9" * 99}, {}):
        assert client.get(url, odd).status_code == 200


def test_only_the_technician_gets_the_list(client, head, teacher):
    for person in (head, teacher):
        client.force_login(person)
        assert client.get(reverse("receive-places")).status_code == 403


def test_a_conflict_needs_a_tick(client, technician, acid, bleach, make_container, shelf, today):
    make_container(bleach, ML)
    client.force_login(technician)
    page = received(client, acid, shelf, today).content.decode()
    assert "must not be stored beside Bleach" in page and 'name="despite"' in page
    assert not Container.objects.filter(reagent=acid).exists()
    received(client, acid, shelf, today, despite="on")
    assert Container.objects.filter(reagent=acid).count() == 1
    assert "despite the warning" in LogEntry.objects.get().change_message


def test_no_tick_where_nothing_is_wrong(client, technician, acid, shelf, today):
    client.force_login(technician)
    assert received(client, acid, shelf, today).status_code == 302
    assert not LogEntry.objects.exists()


def test_a_line_of_an_order_needs_the_tick_too(
    client, technician, head, acid, bleach, make_container, supplier, shelf, cabinet, today
):
    make_container(bleach, ML)
    offer = Offer.objects.create(supplier=supplier, reagent=acid, pack_amount=500 * ML, price=4)
    order = Order.objects.create(
        supplier=supplier, state="ordered", created_by=head, created_on=today, expected_on=today
    )
    line = OrderLine.objects.create(
        order=order, offer=offer, reagent=acid, packs=1, pack_amount=500 * ML, unit_price=4
    )
    client.force_login(technician)
    url = reverse("order-line-receive", args=[line.pk])
    assert "Safe for it" in client.get(url).content.decode()
    data = {"packs": 1, "location": shelf.pk, "on": today}
    assert "must not be stored beside Bleach" in client.post(url, data).content.decode()
    assert not Container.objects.filter(reagent=acid).exists()
    client.post(url, data | {"despite": "on"})
    assert Container.objects.filter(reagent=acid).count() == 1


# --- the cabinet, and what goes into the waste


@pytest.fixture
def bases(shelf):
    cabinet = Location.objects.create(
        name="Bases cabinet", level="cabinet", parent=shelf.parent.parent, storage_kind="bases"
    )
    return [
        Location.objects.create(name=name, level="shelf", parent=cabinet, storage_kind="bases")
        for name in ("Upper tray", "Lower tray")
    ]


@pytest.fixture
def ammonia(make_reagent):
    return make_reagent("Ammonia 28 %", "volume", groups=["ammonia", "aqueous"], storage_kind="bases")


@pytest.fixture
def strong_bleach(make_reagent):
    return make_reagent("Bleach 10 %", "volume", groups=["hypochlorite", "aqueous"], storage_kind="bases")


def test_bleach_on_the_tray_above_ammonia_is_a_conflict_of_the_cabinet(
    client, technician, strong_bleach, ammonia, make_container, bases
):
    upper, lower = bases
    bottle = make_container(strong_bleach, 600 * ML, location=upper)
    make_container(ammonia, 500 * ML, location=lower)
    (found,) = Shelves.read().conflicts()
    assert (found.place.id, found.reach, found.severity) == (upper.parent_id, "cabinet", "severe")
    client.force_login(technician)
    for url in (reverse("conflict-list"), bottle.get_absolute_url(), upper.get_absolute_url()):
        page = client.get(url).content.decode()
        assert "Never in one cabinet, whatever the tray" in page and "chloramines" in page, url
        assert "Source:" in page or "Prudent Practices" in page


def test_a_form_neither_offers_nor_takes_the_other_tray(
    client, technician, strong_bleach, ammonia, make_container, bases, today
):
    upper, lower = bases
    make_container(ammonia, 500 * ML, location=lower)
    client.force_login(technician)
    page = client.get(reverse("container-receive"), {"reagent": strong_bleach.pk}).content.decode()
    assert not re.search(r'<option value="\d+" selected>', page)
    assert page.index("It must not be stored here") < page.index(f'<option value="{upper.pk}">')
    answer = received(client, strong_bleach, upper, today)
    assert "must not be stored in one cabinet with Ammonia 28 %" in answer.content.decode()
    assert not Container.objects.filter(reagent=strong_bleach).exists()


def test_the_place_of_the_last_batch_is_not_offered_where_the_rules_refuse_it(
    client, technician, acid, bleach, make_container, make_reagent, shelf, cabinet
):
    salt = make_reagent("Salt", "mass", groups=["inert"], hazard_state="none")
    preparation = Preparation.objects.create(reagent=acid, name="acid", yield_amount=100 * ML)
    PreparationPart.objects.create(preparation=preparation, reagent=salt, amount=G)
    batch = ledger.make_up(
        preparation,
        100 * ML,
        [(make_container(salt, 10 * G, location=cabinet), G)],
        location=shelf,
        who=technician,
    )
    make_container(bleach, 500 * ML)
    assert batch.container.location == shelf
    client.force_login(technician)
    page = client.get(reverse("preparation-make-up", args=[preparation.pk])).content.decode()
    assert f'<option value="{cabinet.pk}" selected>' in page
    assert f'<option value="{shelf.pk}" selected>' not in page


@pytest.mark.parametrize("why", ["expired", "quarantined"])
def test_the_first_step_for_what_is_to_go_is_the_waste(
    client, technician, acid, strong_bleach, ammonia, make_container, bases, shelf, today, why
):
    day = datetime.timedelta(1)
    old = {"on": today - 9 * day, "expires_on": today - day} if why == "expired" else {}
    bottle = make_container(strong_bleach, 600 * ML, **old)
    if why == "quarantined":
        ledger.quarantine(bottle, who=technician, why="cap split")
    make_container(acid, 500 * ML)
    make_container(ammonia, 500 * ML, location=bases[1])
    plan = Shelves.read().plan()
    assert [item.id for item in plan.waste] == [bottle.pk]
    assert (plan.moves, plan.left, plan.proven) == ((), (), True)
    client.force_login(technician)
    discard = reverse("container-act", args=[bottle.pk, "discard"])
    for name in PAGES[:2]:
        page = client.get(reverse(name)).content.decode()
        assert discard in page and why in page and "ot onto another shelf" in page, name
        assert reverse("container-act", args=[bottle.pk, "move"]) not in page
    text = " ".join(pages(client.get(reverse("move-plan-sheet")).content))
    assert "1 container into the waste first" in text and "Waste: not onto" in text


def test_what_nobody_may_touch_stays_and_so_does_its_cabinet(
    client, technician, make_reagent, make_container, shelf, cabinet, today
):
    ether = make_reagent(
        "Ether", "volume", groups=["peroxide_former", "flammable"], ageing_class="peroxide_former_b"
    )
    nitrate = make_reagent("Nitric acid", "volume", groups=["acid_oxidising"], storage_kind="acids")
    old = make_container(ether, 100 * ML, on=today - datetime.timedelta(800))
    near = make_container(nitrate, 100 * ML)
    plan = Shelves.read().plan()
    assert [item.id for item in plan.hands_off] == [old.pk]
    assert plan.moves == () and plan.waste == () and len(plan.left) == 1
    client.force_login(technician)
    for name in PAGES[:2]:
        page = client.get(reverse(name)).content.decode()
        assert "DO NOT TOUCH" in page
        for bottle in (old, near):
            for act in ("move", "discard"):
                assert reverse("container-act", args=[bottle.pk, act]) not in page
    assert "DO NOT TOUCH" in " ".join(pages(client.get(reverse("move-plan-sheet")).content))


# --- what must be cold and is flammable


@pytest.fixture
def refrigerators(shelf):
    room = shelf.parent.parent
    return [
        Location.objects.create(name=kind, level="cabinet", parent=room, storage_kind=kind)
        for kind in ("cold", "cold_flam")
    ]


@pytest.mark.parametrize("kind", ["cold", "cold_flam"])
def test_a_cold_flammable_is_offered_a_refrigerator_rated_for_it_and_no_other(
    client, technician, make_reagent, refrigerators, today, kind
):
    plain, rated = refrigerators
    ethanal = make_reagent("Ethanal", "volume", groups=["flammable", "aldehyde"], storage_kind=kind)
    client.force_login(technician)
    page = client.get(reverse("container-receive"), {"reagent": ethanal.pk}).content.decode()
    assert f'<option value="{rated.pk}" selected>' in page
    assert page.index("It must not be stored here") < page.index(f'<option value="{plain.pk}">')
    answer = received(client, ethanal, plain, today)
    assert "sparks" in answer.content.decode() and not Container.objects.filter(reagent=ethanal).exists()
    assert received(client, ethanal, rated, today).status_code == 302


def test_what_is_cold_and_does_not_burn_may_stand_in_either(client, technician, make_reagent, refrigerators):
    starch = make_reagent("Starch", "volume", groups=["inert"], storage_kind="cold", hazard_state="none")
    assert {one.place.id for one in Shelves.read().advice(item_of(starch)) if one.safe} == {
        place.pk for place in refrigerators
    }


def test_a_flammable_in_an_ordinary_refrigerator_is_found(
    client, head, make_reagent, make_container, refrigerators
):
    ethanol = make_reagent("Ethanol", "volume", groups=["flammable", "alcohol"], storage_kind="flammables")
    make_container(ethanol, 500 * ML, location=refrigerators[0])
    client.force_login(head)
    page = client.get(reverse("review")).content.decode()
    assert "Flammable in a refrigerator not rated for it" in page and "NFPA 45" in page
