"""Planning one more booking beside a plan says what planning everything anew says."""

import datetime

from hypothesis import given, settings
from hypothesis import strategies as st

from stockroom.purchasing.outlook import Outlook, Pack, Ref, Reserved
from stockroom.supply.allocation import Lot
from stockroom.supply.requirements import Need, Recipe, verdict
from stockroom.supply.workdays import EVERY_DAY, WorkWeek

TODAY = datetime.date(2031, 3, 3)
OURS = Ref(1, 0, "ours")
#: two levels, a part that three products share, and a product that must stand three days
RECIPES = (
    Recipe(3, 100, ((0, 10), (1, 50))),
    Recipe(4, 50, ((3, 40), (2, 5)), lead_days=3),
    Recipe(5, 100, ((1, 60),), shelf_life_days=20),
)


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(number)


def reserved(ref: Ref, days):
    return st.builds(
        lambda reagent, amount, on, returns: Reserved(reagent, day(on), amount, ref, returns),
        st.integers(0, 5),
        st.integers(1, 60),
        days,
        st.booleans(),
    )


@st.composite
def outlooks(draw):
    lots = {
        key: [
            Lot(key * 10 + n, balance, None if until is None else day(until), bool(n), None)
            for n, (balance, until) in enumerate(
                draw(st.lists(st.tuples(st.integers(1, 150), st.none() | st.integers(-2, 30)), max_size=3))
            )
        ]
        for key in range(6)
    }
    # Each on a day of its own: which of two on one day is served first is nobody's promise.
    others = [
        draw(reserved(Ref(1, number + 1, f"booking {number}"), st.just(on)))
        for number, on in enumerate(draw(st.lists(st.integers(0, 40), max_size=12, unique=True)))
    ]
    packs = {
        key: [Pack(key, key, 1, 500, 9, lead)]
        for key, lead in draw(st.dictionaries(st.integers(0, 5), st.integers(0, 9))).items()
    }
    week = draw(st.sampled_from([EVERY_DAY, WorkWeek.of(range(5)), WorkWeek.of([2])]))
    return Outlook(TODAY, lots, {}, tuple(others), RECIPES, packs, week)


def said(outlook: Outlook, plan, extra) -> tuple:
    found = verdict([Need(row.reagent_id, row.on, row.amount, row.ref) for row in extra], plan)
    return (
        found.readiness,
        found.by,
        # Of two parts of one booking on one day, which is named first is nobody's promise either.
        sorted((row.reagent_id, row.amount, row.needed_on, row.why.value) for row in found.shortfalls),
        sorted((row.reagent_id, row.amount, row.order_by) for row in found.purchases),
        sorted((row.reagent_id, row.amount, row.latest) for row in found.make_ups),
    )


@settings(max_examples=300, deadline=None)
@given(outlooks(), st.data())
def test_beside_a_plan_is_as_good_as_from_scratch(outlook, data):
    taken = {row.on for row in outlook.reserved}
    free = st.sampled_from([n for n in range(41) if day(n) not in taken])
    on = data.draw(free)
    extra = data.draw(
        st.lists(reserved(OURS, st.just(on)), min_size=1, max_size=4, unique_by=lambda r: r.reagent_id)
    )
    anew = said(outlook, outlook.plan(extra=extra), extra)
    assert said(outlook, outlook.plan_beside(outlook.as_planned, extra), extra) == anew


@settings(max_examples=100, deadline=None)
@given(outlooks().filter(lambda outlook: outlook.reserved))
def test_a_saved_one_is_left_out_of_what_it_is_planned_beside(outlook):
    mine = outlook.reserved[0]
    base = outlook.plan(without=mine.ref)
    beside = outlook.plan_beside(base, [mine], without=mine.ref)
    assert said(outlook, beside, [mine]) == said(outlook, outlook.as_planned, [mine])
