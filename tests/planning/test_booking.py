"""Reservations follow bookings; a run turns them into movements."""

import datetime

import pytest

from demos.models import Alternative, Booking
from demos.planning import booking as bookings
from stockroom.inventory import ledger
from stockroom.inventory.models import LedgerError, Reservation

pytestmark = pytest.mark.django_db


@pytest.fixture
def acid(make_reagent):
    return make_reagent("Hydrochloric acid 1 mol/L", "volume", "HCl", 1, "mol/L")


@pytest.fixture
def show(make_demonstration, acid):
    return make_demonstration(ingredients=[(acid, 100_000, 40_000, 5_000)])


def reserved(booking):
    return list(
        Reservation.objects.filter(belongs_id=booking.pk).values_list("reagent__name", "amount", "needed_on")
    )


def test_saving_reserves_first_repeats_and_groups(show, make_booking, acid):
    booking = make_booking(show, showings=3, groups=2)
    # 100 + 2 × 40 + 5 × 2 groups × 3 showings, in mL
    assert reserved(booking) == [(acid.name, 210_000, booking.on)]


def test_moving_a_booking_moves_its_reservation(show, make_booking):
    booking = make_booking(show)
    booking.on += datetime.timedelta(5)
    bookings.save(booking)
    assert [row[2] for row in reserved(booking)] == [booking.on]


def test_cancelling_frees_it_once(show, make_booking):
    booking = make_booking(show)
    bookings.cancel(booking)
    assert reserved(booking) == []
    with pytest.raises(bookings.BookingError):
        bookings.cancel(booking)
    with pytest.raises(bookings.BookingError):
        bookings.save(booking)


def test_copies_reserve_on_their_own_days(show, make_booking, today):
    booking = make_booking(show)
    days = [today + datetime.timedelta(10), today + datetime.timedelta(17)]
    copies = bookings.copy_to(booking, days)
    assert [copy.on for copy in copies] == days
    assert [reserved(copy)[0][2] for copy in copies] == days
    assert len(reserved(booking)) == 1


def test_an_alternative_is_reserved_in_equivalent_amount(show, make_booking, make_reagent):
    nitric = make_reagent("Nitric acid", "volume")
    ingredient = show.ingredients.get()
    Alternative.objects.create(ingredient=ingredient, reagent=nitric, amount=6, per_amount=5)
    booking = make_booking(show, chosen={ingredient.pk: nitric.pk})
    assert reserved(booking) == [("Nitric acid", 120_000, booking.on)]


def test_a_changed_demonstration_reserves_again_but_not_for_the_past(show, make_booking, today):
    past, future = make_booking(show, days=-2), make_booking(show, days=2)
    ingredient = show.ingredients.get()
    ingredient.first_amount = 150_000
    ingredient.save()
    assert bookings.reserve_again(show, today) == 1
    assert (reserved(past)[0][1], reserved(future)[0][1]) == (100_000, 150_000)


def test_a_run_draws_what_was_used_and_frees_the_rest(
    show, make_booking, make_container, acid, technician, today
):
    bottle = make_container(acid, 500_000)
    booking = make_booking(show, days=0)
    used = [bookings.Used(acid, ((bottle, 80_000),))]
    run = bookings.record_run(booking, used, who=technician, today=today)
    bottle.refresh_from_db()
    booking.refresh_from_db()
    assert bottle.balance == 420_000
    assert reserved(booking) == []
    assert booking.state == Booking.State.DONE
    assert [(line.planned, line.used) for line in run.lines.all()] == [(100_000, 80_000)]
    with pytest.raises(bookings.BookingError):
        bookings.record_run(booking, used, who=technician, today=today)


def test_a_run_gives_back_what_was_carried_out_and_not_used(
    show, make_booking, make_container, acid, technician, today
):
    bottle = make_container(acid, 500_000)
    booking = make_booking(show, days=0)
    ledger.draw(bottle, 100_000, who=technician, why="set out", belongs_to=booking)
    bookings.record_run(booking, [bookings.Used(acid, ((bottle, 70_000),))], who=technician, today=today)
    bottle.refresh_from_db()
    assert bottle.balance == 430_000
    assert [line.kind for line in booking.movements.order_by("id")] == ["draw", "return"]


def test_a_run_that_cannot_be_drawn_writes_nothing(
    show, make_booking, make_container, acid, technician, today
):
    bottle = make_container(acid, 50_000)
    booking = make_booking(show, days=0)
    with pytest.raises(LedgerError):
        bookings.record_run(booking, [bookings.Used(acid, ((bottle, 60_000),))], who=technician, today=today)
    booking.refresh_from_db()
    assert booking.state == Booking.State.PLANNED
    assert len(reserved(booking)) == 1
    assert not hasattr(booking, "run")


def test_a_future_class_cannot_be_recorded(show, make_booking, technician, today):
    with pytest.raises(bookings.BookingError, match="on that day or later"):
        bookings.record_run(make_booking(show), [], who=technician, today=today)


def test_two_bookings_of_one_room_and_period_clash(show, make_booking):
    first, second = make_booking(show), make_booking(show)
    assert bookings.clashes(second) == [first]
    bookings.cancel(first)
    assert bookings.clashes(second) == []
