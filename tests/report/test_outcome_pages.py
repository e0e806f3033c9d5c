"""What happens and what is left: the page of a demonstration and of a booking, and their sheets."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from demos.models import Alternative, Demonstration, Reaction, Step
from demos.report import beaker, outcome_report
from demos.simulation import dissolving
from stockroom.inventory.models import Chemical, Component, Reagent
from tests.paper.sheet_reading import letters, squeezed

pytestmark = pytest.mark.django_db
ML, G = 1000, 1_000_000
PAGE, SHEET = "demos:demonstration-outcome", "demos:demonstration-outcome-sheet"
BOOKED, BOOKED_SHEET = "demos:booking-outcome", "demos:booking-outcome-sheet"


@pytest.fixture
def water(make_reagent):
    return make_reagent(
        "Water", "volume", formula="H2O", kind="liquid", density=1, hazard_state=Reagent.HazardState.NONE
    )


@pytest.fixture
def acid(make_reagent):
    fields = {"formula": "HNO3", "value": 1, "unit": "mol/L", "hazard_state": Reagent.HazardState.NONE}
    return make_reagent("Nitric acid 1 mol/L", "volume", **fields)


@pytest.fixture
def chalk(make_reagent):
    return make_reagent("Calcium carbonate", formula="CaCO3", hazard_state=Reagent.HazardState.NONE)


@pytest.fixture
def indicator(make_reagent):
    reagent = make_reagent("Universal indicator", "volume", hazard_state=Reagent.HazardState.NONE)
    dye = Chemical.objects.create(name="universal indicator")
    Component.objects.create(reagent=reagent, chemical=dye, value=Decimal("0.02"), unit="% w/v")
    reagent.solvent = Chemical.objects.create(name="water", formula="H2O")
    reagent.save()
    return reagent


@pytest.fixture
def show(make_demonstration, water, acid, chalk, indicator):
    """300 mL of water, 2.6 g of chalk, indicator, acid in eight portions of 8 mL."""
    made = make_demonstration(
        ingredients=[
            (water, 300 * ML, 0, 0),
            (chalk, 2_600_000, 0, 0),
            (indicator, 4 * ML, 0, 0),
            (acid, 64 * ML, 0, 0),
        ]
    )
    rows = {row.reagent_id: row for row in made.ingredients.all()}
    for number, (reagent, amount, portions) in enumerate(
        ((water, 300 * ML, 1), (chalk, 2_600_000, 1), (indicator, 4 * ML, 1), (acid, 8 * ML, 8)), start=1
    ):
        Step.objects.create(
            demonstration=made,
            number=number,
            text="Add it.",
            adds=rows[reagent.pk],
            adds_amount=amount,
            portions=portions,
        )
    Reaction.objects.create(
        demonstration=made, equation="CaCO3(s) + 2 HNO3(aq) -> Ca(NO3)2(aq) + H2O(l) + CO2(g)"
    )
    return made


def read(demonstration) -> Demonstration:
    return Demonstration.objects.prefetch_related(*beaker.PREFETCH).get(pk=demonstration.pk)


def page_of(client, demonstration, **query) -> str:
    return client.get(reverse(PAGE, args=[demonstration.pk]), query).content.decode()


def test_everyone_may_read_it_and_nobody_signed_out(client, head, teacher, technician, show, make_booking):
    booking = make_booking(show)
    addresses = [reverse(name, args=[show.pk]) for name in (PAGE, SHEET)]
    addresses += [reverse(name, args=[booking.pk]) for name in (BOOKED, BOOKED_SHEET)]
    assert {client.get(url).status_code for url in addresses} == {302}
    for person in (head, teacher, technician):
        client.force_login(person)
        assert {client.get(url).status_code for url in addresses} == {200}
        for name in (PAGE, SHEET, BOOKED, BOOKED_SHEET):
            assert client.get(reverse(name, args=[424242])).status_code == 404


def test_without_the_right_to_see_demonstrations_it_is_refused(client, teacher, show, make_booking):
    booking = make_booking(show)
    teacher.groups.clear()
    client.force_login(teacher)
    for name, pk in ((PAGE, show.pk), (SHEET, show.pk), (BOOKED, booking.pk), (BOOKED_SHEET, booking.pk)):
        assert client.get(reverse(name, args=[pk])).status_code == 403


def test_the_beaker_in_words_colour_and_numbers(client, teacher, show):
    client.force_login(teacher)
    page = page_of(client, show)
    assert "Some white calcium carbonate lies undissolved" in page
    assert "The last of the calcium carbonate dissolves: the beaker clears" in page
    assert "from indigo to red" in page or "to red" in page
    assert page.count('class="swatch"') == 9, "from the indicator on, every line shows its color"
    assert 'role="img"' in page
    assert "368 mL" in page, "300 + 4 + 8 x 8"
    assert "Collect it in a labeled container of its stream." in page


def test_the_equation_names_what_limits(client, teacher, show):
    client.force_login(teacher)
    page = page_of(client, show)
    assert "limiting" in page
    # 2.6 g of CaCO3 at 100.09 g/mol against 0.064 mol of acid
    assert "0.026 mol" in page
    assert "0.052 mol" in page


def test_a_beaker_with_solid_left_says_how_much_more_it_stands(client, teacher, show):
    show.steps.filter(number=4).update(portions=2)
    client.force_login(teacher)
    page = page_of(client, show)
    # 0.026 mol of solid takes 0.052 mol of acid, six portions and a half. The carbonic acid does the work of
    # some of the last: five portions leave some, the sixth none.
    assert "It stands 3 more portions of Nitric acid 1 mol/L" in page


def test_neutralising_to_a_chosen_range(client, teacher, show):
    client.force_login(teacher)
    assert "sodium hydrogencarbonate" in page_of(client, show, low="6", high="8")
    assert "already lies between" in page_of(client, show, low="1", high="5")


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ({"low": "9", "high": "6"}, "must be above the lower one"),
        ({"low": "abc"}, "Enter a number"),
        ({"low": "-3"}, "greater than or equal to 0"),
        ({"high": "99"}, "less than or equal to 14"),
        ({"low": "nan"}, "Enter a number"),
        ({"area": "0"}, "greater than or equal to"),
        ({"area": "1e400"}, "Enter a number"),
        ({"cold": "-40"}, "greater than or equal to 0"),
        ({"after": "9.9"}, "not one of the available choices"),
    ],
)
def test_what_cannot_be_asked_is_said_beside_the_field(client, teacher, show, query, says):
    client.force_login(teacher)
    answer = client.get(reverse(PAGE, args=[show.pk]), query)
    assert answer.status_code == 200
    assert says in answer.content.decode()
    assert client.get(reverse(SHEET, args=[show.pk]), query).status_code == 200


def test_warm_and_cold_show_in_the_beaker(client, teacher, show):
    client.force_login(teacher)
    show.steps.filter(number=4).update(temperature_c=60)
    Step.objects.create(demonstration=show, number=5, text="Stand it in ice water.", temperature_c=2)
    page = page_of(client, show)
    assert "Temperature</th>" in page
    assert "Nitric acid 1 mol/L at 60 °C" in page
    assert "(brought to 2 °C)" in page
    temperatures = [point.state.temperature_c for point in beaker.foresee(read(show)).outcome.points]
    assert temperatures[2] < temperatures[3] < temperatures[10] < 60
    assert temperatures[-1] == 2
    assert squeezed("(brought to 2 °C)") in letters(client.get(reverse(SHEET, args=[show.pk])).content)


def test_what_the_class_sees_before_a_slow_solid_answers(client, teacher, show):
    client.force_login(teacher)
    page = page_of(client, show)
    assert "At once" in page and "then calcium carbonate dissolves and takes it back" in page
    found = dissolving.at_once(beaker.foresee(read(show)).outcome)
    assert all(first.ph < 3 for first in found.values())


def test_slow_and_fast_follows_its_parameters(client, teacher, show):
    client.force_login(teacher)
    page = page_of(client, show)
    assert "Slow and fast" in page
    assert "An illustration" in page
    assert "12 m² a gram" in page_of(client, show, area="12")
    found = beaker.foresee(read(show))
    meeting = dissolving.meetings(found.outcome)[0]
    warm, cold = dissolving.curves(meeting, meeting.rate, (20.0, 2.0))
    assert cold.points[-1].seconds > 2 * warm.points[-1].seconds
    assert warm.points[0].ph < 3 < meeting.ph_at_rest


def test_no_curve_where_no_rate_is_published(client, teacher, show, make_reagent):
    show.steps.filter(number=2).delete()
    client.force_login(teacher)
    assert "Slow and fast" not in page_of(client, show)


def test_a_demonstration_without_additions_says_what_to_do(client, teacher, make_demonstration):
    bare = make_demonstration("Bare")
    client.force_login(teacher)
    page = page_of(client, bare)
    assert "No step puts a stated amount" in page
    assert reverse("demos:demonstration-edit", args=[bare.pk]) in page
    assert client.get(reverse(SHEET, args=[bare.pk])).status_code == 200


def test_gaps_are_named(client, teacher, show, acid, water):
    show.steps.filter(number=1).update(adds_amount=None)
    show.steps.filter(number=4).update(portions=20)
    Reagent.objects.filter(pk=acid.pk).update(hazard_state=Reagent.HazardState.UNKNOWN)
    client.force_login(teacher)
    page = page_of(client, show)
    assert "Step 1 adds Water, but not how much: it is left out." in page
    assert "The steps add 160 mL of Nitric acid 1 mol/L, and 64 mL is set" in page
    assert "Not classified yet, to be treated as hazardous: Nitric acid 1 mol/L." in page


def test_an_unknown_species_is_said_so_and_is_collected(client, teacher, show, chalk):
    Component.objects.filter(reagent=chalk).delete()
    client.force_login(teacher)
    page = page_of(client, show)
    assert "its composition is not given" in page
    assert "not determined" in page
    assert "Collect it in a labeled container" in page


def test_too_many_portions_are_refused_in_words(client, teacher, show):
    for number in range(5, 10):
        step = show.steps.get(number=4)
        step.pk, step.number, step.portions = None, number, 50
        step.save()
    client.force_login(teacher)
    page = page_of(client, show)
    assert "portions are more than can be followed" in page
    assert client.get(reverse(SHEET, args=[show.pk])).status_code == 200


def test_an_equation_that_is_wrong_is_shown_with_what_is_wrong(client, teacher, show):
    Reaction.objects.create(demonstration=show, equation="<b>nonsense</b> -> H2O")
    Reaction.objects.create(demonstration=show, equation="CaCO3 + HNO3 -> Ca(NO3)2 + H2O + CO2")
    client.force_login(teacher)
    page = page_of(client, show)
    assert "<b>nonsense" not in page
    assert "balanced here" in page


def test_a_booking_takes_its_scale_and_what_was_chosen(
    client, teacher, show, acid, make_reagent, make_booking
):
    sulfuric = make_reagent("Sulfuric acid", "volume", formula="H2SO4", value="0.5", unit="mol/L")
    row = show.ingredients.get(reagent=acid)
    Alternative.objects.create(ingredient=row, reagent=sulfuric, amount=3, per_amount=2)
    booking = make_booking(show, scale=Decimal("2"), showings=3, chosen={row.pk: sulfuric.pk})
    client.force_login(teacher)
    page = client.get(reverse(BOOKED, args=[booking.pk])).content.decode()
    assert "Sulfuric acid instead of Nitric acid 1 mol/L: 24 mL, 8 times, in step 4." in page
    assert "800 mL" in page, "twice 300 + 4 + 8 x 12 mL"
    assert "after each of 3 showings" in page
    assert "sulfate ion" in page


def test_the_sheet_says_what_the_page_says(client, teacher, show):
    client.force_login(teacher)
    for paper in ("A4", "Letter"):
        words = letters(client.get(reverse(SHEET, args=[show.pk]), {"paper": paper}).content)
        for said in (
            "The last of the calcium carbonate dissolves",
            "Slow and fast",
            "Collect it in a labeled container",
            "sodium hydrogencarbonate",
        ):
            assert squeezed(said) in words


def test_more_steps_and_ingredients_ask_no_more_of_the_database(client, teacher, show, make_reagent):
    client.force_login(teacher)

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse(PAGE, args=[show.pk]))
        return len(queries)

    asked()
    few = asked()
    for number in range(12):
        reagent = make_reagent(f"Sodium chloride {number}", formula="NaCl")
        row = show.ingredients.create(reagent=reagent, first_amount=G)
        show.steps.create(number=20 + number, text="More.", adds=row, adds_amount=G)
    assert asked() == few


def test_pages_lead_to_it(client, teacher, show, make_booking):
    booking = make_booking(show)
    client.force_login(teacher)
    address = reverse(PAGE, args=[show.pk])
    assert address in client.get(show.get_absolute_url()).content.decode()
    assert address in client.get(reverse("demos:demonstration-list")).content.decode()
    assert reverse(BOOKED, args=[booking.pk]) in client.get(booking.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("mol", "says"), [(0.0343, "0.0343 mol"), (0.00341, "3.41 mmol"), (0, "0 mol"), (2.5, "2.5 mol")]
)
def test_moles_read_as_people_write_them(mol, says):
    assert outcome_report.moles(mol) == says


FOLLOWED = "2 Fe+3(aq) + 2 I-(aq) -> 2 Fe+2(aq) + I2(aq)"


@pytest.fixture
def lively(make_reagent, make_demonstration):
    """Iron(III) chloride poured onto iodide: nobody wrote an equation."""
    fields = {"value": Decimal("0.1"), "unit": "mol/L", "hazard_state": Reagent.HazardState.NONE}
    iodide = make_reagent("Potassium iodide 0.1 mol/L", "volume", formula="KI", **fields)
    iron = make_reagent("Iron(III) chloride 0.1 mol/L", "volume", formula="FeCl3", **fields)
    made = make_demonstration(ingredients=[(iodide, 50 * ML, 0, 0), (iron, 20 * ML, 0, 0)])
    for number, row in enumerate(made.ingredients.order_by("pk"), start=1):
        Step.objects.create(
            demonstration=made, number=number, text="Add it.", adds=row, adds_amount=row.first_amount
        )
    return made


def test_electron_transfer_is_said_and_offered_on_page_and_paper(client, teacher, lively):
    client.force_login(teacher)
    page = page_of(client, lively)
    assert "Iron(III) ion and iodide ion may react by electron transfer" in page
    assert "Follow it in the beaker" in page
    paper = letters(client.get(reverse(SHEET, args=[lively.pk])).content)
    assert squeezed("Iron(III) ion and iodide ion may react by electron transfer") in paper


def test_one_click_follows_it_and_another_writes_it_down(client, teacher, lively):
    client.force_login(teacher)
    page = page_of(client, lively, follow=FOLLOWED)
    assert "may react by electron transfer" not in page
    assert "Followed here, but not written down" in page
    assert ": triiodide ion" in page
    answer = client.post(reverse(PAGE, args=[lively.pk]), {"follow": FOLLOWED}, follow=True)
    assert "stands among those of the demonstration now" in answer.content.decode()
    assert [row.equation for row in lively.reactions.all()] == [FOLLOWED]
    client.post(reverse(PAGE, args=[lively.pk]), {"follow": FOLLOWED})
    assert lively.reactions.count() == 1


def test_an_equation_in_the_address_that_cannot_be_read_is_said(client, teacher, lively):
    client.force_login(teacher)
    assert "left out: It does not balance" in page_of(client, lively, follow="Fe -> Fe2+")
    assert page_of(client, lively, follow="<script>x</script>").count("<script>x") == 0


def test_who_may_not_change_a_demonstration_keeps_no_equation(client, head, lively):
    client.force_login(head)
    assert client.post(reverse(PAGE, args=[lively.pk]), {"follow": FOLLOWED}).status_code == 403
    assert not lively.reactions.exists()


def test_the_chart_goes_by_volume_where_something_is_titrated(client, teacher, show):
    client.force_login(teacher)
    page = page_of(client, show)
    assert "mL of Nitric acid 1 mol/L added" in page
    drawn = outcome_report.path(beaker.foresee(read(show)).outcome)
    assert [stop.at for stop in drawn.stops] == pytest.approx([8 * portion for portion in range(9)])
    rows = outcome_report.rows(beaker.foresee(read(show)).outcome)
    assert [stop.ph for stop in drawn.stops] == [row.ph for row in rows[2:]]


def test_the_chart_goes_by_step_where_nothing_is_titrated(client, teacher, lively):
    client.force_login(teacher)
    assert "No. of the line in the table" in page_of(client, lively)
    assert outcome_report.path(beaker.foresee(read(lively)).outcome).titrant == ""


def test_the_temperature_stands_beside_every_ph(client, teacher, show):
    client.force_login(teacher)
    page = page_of(client, show)
    assert "Temperature</th>" in page and "pH after, at 20 °C" in page
    assert squeezed("Temp.") in letters(client.get(reverse(SHEET, args=[show.pk])).content)


def test_a_ph_just_below_zero_in_strong_acid_is_not_minus_nought(client, teacher, show, acid):
    acid.components.update(value=2)
    show.steps.exclude(adds__reagent=acid).delete()
    client.force_login(teacher)
    page = page_of(client, show)
    assert "about 0<" in page and "about -0<" not in page


def test_every_column_of_the_amounts_has_a_heading(client, teacher, show):
    client.force_login(teacher)
    assert '<th scope="col"></th>' not in page_of(client, show)
    assert squeezed("What happens to it") in letters(client.get(reverse(SHEET, args=[show.pk])).content)


def test_an_equation_without_states_is_told_to_add_them(client, teacher, show):
    Reaction.objects.update(equation="CaCO3 + 2 HNO3 -> Ca(NO3)2 + H2O + CO2")
    client.force_login(teacher)
    assert "Write the states, (s), (l), (g) or (aq), behind CaCO₃, HNO₃, Ca(NO₃)₂, H₂O" in page_of(
        client, show
    )


def test_the_form_offers_the_equation_while_it_is_written(client, teacher, lively):
    client.force_login(teacher)
    data = {"ingredients-TOTAL_FORMS": "2", "reactions-TOTAL_FORMS": "1", "reactions-0-equation": ""}
    for number, row in enumerate(lively.ingredients.order_by("pk")):
        amount = row.reagent.text_of(row.first_amount)
        data |= {f"ingredients-{number}-reagent": row.reagent.name, f"ingredients-{number}-first": amount}
    panel = client.post(reverse("demos:demonstration-amounts"), data).content.decode()
    assert "may react by electron transfer" in panel
    assert 'data-fill="2 Fe+3(aq) + 2 I-(aq) -&gt; 2 Fe+2(aq) + I2(aq)"' in panel
    data["reactions-0-equation"] = FOLLOWED
    panel = client.post(reverse("demos:demonstration-amounts"), data).content.decode()
    assert "may react by electron transfer" not in panel
