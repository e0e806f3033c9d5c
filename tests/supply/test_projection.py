from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.supply.allocation import Lot, allocate_many
from stockroom.supply.projection import Day, Demand, Receipt, expand, project, trouble

START = date(2031, 3, 1)
END = START + timedelta(days=14)


def at(days):
    return START + timedelta(days=days)


dates = st.integers(-3, 18).map(at)
lots = st.lists(
    st.tuples(st.integers(0, 30), st.none() | dates, st.booleans(), st.none() | dates, st.booleans()),
    max_size=5,
).map(lambda rows: [Lot(place, *row) for place, row in enumerate(rows)])
demands = st.lists(st.tuples(dates, st.integers(0, 40)), max_size=7).map(
    lambda rows: [Demand(on, amount, place) for place, (on, amount) in enumerate(rows)]
)
receipts = st.lists(st.tuples(dates, st.integers(0, 40), st.none() | dates), max_size=4).map(
    lambda rows: [Receipt(*row, ref=place) for place, row in enumerate(rows)]
)


def replay(lots, demands, receipts):
    """The plainest telling: walk through every day with a list of bottles."""
    bottles = [
        {
            "left": x.balance,
            "last": x.expires or date.max,
            "sealed": not x.opened,
            "came": x.received or date.max,
            "n": x.id,
        }
        for x in lots
        if x.usable and (x.expires is None or x.expires >= START)
    ]
    waiting = sorted(demands, key=lambda d: d.on)
    days, on, served = [], START, 100
    while on <= END:
        received = used = short = 0
        for receipt in receipts:
            if receipt.on == on or (on == START and receipt.on < START):
                served += 1
                received += receipt.amount
                bottles.append(
                    {
                        "left": receipt.amount,
                        "last": receipt.expires or date.max,
                        "sealed": True,
                        "came": on,
                        "n": served,
                    }
                )
        expired = sum(b["left"] for b in bottles if b["last"] < on)
        bottles = [b for b in bottles if b["last"] >= on]
        bottles.sort(key=lambda b: (b["sealed"], b["last"], b["came"], b["n"]))
        while waiting and waiting[0].on <= on:
            wanted = waiting.pop(0).amount
            whole = [b for b in bottles if b["left"] >= wanted][:1] or bottles
            for bottle in whole:
                part = min(bottle["left"], wanted)
                bottle["left"] -= part
                wanted -= part
                used += part
            short += wanted
        days.append(Day(on, sum(b["left"] for b in bottles), received, used, expired, short))
        on += timedelta(days=1)
    return tuple(days)


@given(lots, demands, receipts, st.integers(0, 30))
def test_projection_equals_a_day_by_day_replay(lots, demands, receipts, minimum):
    projection = project(lots, demands, receipts, START, END, minimum)
    days = replay(lots, demands, receipts)
    assert expand(projection) == days
    short = [day for day in days if day.short]
    assert projection.first_short == (short[0].on if short else None)
    assert projection.short_by == (short[0].short if short else 0)
    assert projection.total_short == sum(day.short for day in days)
    assert projection.first_below == next((day.on for day in days if day.balance < minimum), None)
    assert projection.lowest == min(day.balance for day in days)
    troubled = bool(short) or projection.first_below is not None
    assert trouble(lots, demands, receipts, START, END, minimum) == (projection if troubled else None)


@given(lots, demands, receipts)
def test_balance_is_never_below_zero_and_every_day_adds_up(lots, demands, receipts):
    projection = project(lots, demands, receipts, START, END)
    balance = projection.opening
    for day in projection.days:
        balance += day.received - day.expired - day.used
        assert day.balance == balance >= 0


@given(lots, demands)
def test_agrees_with_the_containers_picked(lots, demands):
    inside = [demand for demand in demands if START <= demand.on <= END]
    picked = allocate_many(lots, inside)
    missing = sum(allocation.short for _, allocation in picked.allocations)
    assert project(lots, inside, (), START, END).total_short == missing


def test_a_term_in_three_lines():
    shelf = [Lot(1, 100, at(3), opened=True), Lot(2, 50)]
    projection = project(
        shelf, [Demand(at(2), 60, "a"), Demand(at(5), 80, "b")], [Receipt(at(6), 500)], START, END
    )
    assert projection.days == (
        Day(START, 150),
        Day(at(2), 90, used=60),
        Day(at(4), 50, expired=40),
        Day(at(5), 0, used=50, short=30),
        Day(at(6), 500, received=500),
    )
    assert (projection.first_short, projection.short_by, projection.last_ok) == (at(5), 30, at(4))


def test_short_on_the_first_day_has_no_last_good_day():
    assert project([], [Demand(START, 1)], [], START, END).last_ok is None
    assert project([], [], [], START, END).last_ok == END


def test_days_out_of_order_are_refused():
    with pytest.raises(ValueError, match="comes before"):
        project([], [], [], END, START)
