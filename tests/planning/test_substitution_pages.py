"""Will another reagent do instead of an ingredient; and the moles of a demonstration while it is written."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from demos.models import Alternative, Demonstration, Step
from demos.planning import booking as bookings
from stockroom.hazards.models import ReagentHazard
from stockroom.inventory.models import Reagent

pytestmark = pytest.mark.django_db
ML, G = 1000, 1_000_000
ASK, ASK_BOOKING, AMOUNTS = (
    "demos:demonstration-instead",
    "demos:booking-instead",
    "demos:demonstration-amounts",
)


@pytest.fixture
def acid(make_reagent):
    reagent = make_reagent("Hydrochloric acid 1 mol/L", "volume", formula="HCl", value=1, unit="mol/L")
    ReagentHazard.objects.create(reagent=reagent, hazard_class="met_corr_1", source="from memory")
    return reagent


@pytest.fixture
def sulfuric(make_reagent):
    reagent = make_reagent("Sulfuric acid 1 mol/L", "volume", formula="H2SO4", value=1, unit="mol/L")
    ReagentHazard.objects.create(reagent=reagent, hazard_class="skin_corr_1a", source="from memory")
    return reagent


@pytest.fixture
def salt(make_reagent):
    return make_reagent(formula="NaCl")


@pytest.fixture
def show(make_demonstration, acid, make_reagent):
    base = make_reagent("Sodium hydroxide 1 mol/L", "volume", formula="NaOH", value=1, unit="mol/L")
    made = make_demonstration(ingredients=[(base, 50 * ML, 0, 0), (acid, 100 * ML, 0, 0)])
    for number, row in enumerate(made.ingredients.all(), start=1):
        Step.objects.create(
            demonstration=made, number=number, text="Pour.", adds=row, adds_amount=20 * ML, portions=2
        )
    return made


def asked(show, acid, other) -> dict:
    return {"ingredient": show.ingredients.get(reagent=acid).pk, "reagent": str(other)}


def test_who_may_ask_and_who_may_write_it_down(
    client, head, teacher, technician, show, acid, sulfuric, make_booking
):
    booking = make_booking(show)
    query = asked(show, acid, sulfuric)
    addresses = [reverse(ASK, args=[show.pk]), reverse(ASK_BOOKING, args=[booking.pk])]
    for person, may in ((head, False), (teacher, True), (technician, True)):
        client.force_login(person)
        for url in addresses:
            page = client.get(url, query)
            assert page.status_code == 200
            assert ("Add it as an alternative" in page.content.decode()) is may
        Alternative.objects.all().delete()
        answer = client.post(addresses[0], {**query, "way": "moles"})
        assert answer.status_code == (302 if may else 403)
        assert Alternative.objects.exists() is may
        assert client.post(reverse(AMOUNTS), {}).status_code == (200 if may else 403)
    assert client.get(reverse(ASK, args=[424242])).status_code == 404
    assert client.get(reverse(ASK_BOOKING, args=[424242])).status_code == 404
    assert client.get(reverse(AMOUNTS)).status_code == 405


def test_half_the_volume_of_an_acid_that_gives_two(client, teacher, show, acid, sulfuric):
    client.force_login(teacher)
    page = client.get(reverse(ASK, args=[show.pk]), asked(show, acid, sulfuric)).content.decode()
    assert "<strong>50 mL</strong> of Sulfuric acid 1 mol/L in place of 100 mL" in page
    assert "the same moles of hydrogen ions it can give" in page
    assert "Skin corrosion" in page
    assert "Corrosive to metals" in page
    client.post(reverse(ASK, args=[show.pk]), {**asked(show, acid, sulfuric), "way": "moles"})
    kept = Alternative.objects.get()
    assert (kept.amount, kept.per_amount, kept.reagent) == (50 * ML, 100 * ML, sulfuric)
    assert "same moles" in kept.note


def test_the_same_end_point_needs_a_beaker(client, teacher, show, acid, sulfuric):
    client.force_login(teacher)
    page = client.get(reverse(ASK, args=[show.pk]), asked(show, acid, sulfuric)).content.decode()
    assert "The beaker ends at pH" in page
    show.steps.all().delete()
    page = client.get(reverse(ASK, args=[show.pk]), asked(show, acid, sulfuric)).content.decode()
    assert "so there is no end point to compare" in page


def test_what_does_another_job_is_refused_and_not_written_down(client, teacher, show, acid, salt):
    client.force_login(teacher)
    url = reverse(ASK, args=[show.pk])
    page = client.get(url, asked(show, acid, salt)).content.decode()
    assert "does not do what Hydrochloric acid 1 mol/L does" in page
    assert "Not classified yet" in page
    for way in ("moles", "ph", "guess", ""):
        assert client.post(url, {**asked(show, acid, salt), "way": way}).status_code == 200
    assert not Alternative.objects.exists()


def test_asking_again_writes_over_the_old_ratio(client, teacher, show, acid, sulfuric):
    row = show.ingredients.get(reagent=acid)
    Alternative.objects.create(ingredient=row, reagent=sulfuric, amount=7, per_amount=9)
    client.force_login(teacher)
    client.post(reverse(ASK, args=[show.pk]), {**asked(show, acid, sulfuric), "way": "moles"})
    assert Alternative.objects.get().amount == 50 * ML


def test_a_new_ratio_reaches_what_bookings_have_reserved(client, teacher, show, acid, sulfuric, make_booking):
    row = show.ingredients.get(reagent=acid)
    Alternative.objects.create(ingredient=row, reagent=sulfuric, amount=10 * ML, per_amount=100 * ML)
    booking = make_booking(show)
    bookings.save(booking, {row.pk: sulfuric.pk})
    before = booking.reservations.get(reagent=sulfuric).amount
    client.force_login(teacher)
    client.post(reverse(ASK, args=[show.pk]), {**asked(show, acid, sulfuric), "way": "moles"})
    assert booking.reservations.get(reagent=sulfuric).amount == 5 * before


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"reagent": "unobtainium"}, "There is no reagent"),
        ({"reagent": "<script>alert(1)</script>"}, "There is no reagent"),
        ({"reagent": ""}, "required"),
        ({"reagent": "Hydrochloric acid 1 mol/L"}, "This is what it takes already"),
        ({"ingredient": "999999"}, "not one of the available choices"),
        ({"ingredient": "x"}, "not one of the available choices"),
    ],
)
def test_bad_questions_are_answered_beside_the_field(client, teacher, show, acid, sulfuric, change, says):
    client.force_login(teacher)
    url = reverse(ASK, args=[show.pk])
    for answer in (
        client.get(url, asked(show, acid, sulfuric) | change),
        client.post(url, asked(show, acid, sulfuric) | change),
    ):
        assert answer.status_code == 200
        assert says in answer.content.decode()
        assert "<script>alert" not in answer.content.decode()
    assert not Alternative.objects.exists()


def test_what_has_no_composition_says_so(client, teacher, show, acid, make_reagent):
    unknown = make_reagent("Cleaner", "volume")
    client.force_login(teacher)
    page = client.get(reverse(ASK, args=[show.pk]), asked(show, acid, unknown)).content.decode()
    assert "its composition is not given" in page


def test_a_booking_asks_with_its_own_amounts(client, teacher, show, acid, sulfuric, make_booking):
    booking = make_booking(show, showings=1, scale=2)
    client.force_login(teacher)
    page = client.get(reverse(ASK_BOOKING, args=[booking.pk]), asked(show, acid, sulfuric)).content.decode()
    assert "<strong>100 mL</strong> of Sulfuric acid 1 mol/L in place of 200 mL" in page


# --- while it is written


def draft(*rows, equations=()) -> dict:
    data = {"ingredients-TOTAL_FORMS": len(rows), "reactions-TOTAL_FORMS": len(equations)}
    for number, (reagent, first) in enumerate(rows):
        data |= {f"ingredients-{number}-reagent": str(reagent), f"ingredients-{number}-first": first}
    return data | {f"reactions-{number}-equation": text for number, text in enumerate(equations)}


def test_moles_and_what_limits_while_writing(client, teacher, acid, make_reagent):
    metal = make_reagent("Magnesium ribbon", formula="Mg")
    client.force_login(teacher)
    data = draft((acid, "100 mL"), (metal, "2.43 g"), equations=["Mg(s) + 2 HCl(aq) -> MgCl2(aq) + H2(g)"])
    page = client.post(reverse(AMOUNTS), data).content.decode()
    assert "0.1 mol" in page
    assert "HCl: 0.1 mol, 3.65 g used up, <strong>limiting</strong>" in page
    # half of 0.1 mol of gas at 24.06 L/mol
    assert "1.2 L" in page
    assert not Demonstration.objects.exists()


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (("Nothing I know", "5 g"), "There is no such reagent"),
        (("Hydrochloric acid 1 mol/L", ""), "Say how much"),
        (("Hydrochloric acid 1 mol/L", "100"), "Add a unit"),
        (("Hydrochloric acid 1 mol/L", "-3 mL"), "negative"),
        (("Hydrochloric acid 1 mol/L", "1e12 L"), "more than can be kept"),
        (("<i>x</i>", "5 g"), "&lt;i&gt;x"),
    ],
)
def test_a_line_that_cannot_be_read_says_what_to_change(client, teacher, acid, row, says):
    client.force_login(teacher)
    page = client.post(reverse(AMOUNTS), draft(row)).content.decode()
    assert says in page


def test_equations_that_cannot_be(client, teacher, acid):
    client.force_login(teacher)
    data = draft((acid, "10 mL"), equations=["HCl -> ???", "HCl -> Cl2 + H2"])
    page = client.post(reverse(AMOUNTS), data).content.decode()
    assert "balanced here" in page
    assert client.post(reverse(AMOUNTS), {"ingredients-TOTAL_FORMS": "99999999999"}).status_code == 200
    assert client.post(reverse(AMOUNTS), {"ingredients-TOTAL_FORMS": "²"}).status_code == 200


def test_more_lines_ask_no_more_of_the_database(client, teacher, make_reagent):
    client.force_login(teacher)
    reagents = [make_reagent(f"Salt {n}", formula="NaCl") for n in range(30)]

    def count(some) -> int:
        with CaptureQueriesContext(connection) as queries:
            client.post(reverse(AMOUNTS), draft(*((row, "5 g") for row in some)))
        return len(queries)

    count(reagents[:2])
    assert count(reagents) == count(reagents[:2])


def test_the_editor_has_the_panel_and_the_pages_the_question(client, teacher, show, make_booking):
    booking = make_booking(show)
    client.force_login(teacher)
    editor = client.get(reverse("demos:demonstration-edit", args=[show.pk])).content.decode()
    assert f'hx-post="{reverse(AMOUNTS)}"' in editor
    assert reverse(ASK, args=[show.pk]) in client.get(show.get_absolute_url()).content.decode()
    assert reverse(ASK_BOOKING, args=[booking.pk]) in client.get(booking.get_absolute_url()).content.decode()
    assert Reagent.objects.count() == 2


BALANCE = "demos:demonstration-balance"


@pytest.mark.parametrize(
    ("written", "stands"),
    [
        ("Al(s) + O2(g) -> Al2O3(s)", "4 Al(s) + 3 O2(g) -&gt; 2 Al2O3(s)"),
        ("MnO4- + Fe2+ + H+ -> Mn2+ + Fe3+ + H2O", "MnO4- + 5 Fe2+ + 8 H+ -&gt; Mn2+ + 5 Fe3+ + 4 H2O"),
        ("N2(g) + H2(g) <=> NH3(g)", "N2(g) + 3 H2(g) &lt;=&gt; 2 NH3(g)"),
        ("2 H2 + O2 -> 2 H2O", "It balances as it stands."),
        ("H2 + O2 -> H2O + H2O2", "more than one way"),
        ("Na -> Cl2", "no coefficients balance this".capitalize()),
        ("<script> -> x", "&lt;script&gt;"),
        ("", "Write an equation"),
    ],
)
def test_an_equation_is_balanced_on_request(client, teacher, written, stands):
    client.force_login(teacher)
    name = "reactions-3-equation"
    answer = client.post(reverse(BALANCE), {"row": name, name: written})
    assert answer.status_code == 200
    page = answer.content.decode()
    assert stands in page
    assert f'name="{name}"' in page and "Balance it" in page
    assert "<script>" not in page


def test_only_a_row_of_the_form_is_balanced(client, teacher):
    client.force_login(teacher)
    for row in ("", "title", "reactions-x-equation", "reactions-0-note"):
        assert client.post(reverse(BALANCE), {"row": row, row: "H2 -> H2"}).status_code == 400
