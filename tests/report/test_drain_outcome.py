"""What is left of a demonstration goes to the drain only where a letter and the rules both allow it."""

import datetime

import pytest
from django.urls import reverse

from demos.models import Step
from stockroom.inventory.models import Reagent
from stockroom.waste.models import DrainPermission
from tests.paper.sheet_reading import pages

pytestmark = pytest.mark.django_db
ML = 1000
PAGE, SHEET = "demos:demonstration-outcome", "demos:demonstration-outcome-sheet"


@pytest.fixture
def leave(head, today) -> DrainPermission:
    return DrainPermission.objects.create(
        authority="Harl Valley Water",
        reference="HV/2026/117",
        dated_on=today - datetime.timedelta(30),
        valid_until=today + datetime.timedelta(30),
        covers="Neutral salts and neutralized acids.",
        after_neutralising=True,
        recorded_by=head,
        recorded_on=today,
    )


@pytest.fixture
def acid(make_reagent):
    fields = {"formula": "HCl", "value": 1, "unit": "mol/L", "hazard_state": Reagent.HazardState.NONE}
    return make_reagent("Hydrochloric acid 1 mol/L", "volume", **fields)


@pytest.fixture
def show(make_demonstration, acid):
    made = make_demonstration(ingredients=[(acid, 100 * ML, 0, 0)])
    Step.objects.create(
        demonstration=made,
        number=1,
        text="Pour it.",
        adds=made.ingredients.get(),
        adds_amount=100 * ML,
        portions=1,
    )
    return made


def said(client, show) -> str:
    return client.get(reverse(PAGE, args=[show.pk])).content.decode()


def test_without_a_letter_it_is_collected(client, teacher, show):
    client.force_login(teacher)
    assert "Collect it in a labeled container" in said(client, show)


def test_with_a_letter_it_is_neutralised_and_the_letter_is_named(client, teacher, show, leave):
    client.force_login(teacher)
    page = said(client, show)
    assert "Neutralise slowly" in page and "HV/2026/117" in page and "Collect it in" not in page
    words = " ".join(pages(client.get(reverse(SHEET, args=[show.pk])).content))
    assert "HV/2026/117" in words


@pytest.mark.parametrize("change", ["ended", "past", "not neutralized"])
def test_a_letter_that_does_not_hold_opens_nothing(client, teacher, show, leave, today, change):
    if change == "ended":
        leave.ended_on = today
    elif change == "past":
        leave.valid_until = today - datetime.timedelta(1)
    else:
        leave.after_neutralising = False
    leave.save()
    client.force_login(teacher)
    assert "Collect it in a labeled container" in said(client, show)


def test_what_nobody_has_classified_opens_no_drain(client, teacher, show, acid, leave):
    Reagent.objects.filter(pk=acid.pk).update(hazard_state=Reagent.HazardState.UNKNOWN)
    client.force_login(teacher)
    page = said(client, show)
    assert "Collect it in a labeled container" in page and "not classified yet" in page


def test_a_booking_is_judged_by_its_own_day(client, teacher, make_booking, show, leave):
    client.force_login(teacher)
    for days, goes in ((1, "Neutralise slowly"), (60, "Collect it in a labeled")):
        booking = make_booking(show, days=days)
        url = reverse("demos:booking-outcome", args=[booking.pk])
        assert goes in client.get(url).content.decode()
