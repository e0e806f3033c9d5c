"""Prep, run and landing pages."""

import datetime
import io

import pytest
from django.urls import reverse
from pypdf import PdfReader

from demos.models import Booking
from stockroom.inventory.models import Offer, Preparation, PreparationPart, Reservation
from stockroom.purchasing import outlook
from stockroom.purchasing.models import Budget

pytestmark = pytest.mark.django_db
ML = 1000


@pytest.fixture
def strong(make_reagent):
    return make_reagent("Hydrochloric acid 2 mol/L", "volume", "HCl", 2, "mol/L")


@pytest.fixture
def water(make_reagent):
    return make_reagent("Water, deionised", "volume", "H2O")


@pytest.fixture
def weak(make_reagent, strong, water):
    reagent = make_reagent("Hydrochloric acid 0.1 mol/L", "volume", shelf_life_sealed_days=60)
    preparation = Preparation.objects.create(reagent=reagent, yield_amount=1000 * ML)
    PreparationPart.objects.create(preparation=preparation, reagent=strong, amount=50 * ML)
    PreparationPart.objects.create(preparation=preparation, reagent=water, amount=950 * ML)
    return reagent


@pytest.fixture
def show(make_demonstration, weak):
    return make_demonstration(ingredients=[(weak, 400 * ML, 0, 0)])


def text_of(response) -> str:
    assert response["Content-Type"] == "application/pdf"
    return " ".join(
        " ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(response.content)).pages
    )


@pytest.mark.parametrize("role", ["head", "teacher", "technician"])
@pytest.mark.parametrize("name", ["home", "demos:prep", "demos:prep-sheet"])
def test_every_role_opens_these(client, request, role, name):
    client.force_login(request.getfixturevalue(role))
    assert client.get(reverse(name)).status_code == 200


def test_only_the_technician_records_a_run(client, head, teacher, technician, show, make_booking):
    url = reverse("demos:booking-run", args=[make_booking(show, days=0).pk])
    for person, status in ((head, 403), (teacher, 403), (technician, 200)):
        client.force_login(person)
        assert client.get(url).status_code == status


def test_prep_names_what_to_make_fetch_and_set_out(
    client, technician, show, make_booking, make_container, strong, water, today
):
    bottle = make_container(strong, 500 * ML)
    make_container(water, 5000 * ML)
    make_booking(show, days=0)
    client.force_login(technician)
    page = client.get(reverse("demos:prep")).content.decode()
    assert "Hydrochloric acid 0.1 mol/L, 500 mL" in " ".join(page.replace("</a>", "").split())
    assert "500 mL volumetric flask" in page
    assert bottle.code in page and bottle.location.path in page
    assert "make up 400 mL" in page
    assert "Ready after making up" in page


def test_the_prep_sheet_prints_the_same(
    client, technician, show, make_booking, make_container, strong, water
):
    bottle = make_container(strong, 500 * ML)
    make_container(water, 5000 * ML)
    make_booking(show, days=2)
    client.force_login(technician)
    text = text_of(client.get(reverse("demos:prep-sheet"), {"days": "7"}))
    for words in ("Cloudy to clear", bottle.code, "25 mL", "500 mL volumetric flask", "Local rules"):
        assert words in text


def test_an_empty_day_says_so(client, technician):
    client.force_login(technician)
    assert b"No demonstration is booked for these days" in client.get(reverse("demos:prep")).content


@pytest.mark.parametrize(
    "query",
    [
        {"on": "tomorrow"},
        {"on": "0000-00-00"},
        {"on": "9999-12-31", "days": "7"},
        {"days": "99999999"},
        {"days": "<script>alert(1)</script>"},
        {"on": "x" * 5000},
    ],
)
@pytest.mark.parametrize("name", ["demos:prep", "demos:prep-sheet"])
def test_bad_days_fall_back_to_today(client, technician, name, query):
    client.force_login(technician)
    response = client.get(reverse(name), query)
    assert response.status_code == 200
    assert b"<script>alert" not in response.content


def test_recording_draws_as_planned_and_closes(client, technician, show, make_booking, make_container, weak):
    bottle = make_container(weak, 1000 * ML)
    booking = make_booking(show, days=0)
    client.force_login(technician)
    url = reverse("demos:booking-run", args=[booking.pk])
    assert f'name="take_{bottle.pk}" value="400 mL"' in client.get(url).content.decode()
    client.post(url, {f"take_{bottle.pk}": "0.35 L", "note": "one spill"})
    bottle.refresh_from_db()
    booking.refresh_from_db()
    assert (bottle.balance, booking.state) == (650 * ML, Booking.State.DONE)
    assert booking.run.lines.get().used == 350 * ML
    assert not Reservation.objects.exists()


@pytest.mark.parametrize("typed", ["2 L", "-5 mL", "5 g", "lots", "<b>1</b>", "1e400 mL", "5"])
def test_a_bad_amount_is_refused_beside_its_field(
    client, technician, show, make_booking, make_container, weak, typed
):
    bottle = make_container(weak, 1000 * ML)
    booking = make_booking(show, days=0)
    client.force_login(technician)
    response = client.post(reverse("demos:booking-run", args=[booking.pk]), {f"take_{bottle.pk}": typed})
    assert response.status_code == 200
    page = response.content.decode()
    assert "errorlist" in page and "<b>1</b>" not in page
    bottle.refresh_from_db()
    booking.refresh_from_db()
    assert (bottle.balance, booking.state) == (1000 * ML, Booking.State.PLANNED)


def test_recording_a_class_that_somebody_else_recorded_just_now_says_so(
    client, technician, show, make_booking, make_container, weak, monkeypatch
):
    bottle = make_container(weak, 1000 * ML)
    opened = make_booking(show, days=0)
    url = reverse("demos:booking-run", args=[opened.pk])
    client.force_login(technician)
    client.post(url, {f"take_{bottle.pk}": "400 mL"})
    # The second press was read before the first was written.
    monkeypatch.setattr("demos.prep.views.prep.get_object_or_404", lambda model, pk: opened)
    assert opened.state == Booking.State.PLANNED
    for send in (client.get, client.post):
        answer = send(url, {f"take_{bottle.pk}": "400 mL"}, follow=True)
        assert "done or canceled already" in answer.content.decode()
    bottle.refresh_from_db()
    assert bottle.balance == 600 * ML


def test_a_run_of_the_future_or_of_a_closed_booking_is_turned_away(client, technician, show, make_booking):
    client.force_login(technician)
    url = reverse("demos:booking-run", args=[make_booking(show, days=3).pk])
    assert client.get(url).status_code == 302
    assert client.post(url).status_code == 302
    assert Booking.objects.get().state == Booking.State.PLANNED
    assert client.get(reverse("demos:booking-run", args=[9999])).status_code == 404


def test_what_comes_back_is_not_drawn_unless_lost(
    client, technician, make_demonstration, make_reagent, make_booking, make_container
):
    plate = make_reagent("Copper plate", "count", kind="metal")
    box = make_container(plate, 6)
    demonstration = make_demonstration("Cell", [(plate, 2, 0, 0)])
    demonstration.ingredients.update(returns=True)
    booking = make_booking(demonstration, days=0)
    client.force_login(technician)
    client.post(reverse("demos:booking-run", args=[booking.pk]), {f"take_{box.pk}": ""})
    box.refresh_from_db()
    line = Booking.objects.get().run.lines.get()
    assert (box.balance, line.used, line.returned) == (6, 0, True)


def test_the_reminder_names_hazards_and_what_nobody_has_checked(client, teacher, show, make_booking, weak):
    weak.hazards.create(hazard_class="skin_irrit_2", source="from memory")
    weak.protection = "Goggles & <gloves>"
    weak.save()
    booking = make_booking(show)
    client.force_login(teacher)
    text = text_of(client.get(reverse("demos:booking-reminder", args=[booking.pk])))
    assert "Causes skin irritation" in text
    assert "not verified" in text and "Goggles & <gloves>" in text
    sheet = text_of(client.get(reverse("demos:booking-sheet", args=[booking.pk])))
    assert "Cloudy to clear" in sheet and "400 mL" in sheet
    assert client.get(reverse("demos:booking-reminder", args=[999])).status_code == 404


def test_an_unclassified_reagent_is_called_so_on_the_reminder(client, teacher, show, make_booking):
    client.force_login(teacher)
    text = text_of(client.get(reverse("demos:booking-reminder", args=[make_booking(show).pk])))
    assert "not classified yet" in text.lower()


def test_the_teacher_lands_on_the_own_bookings(client, teacher, show, make_booking):
    make_booking(show, class_name="Own class")
    client.force_login(teacher)
    page = client.get(reverse("home")).content.decode()
    assert "Own class" in page and "Cannot be ready" in page
    assert "What needs a decision" not in page


def test_the_head_lands_on_decisions_and_costs(client, head, show, make_booking, strong, supplier, today):
    Offer.objects.create(supplier=supplier, reagent=strong, pack_amount=1000 * ML, price="18.00", lead_days=5)
    Budget.objects.create(name="Autumn", start=today, end=today + datetime.timedelta(200), amount=10)
    make_booking(show, days=12)
    client.force_login(head)
    page = client.get(reverse("home")).content.decode()
    assert "Over budget" in page and "18.00" in page


def test_the_technician_lands_on_what_to_do(
    client, technician, show, make_booking, make_container, strong, water
):
    make_container(strong, 500 * ML)
    make_container(water, 5000 * ML)
    make_booking(show, days=0)
    make_booking(show, days=-1, class_name="Yesterday's")
    client.force_login(technician)
    page = client.get(reverse("home")).content.decode()
    assert "500 mL Hydrochloric acid 0.1 mol/L" in page
    assert "Yesterday" in page and "Record what was used" in page


def test_a_person_without_a_role_is_told_so(client, django_user_model):
    client.force_login(django_user_model.objects.create_user("nobody"))
    assert b"You have no role yet" in client.get(reverse("home")).content
    assert client.get(reverse("demos:prep")).status_code == 403


@pytest.mark.parametrize("name", ["home", "demos:prep"])
def test_queries_do_not_grow(
    client, technician, show, make_booking, make_container, weak, name, django_assert_max_num_queries
):
    client.force_login(technician)

    def more(count):
        for _ in range(count):
            make_container(weak, 100 * ML)
            make_booking(show, days=0)

    more(2)
    client.get(reverse(name))
    with django_assert_max_num_queries(60) as few:
        client.get(reverse(name))
    more(10)
    with django_assert_max_num_queries(len(few)):
        client.get(reverse(name))


def test_outlook_counts_a_class_that_nobody_recorded(show, make_booking, make_container, weak, today):
    make_container(weak, 600 * ML)
    make_booking(show, days=-1)
    assert outlook.read(today).project(weak.pk, today).days[-1].balance == 200 * ML


def test_one_make_up_serves_several_days_and_says_so(
    client, technician, show, strong, water, make_container, make_booking, today
):
    make_container(strong, 500 * ML)
    make_container(water, 5000 * ML)
    make_booking(show, days=0)
    make_booking(show, days=3)
    client.force_login(technician)
    (row,) = client.get(reverse("demos:prep"), {"on": today}).context["prep"].make_ups
    later = today + datetime.timedelta(3)
    assert (row.amount, row.also_on) == (1000 * ML, (later,))
    words = f"also for {later:%a} {later.day} {later:%b}"
    assert words in client.get(reverse("demos:prep"), {"on": today}).content.decode()
    assert words in text_of(client.get(reverse("demos:prep-sheet"), {"on": today}))
