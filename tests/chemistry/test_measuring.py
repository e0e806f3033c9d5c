"""Amounts rounded to what a balance and a cylinder can do."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.chemistry.measuring import measure_out, round_number_up, set_out, vessel_for, weigh
from stockroom.chemistry.quantity import QuantityError


@pytest.mark.parametrize(
    ("micrograms", "shown", "tool"),
    [
        (249_685_000, "249.7 g", "balance reading 0.1 g"),
        (24_968_500, "24.97 g", "balance reading 0.01 g"),
        (1_596_090, "1.596 g", "balance reading 0.001 g"),
        (50_000_000, "50 g", "balance reading 0.1 g"),
        (7_000_000_000, "7 kg", "balance reading 1 g"),
    ],
)
def test_the_plainest_balance_that_is_good_enough(micrograms, shown, tool):
    found = weigh("salt", micrograms)
    assert (found.shown, found.tool) == (shown, tool)
    assert not found.is_poor


@pytest.mark.parametrize(
    ("microlitres", "shown", "tool"),
    [
        (1_234, "1.24 mL", "2 mL graduated pipette"),
        (8_340, "8.3 mL", "10 mL graduated pipette"),
        (83_333, "83 mL", "100 mL measuring cylinder"),
        (2_345_678, "2.35 L", "1 L measuring cylinder"),
    ],
)
def test_the_smallest_glass_that_holds_it(microlitres, shown, tool):
    found = measure_out("acid", microlitres)
    assert (found.shown, found.tool) == (shown, tool)


def test_the_error_that_rounding_brings():
    found = measure_out("acid", 83_333)
    assert found.rounding_percent == Decimal("-0.400")
    assert found.tolerance_percent == pytest.approx(Decimal("1.205"))


def test_a_few_milligrams_are_poor():
    assert weigh("dye", 9_000).is_poor
    assert weigh("dye", 9_000).amount == 9_000


def test_pieces_are_counted():
    found = set_out("filter papers", "count", 7)
    assert (found.amount, found.rounding_percent) == (7, 0)
    with pytest.raises(QuantityError):
        set_out("ribbon", "length", 7)


def test_vessels():
    assert vessel_for(1).name == "10 mL volumetric flask"
    assert vessel_for(250_000, round_up=False).name == "250 mL volumetric flask"
    assert vessel_for(300_000, round_up=False).volume == 300_000
    assert (vessel_for(50_000_000).times, vessel_for(50_000_000).volume) == (3, 60_000_000)


@pytest.mark.parametrize("absurd", [0, -1, 1.5, 10**16, None])
def test_absurd_amounts_are_refused(absurd):
    for call in (weigh, measure_out):
        with pytest.raises(QuantityError):
            call("x", absurd)
    with pytest.raises(QuantityError):
        vessel_for(absurd)
    with pytest.raises(QuantityError):
        round_number_up(absurd)


@given(st.integers(1, 10**13))
def test_rounding_is_to_the_nearest_mark(exact):
    for found in (weigh("x", exact), measure_out("x", exact)):
        assert found.exact == exact
        assert found.amount > 0
        assert abs(found.amount - exact) * 2 <= max(found.amount, exact) or found.is_poor


@given(st.integers(1, 10**13))
def test_a_vessel_holds_what_is_needed(volume):
    assert vessel_for(volume).volume >= volume
    assert vessel_for(volume, round_up=False).volume == volume


@given(st.integers(1, 10**15))
def test_a_round_number_is_at_most_a_tenth_more(n):
    assert n <= round_number_up(n) <= n * 1.1 + 1
