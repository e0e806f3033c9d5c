"""Vapor in the room's air: on a page, on the reminder, and on its PDF."""

import pytest
from django.urls import reverse

from demos.models import Room
from demos.report import vapour_exposure
from stockroom.inventory.models import Chemical, Component
from tests.paper.sheet_reading import pages

pytestmark = pytest.mark.django_db
ML = 1_000


@pytest.fixture
def acetone(make_reagent):
    reagent = make_reagent("Acetone", "volume", kind="liquid", density="0.79")
    chemical = Chemical.objects.create(name="acetone", cas_rn="67-64-1", formula="C3H6O")
    Component.objects.create(reagent=reagent, chemical=chemical)
    return reagent


@pytest.fixture
def brine(make_reagent):
    reagent = make_reagent("Brine", "volume", density="1.1")
    chemical = Chemical.objects.create(name="sodium chloride", cas_rn="7647-14-5", formula="NaCl")
    Component.objects.create(reagent=reagent, chemical=chemical, value=10, unit="% w/w")
    return reagent


def asked(client, acetone, place=None, **changes):
    data = {"reagent": acetone.name, "amount": "500 mL", "room": place.pk if place else ""}
    return client.get(reverse("demos:vapour"), data | changes)


def test_everyone_may_ask(client, head, teacher, technician):
    for person in (head, teacher, technician):
        client.force_login(person)
        page = client.get(reverse("demos:vapour")).content.decode()
        assert "Work out the air" in page and "How it is worked out" not in page
    client.logout()
    assert reverse("sign-in") in client.get(reverse("demos:vapour")).url


def test_the_figure_is_mass_over_volume(client, teacher, acetone, room):
    """500 mL of 0.79 g/mL in 200 m3 are 1975 mg/m3; 58.08 g/mol and 24.06 L/mol at 20 °C make it 818 ppm."""
    client.force_login(teacher)
    page = asked(client, acetone, room).content.decode()
    assert "2000 mg/m³" in page and "820 ppm" in page
    assert "Under the limits known" in page and "dC/dt" in page and "lower explosive limit" in page
    assert "Over a limit" in asked(client, acetone, room, amount="1 L").content.decode()


def test_more_time_makes_less_of_it(client, teacher, acetone, room):
    box, _ = vapour_exposure.room_of(room)
    fast = vapour_exposure.lines_of(acetone, 500 * ML, box)[0].vapour.peak_ppm
    assert vapour_exposure.lines_of(acetone, 500 * ML, box, 60)[0].vapour.peak_ppm < fast / 2


def test_salt_does_not_evaporate(client, teacher, brine, room):
    client.force_login(teacher)
    assert "Nothing in Brine boils below" in asked(client, brine, room).content.decode()


def test_a_room_of_ones_own(client, teacher, acetone):
    client.force_login(teacher)
    page = asked(client, acetone, volume_m3="50").content.decode()
    assert "50 m³, 0 air changes" in page and "worked out without any" in page


def test_a_room_nobody_measured_is_said(client, teacher, acetone):
    bare = Room.objects.create(name="Hall")
    client.force_login(teacher)
    assert "volume of this room is not written down" in asked(client, acetone, bare).content.decode()
    assert "cannot be worked out" in vapour_exposure.air_of([(acetone, ML)], bare).missing[0]
    assert not vapour_exposure.air_of([(acetone, ML)], None).missing


def test_what_is_not_known_is_taken_for_the_worst(acetone, room):
    acetone.density = None
    acetone.components.update(unit="saturated")
    line = vapour_exposure.lines_of(acetone, ML, vapour_exposure.room_of(room)[0])[0]
    assert "taken as pure" in line.text and "taken as 1 g/mL" in line.text


def test_what_nobody_wrote_down_is_said_and_not_left_out(client, teacher, make_reagent, brine, room):
    unknown = make_reagent("Found liquid", "volume", kind="liquid")
    strange = make_reagent("Scent", "volume", kind="mixture")
    Component.objects.create(reagent=strange, chemical=Chemical.objects.create(name="scent oil"))
    air = vapour_exposure.air_of([(unknown, ML), (strange, ML), (brine, ML)], room)
    assert "Nobody has written down what Found liquid holds" in air.missing[0]
    assert "Whether scent oil in Scent evaporates is not known" in air.missing[1]
    assert len(air.missing) == 2
    assert len(vapour_exposure.air_of([(unknown, ML)], Room(name="Hall")).missing) == 1
    client.force_login(teacher)
    page = asked(client, unknown, room).content.decode()
    assert "take it that it fills the air" in page and "Nothing else in Found liquid" in page


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"reagent": ""}, "reagent"),
        ({"reagent": "<script>"}, "reagent"),
        ({"amount": ""}, "amount"),
        ({"amount": "5"}, "amount"),
        ({"amount": "1e30 L"}, "amount"),
        ({"room": "999999"}, "room"),
        ({"volume_m3": "50"}, "volume_m3"),
        ({"room": "", "volume_m3": "nan"}, "volume_m3"),
        ({"room": "", "volume_m3": "0"}, "volume_m3"),
        ({"room": "", "volume_m3": ""}, "room"),
        ({"changes": "-1"}, "changes"),
        ({"minutes": "1e300"}, "minutes"),
    ],
)
def test_bad_input_is_said_beside_the_field(client, teacher, acetone, room, changes, name):
    client.force_login(teacher)
    answer = asked(client, acetone, room, **changes)
    assert answer.status_code == 200 and name in answer.context["form"].errors
    assert "<script>" not in answer.content.decode().replace("<script src", "")


def test_the_booking_says_it_on_page_and_paper(client, teacher, acetone, make_demonstration, make_booking):
    booking = make_booking(make_demonstration(ingredients=[(acetone, 1000 * ML, 0, 0)]), showings=1)
    client.force_login(teacher)
    page = client.get(booking.get_absolute_url()).content.decode()
    assert "all evaporated at once: 1600 ppm" in page and "Over:" in page
    text = " ".join(pages(client.get(reverse("demos:booking-reminder", args=[booking.pk])).content))
    assert "1600 ppm" in " ".join(text.split()) and "may pass a limit in this room" in " ".join(text.split())


def test_what_comes_back_does_not_evaporate(client, teacher, acetone, make_demonstration, make_booking):
    demonstration = make_demonstration(ingredients=[(acetone, 500 * ML, 0, 0)])
    demonstration.ingredients.update(returns=True)
    client.force_login(teacher)
    page = client.get(make_booking(demonstration).get_absolute_url()).content.decode()
    assert "all evaporated at once" not in page
