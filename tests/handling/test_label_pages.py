"""Container labels: one at once, many on a sheet."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stockroom.common.forms.label_paper import LabelPaperForm
from stockroom.handling.printouts import label_of, with_label_data
from stockroom.handling.sheets.container_label import _unbroken
from stockroom.hazards.models import ReagentHazard
from stockroom.inventory import ledger
from stockroom.inventory.models import Chemical, Component, Container, Preparation, PreparationPart
from tests.paper.sheet_reading import pages

pytestmark = pytest.mark.django_db
L, G = 1_000_000, 1_000_000


@pytest.fixture
def acid(make_reagent, make_container):
    reagent = make_reagent("Sulfuric acid 1 mol/L", "volume", "H2SO4", 1, "mol/L")
    ReagentHazard.objects.create(reagent=reagent, hazard_class="skin_corr_1")
    return make_container(reagent, L, lot="K-7")


def test_everyone_signed_in_may_print(client, request, acid):
    for role in ("head", "teacher", "technician"):
        client.force_login(request.getfixturevalue(role))
        assert client.get(reverse("container-label", args=[acid.pk])).status_code == 200
        assert client.get(reverse("labels")).status_code == 200
    client.logout()
    for url in (reverse("container-label", args=[acid.pk]), reverse("labels")):
        assert client.get(url).url.startswith(reverse("sign-in"))


def test_the_label_of_one_container(client, technician, acid):
    client.force_login(technician)
    answer = client.get(reverse("container-label", args=[acid.pk]))
    assert answer["Content-Type"] == "application/pdf"
    words = " ".join(pages(answer.content)).replace("\u00a0", " ")
    for part in ("Sulfuric acid 1 mol/L", "DANGER", acid.code, "lot K-7", "Received"):
        assert part in words, part
    assert client.get(reverse("container-label", args=[99999])).status_code == 404


def test_what_is_made_here_says_by_whom(client, technician, make_reagent, make_container, shelf):
    product, salt = make_reagent("Brine", "volume"), make_reagent(formula="NaCl")
    preparation = Preparation.objects.create(reagent=product, yield_amount=L)
    PreparationPart.objects.create(preparation=preparation, reagent=salt, amount=G)
    parts = [(make_container(salt, 10 * G), G)]
    batch = ledger.make_up(preparation, L, parts, location=shelf, who=technician)
    client.force_login(technician)
    words = " ".join(pages(client.get(reverse("container-label", args=[batch.container.pk])).content))
    assert "Made" in words and "by technician" in words and "Not classified yet" in words
    assert (
        reverse("container-label", args=[batch.container.pk])
        in client.get(batch.get_absolute_url()).content.decode()
    )


PAPER = {"layout": "A4|64 x 38 mm, 21 a sheet", "start": "1"}


def test_several_by_number_place_or_day(client, technician, acid, make_reagent, make_container, shelf, today):
    salt = make_container(make_reagent(formula="NaCl"), G, on=today - datetime.timedelta(9))
    client.force_login(technician)

    def words(**chosen):
        answer = client.get(reverse("labels"), PAPER | chosen)
        assert answer["Content-Type"] == "application/pdf", answer.content.decode()
        return " ".join(pages(answer.content)).replace("\u00a0", " ")

    both = words(numbers=f"{acid.code}, {salt.code.lower()}")
    assert acid.code in both and salt.code in both
    in_place = words(place=shelf.parent.parent_id)
    assert acid.code in in_place and salt.code in in_place
    recent = words(since=(today - datetime.timedelta(2)).isoformat())
    assert acid.code in recent and salt.code not in recent


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"numbers": ""}, "numbers"),
        ({"numbers": "C-999999"}, "numbers"),
        ({"numbers": "<script>alert(1)</script>"}, "numbers"),
        ({"place": "99999"}, "place"),
        ({"since": "soon"}, "since"),
        ({"start": "0"}, "start"),
        ({"start": "22"}, "start"),
        ({"start": "many"}, "start"),
        ({"layout": "A4|postcards"}, "layout"),
        ({"layout": "own"}, "width"),
    ],
)
def test_bad_choices_get_a_message_beside_the_field(client, technician, acid, asked, field):
    client.force_login(technician)
    answer = client.get(reverse("labels"), PAPER | {"numbers": acid.code} | asked)
    assert answer.status_code == 200 and answer["Content-Type"].startswith("text/html")
    assert field in answer.context["form"].errors
    assert b"<script>alert" not in answer.content


OWN = {
    "layout": "own",
    "start": "1",
    "paper": "A4",
    "columns": "2",
    "rows": "4",
    "width": "99",
    "height": "67",
}
OWN |= {"left": "5", "top": "13", "gap_x": "2", "gap_y": "0"}


@pytest.mark.parametrize(
    ("change", "field"),
    [({"width": "400"}, "layout"), ({"width": "nan"}, "width"), ({"gap_x": "-3"}, "gap_x")]
    + [({"width": "3"}, "layout"), ({"columns": "1000"}, "columns"), ({"height": "1e300"}, "height")],
)
def test_own_label_paper(client, technician, acid, change, field):
    client.force_login(technician)
    url = reverse("container-label", args=[acid.pk])
    assert client.get(url, OWN)["Content-Type"] == "application/pdf"
    wrong = client.get(url, OWN | change)
    assert wrong["Content-Type"].startswith("text/html") and field in wrong.context["form"].errors


def test_the_number_of_queries_does_not_grow(client, technician, make_reagent, make_container, shelf):
    client.force_login(technician)
    taken = []
    make_container(make_reagent("First", formula="NaCl"), G)
    client.get(reverse("labels"), PAPER | {"place": shelf.pk})
    for rows in (1, 20):
        for number in range(rows):
            make_container(make_reagent(f"Salt {rows}-{number}", formula="NaCl"), G)
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("labels"), PAPER | {"place": shelf.pk})
        taken.append(len(queries))
    assert taken[0] == taken[1]


def test_each_bottle_its_size_one_print_a_size(client, technician, acid, make_reagent, make_container):
    """A bottle of a liter and a tub of 20 g: two sizes of label, each with its own first free label."""
    tub = make_container(make_reagent("Iodine"), 20 * G)
    client.force_login(technician)
    page = client.get(
        reverse("labels"), {"numbers": f"{acid.code} {tub.code}", "layout": "by size", "start": 1}
    )
    sizes = page.context["sizes"]
    assert [size["numbers"] for size in sizes] == [tub.code, acid.code], "the smallest first"
    for size in sizes:
        sent = {"numbers": size["numbers"], "layout": size["layout"], "start": size["a_sheet"]}
        assert client.get(reverse("labels"), sent)["Content-Type"] == "application/pdf"
    assert (
        client.get(reverse("container-label", args=[tub.pk]), {"layout": "by size", "start": 1})
        .context["form"]
        .errors
    )


def test_sizes_typed_in_are_offered_again(client, technician, acid):
    client.force_login(technician)
    own = OWN | {"columns": "2", "width": "61.5"}
    answer = client.get(reverse("labels"), own | {"numbers": acid.code})
    assert answer["Content-Type"] == "application/pdf", answer.content
    again = client.get(reverse("labels")).context["form"]
    assert (again["layout"].value(), again["width"].value(), again["columns"].value()) == ("own", 61.5, 2)


def test_a_strength_in_the_name_is_not_said_twice_nor_torn_from_its_unit(
    client, technician, make_reagent, make_container
):
    bottle = make_container(make_reagent("Nitric acid 70 % (w/w)", "volume", "HNO3", 70, "% w/w"), L)
    client.force_login(technician)
    words = " ".join(pages(client.get(reverse("container-label", args=[bottle.pk])).content))
    assert words.count("70") == 1
    assert _unbroken("Nitric acid 70 % (w/w)") == "Nitric acid 70\u00a0%\u00a0(w/w)"
    assert _unbroken("Acid 0.1 mol/L") == "Acid 0.1\u00a0mol/L" and _unbroken("Salt 2 x 3") == "Salt 2 x 3"


def test_a_label_says_what_no_class_says(client, technician, make_reagent, make_container):
    """Bleach: contact with acids liberates toxic gas (EUH031), on the label and on the page of the bottle."""
    bleach = make_reagent("Bleach", "volume", density="1.1", hazard_state="none")
    chemical = Chemical.objects.create(name="sodium hypochlorite", cas_rn="7681-52-9", formula="NaClO")
    Component.objects.create(reagent=bleach, chemical=chemical, value=10, unit="% w/w")
    bottle = make_container(bleach, 1_000_000)
    client.force_login(technician)
    sheet = pages(client.get(reverse("container-label", args=[bottle.pk])).content)
    words = "Contact with acids liberates toxic gas"
    assert words in client.get(bottle.get_absolute_url()).content.decode()
    assert words in client.get(bleach.get_absolute_url()).content.decode()
    assert words in label_of(with_label_data(Container.objects.all()).get(), str).statements
    assert words in sheet[0]


@pytest.mark.parametrize(
    ("typed", "millimetres"), [("2.5 in", 63.5), ('2.5"', 63.5), ("6.35 cm", 63.5), ("63.5", 63.5)]
)
def test_a_size_in_inches_as_on_the_packet(typed, millimetres):
    form = LabelPaperForm(OWN | {"width": typed})
    assert form.is_valid(), form.errors
    assert form.cleaned_data["sheet"][1].width == millimetres


@pytest.mark.parametrize("typed", ["2.5 ft", "in", "1e400 in", "-2 in", "= 2 in"])
def test_a_size_that_is_none_is_refused(typed):
    assert "width" in LabelPaperForm(OWN | {"width": typed}).errors
