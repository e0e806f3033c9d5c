"""Shortages, what to buy, and an order's way from draft to shelf."""

import datetime
from decimal import Decimal

import pytest
from django.contrib.contenttypes.models import ContentType

from stockroom.common.department import Department
from stockroom.inventory.models import Offer, Preparation, PreparationPart, Reservation, Supplier
from stockroom.purchasing import outlook, reorder
from stockroom.purchasing.models import Budget, Order, OrderLine

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("every_day")]
G = 1_000_000


@pytest.fixture
def salt(make_reagent):
    return make_reagent("Potassium iodide")


@pytest.fixture
def offer(supplier, salt):
    return Offer.objects.create(
        supplier=supplier, reagent=salt, pack_amount=100 * G, price="12.50", lead_days=7
    )


@pytest.fixture
def reserve(salt, shelf):
    """`reserve(reagent, amount, on)`: a reservation that belongs to some object or other."""

    def make(reagent, amount, on, purpose="Iodine clock for 11C"):
        kind = ContentType.objects.get_for_model(shelf)
        return Reservation.objects.create(
            reagent=reagent,
            amount=amount,
            needed_on=on,
            purpose=purpose,
            belongs_type=kind,
            belongs_id=shelf.pk,
        )

    return make


def propose(today, days=60):
    return reorder.propose(outlook.read(today), today + datetime.timedelta(days))


def test_nothing_is_proposed_for_what_lasts(salt, offer, make_container, reserve, today):
    make_container(salt, 200 * G)
    reserve(salt, 150 * G, today + datetime.timedelta(12))
    assert propose(today) == []
    assert outlook.shortages(outlook.read(today), today + datetime.timedelta(60)) == []


def test_a_shortage_is_bought_by_the_last_day_that_still_serves(salt, offer, make_container, reserve, today):
    make_container(salt, 50 * G)
    reserve(salt, 150 * G, today + datetime.timedelta(12))
    (row,) = propose(today)
    assert (row.need, row.needed_on, row.order_by) == (
        100 * G,
        today + datetime.timedelta(12),
        today + datetime.timedelta(5),
    )
    assert [(buy.offer, buy.packs) for buy in row.buys] == [(offer, 1)]
    assert (row.cost, row.late, row.reason) == (Decimal("12.50"), False, "Short for Iodine clock for 11C")
    (short,) = outlook.shortages(outlook.read(today), today + datetime.timedelta(60))
    assert (short.remedy, short.act_by, short.by) == ("order", today + datetime.timedelta(5), 100 * G)


def test_packs_come_at_least_cost_over_all_suppliers(salt, offer, reserve, today):
    cheap = Supplier.objects.create(name="Harbour Chemicals")
    big = Offer.objects.create(supplier=cheap, reagent=salt, pack_amount=250 * G, price=20, lead_days=9)
    reserve(salt, 300 * G, today + datetime.timedelta(12))
    (row,) = propose(today)
    # 250 g + 100 g cost 32.50; 3 × 100 g 37.50; 2 × 250 g 40.00
    assert {(buy.offer.pk, buy.packs) for buy in row.buys} == {(big.pk, 1), (offer.pk, 1)}
    assert row.order_by == today + datetime.timedelta(3)


def test_below_the_reorder_point_is_proposed_without_any_booking(salt, offer, make_container, today):
    salt.reorder_point = 80 * G
    salt.save()
    make_container(salt, 30 * G)
    (row,) = propose(today)
    assert (row.need, row.order_by, row.late, row.note) == (50 * G, today, False, "")
    assert row.reason == "Below its reorder point of 80 g"


def test_open_and_drafted_orders_are_not_proposed_twice(salt, offer, reserve, head, today):
    reserve(salt, 100 * G, today + datetime.timedelta(12))
    (order,) = reorder.draw_up({offer: (1, None, "")}, who=head, today=today)
    assert propose(today) == []
    reorder.cancel(order)
    assert len(propose(today)) == 1


def test_the_last_day_to_order_is_one_on_which_the_department_works(salt, offer, reserve, today):
    reserve(salt, 10 * G, today + datetime.timedelta(12))
    last = today + datetime.timedelta(5)
    department = Department.current()
    department.working_days = str((last - datetime.timedelta(2)).weekday())
    department.save()
    (row,) = propose(today)
    assert row.order_by == last - datetime.timedelta(2)
    (short,) = outlook.shortages(outlook.read(today), today + datetime.timedelta(60))
    assert (short.remedy, short.act_by) == ("order", row.order_by)


def test_below_the_reorder_point_in_time_means_now(salt, offer, make_container, today):
    salt.reorder_point = 80 * G
    salt.save()
    make_container(salt, 30 * G)
    (short,) = outlook.shortages(outlook.read(today), today + datetime.timedelta(60))
    assert (short.by, short.remedy, short.act_by) == (0, "order", today)


def test_too_late_says_so(salt, offer, reserve, today):
    reserve(salt, 10 * G, today + datetime.timedelta(3))
    (row,) = propose(today)
    assert (row.buys, row.order_by) == ((), None)
    assert row.note == "No supplier delivers before it is needed: 10 g cannot come in time"


def test_a_draft_comes_after_its_lead_time_and_not_today(salt, offer, reserve, head, today):
    reserve(salt, 100 * G, today + datetime.timedelta(3))
    reserve(salt, 100 * G, today + datetime.timedelta(9))
    (row,) = propose(today)
    assert [buy.packs for buy in row.buys] == [1]
    reorder.draw_up({offer: (1, None, "")}, who=head, today=today)
    (row,) = propose(today)
    assert row.buys == ()  # the first class is still without


def test_drafts_count_for_what_is_made_here(
    salt, make_reagent, supplier, reserve, head, today, make_container
):
    solution = make_reagent("Potassium iodide 0.1 mol/L", "volume")
    preparation = Preparation.objects.create(reagent=solution, yield_amount=1_000_000, lead_days=9)
    PreparationPart.objects.create(preparation=preparation, reagent=salt, amount=17 * G)
    offer = Offer.objects.create(
        supplier=supplier, reagent=solution, pack_amount=1_000_000, price=30, lead_days=2
    )
    make_container(salt, 100 * G)
    # Too late to make it up, not to buy it.
    reserve(solution, 1_000_000, today + datetime.timedelta(5))
    (row,) = propose(today)
    assert [(buy.offer, buy.packs) for buy in row.buys] == [(offer, 1)]
    reorder.draw_up({offer: (1, None, "")}, who=head, today=today)
    assert propose(today) == []


def test_what_is_wanted_after_the_term_is_ordered_in_time(salt, offer, reserve, today):
    reserve(salt, 10 * G, today + datetime.timedelta(10))
    assert [row.needed_on for row in propose(today, days=2)] == [today + datetime.timedelta(10)]


def test_what_is_not_due_before_the_next_review_waits(salt, offer, reserve, today):
    reserve(salt, 10 * G, today + datetime.timedelta(30))
    assert propose(today) == []


def test_nobody_offers_it(salt, reserve, today):
    reserve(salt, 10 * G, today + datetime.timedelta(3))
    (row,) = propose(today)
    assert (row.buys, row.order_by, row.note) == ((), None, "No supplier listed")


def test_room_for_it_is_respected_or_said(salt, offer, supplier, reserve, make_container, today):
    salt.most_to_keep = 60 * G
    salt.save()
    small = Offer.objects.create(supplier=supplier, reagent=salt, pack_amount=25 * G, price=9, lead_days=7)
    reserve(salt, 40 * G, today + datetime.timedelta(12))
    (row,) = propose(today)
    assert [(buy.offer, buy.packs) for buy in row.buys] == [(small, 2)]
    small.delete()
    (row,) = propose(today)
    assert "room for" in row.note


def test_what_is_made_here_is_not_bought_but_its_parts_are(salt, offer, make_reagent, reserve, today):
    solution = make_reagent("Potassium iodide 0.1 mol/L", "volume")
    preparation = Preparation.objects.create(reagent=solution, yield_amount=1_000_000)
    PreparationPart.objects.create(preparation=preparation, reagent=salt, amount=17 * G)
    reserve(solution, 1_000_000, today + datetime.timedelta(12))
    (row,) = propose(today)
    assert (row.reagent, row.need) == (salt, 17 * G)


def test_an_order_goes_from_draft_to_shelf(salt, offer, head, today):
    (order,) = reorder.draw_up({offer: (3, today, "why")}, who=head, today=today)
    with pytest.raises(reorder.OrderError):
        reorder.mark_ordered(order, on=today, expected_on=today)
    reorder.approve(order, who=head, today=today)
    reorder.mark_ordered(order, on=today, expected_on=today + datetime.timedelta(7))
    assert outlook.read(today).receipts[salt.pk][0].amount == 300 * G
    line = order.lines.get()
    reorder.note_received(line, 2)
    order.refresh_from_db()
    assert order.state == Order.State.ORDERED
    with pytest.raises(reorder.OrderError, match="Only 1"):
        reorder.note_received(line, 2)
    reorder.note_received(line, 1)
    order.refresh_from_db()
    assert order.state == Order.State.RECEIVED
    with pytest.raises(reorder.OrderError):
        reorder.cancel(order)


def test_the_budget_counts_what_is_approved_in_its_time(offer, head, today):
    Budget.objects.create(name="Autumn", start=today, end=today + datetime.timedelta(90), amount=100)
    (order,) = reorder.draw_up({offer: (2, None, "")}, who=head, today=today)
    assert reorder.spending(today).left == 100
    reorder.approve(order, who=head, today=today)
    assert reorder.spending(today).left == Decimal("75.00")
    assert reorder.spending(today - datetime.timedelta(1)) is None


def test_expiring_names_only_what_will_not_be_used_in_time(salt, make_container, reserve, today):
    used = make_container(salt, 10 * G, expires_on=today + datetime.timedelta(5))
    spare = make_container(salt, 10 * G, expires_on=today + datetime.timedelta(6))
    reserve(salt, 10 * G, today + datetime.timedelta(2))
    found = outlook.expiring(outlook.read(today), today + datetime.timedelta(30))
    assert [(row.container, row.expired, row.wasted) for row in found] == [(spare, False, 10 * G)]
    assert used.usable_until == today + datetime.timedelta(5)


def test_the_list_takes_the_same_queries_for_any_number(
    make_reagent, supplier, reserve, today, django_assert_max_num_queries
):
    def more(count):
        for number in range(count):
            reagent = make_reagent(f"Salt {count}-{number}")
            Offer.objects.create(supplier=supplier, reagent=reagent, pack_amount=G, price=1)
            reserve(reagent, 5 * G, today + datetime.timedelta(12))

    more(3)
    with django_assert_max_num_queries(20) as few:
        assert len(propose(today)) == 3
    more(20)
    with django_assert_max_num_queries(len(few)):
        assert len(propose(today)) == 23
    assert OrderLine.objects.count() == 0
