"""Heat of dissolving and diluting: what is tabled, what is not, and what is said about it."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.chemistry.heat import Heat, heat_of_diluting, heat_of_dissolving, heat_of_solution
from stockroom.chemistry.quantity import QuantityError


@pytest.mark.parametrize(
    ("rise", "words"),
    [
        ("90", "Could boil"),
        ("40", "cold water"),
        ("15", "add slowly"),
        ("-20", "Gets cold"),
        ("3", ""),
        ("-3", ""),
    ],
)
def test_a_warning_above_a_stated_rise(rise, words):
    warning = Heat(Decimal(1), Decimal(rise), "a table").warning
    assert words in warning
    assert bool(warning) == bool(words)


def test_a_hydrate_and_its_salt_differ():
    anhydrous, _ = heat_of_solution("CaCl2", "inf")
    hydrate, _ = heat_of_solution("CaCl2·6H2O", "inf")
    assert anhydrous < 0 < hydrate


@pytest.mark.parametrize(("formula", "ratio"), [("KI·5H2O", 10), ("words", 10), ("NaOH", 1), ("HCl", 0.5)])
def test_what_is_not_tabled_gives_nothing(formula, ratio):
    assert heat_of_solution(formula, ratio) is None


def test_a_salt_known_only_at_infinite_dilution_has_no_heat_of_diluting():
    assert heat_of_diluting("KOH", Decimal(1), Decimal(56), Decimal(100), Decimal(900)) is None
    assert heat_of_dissolving("KOH", Decimal(1), Decimal(56), Decimal(900)).rise > 10


@pytest.mark.parametrize("ratio", [-1, "nan"])
def test_an_absurd_ratio_is_refused(ratio):
    with pytest.raises(QuantityError):
        heat_of_solution("HCl", ratio)


def test_absurd_amounts_are_refused():
    with pytest.raises(QuantityError):
        heat_of_dissolving("NaOH", Decimal(0), Decimal(0), Decimal(100))
    with pytest.raises(QuantityError):
        heat_of_diluting("HCl", Decimal(1), Decimal(36), Decimal(100), Decimal(50))


@given(st.decimals("0.2", 100, places=2), st.decimals(1, 100, places=2), st.decimals(1, 100, places=2))
def test_diluting_in_two_steps_gives_off_the_same_heat(start, first, second):
    def step(before, after):
        water = Decimal("18.015")
        return heat_of_diluting("H2SO4", Decimal(1), Decimal(98), before * water, after * water).kilojoules

    whole = step(start, start + first + second)
    assert abs(step(start, start + first) + step(start + first, start + first + second) - whole) < Decimal(
        "1e-9"
    )
    assert whole > 0
