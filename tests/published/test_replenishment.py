"""Following the reorder list day by day against the least cost that an independent solver finds.

scipy.optimize.milp, an interface to HiGHS (Huangfu & Hall, "Parallelizing the dual revised simplex method",
Mathematical Programming Computation 10, 2018). It knows the whole term at once: on which day how many packs
of which offer are ordered, and which need is served from which arrival or bottle while that keeps.
"""

from dataclasses import replace
from datetime import date, timedelta
from random import Random

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from stockroom.supply.allocation import Demand, Lot, Shelf
from stockroom.supply.replenish import Offer, Stock, as_receipts, replenish

TODAY = date(2031, 3, 3)
DAYS = 75


def at(days):
    return TODAY + timedelta(days=days)


def department(rng):
    """One reagent: offers, bottles and classes of a term. No reserve, which the solver would not keep."""
    leads = [rng.choice([2, 5, 10, 14]) for _ in range(rng.randint(1, 3))]
    offers = tuple(
        Offer(key, size, round(size * rng.uniform(4, 14)) + 200, lead)
        for key, (lead, size) in enumerate((lead, rng.choice([50, 100, 250, 500])) for lead in leads)
    )
    lots = [
        Lot(("lot", n), rng.randint(20, 300), rng.choice([None, at(40)])) for n in range(rng.randint(0, 2))
    ]
    demands = [
        Demand(at(rng.randint(0, DAYS - 1)), rng.randint(5, 120), (n,)) for n in range(rng.randint(2, 9))
    ]
    return Stock(lots, sorted(demands, key=lambda d: d.on), (), offers, 0, rng.choice([None, 30, 60]))


def day_by_day(stock):
    """(what is spent, what is short) when the list is followed every day."""
    shelf, coming, spent, short = Shelf(stock.lots), [], 0, 0
    for number in range(DAYS):
        today = at(number)
        for receipt in [row for row in coming if row.on <= today]:
            shelf.add(receipt.amount, receipt.expires, receipt.on, object())
            coming.remove(receipt)
        lots = [
            Lot(place, row[1], None if row[2] == date.max else row[2], received=row[0][2])
            for place, row in enumerate(shelf.rows)
        ]
        later = [demand for demand in stock.demands if demand.on >= today]
        now = replace(stock, lots=lots, demands=later, receipts=tuple(coming))
        for row in replenish(now, today, at(DAYS)).now:
            spent += row.choice.cost
            coming += as_receipts(stock, row, today)
        for demand in [row for row in later if row.on == today]:
            short += shelf.take(demand.amount, today)[1]
    return spent, short


def least(stock):
    """(the least that can be spent, what is short all the same)."""
    wanted = stock.demands
    days = sorted({demand.on for demand in wanted})
    # An order may as well come on the last day before a need.
    orders = [(offer, on) for offer in stock.offers for on in days if on >= at(offer.lead_days)]
    sources = [(lot.balance, date.min, lot.expires or date.max) for lot in stock.lots]
    life = stock.life_days
    sources += [(None, on, date.max if life is None else on + timedelta(life)) for _, on in orders]
    pairs = [
        (source, need)
        for source, (_, start, end) in enumerate(sources)
        for need, demand in enumerate(wanted)
        if start <= demand.on <= end
    ]
    width = len(orders) + len(pairs) + len(wanted)
    missing = sum(demand.amount for demand in wanted) and 10_000_000
    costs = np.zeros(width)
    costs[: len(orders)] = [offer.price_minor for offer, _ in orders]
    costs[len(orders) + len(pairs) :] = missing
    rows, low, high = [], [], []
    for need, demand in enumerate(wanted):
        row = np.zeros(width)
        row[len(orders) : len(orders) + len(pairs)] = [pair[1] == need for pair in pairs]
        row[len(orders) + len(pairs) + need] = 1
        rows.append(row)
        low.append(demand.amount)
        high.append(demand.amount)
    for source, (balance, _, _) in enumerate(sources):
        row = np.zeros(width)
        row[len(orders) : len(orders) + len(pairs)] = [pair[0] == source for pair in pairs]
        if balance is None:
            place = source - len(stock.lots)
            row[place] = -orders[place][0].amount
        rows.append(row)
        low.append(-np.inf)
        high.append(balance or 0)
    whole = np.zeros(width)
    whole[: len(orders)] = 1
    found = milp(
        costs,
        constraints=LinearConstraint(np.array(rows), low, high),
        integrality=whole,
        bounds=Bounds(0, np.inf),
        options={"mip_rel_gap": 0, "time_limit": 20},
    )
    return round(costs[: len(orders)] @ found.x[: len(orders)]), round(
        found.x[len(orders) + len(pairs) :].sum()
    )


def test_a_term_of_daily_reviews_costs_little_more_than_the_least():
    rng = Random(2076)
    ours = theirs = 0
    for _ in range(40):
        stock = department(rng)
        spent, short = day_by_day(stock)
        fewest, unmet = least(stock)
        assert short == unmet
        ours, theirs = ours + spent, theirs + fewest
    assert ours <= theirs * 1.03, ours / theirs
