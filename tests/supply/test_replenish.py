"""What to buy of one reagent: the list comes to an end, and buys nothing for what cannot come."""

from dataclasses import replace
from datetime import date, timedelta
from random import Random

import pytest

from stockroom.supply.allocation import Demand, Lot
from stockroom.supply.projection import Receipt
from stockroom.supply.replenish import Offer, Stock, as_receipts, horizon, replenish

TODAY = date(2031, 3, 3)


def at(days):
    return TODAY + timedelta(days=days)


ONE = (Offer("pack", 100, 1000, 5),)


def stock(**fields):
    return Stock(**{"lots": (), "demands": (), "receipts": (), "offers": ONE} | fields)


def bought(asked, today=TODAY):
    return [row.choice.counts for row in replenish(asked, today).now]


def followed(asked, today=TODAY):
    """The stock once everything on the list is ordered."""
    found = replenish(asked, today)
    coming = [receipt for row in found.now for receipt in as_receipts(asked, row, today)]
    return replace(asked, receipts=(*asked.receipts, *coming))


def test_what_is_wanted_before_anything_can_be_here_is_never_bought():
    found = replenish(stock(demands=[Demand(at(4), 60, ("class",))]), TODAY)
    assert not found.now
    assert [(want.on, want.amount, want.refs) for want in found.cannot_come] == [(at(4), 60, ("class",))]


def test_the_reorder_point_is_compared_once_with_what_is_there_and_on_its_way():
    below = stock(lots=[Lot(1, 30)], reorder_point=80)
    assert bought(below) == [{"pack": 1}]
    assert bought(replace(below, receipts=[Receipt(at(9), 50)])) == []
    # 90 are there, but 40 go before anything can be here.
    assert bought(stock(lots=[Lot(1, 90)], demands=[Demand(at(2), 40)], reorder_point=80)) == [{"pack": 1}]
    # What is wanted after that day may touch the reserve: the next review sees it.
    assert bought(stock(lots=[Lot(1, 90)], demands=[Demand(at(9), 40)], reorder_point=80)) == []


def test_shelf_life_counts_from_the_day_it_comes():
    asked = stock(demands=[Demand(at(5), 60), Demand(at(11), 60)], life_days=3)
    found = replenish(asked, TODAY)
    # Ordered today it comes on day 5 and is gone on day 9: the second is ordered from day 3 on.
    assert [row.wants[0].on for row in found.now] == [at(5)]
    assert [(row.order_from, row.order_by) for row in found.later] == [(at(3), at(6))]


def test_packs_are_chosen_for_each_group_among_those_quick_enough():
    offers = (Offer("quick", 100, 5000, 2), Offer("slow", 100, 1000, 9))
    asked = stock(offers=offers, demands=[Demand(at(3), 100), Demand(at(12), 300)])
    assert bought(asked) == [{"quick": 1}, {"slow": 3}]


def test_what_is_far_away_is_shown_for_later():
    found = replenish(stock(demands=[Demand(at(12), 60)]), TODAY)
    assert not found.now
    assert [(row.order_from, row.order_by) for row in found.later] == [(TODAY, at(7))]


def department(rng):
    """One reagent of an invented department."""
    offers = tuple(
        Offer(key, rng.choice([25, 50, 100, 250, 500]), rng.randint(200, 4000), rng.choice([1, 3, 7, 14, 21]))
        for key in range(rng.randint(1, 3))
    )
    lots = [
        Lot(key, rng.randint(1, 200), rng.choice([None, at(rng.randint(-3, 40))]))
        for key in range(rng.randint(0, 3))
    ]
    demands = [Demand(at(rng.randint(0, 75)), rng.randint(1, 120), (n,)) for n in range(rng.randint(0, 14))]
    receipts = [Receipt(at(rng.randint(0, 20)), rng.randint(10, 200)) for _ in range(rng.randint(0, 2))]
    point = rng.choice([0, 0, 40, 150])
    return Stock(lots, demands, receipts, offers, point, rng.choice([None, None, 5, 20, 60]))


@pytest.mark.parametrize("seed", range(10))
def test_following_the_list_empties_it_in_one_round(seed):
    rng = Random(seed)
    for _ in range(100):
        asked = department(rng)
        assert not replenish(followed(asked), TODAY).now


def test_the_horizon_is_the_longest_lead_time_and_a_review():
    assert horizon((Offer("quick", 1, 1, 2), Offer("slow", 1, 1, 9)), TODAY) == at(16)
