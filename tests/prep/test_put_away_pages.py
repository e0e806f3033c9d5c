"""What is left of a booking goes into a waste container, or down the drain under a letter that covers it."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from demos.models import Booking, Step
from demos.report import residue as leftover
from stockroom.common.append_only import WrittenOnceError
from stockroom.inventory import ledger
from stockroom.inventory.models import Chemical, Component, Reagent, WasteEntry
from stockroom.safety.waste import characterise
from stockroom.waste import composition
from stockroom.waste.models import DrainEntry, DrainPermission

pytestmark = pytest.mark.django_db
ML, L = 1_000, 1_000_000


@pytest.fixture
def solution(make_reagent):
    """`solution("Salt", "NaCl", "7647-14-5", "0.5")`: in water, mol/L."""

    def make(name, formula, cas, strength, **fields):
        reagent = make_reagent(name, "volume", density="1", **{"hazard_state": "none", **fields})
        chemical = Chemical.objects.create(name=name, cas_rn=cas, formula=formula)
        Component.objects.create(reagent=reagent, chemical=chemical, value=strength, unit="mol/L")
        return reagent

    return make


@pytest.fixture
def copper(solution):
    return solution("Copper(II) sulfate", "CuSO4", "7758-98-7", "0.1")


@pytest.fixture
def soda(solution):
    return solution("Sodium hydrogencarbonate", "NaHCO3", "144-55-8", "0.5")


@pytest.fixture
def shown(make_demonstration, make_booking):
    """`shown([reagent], showings=2)`: a booking of today whose one beaker takes 100 mL of each."""

    def make(reagents, steps=True, days=0, **fields):
        title = f"Cloudy to clear {Booking.objects.count()}"
        demonstration = make_demonstration(
            title, ingredients=[(one, 100 * ML, 100 * ML, 0) for one in reagents]
        )
        for number, row in enumerate(demonstration.ingredients.all() if steps else (), 1):
            Step.objects.create(
                demonstration=demonstration, number=number, text="Pour", adds=row, adds_amount=100 * ML
            )
        return make_booking(demonstration, days=days, **fields)

    return make


@pytest.fixture
def make_waste(shelf, today):
    def make(stream="metals", capacity=5 * L, measure="volume"):
        started = today - datetime.timedelta(40)
        return ledger.open_waste(
            stream=stream, capacity=capacity, measure=measure, location=shelf, started_on=started
        )

    return make


@pytest.fixture
def letter(head, today):
    return DrainPermission.objects.create(
        authority="Harl Valley Water",
        reference="HV/2026/117",
        dated_on=today - datetime.timedelta(30),
        valid_until=today + datetime.timedelta(300),
        covers="Neutral salts of sodium & potassium, up to 5 L a day.",
        recorded_by=head,
        recorded_on=today,
    )


def page_of(booking) -> str:
    return reverse("demos:booking-left", args=[booking.pk])


def sent(client, booking, where, **changes):
    data = {"where": str(where), "amount": "200 mL", "ph": "", "on": booking.on, "vouched": ""}
    return client.post(page_of(booking), data | changes)


def test_only_hands_may(client, head, teacher, technician, shown, copper):
    url = page_of(shown([copper]))
    for person, status in ((head, 403), (teacher, 403), (technician, 200)):
        client.force_login(person)
        assert client.get(url).status_code == status
        assert person == technician or client.post(url).status_code == 403
    assert client.get(reverse("demos:booking-left", args=[987_654])).status_code == 404


def test_the_run_leads_here_and_the_entry_keeps_what_is_in_it(
    client, technician, shown, copper, make_waste, make_container
):
    metals, acids = make_waste(), make_waste("acids")
    bottle = make_container(copper, 1 * L)
    booking = shown([copper], showings=2)
    client.force_login(technician)
    run = reverse("demos:booking-run", args=[booking.pk])
    assert "put what is left into a waste container" in client.get(run).content.decode()
    answer = client.post(run, {f"take_{bottle.pk}": "200 mL"})
    assert answer.url == page_of(booking)
    answer = client.get(page_of(booking))
    page = answer.content.decode()
    assert 'value="200 mL"' in page and "Metals in water" in page and "copper(II) ion 0.1 mol/L" in page
    options = answer.context["form"].options
    assert [(one.value, one.state.tone) for one in options] == [
        (str(metals.pk), "good"),
        (str(acids.pk), "warn"),
    ]
    assert sent(client, booking, metals.pk).url == booking.get_absolute_url()
    entry = WasteEntry.objects.get()
    assert (entry.amount, entry.belongs_to) == (200 * ML, booking)
    waste = composition.of_entry(entry)
    (moles,) = (one.mol for one in waste.residue.components if one.name == "copper(II) ion")
    assert moles == pytest.approx(0.02, rel=0.01)
    metals.refresh_from_db()
    assert metals.contents == 200 * ML
    page = client.get(booking.get_absolute_url()).content.decode()
    assert metals.code in page and "Put away more" in page


def test_half_of_it_holds_half(client, technician, shown, copper, make_waste):
    metals = make_waste()
    client.force_login(technician)
    sent(client, shown([copper]), metals.pk, amount="50 mL", ph="4.5")
    residue = composition.of_entry(WasteEntry.objects.get()).residue
    (moles,) = (one.mol for one in residue.components if one.name == "copper(II) ion")
    assert moles == pytest.approx(0.005, rel=0.01) and residue.ph == 4.5


def test_a_doubt_asks_for_a_reason_and_a_refusal_stands(client, technician, shown, copper, make_waste):
    acids, small = make_waste("acids"), make_waste(capacity=150 * ML)
    booking = shown([copper], showings=2)
    client.force_login(technician)
    answer = sent(client, booking, acids.pk)
    assert {"where", "vouched"} == set(answer.context["form"].errors) and not WasteEntry.objects.exists()
    answer = sent(client, booking, small.pk, vouched="I know better")
    assert "90 % full" in answer.content.decode() and not WasteEntry.objects.exists()
    assert sent(client, booking, acids.pk, vouched="brought to pH 1 <b>").status_code == 302
    assert "(belongs here: brought to pH 1 <b>)" in WasteEntry.objects.get().description
    assert "<b>" not in client.get(acids.get_absolute_url()).content.decode()


def test_what_would_react_is_refused(client, technician, shown, solution, make_waste):
    cyanides = make_waste("cyanide")
    ledger.add_waste(
        cyanides,
        100 * ML,
        description="cyanide",
        who=technician,
        composition=composition.as_data(composition.described("x", 100 * ML, 11))
        | {"components": [["cyanide ion", "CN-", "", 0.1]], "unknown": [], "groups": ["cyanide"]},
    )
    acid = solution("Hydrochloric acid", "HCl", "7647-01-0", "1", groups=["acid_dilute"])
    client.force_login(technician)
    answer = client.get(page_of(shown([acid])))
    assert [one.state.tone for one in answer.context["form"].options] == ["bad"]
    assert "hydrogen cyanide" in answer.content.decode()


def test_what_cannot_be_reckoned_counts_as_not_known(client, technician, shown, copper, make_waste):
    Reagent.objects.update(groups=["metal_heavy"])
    metals = make_waste()
    booking = shown([copper], steps=False)
    left = leftover.of_booking(booking, composition.rules())
    assert left.stream.key == "apart" and left.character.hazardous
    client.force_login(technician)
    page = client.get(page_of(booking)).content.decode()
    assert "It cannot be worked out" in page and "In doubt" in page
    sent(client, booking, metals.pk, amount="150 mL", vouched="only copper salts")
    waste = composition.of_entry(WasteEntry.objects.get())
    assert waste.residue.unknown and waste.residue.volume_ul == 150 * ML and characterise(waste).hazardous


def test_nothing_taken_or_not_shown_leaves_nothing(client, technician, shown, copper):
    client.force_login(technician)
    for booking in (shown([]), shown([copper], days=3)):
        assert client.get(page_of(booking)).url == booking.get_absolute_url()


def test_no_container_says_what_to_do(client, technician, shown, copper):
    client.force_login(technician)
    page = client.get(page_of(shown([copper]))).content.decode()
    start = f"{reverse('waste-add')}?stream=metals"
    assert start in page and ">Save<" not in page
    assert '<option value="metals" selected' in client.get(start).content.decode()
    assert client.get(f"{reverse('waste-add')}?stream=<script>").status_code == 200


@pytest.mark.parametrize(
    ("changes", "names"),
    [
        ({"where": ""}, {"where"}),
        ({"where": "999999"}, {"where"}),
        ({"where": "drain-1"}, {"where"}),
        ({"amount": ""}, {"amount"}),
        ({"amount": "5"}, {"amount"}),
        ({"amount": "0 mL"}, {"amount"}),
        ({"amount": "5 g"}, {"amount"}),
        ({"amount": "1e40 L"}, {"amount"}),
        ({"ph": "acid"}, {"ph"}),
        ({"ph": "99"}, {"ph"}),
        ({"on": ""}, {"on"}),
        ({"on": "2999-01-01"}, {"on"}),
        ({"on": "2001-01-01"}, {"on"}),
    ],
)
def test_bad_input_is_said_beside_the_field(client, technician, shown, copper, make_waste, changes, names):
    metals = make_waste()
    client.force_login(technician)
    answer = sent(client, shown([copper]), **({"where": metals.pk} | changes))
    assert answer.status_code == 200 and set(answer.context["form"].errors) == names
    assert not WasteEntry.objects.exists()


# --- down the drain


def test_the_drain_is_offered_only_under_a_letter(client, technician, shown, soda, copper, letter):
    client.force_login(technician)
    page = client.get(page_of(shown([soda]))).content.decode()
    assert f"drain-{letter.pk}" in page and "Neutral salts of sodium &amp; potassium" in page
    assert f"drain-{letter.pk}" not in client.get(page_of(shown([copper]))).content.decode()
    DrainPermission.objects.update(ended_on=datetime.date(2000, 1, 1))
    assert f"drain-{letter.pk}" not in client.get(page_of(shown([soda]))).content.decode()


def test_nobody_classified_it_so_no_drain(client, technician, shown, soda, letter):
    soda.hazard_state = "unknown"
    soda.save()
    client.force_login(technician)
    assert f"drain-{letter.pk}" not in client.get(page_of(shown([soda]))).content.decode()


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"covered": ""}, "covered"),
        ({"ph": ""}, "ph"),
        ({"ph": "3.1"}, "ph"),
        ({"ph": "11"}, "ph"),
        ({"amount": "5 g"}, "amount"),
    ],
)
def test_the_drain_asks_for_a_tick_and_a_ph(client, technician, shown, soda, letter, changes, name):
    client.force_login(technician)
    data = {"ph": "8.2", "covered": "on"} | changes
    answer = sent(client, shown([soda]), f"drain-{letter.pk}", **data)
    assert set(answer.context["form"].errors) == {name} and not DrainEntry.objects.exists()


def test_what_was_poured_is_written_down_once(client, technician, head, shown, soda, letter):
    booking = shown([soda])
    client.force_login(technician)
    assert sent(client, booking, f"drain-{letter.pk}", ph="8.2", covered="on").status_code == 302
    entry = DrainEntry.objects.get()
    assert (entry.permission, entry.amount, entry.who) == (letter, 200 * ML, technician)
    assert entry.belongs_to == booking and "left of Cloudy to clear" in entry.description
    assert "down the" in client.get(booking.get_absolute_url()).content.decode()
    assert "left of Cloudy to clear" in client.get(reverse("drain-list")).content.decode()
    for change in (
        entry.save,
        entry.delete,
        DrainEntry.objects.all().delete,
        lambda: DrainEntry.objects.update(amount=1),
    ):
        with pytest.raises(WrittenOnceError):
            change()
    client.force_login(head)
    page = client.get(reverse("activity"), {"kind": "drain"}).content.decode()
    assert "Poured down the drain" in page and "left of Cloudy to clear" in page


def test_the_outcome_shows_the_words_of_the_letter(client, teacher, shown, soda, letter):
    client.force_login(teacher)
    page = client.get(reverse("demos:booking-outcome", args=[shown([soda]).pk])).content.decode()
    assert "Pour only what these words cover" in page and "Neutral salts of sodium &amp; potassium" in page


def test_the_same_queries_for_few_and_many(client, technician, shown, copper, make_waste):
    booking = shown([copper])
    client.force_login(technician)

    def queries(url) -> int:
        client.get(url)
        with CaptureQueriesContext(connection) as seen:
            client.get(url)
        return len(seen)

    urls = [page_of(booking), booking.get_absolute_url()]
    sent(client, booking, make_waste().pk)
    few = [queries(url) for url in urls]
    for _ in range(8):
        assert sent(client, booking, make_waste().pk).status_code == 302
    assert [queries(url) for url in urls] == few
