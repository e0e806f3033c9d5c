"""The opposite line obeys the limits of the act it mirrors, and leaves what the other lines imply."""

import pytest
from django.urls import reverse

from stockroom.inventory import ledger
from stockroom.inventory.models import Container, LedgerError, Offer
from stockroom.purchasing import receiving, reorder
from stockroom.purchasing.models import Order

pytestmark = pytest.mark.django_db

State = Container.State


@pytest.fixture
def bottle(make_reagent, make_container):
    return make_container(make_reagent(), 100)


def stands(container) -> tuple:
    container.refresh_from_db()
    return container.state, container.balance


def opposite(line, who):
    return ledger.reverse(line, who=who, why="a slip")


def test_a_quarantined_bottle_that_was_discarded_by_mistake_comes_back_quarantined(bottle, technician):
    ledger.quarantine(bottle, who=technician, why="crystals at the cap")
    opposite(ledger.discard(bottle, who=technician, why="wrong one"), technician)
    assert stands(bottle) == (State.QUARANTINED, 100)
    assert bottle.state_reason == "crystals at the cap"
    with pytest.raises(LedgerError, match="quarantined"):
        ledger.draw(bottle, 1, who=technician, why="lesson")


def test_a_released_bottle_comes_back_in_use(bottle, technician):
    ledger.quarantine(bottle, who=technician, why="cloudy")
    ledger.release(bottle, who=technician, why="clear again")
    opposite(ledger.discard(bottle, who=technician, why="wrong one"), technician)
    assert stands(bottle) == (State.IN_USE, 100)


@pytest.mark.parametrize("act", ["draw", "correct", "discard"])
def test_nothing_goes_back_into_a_bottle_that_is_gone(bottle, technician, act):
    amount = 70 if act == "correct" else 30
    line = getattr(ledger, act)(bottle, amount, who=technician, why="lesson")
    last = ledger.discard(bottle, who=technician, why="empty")
    with pytest.raises(LedgerError, match="is gone: reverse the line that discarded it first"):
        opposite(line, technician)
    assert stands(bottle) == (State.GONE, 0)
    opposite(last, technician)
    opposite(line, technician)
    assert stands(bottle) == (State.IN_USE, 100)


def test_what_came_back_does_not_come_back_twice(bottle, technician):
    drawn = ledger.draw(bottle, 10, who=technician, why="lesson")
    returned = ledger.give_back(bottle, 10, who=technician, why="not used")
    with pytest.raises(LedgerError, match="Only 0"):
        opposite(drawn, technician)
    opposite(returned, technician)
    opposite(drawn, technician)
    assert stands(bottle) == (State.IN_USE, 100)


def test_nothing_is_given_back_twice_under_two_purposes(bottle, technician, shelf):
    ledger.draw(bottle, 10, who=technician, why="lesson", belongs_to=shelf)
    ledger.give_back(bottle, 10, who=technician, why="not used")
    with pytest.raises(LedgerError, match="Only 0"):
        ledger.give_back(bottle, 10, who=technician, why="not used", belongs_to=shelf)


def test_a_reversed_count_lets_nobody_give_back_what_was_not_drawn(bottle, technician):
    ledger.draw(bottle, 50, who=technician, why="lesson")
    ledger.give_back(bottle, 50, who=technician, why="not used")
    more = ledger.correct(bottle, 120, who=technician, why="counted")
    opposite(more, technician)
    with pytest.raises(LedgerError, match="Only 0"):
        ledger.give_back(bottle, 1, who=technician, why="not used")


def test_a_bottle_is_not_filled_beyond_its_size_but_by_a_count(bottle, technician):
    drawn = ledger.draw(bottle, 10, who=technician, why="lesson")
    ledger.correct(bottle, 95, who=technician, why="counted")
    with pytest.raises(LedgerError, match="is the most it holds"):
        opposite(drawn, technician)
    with pytest.raises(LedgerError, match="is the most it holds"):
        ledger.give_back(bottle, 6, who=technician, why="not used")
    ledger.give_back(bottle, 5, who=technician, why="not used")
    ledger.correct(bottle, 103, who=technician, why="weighed")
    assert stands(bottle) == (State.IN_USE, 103)


def test_a_receipt_is_reversed_only_while_the_bottle_holds_just_what_came(bottle, technician):
    receipt = bottle.movements.get()
    count = ledger.correct(bottle, 103, who=technician, why="weighed")
    with pytest.raises(LedgerError, match="no longer holds just what came"):
        opposite(receipt, technician)
    opposite(count, technician)
    ledger.draw(bottle, 10, who=technician, why="lesson")
    returned = ledger.give_back(bottle, 10, who=technician, why="not used")
    opposite(receipt, technician)
    assert stands(bottle) == (State.GONE, 0)
    with pytest.raises(LedgerError, match="receive it as a new container"):
        opposite(returned, technician)


def test_a_reversed_discard_is_struck_out_of_the_waste_too(
    make_reagent, make_container, technician, shelf, today
):
    bottle = make_container(make_reagent("Acid", "volume"), 900)
    words = {"stream": "acid", "measure": "volume", "location": shelf, "started_on": today}
    waste = ledger.open_waste(capacity=1000, **words)
    line = ledger.discard(bottle, who=technician, why="expired", into=waste)
    opposite(line, technician)
    waste.refresh_from_db()
    assert (waste.contents, waste.entries.get().correction.why) == (0, "a slip")
    # What the collector took is not in the bottle again.
    line = ledger.discard(bottle, who=technician, why="expired", into=waste)
    waste.closed_on = waste.collected_on = today
    waste.save()
    with pytest.raises(LedgerError, match="collected"):
        opposite(line, technician)
    assert stands(bottle) == (State.GONE, 0)


def test_only_what_the_discard_itself_put_into_waste_is_struck_out(
    make_reagent, make_container, technician, shelf, today
):
    bottle = make_container(make_reagent("Acid", "volume"), 900)
    words = {"stream": "acid", "measure": "volume", "location": shelf, "started_on": today}
    waste = ledger.open_waste(capacity=1000, **words)
    ledger.discard(bottle, 10, who=technician, why="spoiled", into=waste)
    elsewhere = ledger.discard(bottle, 10, who=technician, why="spilled")
    opposite(elsewhere, technician)
    waste.refresh_from_db()
    assert waste.contents == 10


@pytest.fixture
def order(make_reagent, supplier, head, today):
    offer = Offer.objects.create(
        supplier=supplier, reagent=make_reagent("Salt"), pack_amount=100, price="12.50", lead_days=7
    )
    (order,) = reorder.draw_up({offer: (2, today, "why")}, who=head, today=today)
    reorder.approve(order, who=head, today=today)
    reorder.mark_ordered(order, on=today, expected_on=today)
    return order


def test_a_reversed_receipt_opens_its_order_again(client, order, technician, shelf, today):
    line = order.lines.get()
    first, _ = receiving.receive_packs(line, 2, location=shelf, who=technician, on=today)
    order.refresh_from_db()
    assert order.state == Order.State.RECEIVED
    client.force_login(technician)
    client.post(reverse("movement-reverse", args=[first.movements.get().pk]), {"why": "only one came"})
    order.refresh_from_db()
    line.refresh_from_db()
    assert (order.state, line.received_packs) == (Order.State.ORDERED, 1)
    assert client.get(reverse("order-line-receive", args=[line.pk])).status_code == 200
    receiving.receive_packs(line, 1, location=shelf, who=technician, on=today)
    order.refresh_from_db()
    assert order.state == Order.State.RECEIVED


def test_a_cancelled_order_stays_cancelled(order, technician, shelf, today):
    line = order.lines.get()
    (container,) = receiving.receive_packs(line, 1, location=shelf, who=technician, on=today)
    reorder.cancel(order)
    opposite(container.movements.get(), technician)
    order.refresh_from_db()
    line.refresh_from_db()
    assert (order.state, line.received_packs) == (Order.State.CANCELLED, 0)


def test_a_page_offers_no_reversal_that_would_be_refused(client, bottle, technician):
    drawn = ledger.draw(bottle, 30, who=technician, why="lesson")
    last = ledger.discard(bottle, who=technician, why="empty")
    client.force_login(technician)
    page = client.get(bottle.get_absolute_url()).content.decode()
    assert reverse("movement-reverse", args=[last.pk]) in page
    assert reverse("movement-reverse", args=[drawn.pk]) not in page
    answer = client.post(reverse("movement-reverse", args=[drawn.pk]), {"why": "a slip"})
    assert "reverse the line that discarded it first" in answer.content.decode()
