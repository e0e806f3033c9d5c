"""The limits of the waste rules: published, the department's own, and what follows from them."""

import datetime

import pytest
from django.contrib.contenttypes.models import ContentType
from django.urls import reverse

from stockroom.chemistry.residue import Residue
from stockroom.common.department import Department
from stockroom.inventory import ledger
from stockroom.inventory.models import Reservation
from stockroom.safety.generator import KG, Collected, Generated, categories, outlook
from stockroom.safety.waste import Waste, characterise
from stockroom.safety.waste_limits import categories_with, refused, rules_with, waste_limits
from stockroom.waste import composition, sewer_discharge
from stockroom.waste.models import OwnWasteLimit
from tests.paper.sheet_reading import pages

ML, L = 1_000, 1_000_000
TODAY = datetime.date(2026, 3, 10)


# --- the rules


@pytest.mark.parametrize(
    ("key", "stricter", "laxer"),
    [
        ("acid_ph", 3, 1),
        ("base_ph", 11.5, 13),
        ("ignitable_below_c", 93, 50),
        ("alcohol_percent_v", 10, 30),
        ("sewer_ph_low", 6, 4.5),
        ("sewer_hot_c", 30, 60),
        ("D008", 1, 50),
        ("very_small-most_month", 50, 200),
        ("small-most_days", 90, 270),
    ],
)
def test_in_the_us_only_stricter_elsewhere_either(key, stricter, laxer):
    limit = waste_limits()[key]
    assert not refused(limit, stricter, "US", {}) and "stricter" in refused(limit, laxer, "US", {})
    assert not refused(limit, laxer, "GB", {})


def test_a_laxer_number_that_is_on_file_does_not_hold_in_the_us():
    """A department that moves back to the US does not bring its laxer numbers with it."""
    own = {"D008": 50.0, "acid_ph": 1.0, "small-most_days": 270, "sewer_ph_high": 10.0}
    rules = rules_with("US", own)
    assert dict(rules.toxic_limits)["D008"] == 5 and rules.acid_ph == 2 and rules.sewer_ph_high == 10
    assert categories_with("US", own)[1].most_days == 180
    rules = rules_with("NO", own)
    assert dict(rules.toxic_limits)["D008"] == 50 and rules.acid_ph == 1
    assert categories_with("NO", own)[1].most_days == 270


@pytest.mark.parametrize(
    ("key", "value", "others", "words"),
    [
        ("acid_ph", -1, {}, "between"),
        ("D008", 2e6, {}, "between"),
        ("small-most_days", 90.5, {}, "whole days"),
        ("sewer_ph_high", 7, {"sewer_ph_low": 7}, "look at both"),
    ],
)
def test_what_makes_no_sense(key, value, others, words):
    assert words in refused(waste_limits()[key], value, "GB", others)


def test_an_unknown_key_on_file_is_left_out():
    assert rules_with("US", {"nonsense": 1.0}).own == ()


def test_the_note_says_whose_limits_they_are():
    assert "2 limits are the department's own" in rules_with("US", {"D008": 1, "acid_ph": 3}).note
    assert (
        "guidance" in rules_with("GB", {"D008": 1}).note
        and "One limit is" in rules_with("GB", {"D008": 1}).note
    )


def test_the_characteristics_follow():
    at_three = Waste(Residue(L, 2.9))
    assert not characterise(at_three, rules_with("US", {})).codes
    assert [one.code for one in characterise(at_three, rules_with("US", {"acid_ph": 3})).codes] == ["D002"]


def test_a_very_small_generator_keeps_little_acute_waste():
    """40 CFR 262.14(a)(3), from memory: at most 1 kg of acute waste at any time."""
    very_small = categories()[0]
    made = [Generated(TODAY - datetime.timedelta(40 * n), KG * 6 // 10, acute=True) for n in (0, 1)]
    assert outlook(very_small, made, [], [], TODAY).on_site_limit_on == TODAY
    taken = [Collected(TODAY - datetime.timedelta(3), KG * 6 // 10, acute=True)]
    assert outlook(very_small, made, taken, [], TODAY).on_site_limit_on is None


# --- the pages


@pytest.fixture
def page_of(client):
    def get(name, *args):
        return client.get(reverse(name, args=args))

    return get


def put(client, key, value, reason="Sewer bylaw 12, section 3"):
    return client.post(reverse("waste-limit-edit", args=[key]), {"value": value, "reason": reason})


@pytest.mark.django_db
def test_the_head_sets_and_lifts_a_limit_and_it_holds(client, head, teacher, page_of, today):
    client.force_login(head)
    assert put(client, "sewer_ph_high", "8.5").url == reverse("waste-limits")
    row = OwnWasteLimit.objects.get()
    assert (row.set_by, row.set_on) == (head, today)
    assert composition.rules().sewer_ph_high == 8.5
    assert "8.5" in sewer_discharge.refused_ph(8.8, composition.rules())
    page = page_of("waste-limits").content.decode()
    assert "Sewer bylaw 12" in page and "8.5" in page
    assert "Sewer bylaw 12" in page_of("activity").content.decode()
    assert put(client, "sewer_ph_high", "8", "stricter still").status_code == 302
    client.force_login(teacher)
    page = page_of("waste-limits").content.decode()
    assert "stricter still" in page and reverse("waste-limit-edit", args=["D008"]) not in page
    assert put(client, "D008", "1").status_code == 403
    assert client.post(reverse("waste-limit-lift", args=["sewer_ph_high"])).status_code == 403
    client.force_login(head)
    assert client.post(reverse("waste-limit-lift", args=["sewer_ph_high"])).status_code == 302
    assert composition.rules().sewer_ph_high == 9 and not OwnWasteLimit.objects.exists()
    assert client.post(reverse("waste-limit-lift", args=["sewer_ph_high"])).status_code == 404


@pytest.mark.django_db
def test_outside_the_us_every_limit_is_its_own(client, head, page_of):
    client.force_login(head)
    assert "stricter" in put(client, "D008", "50").content.decode()
    its = Department.current()
    its.country = "NO"
    its.save()
    assert put(client, "D008", "50").status_code == 302
    assert dict(composition.rules().toxic_limits) == {"D008": 50}
    assert "can be replaced by that of your own authority" in page_of("waste-limits").content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("key", "data", "names"),
    [
        ("acid_ph", {"value": "", "reason": "x"}, ["value"]),
        ("acid_ph", {"value": "nan", "reason": "x"}, ["value"]),
        ("acid_ph", {"value": "1e30", "reason": "x"}, ["value"]),
        ("acid_ph", {"value": "3", "reason": ""}, ["reason"]),
        ("acid_ph", {"value": "3", "reason": "x" * 201}, ["reason"]),
    ],
)
def test_bad_input_is_said_beside_the_field(client, head, key, data, names):
    client.force_login(head)
    answer = put(client, key, data["value"], data["reason"])
    assert answer.status_code == 200 and list(answer.context["form"].errors) == names
    assert client.get(reverse("waste-limit-edit", args=["nonsense"])).status_code == 404


# --- the day a limit would be reached


@pytest.fixture
def set_aside(make_reagent, technician):
    """`set_aside(30, days=3)`: so many litres of a corrosive are booked."""
    reagent = make_reagent("Strong acid", "volume", density="1.2", hazard_state="classified")
    type(reagent).objects.filter(pk=reagent.pk).update(hazard_state="classified")

    def make(litres, days, **fields):
        return Reservation.objects.create(
            reagent=reagent,
            amount=litres * L,
            needed_on=datetime.date.today() + datetime.timedelta(days),
            purpose="a demonstration",
            belongs_type=ContentType.objects.get_for_model(technician),
            belongs_id=technician.pk,
            **fields,
        )

    return make


@pytest.mark.django_db
def test_the_day_a_limit_would_be_reached_counts_what_is_booked(
    client, head, page_of, set_aside, shelf, today
):
    client.force_login(head)
    ledger.open_waste(stream="acids", capacity=5 * L, measure="volume", location=shelf, started_on=today)
    assert "A limit passed" in page_of("waste-months").content.decode()
    set_aside(500, 3)
    set_aside(9_000, 4, returns=True)
    seen = composition.by_month(today)
    assert seen.outlook.month_limit_on == today + datetime.timedelta(3)
    assert seen.planned_ug == 600 * KG and seen.outlook.on_site_limit_on is None
    set_aside(400, 9)
    assert composition.by_month(today).outlook.on_site_limit_on == today + datetime.timedelta(9)
    page = page_of("waste-months").content.decode()
    assert "Limit on site passed" in page and "1080 kg" in page
    words = " ".join(" ".join(pages(client.get(reverse("disposal-sheet")).content)).split())
    assert "A limit of the category is passed on" in words


@pytest.mark.django_db
def test_what_is_known_to_be_harmless_makes_no_hazardous_waste(set_aside, today):
    row = set_aside(500, 3)
    type(row.reagent).objects.filter(pk=row.reagent_id).update(hazard_state="none")
    assert composition.by_month(today).planned_ug == 0
    type(row.reagent).objects.filter(pk=row.reagent_id).update(hazard_state="unknown")
    assert composition.by_month(today).planned_ug == 600 * KG


@pytest.mark.django_db
def test_a_piece_that_nobody_weighed_counts_a_kilogram(client, head, page_of, technician, shelf, today):
    box = ledger.open_waste(stream="apart", capacity=50, measure="count", location=shelf, started_on=today)
    ledger.add_waste(box, 3, description="batteries", who=technician)
    assert composition.by_month(today).months[0].mass_ug == 3 * KG
    client.force_login(head)
    assert "taken as 1 kg" in page_of("waste-months").content.decode()
