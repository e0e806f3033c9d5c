"""The invented school: enough of everything, all of it invented, with the trouble that a real term has."""

import datetime
import re
from collections import defaultdict
from decimal import Decimal
from fractions import Fraction

import pytest
from django.contrib.auth import authenticate, get_user_model
from django.urls import reverse

from demos import sample
from demos.consumption.takes import ingredients_of
from demos.models import Booking, Demonstration, Ingredient, Run, Step
from demos.planning import booking as acts
from demos.planning import feasibility
from demos.report import beaker, outcome_report, served_steps
from demos.sample import library, read
from demos.simulation.restated_steps import portion_text
from stockroom.chemistry.reaction import imbalance, parse_equation
from stockroom.common.department import Department
from stockroom.hazards.models import ReagentHazard, SafetyDataSheet
from stockroom.inventory import ledger
from stockroom.inventory.models import Container, Offer, Preparation, Reagent, Supplier, WasteContainer
from stockroom.purchasing import outlook
from stockroom.purchasing.models import Order, OrderLine
from stockroom.safety.storage import SEVERITIES, Item, findings
from stockroom.supply.requirements import Readiness
from tests.conftest import LOADED_ON, PASSWORDS
from tests.paper.sheet_reading import pages

CURDS = "Blue curds cleared by a fruit acid"


pytestmark = pytest.mark.django_db


def standing(title: str, class_name: str) -> feasibility.Standing:
    booking = Booking.objects.select_related("demonstration").get(
        demonstration__title=title, class_name=class_name, state=Booking.State.PLANNED
    )
    return feasibility.standing_of([booking], outlook.read(LOADED_ON))[booking.pk]


def checked(title: str, class_name: str) -> feasibility.Feasibility:
    booking = Booking.objects.select_related("demonstration").get(
        demonstration__title=title, class_name=class_name, state=Booking.State.PLANNED
    )
    return feasibility.check(booking, ingredients_of(booking.demonstration), outlook.read(LOADED_ON))


def test_there_is_enough_of_everything(loaded):
    assert Reagent.objects.count() >= 80
    assert Container.objects.count() >= 130
    assert Demonstration.objects.count() >= 14
    assert Supplier.objects.count() >= 3
    assert Booking.objects.filter(on__gte=loaded).count() + Run.objects.count() >= 40
    assert Run.objects.count() >= 5
    assert SafetyDataSheet.objects.count() >= 40
    assert WasteContainer.objects.exclude(contents=0).count() >= 3
    assert {order.state for order in Order.objects.all()} >= {"draft", "ordered", "received"}


def test_every_balance_is_proven(loaded):
    looked_at, wrong = ledger.prove()
    assert looked_at >= 130
    assert wrong == []


@pytest.mark.parametrize(
    "topic",
    [
        "Acids and bases",
        "Solubility",
        "Equilibrium",
        "Kinetics",
        "Redox",
        "Gases",
        "Thermochemistry",
        "Electrochemistry",
        "Organic chemistry",
    ],
)
def test_every_subject_has_a_demonstration(loaded, topic):
    assert Demonstration.objects.filter(topics__name=topic).exists()


def test_a_demonstration_is_complete(loaded):
    for row in Demonstration.objects.prefetch_related("ingredients", "equipment", "steps", "topics"):
        assert row.ingredients.exists() and row.equipment.exists() and row.topics.exists(), row
        assert row.steps.count() >= 3, row
        assert row.protection and row.clean_up and row.explanation, row


def test_no_step_adds_more_than_the_first_showing_is_given(loaded):
    for ingredient in Ingredient.objects.prefetch_related("steps").select_related("reagent"):
        added = sum(step.adds_amount * step.portions for step in ingredient.steps.all())
        assert added <= ingredient.first_amount, ingredient
    assert Step.objects.filter(adds__isnull=False).count() >= 30


def foreseen(title: str) -> beaker.Foreseen:
    return beaker.foresee(Demonstration.objects.prefetch_related(*beaker.PREFETCH).get(title=title))


def test_every_beaker_can_be_followed(loaded):
    for row in Demonstration.objects.prefetch_related(*beaker.PREFETCH):
        assert not beaker.foresee(row).wrong, row


def test_the_number_stands_still_while_there_are_curds(loaded):
    points = [point for point in foreseen(CURDS).outcome.points if "citric" in point.label]
    curds = [point.state.solid("Cu(OH)2") for point in points]
    assert len(points) == 7
    assert all(one > other for one, other in zip(curds[:5], curds[1:5], strict=False))
    assert curds[3] > 0 and curds[4] == curds[5] == curds[6] == 0
    assert points[0].state.ph - points[3].state.ph < 0.4
    assert points[3].state.ph - points[6].state.ph > 2
    assert all(point.state.temperature_c < 12 for point in points)


def test_copper_dissolves_in_ammonia_and_comes_back(loaded):
    points = foreseen("Copper in pale blue, cloudy and deep blue").outcome.points
    cloudy = [bool(point.solids_words) for point in points]
    turns = sum(one != other for one, other in zip(cloudy, cloudy[1:], strict=False))
    assert turns == 4 and not cloudy[-1]


def test_thiocyanate_is_not_thrown_away_sour(loaded):
    found = foreseen("Blood-red and back: iron and thiocyanate")
    assert found.outcome.points[-1].state.ph > 6
    assert found.disposal.stream.key not in ("acids", "metals_acid")


@pytest.mark.parametrize("row", library.demonstrations(), ids=lambda row: row["title"])
def test_equations_are_balanced(row):
    for text in row["reactions"]:
        assert not imbalance(parse_equation(text)), text


def test_every_ingredient_can_be_had(loaded):
    """From the shelf, by making it up, or from a supplier."""
    used = set(Ingredient.objects.values_list("reagent", flat=True))
    used |= set(
        Ingredient.objects.filter(alternatives__isnull=False).values_list("alternatives__reagent", flat=True)
    )
    stocked = set(Container.objects.filter(balance__gt=0).values_list("reagent", flat=True))
    made = set(Preparation.objects.filter(parts__isnull=False).values_list("reagent", flat=True))
    sold = set(Offer.objects.values_list("reagent", flat=True))
    assert used <= stocked | made | sold
    assert used <= made | sold, "what runs out must come from somewhere"


def test_every_part_of_a_preparation_can_be_had(loaded):
    parts = set(Preparation.objects.values_list("parts__reagent", flat=True)) - {None}
    made = set(Preparation.objects.values_list("reagent", flat=True))
    sold = set(Offer.objects.values_list("reagent", flat=True))
    assert Reagent.objects.filter(pk__in=parts - made - sold).count() == 0


def test_one_is_short_of_what_cannot_come_in_time(loaded):
    found = checked("A silver tree on copper", "Grade 12")
    assert found.readiness == Readiness.CANNOT
    assert any("silver nitrate is missing" in line.text for line in found.lines)


def test_one_uses_what_is_out_of_date_by_then(loaded):
    found = checked(CURDS, "Grade 11 C")
    assert found.readiness == Readiness.ORDER
    assert any("expires before then" in reason for line in found.lines for reason in line.because)


def test_one_needs_making_up_two_levels_deep(loaded):
    found = checked("The bottle that turns blue when shaken", "Grade 10 C")
    assert found.readiness == Readiness.MAKE_UP
    made = {line.reagent.catalogue_key for line in found.lines if line.text.startswith("Make up")}
    assert {"glucose_alkaline", "sodium_hydroxide_1m"} <= made


def test_two_compete_for_one_bottle(loaded):
    title = "Cold light from two clear liquids"
    assert standing(title, "Rehearsal").readiness == Readiness.MAKE_UP
    later = checked(title, "Open house")
    assert later.readiness == Readiness.CANNOT
    assert any("taken by" in reason for line in later.lines for reason in line.because)
    assert Container.objects.filter(reagent__catalogue_key="luminol_solid").count() == 1


def test_one_is_cured_by_an_alternative(loaded):
    found = checked("Pouring a gas to put out a row of candles", "Science club")
    assert found.readiness == Readiness.CANNOT
    cured = {
        cure.alternative.reagent.catalogue_key for cure in found.cures if cure.readiness == Readiness.READY
    }
    assert "acetic_acid_1m" in cured


def test_one_room_is_booked_twice(loaded):
    planned = Booking.objects.filter(state=Booking.State.PLANNED)
    assert sum(bool(acts.clashes(booking)) for booking in planned) == 2


def test_one_delivery_came_in_part(loaded):
    (line,) = OrderLine.objects.filter(received_packs__gt=0).exclude(order__state=Order.State.RECEIVED)
    assert line.received_packs < line.packs
    assert Container.objects.filter(reagent=line.reagent, supplier=line.order.supplier).exists()


def test_shelves_have_their_trouble_too(loaded):
    here = Container.objects.present()
    assert here.filter(usable_until__lt=loaded).count() >= 3
    assert here.filter(state=Container.State.QUARANTINED).exists()
    assert here.filter(opened_on=None).exists() and here.exclude(opened_on=None).exists()


def test_bleach_stands_among_the_acids_and_nothing_else_is_as_badly_misplaced(loaded):
    by_place = defaultdict(list)
    for container in Container.objects.select_related("reagent").prefetch_related("reagent__hazards"):
        reagent = container.reagent
        hazards = frozenset(hazard.hazard_class for hazard in reagent.hazards.all())
        by_place[container.location_id].append(
            Item(
                container.pk,
                reagent.name,
                reagent.catalogue_key,
                hazards,
                frozenset(reagent.groups),
                reagent.transport_class or None,
                storage_kind=reagent.storage_kind,
                classified=reagent.hazard_state != Reagent.HazardState.UNKNOWN,
            )
        )
    pairs = {
        frozenset((a.reagent_key, b.reagent_key))
        for items in by_place.values()
        for a in items
        for b in items
        if a.reagent_key < b.reagent_key and any(one.severity == SEVERITIES[0] for one in findings(a, b))
    }
    assert pairs and all("sodium_hypochlorite_10" in pair for pair in pairs), pairs


@pytest.mark.parametrize("today", [LOADED_ON, datetime.date(2026, 8, 1), datetime.date(2025, 12, 29)])
def test_days_are_working_days_and_relative_to_the_day_of_loading(today):
    calendar = read.Calendar(today)
    days = [calendar.school_day(number) for number in range(-28, 38)]
    assert all(day.weekday() < 5 for day in days)
    assert days == sorted(set(days))
    assert days[27] < today <= days[28]
    assert all(calendar.ago(number).weekday() < 5 for number in range(60))


def test_everyone_and_everything_is_invented(loaded):
    """Mail under .example (RFC 2606); telephone numbers 555-0100 to 555-0199, kept free for fiction."""
    emails = [user.email for user in get_user_model().objects.all()]
    emails += [supplier.email for supplier in Supplier.objects.all() if supplier.email]
    assert emails and all(email.endswith(".example") for email in emails)
    words = [supplier.phone for supplier in Supplier.objects.all()] + [Department.current().emergency_contact]
    for text in words:
        assert re.search(r"\b555-01\d\d\b", text), text


def test_only_those_with_a_password_can_sign_in(loaded):
    assert authenticate(username="adeyemi", password=PASSWORDS["adeyemi"])
    others = get_user_model().objects.exclude(username__in=PASSWORDS)
    assert others.count() == len(sample.PEOPLE) - len(PASSWORDS)
    assert not any(user.has_usable_password() for user in others)
    assert not get_user_model().objects.filter(is_superuser=True).exists()


def test_each_role_has_a_sign_in():
    assert {person.role for person in sample.SIGN_INS} == {"Department head", "Teacher", "Technician"}


def test_hazard_data_says_where_it_comes_from(loaded):
    assert not Reagent.objects.filter(source="").exists()
    assert not ReagentHazard.objects.filter(source="").exists()
    assert ReagentHazard.objects.exclude(checked_on=None).exists()
    assert ReagentHazard.objects.filter(checked_on=None).exists()


def _with_an_alternative():
    """Every demonstration with each alternative of its ingredients."""
    for row in Demonstration.objects.prefetch_related(*beaker.PREFETCH):
        for ingredient in row.ingredients.all():
            for other in ingredient.alternatives.all():
                yield row, ingredient, other


def test_the_steps_of_a_booking_name_the_chosen_alternative(loaded):
    """Neither name nor amount of the usual reagent is left in a step that pours it."""
    seen = 0
    for row, ingredient, other in _with_an_alternative():
        said = served_steps.steps(row, Decimal(1), {ingredient.pk: other.reagent_id})
        factor = Fraction(other.amount, other.per_amount)
        for step, text in zip(row.steps.all(), said, strict=True):
            if step.adds_id != ingredient.pk:
                continue
            seen += 1
            assert str(other.reagent) in text, (row, text)
            if str(ingredient.reagent) not in str(other.reagent):
                assert str(ingredient.reagent) not in text, (row, text)
            if factor != 1:
                usual = portion_text(step.adds_amount, ingredient.reagent.measure)
                assert not re.search(rf"(?<![\d.]){re.escape(usual)}\b", text), (row, text)
    assert seen >= 20


def test_a_chosen_alternative_is_on_all_three_papers(loaded, client):
    """Vinegar is not what the booking of the acetic acid pours: 35 mL, four times, become 29.3 mL."""
    booking = Booking.objects.get(demonstration__title__startswith="Pouring a gas", class_name="Science club")
    row = booking.demonstration.ingredients.get(reagent__catalogue_key="vinegar_white")
    acid = row.alternatives.get(reagent__catalogue_key="acetic_acid_1m")
    acts.save(booking, {row.pk: acid.reagent_id})
    client.force_login(booking.teacher)
    for name in ("booking-sheet", "booking-reminder", "booking-outcome-sheet"):
        answer = client.get(reverse(f"demos:{name}", args=[booking.pk]))
        words = " ".join(" ".join(pages(answer.content)).split())
        assert "Acetic acid 1 mol/L instead of vinegar" in words, name
        assert "29.3 mL, 4 times" in words, name
        assert "35 mL" not in words, name


def test_the_reminder_says_how_hot_it_gets_and_how_much_gas_comes(loaded):
    """0.108 mol of peroxide falls apart: 1.3 L of oxygen at 20 °C, and 94.66 kJ/mol into about 61 g."""
    found = foreseen("A catalyst that comes back")
    said = " ".join(outcome_report.hazards_of_the_sum(found))
    assert "by 42 °C" in said
    assert "about 1.3 L of oxygen" in said
    assert "frothing over" in said


def test_no_demonstration_of_the_library_is_told_to_react_unmeant(loaded):
    """Their equations are written; what is only poured and titrated must say nothing."""
    said = {
        str(row): [one.words for one in found.outcome.transfers]
        for row in Demonstration.objects.prefetch_related(*beaker.PREFETCH)
        if (found := beaker.foresee(row)).outcome
    }
    assert {title: words for title, words in said.items() if words} == {}
