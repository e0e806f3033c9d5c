"""Addresses typed by hand, or by somebody with bad intent: no page breaks on them."""

import pytest
from django.contrib.auth.models import Group
from django.urls import reverse

from stockroom.inventory import counting, ledger
from stockroom.people import roles

pytestmark = pytest.mark.django_db
NASTY = [
    "<script>alert(1)</script>",
    "x" * 5000,
    "\x00",
    "-1",
    "9" * 30,
    "1e309",
    "'; DROP TABLE x; --",
    "../../etc",
]
PAGES = [
    ("count-list", ("q", "place", "state", "page", "sort")),
    ("count-add", ("location",)),
    ("waste-list", ("q", "stream", "state", "page", "sort")),
    ("labels", ("numbers", "place", "since", "until", "layout", "start", "width", "paper")),
    ("sheet-list", ("q", "state", "page", "sort")),
    ("sheet-list-print", ("paper",)),
    ("disposal-sheet", ("paper",)),
    ("person-list", ("q", "role", "shown", "page", "sort")),
    ("activity", ("person", "since", "until", "kind", "page")),
    ("review", ("x",)),
    ("review-sheet", ("paper",)),
]


@pytest.fixture
def everything(technician, make_reagent, make_container, shelf, today):
    technician.groups.add(Group.objects.get(name=roles.HEAD))
    bottle = make_container(make_reagent("Potassium iodide", formula="KI"), 1_000_000)
    counting.start(shelf, who=technician, on=today)
    ledger.open_waste(stream="acids", capacity=10**6, measure="volume", location=shelf, started_on=today)
    return bottle


@pytest.mark.parametrize(("name", "words"), PAGES, ids=[name for name, _ in PAGES])
def test_no_query_breaks_a_page(client, technician, everything, name, words):
    client.force_login(technician)
    for word in words:
        for value in NASTY:
            answer = client.get(reverse(name), {word: value})
            assert answer.status_code in (200, 404), (word, value[:20])
            if answer["Content-Type"].startswith("text/html"):
                assert b"<script>alert" not in answer.content, (word, value[:20])


def test_label_queries_of_one_container(client, technician, everything):
    client.force_login(technician)
    url = reverse("container-label", args=[everything.pk])
    for word in ("layout", "start", "choose", "columns", "width", "outline"):
        for value in NASTY:
            query = {"layout": "own", "start": "1", "paper": "A4"} | {word: value}
            assert client.get(url, query).status_code == 200, (word, value[:20])
