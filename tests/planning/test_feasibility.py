"""Whether a booking can be ready, and how to fix it."""

import datetime

import pytest

from demos.consumption.takes import ingredients_of
from demos.models import Alternative, Booking
from demos.planning import feasibility
from stockroom.inventory import ledger
from stockroom.inventory.models import Offer, Preparation, PreparationPart
from stockroom.purchasing import outlook
from stockroom.supply.requirements import Readiness

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("every_day")]
ML = 1000


@pytest.fixture
def acid(make_reagent):
    return make_reagent("Hydrochloric acid 1 mol/L", "volume")


@pytest.fixture
def show(make_demonstration, acid):
    return make_demonstration(ingredients=[(acid, 100 * ML, 40 * ML, 0)])


@pytest.fixture
def check(show, room, period, teacher, today):
    def run(days=5, chosen=None, demonstration=None, **fields):
        demonstration = demonstration or show
        booking = Booking(
            demonstration=demonstration,
            on=today + datetime.timedelta(days),
            room=room,
            period=period,
            teacher=teacher,
            class_name="9A",
            **fields,
        )
        return feasibility.check(booking, ingredients_of(demonstration), outlook.read(today), chosen)

    return run


def texts(found):
    return " | ".join(f"{line.text} ({'; '.join(line.because)})" for line in found.lines)


def test_enough_on_the_shelf_is_ready(check, make_container, acid):
    make_container(acid, 100 * ML)
    assert check().readiness == Readiness.READY
    assert check(showings=2).readiness == Readiness.CANNOT


def test_nothing_and_nobody_sells_it(check):
    found = check()
    assert found.readiness == Readiness.CANNOT
    assert "no supplier is listed for it" in texts(found)


def test_an_earlier_booking_takes_it_first(check, make_container, acid, make_booking, show):
    make_container(acid, 150 * ML)
    make_booking(show, days=2)
    found = check()
    assert found.readiness == Readiness.CANNOT
    assert "100 mL is taken by Cloudy to clear for 10B" in texts(found)
    assert check(days=1).readiness == Readiness.READY


def test_what_expires_before_the_day_does_not_count(check, make_container, acid, today):
    make_container(acid, 500 * ML, expires_on=today + datetime.timedelta(3))
    assert check(days=3).readiness == Readiness.READY
    found = check(days=4)
    assert found.readiness == Readiness.CANNOT
    assert "expires before then" in texts(found)


def test_quarantined_stock_does_not_count(check, make_container, acid, technician):
    bottle = make_container(acid, 500 * ML)
    ledger.quarantine(bottle, who=technician, why="label unreadable")
    assert "500 mL is quarantined" in texts(check())


def test_ready_if_ordered_in_time(check, acid, supplier, today):
    Offer.objects.create(supplier=supplier, reagent=acid, pack_amount=500 * ML, price=9, lead_days=4)
    found = check(days=5)
    assert (found.readiness, found.by) == (Readiness.ORDER, today + datetime.timedelta(1))
    assert found.headline.startswith("Ready if ordered by")
    assert check(days=3).readiness == Readiness.CANNOT


def test_ready_after_making_up_two_levels_deep(check, acid, make_reagent, make_container, today):
    stock = make_reagent("Hydrochloric acid 6 mol/L", "volume")
    strong = make_reagent("Hydrochloric acid 37 %", "volume")
    water = make_reagent("Water, deionised", "volume")
    make_container(water, 10_000 * ML)
    make_container(strong, 500 * ML)
    for product, base, amount in ((acid, stock, 167), (stock, strong, 496)):
        preparation = Preparation.objects.create(reagent=product, yield_amount=1000 * ML)
        PreparationPart.objects.create(preparation=preparation, reagent=base, amount=amount * ML)
        PreparationPart.objects.create(preparation=preparation, reagent=water, amount=(1000 - amount) * ML)
    found = check()
    assert found.readiness == Readiness.MAKE_UP
    made = [line.reagent.name for line in found.lines if line.text.startswith("Make up")]
    assert made == ["Hydrochloric acid 6 mol/L", "Hydrochloric acid 1 mol/L"]


def test_an_alternative_that_is_there_cures_it(check, show, make_reagent, make_container):
    nitric = make_reagent("Nitric acid", "volume")
    make_container(nitric, 1000 * ML)
    ingredient = show.ingredients.get()
    Alternative.objects.create(ingredient=ingredient, reagent=nitric, amount=6, per_amount=5)
    found = check()
    assert [cure.alternative.reagent for cure in found.cures] == [nitric]
    assert found.cures[0].readiness == Readiness.READY
    assert check(chosen={ingredient.pk: nitric.pk}).readiness == Readiness.READY


def test_an_ingredient_that_comes_back_serves_the_next_day_too(
    check, make_demonstration, make_reagent, make_container, make_booking
):
    plate = make_reagent("Copper plate", "count", kind="metal")
    make_container(plate, 2)
    demonstration = make_demonstration("Cell", [(plate, 2, 0, 0)])
    demonstration.ingredients.update(returns=True)
    make_booking(demonstration, days=2)
    assert check(days=3, demonstration=demonstration).readiness == Readiness.READY
    assert check(days=2, demonstration=demonstration).readiness == Readiness.CANNOT


def test_saved_bookings_are_judged_from_one_plan(make_booking, show, acid, make_container, today):
    make_container(acid, 150 * ML)
    first, second = make_booking(show, days=2), make_booking(show, days=3)
    found = feasibility.standing_of([first, second], outlook.read(today))
    assert (found[first.pk].readiness, found[second.pk].readiness) == (Readiness.READY, Readiness.CANNOT)


def test_queries_do_not_grow_with_bookings_or_bottles(
    check, show, make_booking, make_container, acid, django_assert_max_num_queries
):
    make_container(acid, 10 * ML)
    check()
    with django_assert_max_num_queries(14) as few:
        check()
    for days in range(12):
        make_container(acid, 10 * ML)
        make_booking(show, days=days)
    with django_assert_max_num_queries(len(few)):
        check()
