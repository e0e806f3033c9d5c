"""Pack choice against an independent solver.

Source: scipy.optimize.milp, an interface to HiGHS (Huangfu & Hall, "Parallelizing the dual revised simplex
method", Mathematical Programming Computation 10, 2018). The problem is the integer covering programme of
any operations-research text: minimise price @ x subject to pack @ x >= need, 0 <= x <= limit, x integer.
"""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from stockroom.supply.packs import Offer, choose

offers = st.lists(
    st.tuples(st.integers(1, 60), st.integers(0, 90), st.none() | st.integers(0, 6)), min_size=1, max_size=5
).map(lambda rows: [Offer(place, *row) for place, row in enumerate(rows)])


def solve(goal, sizes, prices, limits, need, room, cost=None, amount=None):
    """One integer programme; the values already settled are held as equations."""
    rows = [LinearConstraint(sizes, need, room)]
    if cost is not None:
        rows.append(LinearConstraint(prices, cost, cost))
    if amount is not None:
        rows.append(LinearConstraint(sizes, amount, amount))
    result = milp(
        goal,
        constraints=rows,
        integrality=np.ones(len(goal)),
        bounds=Bounds(0, limits),
        options={"mip_rel_gap": 0},
    )
    return None if result.x is None else np.round(result.x)


@settings(max_examples=120, deadline=None)
@given(offers, st.integers(1, 150), st.none() | st.integers(1, 220))
def test_choice_matches_milp_in_cost_then_surplus_then_packs(offers, need, max_amount):
    sizes = np.array([offer.amount for offer in offers])
    prices = np.array([offer.price_minor for offer in offers])
    limits = [need if offer.limit is None else offer.limit for offer in offers]
    room = np.inf if max_amount is None else max_amount
    question = (sizes, prices, limits, need, room)
    choice = choose(need, offers, max_amount)
    cheapest = solve(prices, *question)
    assert choice.possible == (cheapest is not None)
    if cheapest is None:
        return
    assert choice.cost == prices @ cheapest
    least = solve(sizes, *question, cost=choice.cost)
    assert choice.amount == sizes @ least
    fewest = solve(np.ones(len(offers)), *question, cost=choice.cost, amount=choice.amount)
    assert choice.packs == fewest.sum()


def test_awkward_sizes_and_a_large_need_match_milp():
    # Pounds beside kilograms, in milligrams: the sizes share no useful divisor.
    offers = [Offer("1 lb", 453_592, 1810), Offer("500 g", 500_000, 2105), Offer("2.5 kg", 2_500_000, 9990)]
    need = 23_700_000
    sizes, prices = np.array([o.amount for o in offers]), np.array([o.price_minor for o in offers])
    cheapest = solve(prices, sizes / 1000, prices, [60, 60, 60], need / 1000, np.inf)
    assert choose(need, offers).cost == prices @ cheapest
