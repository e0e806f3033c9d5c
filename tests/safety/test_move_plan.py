from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from stockroom.safety.move_plan import move_plan
from stockroom.safety.storage import (
    HANDS_OFF,
    TO_WASTE,
    Item,
    Place,
    cabinet_findings,
    conflicts,
    findings,
    kind_suits,
)

KINDS = {
    "acid": ({"acid_strong"}, "acids"),
    "base": ({"base_strong"}, "bases"),
    "bleach": ({"hypochlorite"}, "general"),
    "cyanide": ({"cyanide"}, "toxics"),
    "ethanol": ({"alcohol", "flammable"}, "flammables"),
    "nitric": ({"acid_oxidising"}, "acids"),
    "permanganate": ({"permanganate"}, "oxidisers"),
    "salt": ({"inert"}, "general"),
    "carbonate": ({"base_dilute"}, "general"),
}


def bottle(number, reagent, place, kind=None):
    words, wanted = KINDS[reagent]
    return Item(
        number,
        reagent,
        reagent,
        groups=frozenset(words),
        transport_class="none",
        location_id=place,
        storage_kind=kind or wanted,
    )


def after(items, plan):
    moved = {move.item.id: move.target.id for move in plan.moves}
    return [replace(item, location_id=moved.get(item.id, item.location_id)) for item in items]


def choices(items, places):
    """For each bottle the places it may end in: its own, or another of the right kind."""
    return [
        [p for p, place in enumerate(places) if place.id == item.location_id or kind_suits(item, place)]
        for item in items
    ]


def limits(items, places):
    now = [sum(item.location_id == place.id for item in items) for place in places]
    return [
        None if place.capacity is None else max(place.capacity, n)
        for place, n in zip(places, now, strict=True)
    ]


def hostile(items):
    return [
        (a, b)
        for a in range(len(items))
        for b in range(a)
        if items[a].reagent_key != items[b].reagent_key and findings(items[a], items[b])
    ]


def meet(items, places, a, b, p, q):
    """Whether two hostile bottles still conflict where they stand in places p and q."""
    same = p == q
    near = places[p].cabinet is not None and places[p].cabinet == places[q].cabinet
    return same or (near and bool(cabinet_findings(items[a], items[b])))


def fewest_by_trying(items, places):
    """Every assignment of bottles to places, looked at one by one; None where none is free of conflicts."""
    most, enemies, best = limits(items, places), hostile(items), None
    for where in product(*choices(items, places)):
        cost = sum(places[p].id != item.location_id for p, item in zip(where, items, strict=True))
        if best is not None and cost >= best:
            continue
        full = any(n is not None and where.count(p) > n for p, n in enumerate(most))
        if not full and not any(meet(items, places, a, b, where[a], where[b]) for a, b in enemies):
            best = cost
    return best


def fewest_by_solver(items, places):
    """The same as an integer programme, x[i, p] = 1 where bottle i ends in place p, solved by HiGHS."""
    n, m = len(items), len(places)
    cost = np.array([[place.id != item.location_id for place in places] for item in items], float).ravel()
    upper = np.zeros((n, m))
    for i, allowed in enumerate(choices(items, places)):
        upper[i, allowed] = 1
    rows, low, high = [], [], []

    def row(entries, least, most):
        line = np.zeros((n, m))
        for i, p in entries:
            line[i, p] = 1
        rows.append(line.ravel())
        low.append(least)
        high.append(most)

    for i in range(n):
        row([(i, p) for p in range(m)], 1, 1)
    for p, most in enumerate(limits(items, places)):
        if most is not None:
            row([(i, p) for i in range(n)], 0, most)
        for a, b in hostile(items):
            for q in range(m):
                if meet(items, places, a, b, p, q):
                    row([(a, p), (b, q)], 0, 1)
    within = LinearConstraint(np.array(rows), low, high)
    found = milp(cost, integrality=np.ones(n * m), bounds=Bounds(0, upper.ravel()), constraints=within)
    return round(found.fun) if found.success else None


GENERAL = [Place(n, f"Shelf {n}") for n in range(4)]
ACIDS, BASES = Place("a", "Acids cabinet", "acids"), Place("b", "Bases cabinet", "bases")


def test_nothing_to_do():
    plan = move_plan([bottle(1, "salt", 0), bottle(2, "acid", 1)], GENERAL)
    assert plan.moves == () and plan.proven and plan.at_least == 0


def test_the_smaller_side_moves():
    items = [bottle(1, "acid", 0), bottle(2, "base", 0), bottle(3, "base", 0), bottle(4, "base", 0)]
    plan = move_plan(items, [*GENERAL, ACIDS, BASES])
    assert [(move.item.id, move.target.id) for move in plan.moves] == [(1, "a")]
    assert plan.proven and plan.left == ()


def test_one_that_conflicts_with_many_moves_rather_than_the_many():
    items = [
        bottle(1, "bleach", 0, "general"),
        bottle(2, "acid", 0),
        bottle(3, "nitric", 0),
        bottle(4, "ethanol", 0),
    ]
    plan = move_plan(items[:3], GENERAL)
    assert [move.item.id for move in plan.moves] == [1]


def test_what_stands_in_the_way_is_moved_too():
    """The acids cabinet holds bleach: two moves, and the bleach goes first."""
    items = [bottle(1, "acid", 0), bottle(2, "cyanide", 0), bottle(3, "bleach", "a")]
    plan = move_plan(items, [*GENERAL[:2], ACIDS])
    assert [(move.item.id, move.target.id) for move in plan.moves] == [(3, 1), (1, "a")]
    assert plan.proven


def test_two_that_change_places_need_one_set_aside():
    items = [bottle(1, "acid", 0, "general"), bottle(2, "base", 1, "general")]
    items += [bottle(n, "base", 0) for n in (3, 4)] + [bottle(n, "acid", 1) for n in (5, 6)]
    plan = move_plan(items, GENERAL[:2])
    assert {(move.item.id, move.target.id) for move in plan.moves} == {(1, 1), (2, 0)}
    assert [move.set_aside for move in plan.moves] == [False, True]


def test_without_a_place_the_conflict_is_left_and_said():
    plan = move_plan([bottle(1, "acid", 0), bottle(2, "cyanide", 0)], GENERAL)
    assert plan.moves == ()
    assert len(plan.left) == 1 and not plan.proven


def test_what_cannot_be_cured_does_not_stop_the_rest():
    items = [bottle(1, "acid", 0), bottle(2, "cyanide", 0), bottle(3, "bleach", 1), bottle(4, "nitric", 1)]
    plan = move_plan(items, GENERAL)
    assert [move.item.id for move in plan.moves] == [3]
    assert {plan.left[0].item_a.id, plan.left[0].item_b.id} == {1, 2}


def test_only_what_is_bad_enough():
    items = [bottle(1, "acid", 0), bottle(2, "carbonate", 0)]
    assert len(move_plan(items, GENERAL).moves) == 1
    assert move_plan(items, GENERAL, at_least="severe").moves == ()
    with pytest.raises(ValueError, match="severity"):
        move_plan(items, GENERAL, at_least="bad")


def test_each_step_finds_its_place_clear():
    items = [bottle(n, ("acid", "base", "bleach", "carbonate")[n % 4], n % 2, "general") for n in range(12)]
    plan = move_plan(items, GENERAL)
    stand = {item.id: item for item in items}
    for move in plan.moves:
        if not move.set_aside:
            stand[move.item.id] = replace(move.item, location_id=move.target.id)
            assert not [one for one in conflicts(stand.values()) if move.item.id in one.ids_a + one.ids_b]


CABINET = [Place(n, f"Tray {n}", "general", None, "c") for n in range(2)]


def test_another_tray_of_the_cabinet_is_no_cure_for_what_makes_poison_gas():
    items = [bottle(1, "acid", 0, "general"), bottle(2, "bleach", 0)]
    assert move_plan(items, CABINET).moves == ()
    plan = move_plan(items, [*CABINET, Place(9, "Elsewhere")])
    assert [move.target.id for move in plan.moves] == [9] and plan.proven


def test_another_tray_of_the_cabinet_cures_what_only_heats():
    items = [bottle(1, "acid", 0, "general"), bottle(2, "carbonate", 0)]
    (move,) = move_plan(items, CABINET).moves
    assert move.target.id == 1


def test_what_is_to_go_goes_first_and_is_carried_nowhere():
    items = [replace(bottle(1, "bleach", 0), fate=TO_WASTE), bottle(2, "acid", 1, "general")]
    plan = move_plan(items, [*CABINET, *GENERAL[2:]])
    assert [item.id for item in plan.waste] == [1]
    assert (plan.moves, plan.left, plan.proven) == ((), (), True)


def test_what_is_to_go_but_troubles_nobody_is_not_spoken_of_and_not_moved_to_make_room():
    items = [replace(bottle(1, "salt", 2), fate=TO_WASTE), bottle(2, "bleach", 0), bottle(3, "nitric", 0)]
    full = Place(2, "Full", "general", 1)
    plan = move_plan(items, [*GENERAL[:1], full])
    assert plan.waste == () and plan.moves == () and len(plan.left) == 1


def test_nothing_is_carried_from_or_to_a_cabinet_that_nobody_may_go_near():
    off = replace(bottle(1, "ethanol", 0), fate=HANDS_OFF)
    near, acid, bleach = bottle(2, "nitric", 1, "general"), bottle(3, "acid", 2), bottle(4, "bleach", 2)
    plan = move_plan([off, near, acid, bleach], [*CABINET, GENERAL[2]])
    assert [item.id for item in plan.hands_off] == [1]
    assert plan.moves == () and len(plan.left) == 2
    plan = move_plan([off, near, acid, bleach], [*CABINET, *GENERAL[2:]])
    assert [(move.item.id, move.target.id) for move in plan.moves] == [(4, 3)] and len(plan.left) == 1


small = st.lists(
    st.tuples(st.sampled_from(sorted(KINDS)), st.integers(0, 2), st.booleans()), min_size=1, max_size=7
)
kinds_of_place = st.sampled_from(["general", "acids", "toxics"])
cabinets = st.sampled_from([None, "x", "y"])
shelves = st.lists(
    st.tuples(kinds_of_place, st.sampled_from([None, 1, 2]), cabinets),
    min_size=3,
    max_size=4,
)


def stock(drawn, drawn_places):
    places = [Place(n, f"P{n}", kind, most, cabinet) for n, (kind, most, cabinet) in enumerate(drawn_places)]
    items = [
        bottle(n, name, place, "general" if plain else None) for n, (name, place, plain) in enumerate(drawn)
    ]
    return items, places


def check(items, places, fewest):
    plan = move_plan(items, places)
    assert plan.at_least <= len(plan.moves)
    remain = conflicts(after(items, plan), places)
    if fewest is None:
        assert plan.left and not plan.proven
    else:
        assert (len(plan.moves), plan.proven, plan.left) == (fewest, True, ())
        assert remain == ()
    assert len(remain) == len(plan.left)
    counts = [sum(item.location_id == place.id for item in after(items, plan)) for place in places]
    assert all(most is None or n <= most for n, most in zip(counts, limits(items, places), strict=True))


@settings(max_examples=60, deadline=None)
@given(small, shelves)
def test_no_plan_with_fewer_moves_by_trying_them_all(drawn, drawn_places):
    items, places = stock(drawn, drawn_places)
    check(items, places, fewest_by_trying(items, places))


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(sorted(KINDS)), st.integers(0, 4), st.just(True)), min_size=8, max_size=24
    ),
    st.lists(
        st.tuples(st.just("general"), st.sampled_from([None, None, 6]), cabinets), min_size=5, max_size=6
    ),
)
def test_no_plan_with_fewer_moves_by_an_integer_programme(drawn, drawn_places):
    items, places = stock(drawn, drawn_places)
    check(items, places, fewest_by_solver(items, places))
