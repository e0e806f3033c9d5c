"""Safety data sheets of the department, and one reagent on one page."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stockroom.hazards import datasheets
from stockroom.hazards.models import ReagentHazard, SafetyDataSheet
from tests.paper.sheet_reading import pages

pytestmark = pytest.mark.django_db
G = 1_000_000
DAY = datetime.date(2026, 11, 25)


@pytest.fixture
def make_sheet(supplier, technician):
    def make(reagent, revised=None, checked=None):
        return SafetyDataSheet.objects.create(
            reagent=reagent,
            supplier=supplier,
            revision_date=revised,
            added_by=technician,
            added_on=revised or DAY,
            checked_by=technician if checked else None,
            checked_on=checked,
            note="in the blue folder",
        )

    return make


def day(text: str) -> datetime.date:
    return datetime.date.fromisoformat(text)


@pytest.mark.parametrize(
    ("sheets", "expected"),
    [
        ([], "missing"),
        ([("2025-01-10", "2025-02-01")], "fine"),
        ([("2025-01-10", None)], "unchecked"),
        ([("2025-01-10", "2025-02-01"), ("2026-05-01", None)], "changed"),
        ([("2020-01-10", "2020-02-01")], "due"),
        ([("2020-01-10", "2026-02-01")], "fine"),
        ([("2023-11-25", "2023-11-25")], "fine"),
        ([("2023-11-24", "2023-11-24")], "due"),
        ([(None, None)], "due"),
    ],
)
def test_what_a_sheet_wants_done(make_reagent, make_container, make_sheet, sheets, expected):
    reagent = make_reagent()
    make_container(reagent, G)
    for revised, checked in sheets:
        make_sheet(reagent, revised and day(revised), checked and day(checked))
    (row,) = datasheets.standings(DAY, 36)
    assert row.state == expected


@pytest.mark.parametrize("role", ["head", "teacher", "technician"])
def test_everyone_reads_and_keepers_are_offered_the_cure(client, request, make_reagent, make_container, role):
    reagent = make_reagent("Borax")
    make_container(reagent, G)
    client.force_login(request.getfixturevalue(role))
    page = client.get(reverse("sheet-list")).content.decode()
    assert "Borax" in page and "Missing" in page
    assert (reverse("sheet-add", args=[reagent.pk]) in page) == (role != "teacher")
    for url in (reverse("sheet-list-print"), reverse("reagent-summary", args=[reagent.pk])):
        assert client.get(url)["Content-Type"] == "application/pdf"
    client.logout()
    assert client.get(reverse("sheet-list")).url.startswith(reverse("sign-in"))


def test_empty_and_filtered(client, head, make_reagent, make_container, make_sheet, today):
    client.force_login(head)
    url = reverse("sheet-list")
    assert b"No reagent is in stock yet" in client.get(url).content
    fine = make_reagent("Borax")
    make_container(fine, G)
    make_sheet(fine, today, today)
    assert b"has a sheet that is current and verified" in client.get(url).content
    make_container(make_reagent("Alum"), G)
    make_reagent("Not in stock")

    def shown(**asked):
        return [row.record.reagent.name for row in client.get(url, asked).context["table"].rows]

    assert shown() == ["Alum"] and shown(state="all") == ["Alum", "Borax"]
    assert shown(state="all", sort="-state") == ["Borax", "Alum"]
    assert shown(state="all", sort="-reagent") == ["Borax", "Alum"]
    assert shown(state="fine") == ["Borax"] and shown(state="due") == []
    assert shown(state="all", q="bor") == ["Borax"]
    for bad in ({"state": "<script>"}, {"q": "x" * 500}, {"sort": "places; drop"}, {"page": "zzz"}):
        answer = client.get(url, bad)
        assert answer.status_code == 200 and b"<script>" not in answer.content.split(b"<main")[1]


def test_the_printed_list(client, head, make_reagent, make_container, make_sheet, today):
    acid = make_reagent("Acid of some kind", "volume")
    ReagentHazard.objects.create(reagent=acid, hazard_class="skin_corr_1")
    make_container(acid, G)
    make_sheet(acid, today, None)
    make_container(make_reagent("Alum"), G)
    client.force_login(head)
    words = " ".join(pages(client.get(reverse("sheet-list-print")).content))
    for part in ("Alum", "Missing (1)", "Never checked (1)", "blue folder", "Danger", "Not classified yet"):
        assert part in words, part


def test_the_summary_gives_every_datum_its_source(client, teacher, make_reagent, make_container, make_sheet):
    acid = make_reagent(
        "Sulfuric acid 1 mol/L",
        "volume",
        "H2SO4",
        1,
        "mol/L",
        first_aid="Rinse at once.\nCall for help.",
        source="supplier's sheet, 2025",
        density="1.06",
    )
    ReagentHazard.objects.create(reagent=acid, hazard_class="skin_corr_1", source="the published table")
    bottle = make_container(acid, 500_000)
    client.force_login(teacher)
    words = " ".join(pages(client.get(reverse("reagent-summary", args=[acid.pk])).content))
    for part in ("Rinse at once", "the published table", "1.06 g/mL", "missing: ask the supplier", "500 mL"):
        assert part in words, part
    assert bottle.code in words and "not verified" in words.lower()
    assert client.get(reverse("reagent-summary", args=[99999])).status_code == 404


def test_a_reagent_nobody_classified_says_so(client, teacher, make_reagent):
    client.force_login(teacher)
    answer = client.get(reverse("reagent-summary", args=[make_reagent("Mystery <b>powder</b>").pk]))
    words = " ".join(pages(answer.content))
    assert "Not classified yet" in words and "<b>powder</b>" in words


@pytest.mark.parametrize("name", ["sheet-list", "sheet-list-print"])
def test_the_number_of_queries_does_not_grow(client, head, make_reagent, make_container, make_sheet, name):
    client.force_login(head)
    taken = []
    for rows in (2, 20):
        for number in range(rows):
            reagent = make_reagent(f"R{rows}-{number}")
            make_container(reagent, G)
            make_sheet(reagent, DAY)
        client.get(reverse(name))
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse(name))
        taken.append(len(queries))
    assert taken[0] == taken[1]
