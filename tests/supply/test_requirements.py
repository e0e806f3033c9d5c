from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockroom.supply.allocation import Lot
from stockroom.supply.lots import Weights
from stockroom.supply.projection import Demand, Receipt, project
from stockroom.supply.requirements import (
    Cause,
    Need,
    Readiness,
    Recipe,
    RecipeCycleError,
    RecipeError,
    Why,
    explode,
    find_cycle,
    net_requirements,
    verdict,
)

TODAY = date(2031, 3, 1)


def at(days):
    return TODAY + timedelta(days=days)


def plan(needs, recipes=(), lots=None, receipts=None, lead_days=None, weights=None):
    return explode(needs, recipes, lots or {}, receipts or {}, lead_days or {}, TODAY, weights)


# Acid 1 mol/L from 6 mol/L from the concentrated acid: two levels of making up.
DILUTE = Recipe("dilute", 1000, (("stock", 167), ("water", 850)), 90, (250, 500, 1000))
STOCK = Recipe("stock", 1000, (("concentrated", 500), ("water", 520)), 30, (500, 1000), lead_days=1)


def test_two_levels_deep():
    made = plan(
        [Need("dilute", at(10), 600, "show")],
        [DILUTE, STOCK],
        {"concentrated": [Lot(1, 2000)], "water": [Lot(2, 10_000)]},
    )
    stock, dilute = made.make_ups
    assert (dilute.amount, dilute.batches, dilute.latest, dilute.level) == (1000, ((1000, 1),), at(10), 0)
    assert dilute.parts == (("stock", 167), ("water", 850))
    assert (stock.amount, stock.latest, stock.needed_on, stock.level) == (500, at(9), at(10), 1)
    assert stock.refs == ("show",)
    assert not made.purchases
    assert not made.shortfalls
    assert verdict([Need("dilute", at(10), 600, "show")], made).by == at(9)


def test_water_used_on_two_levels_is_planned_once_at_the_lower():
    made = plan(
        [Need("dilute", at(10), 1000, "show")], [DILUTE, STOCK], lead_days={"water": 2, "concentrated": 5}
    )
    water = [line for line in made.purchases if line.reagent_id == "water"]
    assert [(line.needed_on, line.amount, line.order_by, line.level) for line in water] == [
        (at(9), 260, at(7), 2),
        (at(10), 850, at(8), 2),
    ]


def test_never_made_so_early_that_it_would_not_keep():
    short_lived = Recipe("iodine", 100, (("solid", 1),), shelf_life_days=3)
    (make_up,) = plan([Need("iodine", at(10), 100, "a")], [short_lived], {"solid": [Lot(1, 9)]}).make_ups
    assert (make_up.earliest, make_up.latest, make_up.good_until) == (at(7), at(10), at(13))


def test_what_is_left_of_a_batch_serves_later_needs_while_it_keeps():
    recipe = Recipe("s", 100, (("p", 1),), shelf_life_days=3, batch_sizes=(500,))
    needs = [Need("s", at(5), 300, "a"), Need("s", at(7), 150, "b"), Need("s", at(9), 50, "c")]
    first, second = plan(needs, [recipe], {"p": [Lot(1, 99)]}).make_ups
    assert first.refs == ("a", "b")
    assert first.earliest == at(4)  # day 7 less the three days it keeps
    assert (second.refs, second.short) == (("c",), 50)  # 50 were left but went off on day 8


def test_one_day_is_made_up_at_once_and_a_longer_span_on_request():
    recipe = Recipe("s", 100, (("p", 1),), batch_sizes=(250, 1000))
    same_day = [Need("s", at(5), 300, "a"), Need("s", at(5), 300, "b")]
    (make_up,) = plan(same_day, [recipe], {"p": [Lot(1, 99)]}).make_ups
    assert (make_up.amount, make_up.refs) == (1000, ("a", "b"))
    spread = [Need("s", at(5), 200, "a"), Need("s", at(7), 200, "b"), Need("s", at(9), 200, "c")]
    assert [line.amount for line in plan(spread, [recipe], {"p": [Lot(1, 99)]}).make_ups] == [250, 250, 250]
    (joined,) = plan(spread, [recipe], {"p": [Lot(1, 99)]}, weights=Weights()).make_ups
    assert joined.amount == 1000
    assert joined.also_on == (at(7), at(9))


def test_rounding_up_and_joining_never_take_the_parts_of_a_class():
    recipe = Recipe("s", 100, (("p", 10),), batch_sizes=(250, 1000))
    needs = [Need("s", at(5), 300, "a"), Need("s", at(7), 200, "b")]
    # Parts for exactly these two days: 1000 mL, which one lot would take, cannot be made.
    made = plan(needs, [recipe], {"p": [Lot(1, 50)]}, weights=Weights())
    assert [(line.amount, line.also_on) for line in made.make_ups] == [(500, (at(7),))]
    # The parts of the second day come after the first: nothing is joined.
    made = plan(needs, [recipe], {"p": [Lot(1, 30)]}, {"p": [Receipt(at(6), 20)]}, weights=Weights())
    assert [(line.amount, line.needed_on) for line in made.make_ups] == [(300, at(5)), (200, at(7))]
    assert {verdict([need], made).readiness for need in needs} == {Readiness.MAKE_UP}
    # Parts for the first day only: the second is short, and the first is made all the same.
    made = plan(needs, [recipe], {"p": [Lot(1, 30)]}, weights=Weights())
    assert [verdict([need], made).readiness for need in needs] == [Readiness.MAKE_UP, Readiness.CANNOT]
    # Through the levels: what the first is made from is rounded up itself.
    above = Recipe("t", 100, (("s", 50),), batch_sizes=(500,))
    made = plan([Need("t", at(5), 100, "c")], [recipe, above], {"p": [Lot(1, 5)]}, weights=Weights())
    assert [(line.reagent_id, line.amount) for line in made.make_ups] == [("s", 50), ("t", 100)]


def test_lots_stay_joined_in_exact_amounts_where_parts_run_out_later():
    recipe = Recipe("s", 100, (("p", 10),), shelf_life_days=3, batch_sizes=(250,))
    days = (1, 2, 20, 21)
    needs = [Need("s", at(day), 100, day) for day in days]
    made = plan(needs, [recipe], {"p": [Lot(1, 42)]}, weights=Weights())
    # Two lots rounded up would take 50 of the part.
    assert not made.shortfalls
    assert [(line.amount, line.also_on) for line in made.make_ups] == [(200, (at(2),)), (200, (at(21),))]


def test_glassware_larger_than_any_flask_takes_several():
    recipe = Recipe("s", 1000, (("p", 3),), batch_sizes=(250, 1000))
    (make_up,) = plan([Need("s", at(5), 2100, "a")], [recipe], {"p": [Lot(1, 99)]}).make_ups
    assert make_up.batches == ((1000, 2), (250, 1))
    assert make_up.parts == (("p", 7),)  # 6.75 rounded up


def test_parts_too_late_to_order_leave_the_product_short():
    need = Need("dilute", at(3), 100, "show")
    made = plan([need], [Recipe("dilute", 100, (("acid", 10),))], lead_days={"acid": 5})
    (shortfall,) = made.shortfalls
    assert (shortfall.reagent_id, shortfall.why, shortfall.earliest) == ("acid", Why.TOO_LATE_TO_ORDER, at(5))
    assert verdict([need], made).readiness is Readiness.CANNOT


def test_each_verdict():
    recipes = [Recipe("solution", 100, (("solid", 10),), lead_days=1)]
    needs = [
        Need("ribbon", at(4), 5, "ready"),
        Need("solution", at(4), 50, "make"),
        Need("gel", at(9), 5, "order"),
        Need("moon dust", at(9), 1, "never"),
    ]
    made = plan(needs, recipes, {"ribbon": [Lot(1, 5)], "solid": [Lot(2, 50)]}, lead_days={"gel": 7})
    found = {need.ref: verdict([need], made) for need in needs}
    assert {ref: (v.readiness, v.by) for ref, v in found.items()} == {
        "ready": (Readiness.READY, None),
        "make": (Readiness.MAKE_UP, at(3)),
        "order": (Readiness.ORDER, at(2)),
        "never": (Readiness.CANNOT, None),
    }
    assert found["never"].shortfalls[0].why is Why.NO_SOURCE
    with pytest.raises(ValueError, match="plan again"):
        verdict([Need("ribbon", at(4), 1, "somebody else")], made)


def test_reasons_name_the_earlier_booking_expiry_quarantine_and_the_late_order():
    lots = [Lot(1, 60), Lot(2, 40, at(6)), Lot(3, 30, usable=False)]
    needs = [Need("acid", at(5), 60, "early"), Need("acid", at(8), 50, "late")]
    made = plan(needs, lots={"acid": lots}, receipts={"acid": [Receipt(at(12), 500)]})
    assert verdict(needs[:1], made).readiness is Readiness.READY
    reasons = {reason.code: reason for reason in verdict(needs[1:], made).shortfalls[0].reasons}
    assert reasons[Cause.TAKEN].refs == ("early",)
    assert (reasons[Cause.EXPIRES].amount, reasons[Cause.EXPIRES].on) == (40, at(6))
    assert reasons[Cause.UNUSABLE].amount == 30
    assert (reasons[Cause.ARRIVES_LATER].amount, reasons[Cause.ARRIVES_LATER].on) == (500, at(12))


def test_counting_on_an_open_order_is_said():
    need = Need("acid", at(8), 50, "show")
    judged = verdict([need], plan([need], receipts={"acid": [Receipt(at(6), 500)]}))
    assert judged.readiness is Readiness.READY
    assert [(line.amount, line.arrives) for line in judged.waiting] == [(50, at(6))]


def test_past_needs_take_their_share_but_plan_nothing():
    needs = [Need("acid", at(-2), 80, "past"), Need("acid", at(2), 50, "next")]
    made = plan(needs, lots={"acid": [Lot(1, 100)]}, lead_days={"acid": 1})
    (purchase,) = made.purchases
    assert (purchase.amount, purchase.refs) == (30, ("next",))


def test_a_circle_is_named():
    circle = [Recipe("a", 1, (("b", 1),)), Recipe("b", 1, (("c", 1),)), Recipe("c", 1, (("a", 1),))]
    with pytest.raises(RecipeCycleError, match="a -> b -> c -> a|b -> c -> a -> b|c -> a -> b -> c"):
        plan([Need("a", at(1), 1, "x")], circle)
    assert set(find_cycle(circle)) == {"a", "b", "c"}
    assert find_cycle(circle[:2]) is None
    assert find_cycle([Recipe("a", 1, (("a", 1),))]) == ("a", "a")


def test_a_circle_nobody_asks_for_stops_nothing():
    made = plan([Need("d", at(1), 1, "x")], [Recipe("a", 1, (("a", 1),))], {"d": [Lot(1, 1)]})
    assert verdict([Need("d", at(1), 1, "x")], made).readiness is Readiness.READY


@pytest.mark.parametrize(
    "fields",
    [
        {"yield_amount": 0},
        {"parts": ()},
        {"parts": (("p", 0),)},
        {"batch_sizes": (0,)},
        {"lead_days": -1},
        {"lead_days": 3, "shelf_life_days": 2},
    ],
)
def test_malformed_recipes_are_refused(fields):
    with pytest.raises(RecipeError):
        Recipe(**{"product_id": "s", "yield_amount": 1, "parts": (("p", 1),)} | fields)


def test_two_recipes_of_one_product_are_refused():
    with pytest.raises(RecipeError, match="two recipes"):
        plan([], [Recipe("s", 1, (("p", 1),)), Recipe("s", 1, (("q", 1),))])


dates = st.integers(-3, 20).map(at)
shelves = st.dictionaries(
    st.sampled_from("ABCD"),
    st.lists(st.tuples(st.integers(0, 60), st.none() | dates, st.booleans()), max_size=3).map(
        lambda rows: [Lot(place, *row) for place, row in enumerate(rows)]
    ),
)
orders = st.dictionaries(
    st.sampled_from("ABCD"),
    st.lists(st.tuples(dates, st.integers(0, 60), st.none() | dates), max_size=2).map(
        lambda rows: [Receipt(*row) for row in rows]
    ),
)
all_needs = st.lists(
    st.tuples(st.sampled_from("ABCD"), st.integers(0, 20).map(at), st.integers(0, 80)), max_size=7
).map(lambda rows: [Need(*row, ref=place) for place, row in enumerate(rows)])


@st.composite
def recipe_books(draw):
    """A is made from B and C, B from C and D: C is on two levels."""
    book = []
    for product, parts in (("A", "BC"), ("B", "CD")):
        if draw(st.booleans()):
            lead = draw(st.integers(0, 2))
            keeps = draw(st.none() | st.integers(lead, 9))
            amounts = tuple((part, draw(st.integers(1, 30))) for part in parts)
            sizes = draw(st.sampled_from([(), (25,), (10, 40, 100)]))
            book.append(Recipe(product, draw(st.integers(1, 40)), amounts, keeps, sizes, lead))
    return book


@settings(deadline=None)
@given(
    all_needs,
    recipe_books(),
    shelves,
    orders,
    st.dictionaries(st.sampled_from("ABCD"), st.integers(0, 9)),
    st.none() | st.builds(Weights, st.integers(0, 200), st.integers(0, 50), st.integers(0, 10_000_000)),
)
def test_carrying_out_the_plan_meets_every_need_but_its_shortfalls(
    needs, recipes, lots, receipts, leads, weights
):
    made = plan(needs, recipes, lots, receipts, leads, weights)
    by_product = {recipe.product_id: recipe for recipe in recipes}
    for reagent_id, gross in made.gross.items():
        planned = [
            Receipt(line.needed_on, line.amount, getattr(line, "good_until", None))
            for line in (*made.make_ups, *made.purchases)
            if line.reagent_id == reagent_id
        ]
        arriving = [*receipts.get(reagent_id, ()), *planned]
        days = project(lots.get(reagent_id, ()), gross, arriving, TODAY, at(40)).days
        said: dict = {}
        for line in made.shortfalls:
            if line.reagent_id == reagent_id:
                said[line.needed_on] = said.get(line.needed_on, 0) + line.amount
        assert {day.on: day.short for day in days if day.short} == said
    for line in made.make_ups:
        recipe = by_product[line.reagent_id]
        assert TODAY <= line.earliest <= line.latest == line.needed_on - timedelta(days=recipe.lead_days)
        assert line.amount == sum(size * count for size, count in line.batches) >= line.short > 0
        spared = made.sparing.get(line.reagent_id)
        exact = spared and line.latest <= spared.exact and len(line.batches) == 1
        assert (
            exact or not recipe.batch_sizes or {size for size, _ in line.batches} <= set(recipe.batch_sizes)
        )
        for (part, amount), (_, unit) in zip(line.parts, recipe.parts, strict=True):
            assert (amount - 1) * recipe.yield_amount < unit * line.amount <= amount * recipe.yield_amount
            assert any(d.on == line.latest and d.amount == amount for d in made.gross[part])
    assert all(line.order_by >= TODAY for line in made.purchases)
    for need in needs:
        judged = verdict([need], made)
        assert (judged.readiness is Readiness.CANNOT) == bool(judged.shortfalls)


@settings(deadline=None)
@given(
    all_needs,
    shelves,
    orders,
    st.integers(0, 40),
    st.none() | st.integers(1, 30),
    st.none() | st.integers(0, 9),
)
def test_net_requirements_keep_the_minimum(needs, lots, receipts, minimum, lot_size, keeps):
    shelf, arriving = lots.get("A", []), receipts.get("A", [])
    demands = [Demand(need.on, need.amount, need.ref) for need in needs]
    planned = net_requirements(shelf, demands, arriving, TODAY, at(15), minimum, 3, lot_size, keeps)
    supply = [
        Receipt(p.needed_on, p.amount, None if keeps is None else p.needed_on + timedelta(days=keeps))
        for p in planned
    ]
    after = project(shelf, demands, [*arriving, *supply], TODAY, at(15), minimum)
    if lot_size is None and keeps is None:
        # The last order is needed: a little less of it and the balance is below the minimum or short.
        for place, order in enumerate(planned[-1:], len(planned) - 1):
            less = [*supply[:place], Receipt(order.needed_on, order.amount - 1), *supply[place + 1 :]]
            without = project(shelf, demands, [*arriving, *less], TODAY, at(15), minimum)
            assert without.total_short or without.first_below
    assert after.total_short == 0
    assert after.first_below is None
    assert all(p.amount >= p.net > 0 and (lot_size is None or p.amount % lot_size == 0) for p in planned)
    assert all(p.order_by == p.needed_on - timedelta(days=3) for p in planned)


def test_nothing_is_ordered_while_the_shelf_suffices():
    assert net_requirements([Lot(1, 100)], [Demand(at(3), 60)], [], TODAY, at(20), minimum=40) == ()
