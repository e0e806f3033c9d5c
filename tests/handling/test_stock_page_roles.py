"""Who may open and do what on the pages of the stock: every page, every role."""

import pytest
from django.urls import reverse

from stockroom.hazards.models import SafetyDataSheet
from stockroom.inventory.models import Chemical, Movement, Offer, Preparation, PreparationPart

EVERYONE, KEEPERS, HANDS = {"head", "teacher", "technician"}, {"head", "technician"}, {"technician"}

#: (name of the address, what it is of, who may open it)
PAGES = [
    ("chemical-list", None, EVERYONE),
    ("chemical-add", None, KEEPERS),
    ("chemical-detail", "chemical", EVERYONE),
    ("chemical-edit", "chemical", KEEPERS),
    ("reagent-list", None, EVERYONE),
    ("reagent-add", None, KEEPERS),
    ("reagent-detail", "reagent", EVERYONE),
    ("reagent-edit", "reagent", KEEPERS),
    ("reagent-hazards", "reagent", KEEPERS),
    ("sheet-add", "reagent", KEEPERS),
    ("sheet-edit", "sheet", KEEPERS),
    ("container-list", None, EVERYONE),
    ("container-receive", None, HANDS),
    ("container-detail", "container", EVERYONE),
    ("container-edit", "container", HANDS),
    *((f"container-act {act}", "container", HANDS) for act in ("draw", "give-back", "move", "correct")),
    ("container-act discard", "container", HANDS),
    ("container-act quarantine", "container", KEEPERS),
    ("container-act release", "container", KEEPERS),
    ("movement-reverse", "movement", HANDS),
    ("location-list", None, EVERYONE),
    ("location-add", None, KEEPERS),
    ("location-detail", "location", EVERYONE),
    ("location-edit", "location", KEEPERS),
    ("supplier-list", None, EVERYONE),
    ("supplier-add", None, KEEPERS),
    ("supplier-detail", "supplier", EVERYONE),
    ("supplier-edit", "supplier", KEEPERS),
    ("offer-add", None, KEEPERS),
    ("offer-edit", "offer", KEEPERS),
    ("preparation-list", None, EVERYONE),
    ("preparation-add", None, KEEPERS),
    ("preparation-detail", "preparation", EVERYONE),
    ("preparation-edit", "preparation", KEEPERS),
    ("preparation-make-up", "preparation", HANDS),
]
RETIRE = ["chemical", "reagent", "location", "supplier", "offer", "preparation"]


@pytest.fixture
def things(make_reagent, make_container, supplier, technician, today):
    reagent = make_reagent(formula="NaCl")
    brine = make_reagent("Brine", measure="volume")
    preparation = Preparation.objects.create(reagent=brine, yield_amount=1_000_000)
    PreparationPart.objects.create(preparation=preparation, reagent=reagent, amount=360_000_000)
    container = make_container(reagent, 500_000_000)
    return {
        "chemical": Chemical.objects.get(),
        "reagent": reagent,
        "sheet": SafetyDataSheet.objects.create(reagent=reagent, added_by=technician, added_on=today),
        "container": container,
        "movement": Movement.objects.get(),
        "location": container.location,
        "supplier": supplier,
        "offer": Offer.objects.create(supplier=supplier, reagent=reagent, pack_amount=10**9, price=4),
        "preparation": preparation,
    }


def address(name: str, thing) -> str:
    name, *act = name.split()
    return reverse(name, args=[thing.pk, *act] if thing else [])


@pytest.fixture
def people(head, teacher, technician):
    return {"head": head, "teacher": teacher, "technician": technician}


@pytest.mark.parametrize(("name", "noun", "allowed"), PAGES, ids=[page[0] for page in PAGES])
def test_each_page_opens_for_those_who_may(client, things, people, name, noun, allowed):
    url = address(name, things.get(noun))
    for role, person in people.items():
        client.force_login(person)
        assert client.get(url).status_code == (200 if role in allowed else 403), role
        if role not in allowed:
            assert client.post(url, {"name": "x"}).status_code == 403, role


@pytest.mark.parametrize("noun", RETIRE)
def test_only_keepers_retire(client, things, people, noun):
    thing = things[noun]
    url = reverse(f"{noun}-retire", args=[thing.pk])
    client.force_login(people["teacher"])
    assert client.post(url).status_code == 403
    thing.refresh_from_db()
    assert thing.retired_on is None
    client.force_login(people["technician"])
    assert client.get(url).status_code == 405
    client.post(url)
    thing.refresh_from_db()
    # A place that holds something stays in use.
    assert (thing.retired_on is None) == (noun == "location")


@pytest.mark.parametrize("page", PAGES, ids=[page[0] for page in PAGES])
def test_signed_out_sees_the_sign_in_page_only(client, things, page):
    url = address(page[0], things.get(page[1]))
    answer = client.get(url)
    assert answer.status_code == 302 and answer.url.startswith(reverse("sign-in"))


@pytest.mark.parametrize("noun", sorted({page[1] for page in PAGES} - {None}))
def test_unknown_numbers_are_not_found(client, things, people, noun):
    client.force_login(people["technician"])
    for name, of, allowed in PAGES:
        if of == noun and "technician" in allowed:
            for pk in (987_654_321, 10**30):
                url = address(name, things[noun]).replace(f"/{things[noun].pk}/", f"/{pk}/")
                assert client.get(url).status_code == 404, url


def test_an_unknown_act_is_not_found(client, things, technician):
    client.force_login(technician)
    assert client.get(address("container-act drink", things["container"])).status_code == 404


def test_a_teacher_is_offered_nothing_to_change(client, things, teacher):
    client.force_login(teacher)
    for name, noun, allowed in PAGES:
        if allowed is EVERYONE:
            page = client.get(address(name, things.get(noun))).content.decode()
            for forbidden in ("/edit/", "/add/", "/retire/", "/receive/", "/draw/", "/make-up/", "/reverse/"):
                assert forbidden not in page, (name, forbidden)
