"""What a booking takes from the shelves."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from demos.consumption.amounts import Booking, ConsumptionError, Ingredient, by_reagent, consumption, use_of

INDICATOR = Ingredient("indicator", "bromothymol blue", "volume", first=2_000, repeat=500, per_group=1_000)
CATALYST = Ingredient(
    "catalyst", "manganese dioxide", "mass", first=5_000_000, per_group=100_000, returns=True
)


def test_the_set_up_the_repeats_and_the_groups_are_added():
    # 2 mL + 2 x 0.5 mL + 1 mL x 8 groups x 3 showings = 27 mL, doubled, and a tenth spare
    booking = Booking(showings=3, groups=8, scale=Decimal(2), spill_percent=10)
    use = use_of(INDICATOR, booking)
    assert (use.reserved, use.consumed) == (59_400, 59_400)


def test_what_comes_back_is_set_aside_and_not_used_up():
    use = use_of(CATALYST, Booking(showings=3, groups=8, spill_percent=10))
    assert (use.reserved, use.consumed) == (5_800_000, 0)


def test_fresh_pieces_for_each_repeat_are_set_aside_even_if_they_come_back():
    dish = Ingredient("dish", "dish", "count", first=1, repeat=1, returns=True)
    assert use_of(dish, Booking(showings=4)).reserved == 4


@pytest.mark.parametrize(("pieces", "with_spare"), [(1, 1), (4, 4), (5, 6), (10, 11), (24, 26)])
def test_a_spare_piece_is_reckoned_only_from_half_a_piece(pieces, with_spare):
    strip = Ingredient("strip", "magnesium", "count", first=pieces)
    assert use_of(strip, Booking(spill_percent=10)).reserved == with_spare


def test_half_a_piece_is_a_whole_one():
    strip = Ingredient("strip", "magnesium", "count", first=3)
    assert use_of(strip, Booking(scale=Decimal("0.5"))).reserved == 2


def test_is_rounded_up_once():
    third = Ingredient("x", "x", "volume", first=1, repeat=1, per_group=1)
    assert use_of(third, Booking(showings=2, groups=1, scale=Decimal("0.3"))).reserved == 2  # 0.3 x 4 = 1.2


@pytest.mark.parametrize(
    ("changes", "hint"),
    [
        ({"showings": 0}, "Showings"),
        ({"showings": 1.5}, "Showings"),
        ({"showings": 10**9}, "Showings"),
        ({"groups": -1}, "groups"),
        ({"scale": Decimal(0)}, "scale"),
        ({"scale": Decimal("NaN")}, "scale"),
        ({"scale": Decimal("1e9")}, "scale"),
        ({"spill_percent": -1}, "spill"),
        ({"spill_percent": 101}, "spill"),
    ],
)
def test_an_absurd_booking_is_refused(changes, hint):
    with pytest.raises(ConsumptionError, match=hint):
        consumption([INDICATOR], Booking(**changes))


@pytest.mark.parametrize("ingredient", [{"first": -1}, {"first": 0.5}, {"first": 1, "measure": "length"}])
def test_an_absurd_ingredient_is_refused(ingredient):
    with pytest.raises(ConsumptionError):
        use_of(Ingredient(**({"key": 1, "reagent": 1, "measure": "mass"} | ingredient)), Booking())


def test_more_than_can_be_kept_is_refused():
    with pytest.raises(ConsumptionError, match="lower the scale"):
        use_of(Ingredient(1, 1, "mass", first=9 * 10**15), Booking(showings=1, scale=Decimal(2)))


def test_two_ingredients_of_one_reagent_are_added_up():
    acid = Ingredient("rinse", "acid", "volume", first=10_000)
    lent = Ingredient("show", "acid", "volume", first=5_000, returns=True)
    total = by_reagent(consumption([acid, INDICATOR, lent], Booking()))
    assert list(total) == ["acid", "bromothymol blue"]
    assert (total["acid"].reserved, total["acid"].consumed) == (15_000, 10_000)
    with pytest.raises(ConsumptionError, match="two ways"):
        by_reagent(consumption([acid, Ingredient("w", "acid", "mass", first=1)], Booking()))


amounts = st.integers(0, 10**9)


@given(
    amounts,
    amounts,
    amounts,
    st.integers(1, 20),
    st.integers(0, 60),
    st.decimals("0.1", 20, places=2),
    st.integers(0, 100),
)
def test_is_never_short_and_never_a_unit_too_many(first, repeat, group, showings, groups, scale, spill):
    ingredient = Ingredient("x", "x", "volume", first, repeat, group)
    use = use_of(ingredient, Booking(showings, groups, scale, spill))
    exact = Fraction(scale) * (first + repeat * (showings - 1) + group * groups * showings)
    exact *= 1 + Fraction(spill, 100)
    assert exact <= use.reserved < exact + 1
    assert use.consumed == use.reserved


@given(st.integers(1, 19), st.integers(0, 60), st.integers(1, 100))
def test_more_showings_groups_or_spare_never_take_less(showings, groups, spill):
    less = use_of(INDICATOR, Booking(showings, groups, Decimal(1), spill - 1))
    for more in (
        Booking(showings + 1, groups, Decimal(1), spill - 1),
        Booking(showings, groups + 1, Decimal(1), spill - 1),
        Booking(showings, groups, Decimal(1), spill),
        Booking(showings, groups, Decimal("1.5"), spill - 1),
    ):
        assert use_of(INDICATOR, more).reserved >= less.reserved
