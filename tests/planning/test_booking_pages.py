"""Booking in the pages: book, see before saving, change, copy, cancel, list."""

import datetime

import pytest
from django.contrib.admin.models import LogEntry
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from demos.models import Alternative, Booking, Demonstration, Room
from demos.planning import booking as bookings
from stockroom.inventory.models import Reservation

pytestmark = pytest.mark.django_db
ML = 1000


@pytest.fixture
def acid(make_reagent):
    return make_reagent("Hydrochloric acid 1 mol/L", "volume")


@pytest.fixture
def nitric(make_reagent):
    return make_reagent("Nitric acid 1 mol/L", "volume")


@pytest.fixture
def show(make_demonstration, acid):
    return make_demonstration(
        ingredients=[(acid, 100 * ML, 40 * ML, 10 * ML)], ignition_note="No flames within 2 m."
    )


@pytest.fixture
def sent(show, room, period, today):
    """What the form sends, with changes."""

    def make(**changes):
        return {
            "demonstration": show.pk,
            "on": (today + datetime.timedelta(5)).isoformat(),
            "period": period.pk,
            "room": room.pk,
            "class_name": "10B",
            "showings": 2,
            "groups": 0,
            "scale": "1",
            "note": "",
            **changes,
        }

    return make


def test_who_may_open_what(client, head, teacher, technician, show, make_booking):
    booking = make_booking(show)
    pages = {
        reverse("demos:booking-list"): (200, 200, 200),
        reverse("demos:booking-detail", args=[booking.pk]): (200, 200, 200),
        reverse("demos:booking-add"): (403, 200, 403),
        reverse("demos:booking-edit", args=[booking.pk]): (403, 200, 403),
        reverse("demos:booking-copy", args=[booking.pk]): (403, 200, 403),
        reverse("demos:booking-cancel", args=[booking.pk]): (403, 200, 403),
        reverse("demos:booking-check"): (403, 405, 403),
    }
    for person, place in ((head, 0), (teacher, 1), (technician, 2)):
        client.force_login(person)
        for url, codes in pages.items():
            got = client.get(url).status_code
            assert got == codes[place] or (url.endswith("check/") and got == 405), f"{person} {url}"


def test_booking_saves_and_reserves(client, teacher, sent, acid):
    client.force_login(teacher)
    answer = client.post(reverse("demos:booking-add"), sent())
    booking = Booking.objects.get()
    assert answer.url == booking.get_absolute_url()
    assert (booking.teacher, booking.class_name, booking.showings) == (teacher, "10B", 2)
    assert Reservation.objects.get().amount == 140 * ML
    page = client.get(booking.get_absolute_url()).content.decode()
    assert "140 mL" in page
    assert "Cannot be ready" in page


@pytest.mark.parametrize(
    ("changes", "name", "words"),
    [
        ({"on": "2020-01-06"}, "on", "This date is past"),
        ({"on": "9999-12-31"}, "on", "Check the year"),
        ({"on": "2300-01-01"}, "on", "Check the year"),
        ({"on": "31/31/31"}, "on", "valid date"),
        ({"on": ""}, "on", "required"),
        ({"showings": "0"}, "showings", "greater than or equal to 1"),
        ({"showings": "99999999999999999999"}, "showings", "less than or equal to 20"),
        ({"showings": "<script>"}, "showings", "whole number"),
        ({"groups": "-1"}, "groups", "greater than or equal to 0"),
        ({"groups": "61"}, "groups", "less than or equal to 60"),
        ({"scale": "0"}, "scale", "greater than or equal to 0.1"),
        ({"scale": "nan"}, "scale", "number"),
        ({"scale": "1e9"}, "scale", "digits"),
        ({"demonstration": "999999"}, "demonstration", "valid choice"),
        ({"demonstration": "' OR 1=1"}, "demonstration", "valid choice"),
        ({"demonstration": ""}, "demonstration", "required"),
        ({"room": "999999"}, "room", "valid choice"),
        ({"period": "x" * 5000}, "period", "valid choice"),
        ({"class_name": "   "}, "class_name", "required"),
        ({"class_name": "x" * 61}, "class_name", "at most 60"),
        ({"note": "x" * 301}, "note", "at most 300"),
    ],
)
def test_bad_input_stands_beside_the_field_and_writes_nothing(client, teacher, sent, changes, name, words):
    client.force_login(teacher)
    answer = client.post(reverse("demos:booking-add"), sent(**changes))
    assert answer.status_code == 200
    assert words in " ".join(answer.context["form"].errors[name])
    assert not Booking.objects.exists()
    assert not Reservation.objects.exists()


def test_what_was_typed_is_kept_and_escaped(client, teacher, sent):
    client.force_login(teacher)
    page = client.post(
        reverse("demos:booking-add"), sent(class_name='"><script>alert(1)</script>', on="2020-01-06")
    ).content.decode()
    assert "<script>alert(1)" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_retired_things_are_not_offered(client, teacher, sent, show, room, today):
    Room.objects.update(retired_on=today)
    Demonstration.objects.update(retired_on=today)
    client.force_login(teacher)
    errors = client.post(reverse("demos:booking-add"), sent()).context["form"].errors
    assert {"room", "demonstration"} <= set(errors)


def test_the_live_check_tells_consumption_reasons_and_cures(
    client, teacher, sent, show, acid, nitric, make_container
):
    row = show.ingredients.get()
    Alternative.objects.create(ingredient=row, reagent=nitric, amount=12 * ML, per_amount=10 * ML)
    make_container(nitric, 5000 * ML)
    client.force_login(teacher)
    page = client.post(reverse("demos:booking-check"), sent()).content.decode()
    assert "Cannot be ready" in page
    assert "140 mL" in page
    assert "Nitric acid 1 mol/L instead of Hydrochloric acid 1 mol/L: ready" in page
    assert "No flames within 2 m." in page
    assert "Not classified yet" in page
    chosen = client.post(
        reverse("demos:booking-check"), sent(choose=f"{row.pk}:{nitric.pk}")
    ).content.decode()
    assert 'state-good">Ready' in chosen
    assert "168 mL" in chosen
    assert f'<option value="{nitric.pk}" selected>' in chosen
    assert not Booking.objects.exists()


def test_a_chosen_alternative_is_what_is_reserved(client, teacher, sent, show, nitric):
    row = show.ingredients.get()
    Alternative.objects.create(ingredient=row, reagent=nitric, amount=12 * ML, per_amount=10 * ML)
    client.force_login(teacher)
    client.post(reverse("demos:booking-add"), sent(**{f"instead-{row.pk}": nitric.pk}))
    assert [(r.reagent, r.amount) for r in Reservation.objects.all()] == [(nitric, 168 * ML)]
    booking = Booking.objects.get()
    page = client.get(reverse("demos:booking-edit", args=[booking.pk])).content.decode()
    assert f'<option value="{nitric.pk}" selected>' in page


def test_a_reagent_that_is_no_alternative_is_refused(client, teacher, sent, show, nitric, make_reagent):
    row = show.ingredients.get()
    Alternative.objects.create(ingredient=row, reagent=nitric, amount=1, per_amount=1)
    other = make_reagent("Something else", "volume")
    client.force_login(teacher)
    answer = client.post(reverse("demos:booking-add"), sent(**{f"instead-{row.pk}": other.pk}))
    assert f"instead-{row.pk}" in answer.context["form"].errors
    assert not Booking.objects.exists()


def test_choosing_without_javascript_saves_nothing(client, teacher, sent, show, nitric):
    row = show.ingredients.get()
    Alternative.objects.create(ingredient=row, reagent=nitric, amount=1, per_amount=1)
    client.force_login(teacher)
    answer = client.post(reverse("demos:booking-add"), sent(choose=f"{row.pk}:{nitric.pk}"))
    assert f'<option value="{nitric.pk}" selected>' in answer.content.decode()
    assert "Book it" in answer.content.decode()
    assert not Booking.objects.exists()


@pytest.mark.parametrize(
    "changes",
    [
        {"demonstration": ""},
        {"on": "soon"},
        {"choose": "x:y"},
        {"choose": "9:9"},
        {"scale": ""},
        {"room": "0"},
    ],
)
def test_the_live_check_stands_what_is_half_filled_in(client, teacher, sent, changes):
    client.force_login(teacher)
    assert client.post(reverse("demos:booking-check"), sent(**changes)).status_code == 200
    assert client.post(reverse("demos:booking-check"), {}).status_code == 200


def test_a_double_booked_room_is_warned_of(client, teacher, sent, show, make_booking):
    make_booking(show, days=5, class_name="9C")
    client.force_login(teacher)
    page = client.post(reverse("demos:booking-check"), sent()).content.decode()
    assert "is taken" in page
    assert "9C" in page
    client.post(reverse("demos:booking-add"), sent())
    assert "is booked twice" in client.get(Booking.objects.last().get_absolute_url()).content.decode()


def test_a_room_without_a_fume_cupboard_is_warned_of(client, teacher, sent, show, room):
    Demonstration.objects.update(ventilation="fume")
    client.force_login(teacher)
    assert "no fume hood" in client.post(reverse("demos:booking-check"), sent()).content.decode()
    Room.objects.update(has_fume_cupboard=True)
    assert "no fume hood" not in client.post(reverse("demos:booking-check"), sent()).content.decode()


def test_change_moves_the_reservations(client, teacher, sent, show, make_booking, today):
    booking = make_booking(show)
    client.force_login(teacher)
    later = today + datetime.timedelta(9)
    client.post(reverse("demos:booking-edit", args=[booking.pk]), sent(on=later.isoformat(), showings=1))
    row = Reservation.objects.get()
    assert (row.needed_on, row.amount) == (later, 100 * ML)


def test_a_past_booking_may_get_a_note_and_not_another_past_day(
    client, teacher, sent, show, make_booking, today
):
    booking = make_booking(show, days=-2)
    url = reverse("demos:booking-edit", args=[booking.pk])
    client.force_login(teacher)
    answer = client.post(url, sent(on=(today - datetime.timedelta(3)).isoformat()))
    assert "on" in answer.context["form"].errors
    client.post(url, sent(on=booking.on.isoformat(), note="bring the tall beaker"))
    booking.refresh_from_db()
    assert booking.note == "bring the tall beaker"


def test_only_ones_own(client, teacher, technician, show, make_booking, sent, django_user_model):
    other = django_user_model.objects.create_user("other")
    other.groups.set(teacher.groups.all())
    booking = make_booking(show)
    client.force_login(other)
    for name in ("edit", "copy", "cancel", "how-it-went"):
        url = reverse(f"demos:booking-{name}", args=[booking.pk])
        assert client.get(url).status_code == 403
        assert client.post(url, sent()).status_code == 403
    assert client.post(reverse("demos:booking-check-change", args=[booking.pk]), sent()).status_code == 403
    assert "Change or move" not in client.get(booking.get_absolute_url()).content.decode()
    booking.refresh_from_db()
    assert (booking.state, booking.class_name) == ("planned", "10B")


def test_unknown_ids(client, teacher):
    client.force_login(teacher)
    for name in ("detail", "edit", "copy", "cancel", "how-it-went"):
        assert client.get(reverse(f"demos:booking-{name}", args=[987654])).status_code == 404
    big = reverse("demos:booking-detail", args=[10**30])
    assert client.get(big).status_code == 404


def test_copy_to_days_and_weeks(client, teacher, show, make_booking, today):
    booking = make_booking(show, days=1)
    client.force_login(teacher)
    client.post(
        reverse("demos:booking-copy", args=[booking.pk]),
        {
            "first": (today + datetime.timedelta(3)).isoformat(),
            "every": "7",
            "until": (today + datetime.timedelta(22)).isoformat(),
        },
    )
    days = [(row.on - today).days for row in Booking.objects.order_by("on")]
    assert days == [1, 3, 8, 15, 22]
    assert Reservation.objects.count() == 5


@pytest.mark.parametrize(
    ("data", "name"),
    [
        ({}, None),
        ({"first": "2020-01-01"}, "first"),
        ({"first": "9999-12-31"}, "first"),
        ({"every": "7"}, "until"),
        ({"until": "2999-01-01"}, "until"),
        ({"every": "-3", "until": "x"}, "every"),
    ],
)
def test_copy_with_bad_days_copies_nothing(client, teacher, show, make_booking, data, name):
    booking = make_booking(show)
    client.force_login(teacher)
    answer = client.post(reverse("demos:booking-copy", args=[booking.pk]), data)
    assert answer.context["form"].errors if name else answer.context["form"].non_field_errors()
    assert name is None or name in answer.context["form"].errors
    assert Booking.objects.count() == 1


def test_copy_of_a_retired_demonstration_is_refused(client, teacher, show, make_booking, today):
    booking = make_booking(show)
    Demonstration.objects.update(retired_on=today)
    client.force_login(teacher)
    client.post(
        reverse("demos:booking-copy", args=[booking.pk]),
        {"first": (today + datetime.timedelta(9)).isoformat()},
    )
    assert Booking.objects.count() == 1


def test_cancel_asks_then_frees(client, teacher, show, make_booking):
    booking = make_booking(show)
    url = reverse("demos:booking-cancel", args=[booking.pk])
    client.force_login(teacher)
    assert "Cancel this booking?" in client.get(url).content.decode()
    assert Reservation.objects.exists()
    client.post(url)
    assert not Reservation.objects.exists()
    page = client.post(url, follow=True).content.decode()
    assert "Only a planned booking can be canceled" in page
    assert client.get(reverse("demos:booking-edit", args=[booking.pk])).status_code == 302


def test_how_it_went_only_afterwards(client, teacher, show, make_booking):
    future, past = make_booking(show, days=2), make_booking(show, days=-2)
    client.force_login(teacher)
    client.post(reverse("demos:booking-how-it-went", args=[future.pk]), {"how_it_went": "well"})
    future.refresh_from_db()
    assert future.how_it_went == ""
    url = reverse("demos:booking-how-it-went", args=[past.pk])
    assert client.post(url, {"how_it_went": "x" * 4001}).context["form"].errors
    client.post(url, {"how_it_went": "Stir <b>longer</b>."})
    page = client.get(past.get_absolute_url()).content.decode()
    assert "Stir &lt;b&gt;longer&lt;/b&gt;." in page


def test_a_done_booking_shows_what_was_used(
    client, teacher, technician, show, acid, make_booking, make_container, today
):
    bottle = make_container(acid, 500 * ML, on=today - datetime.timedelta(5))
    booking = make_booking(show, days=-1)
    bookings.record_run(booking, [bookings.Used(acid, ((bottle, 80 * ML),))], who=technician, today=today)
    client.force_login(teacher)
    page = client.get(booking.get_absolute_url()).content.decode()
    assert "80 mL" in page
    assert "What was used" in page
    assert "Change or move" not in page


def test_the_list_filters_and_says_how_each_stands(
    client, teacher, head, show, make_booking, acid, make_container
):
    # The class that is over and not recorded still claims its 100 mL.
    make_container(acid, 250 * ML)
    make_booking(show, days=1, class_name="Elms")
    make_booking(show, days=2, class_name="Oaks")
    make_booking(show, days=-4, class_name="Gone by")
    client.force_login(teacher)
    url = reverse("demos:booking-list")
    page = client.get(url).content.decode()
    assert 'state-good">Ready' in page
    assert "Cannot be ready" in page
    assert "Gone by" not in page
    assert "Over, not recorded yet" in client.get(url, {"when": "past"}).content.decode()
    assert "Oaks" not in client.get(url, {"q": "Elms"}).content.decode()
    client.force_login(head)
    assert "Elms" not in client.get(url, {"whose": "mine"}).content.decode()
    assert "Nothing matches" in client.get(url, {"whose": "mine"}).content.decode()


def test_an_empty_list_says_what_to_do(client, teacher):
    client.force_login(teacher)
    assert "Choose a demonstration and book it" in client.get(reverse("demos:booking-list")).content.decode()


def test_the_list_asks_the_same_queries_for_5_and_30(
    client, teacher, show, make_booking, acid, make_container
):
    make_container(acid, 300 * ML)
    client.force_login(teacher)
    counts = []
    for upto in (5, 30):
        while Booking.objects.count() < upto:
            make_booking(show, days=1 + Booking.objects.count())
        client.get(reverse("demos:booking-list"))
        with CaptureQueriesContext(connection) as seen:
            client.get(reverse("demos:booking-list"))
        counts.append(len(seen))
    assert counts[0] == counts[1]


def test_the_live_check_asks_the_same_queries_for_5_and_30_bookings(
    client, teacher, sent, show, make_booking, acid, make_container
):
    make_container(acid, 300 * ML)
    client.force_login(teacher)
    counts = []
    for upto in (5, 30):
        while Booking.objects.count() < upto:
            make_booking(show, days=20 + Booking.objects.count())
        client.post(reverse("demos:booking-check"), sent())
        with CaptureQueriesContext(connection) as seen:
            client.post(reverse("demos:booking-check"), sent())
        counts.append(len(seen))
    assert counts[0] == counts[1]


def in_place(booking):
    return list(booking.reservations.order_by("id").values_list("id", "amount", "needed_on"))


def test_an_unchanged_save_changes_nobodys_place(show, make_booking, today):
    first, second = make_booking(show), make_booking(show, class_name="11C")
    held = in_place(first)
    bookings.save(first)
    assert in_place(first) == held
    assert held[0][0] < in_place(second)[0][0]


def test_taking_what_another_was_promised_needs_a_tick_and_is_told(
    client, teacher, technician, show, sent, acid, make_container, make_booking, today
):
    make_container(acid, 150 * ML)
    promised = make_booking(show, days=10, teacher=technician)
    client.force_login(teacher)
    page = client.post(reverse("demos:booking-add"), sent(showings=1))
    assert page.status_code == 200
    assert [row.booking for row in page.context["lost"]] == [promised]
    assert "Bookings affected" in page.content.decode()
    assert Booking.objects.count() == 1
    # A tick for other bookings than those is none.
    assert client.post(reverse("demos:booking-add"), sent(showings=1, accept="999")).status_code == 200
    assert (
        client.post(reverse("demos:booking-add"), sent(showings=1, accept=str(promised.pk))).status_code
        == 302
    )
    (entry,) = LogEntry.objects.filter(object_id=promised.pk)
    assert "worse off" in entry.change_message
    client.force_login(technician)
    assert entry.change_message.split("“")[0] in client.get(promised.get_absolute_url()).content.decode()


def test_what_takes_nothing_from_anybody_is_saved_at_once(
    client, teacher, show, sent, acid, make_container, make_booking
):
    make_container(acid, 1000 * ML)
    make_booking(show, days=10)
    client.force_login(teacher)
    assert client.post(reverse("demos:booking-add"), sent(showings=1)).status_code == 302


def test_copies_that_take_what_another_was_promised_need_a_tick(
    client, teacher, show, acid, make_container, make_booking, today
):
    make_container(acid, 250 * ML)
    promised = make_booking(show, days=10)
    mine = make_booking(show, days=2, class_name="11C")
    client.force_login(teacher)
    days = {"first": today + datetime.timedelta(4), "every": "0"}
    url = reverse("demos:booking-copy", args=[mine.pk])
    page = client.post(url, days)
    assert [row.booking for row in page.context["lost"]] == [promised]
    assert client.post(url, {**days, "accept": str(promised.pk)}).status_code == 302


def test_an_alternative_that_takes_from_nobody_is_named(
    client, teacher, show, sent, acid, nitric, make_container, make_booking
):
    Alternative.objects.create(
        ingredient=show.ingredients.get(), reagent=nitric, amount=10 * ML, per_amount=10 * ML
    )
    make_container(acid, 150 * ML)
    make_container(nitric, 500 * ML)
    make_booking(show, days=10)
    client.force_login(teacher)
    page = client.post(reverse("demos:booking-add"), sent(showings=1))
    assert page.context["instead"] == (f"{nitric} in place of {acid}",)
