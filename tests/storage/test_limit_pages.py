"""Storage limits: published limits over what is there, and the department's own."""

import pytest
from django.urls import reverse

from stockroom.hazards.models import ReagentHazard
from stockroom.inventory.models import Location
from stockroom.storage.limits import read
from stockroom.storage.models import DepartmentLimit

pytestmark = pytest.mark.django_db
L, G = 1_000_000, 1_000_000


@pytest.fixture
def spirit(make_reagent):
    reagent = make_reagent("Ethanol", "volume", kind="liquid", density="0.79")
    ReagentHazard.objects.create(reagent=reagent, hazard_class="flam_liq_2")
    reagent.refresh_from_db()
    return reagent


@pytest.fixture
def cabinet(shelf):
    return Location.objects.create(
        name="Flammables", level="cabinet", parent=shelf.parent.parent, storage_kind="flammables"
    )


@pytest.fixture
def trays(cabinet):
    return [Location.objects.create(name=name, level="shelf", parent=cabinet) for name in ("Upper", "Lower")]


def sent(client, pk=None, **changes):
    data = {"name": "Flammables", "most": "5 L", "measure": "volume", "scope": "room", "reason": "Insurer"}
    data |= {"groups": [], "hazards": ["flam_liq_2"]} | changes
    return client.post(reverse("limit-edit", args=[pk]) if pk else reverse("limit-add"), data)


def test_who_may_look_and_who_may_set(client, head, teacher, technician):
    limit = DepartmentLimit.objects.create(
        name="Acids", most=L, groups=["acid_strong"], set_by=head, set_on="2026-01-01"
    )
    for person, may in ((teacher, 403), (technician, 403), (head, 200)):
        client.force_login(person)
        page = client.get(reverse("limit-list")).content.decode()
        assert ("/limits/add/" in page) == (may == 200)
        for url in (reverse("limit-add"), reverse("limit-edit", args=[limit.pk])):
            assert client.get(url).status_code == may
        if may == 403:
            assert sent(client).status_code == 403
            assert client.post(reverse("limit-retire", args=[limit.pk])).status_code == 403
    assert DepartmentLimit.objects.count() == 1


def test_signed_out_and_unknown(client, head):
    assert reverse("sign-in") in client.get(reverse("limit-list")).url
    client.force_login(head)
    assert client.get(reverse("limit-edit", args=[987_654])).status_code == 404
    assert client.post(reverse("limit-retire", args=[987_654])).status_code == 404
    assert client.get(reverse("limit-retire", args=[987_654])).status_code == 405


def test_an_empty_stockroom(client, head):
    client.force_login(head)
    page = client.get(reverse("limit-list")).content.decode()
    assert "Nothing over a limit" in page and "None is set" in page


def test_a_bottle_too_large_names_the_table_and_its_cure(client, technician, spirit, make_container):
    container = make_container(spirit, 2 * L)
    client.force_login(technician)
    page = client.get(reverse("limit-list")).content.decode()
    assert "Over the limit" in page and "1910.106 Table H-12" in page
    assert reverse("container-edit", args=[container.pk]) in page


def test_metal_may_be_larger_than_glass(spirit, make_container):
    container = make_container(spirit, 2 * L)
    assert len(read().containers) == 1
    for material in ("metal", "glass_needed"):
        container.material = material
        container.save()
        assert not read().containers


def test_a_cabinet_is_counted_over_its_shelves(spirit, make_container, trays):
    for tray in trays:
        make_container(spirit, 120 * L, location=tray)
    row = read().cabinets[0]
    assert row.have == "240 L" and row.share > 1 and row.where.endswith("Flammables")


def test_near_is_told_apart_from_over(client, head, spirit, make_container, trays):
    make_container(spirit, 200 * L, location=trays[0])
    assert read().cabinets[0].state.text == "Near the limit"


def test_outside_a_cabinet_it_counts_for_the_room(spirit, make_container, shelf):
    make_container(spirit, L)
    assert [row.where for row in read().rooms] == ["Prep room"]


def test_what_is_weighed_is_turned_into_a_volume(make_reagent, make_container):
    ether = make_reagent("Ether", "mass", kind="liquid", density="0.5")
    ReagentHazard.objects.create(reagent=ether, hazard_class="flam_liq_1")
    make_container(ether, 1000 * G)
    assert read().rooms[0].have == "2 L"


def test_a_limit_is_set_used_changed_and_lifted(client, head, spirit, make_container, today):
    make_container(spirit, 6 * L)
    client.force_login(head)
    assert sent(client).status_code == 302
    limit = DepartmentLimit.objects.get()
    assert (limit.most, limit.set_by, limit.set_on) == (5 * L, head, today)
    page = client.get(reverse("limit-list")).content.decode()
    assert "6 L" in page and "5 L" in page and "Insurer" in page
    assert [row.state.text for row in read().own] == ["Over the limit"]
    assert 'value="5 L"' in client.get(reverse("limit-edit", args=[limit.pk])).content.decode()
    sent(client, limit.pk, most="7 L")
    assert [row.state.text for row in read().own] == ["Near the limit"]
    client.post(reverse("limit-retire", args=[limit.pk]))
    assert not read().own


def test_none_of_it_may_be_there(client, head, spirit, make_container):
    make_container(spirit, L)
    client.force_login(head)
    sent(client, most="0 mL")
    assert read().own[0].share > 1
    assert client.get(reverse("limit-list")).status_code == 200


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"name": ""}, "name"),
        ({"most": ""}, "most"),
        ({"most": "5"}, "most"),
        ({"most": "5 g"}, "most"),
        ({"most": "1e40 L"}, "most"),
        ({"most": "-5 L"}, "most"),
        ({"measure": "furlongs"}, "measure"),
        ({"scope": "world"}, "scope"),
        ({"reason": ""}, "reason"),
        ({"hazards": []}, "groups"),
        ({"hazards": ["nonsense"]}, "hazards"),
        ({"groups": ["<b>"]}, "groups"),
    ],
)
def test_bad_input_is_said_beside_the_field(client, head, changes, name):
    client.force_login(head)
    answer = sent(client, **changes)
    assert answer.status_code == 200 and name in answer.context["form"].errors
    assert not DepartmentLimit.objects.exists()


def test_oxidisers_beside_acids_in_a_room(client, head, make_reagent, make_container, shelf, cabinet):
    make_container(make_reagent("Nitrate", groups=["nitrate", "oxidiser"]), G)
    make_container(make_reagent("Acid", groups=["acid_strong"]), G, location=cabinet)
    client.force_login(head)
    assert "acids, oxidizers" in client.get(reverse("limit-list")).content.decode()


def test_the_same_queries_for_few_and_many(client, head, spirit, make_container, count_queries):
    client.force_login(head)
    make_container(spirit, 2 * L)
    few = count_queries(client, reverse("limit-list"))
    for _ in range(12):
        make_container(spirit, 2 * L)
    assert count_queries(client, reverse("limit-list")) == few
