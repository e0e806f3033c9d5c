"""Density by strength: within the table, with its source, never beyond it."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.chemistry.density import density, is_tabled, mass_percent_at
from stockroom.chemistry.formula import molar_mass
from stockroom.chemistry.quantity import QuantityError

TABLED = ["H2SO4", "HCl", "HNO3", "CH3COOH", "NH3", "NaOH", "C2H5OH"]


@pytest.mark.parametrize("formula", TABLED)
def test_the_usual_stock_solutions_are_tabled(formula):
    assert is_tabled(formula)
    assert density(formula, 0).g_ml == Decimal("0.9982")


def test_another_way_of_writing_the_formula_finds_the_same_table():
    assert density("C2H4O2", 40) == density("CH3COOH", 40)


def test_names_its_source_and_temperature():
    found = density("HCl", 36)
    assert "CRC Handbook" in found.source
    assert found.celsius == 20


def test_between_two_sources_both_are_named():
    found = density("HNO3", 42)
    assert "CRC" in found.source
    assert "Perry" in found.source


@pytest.mark.parametrize(
    ("formula", "percent", "hint"),
    [
        ("H2SO4", 101, "tabled from 0 to 100"),
        ("H2SO4", -1, "tabled from 0"),
        ("HCl", 60, "tabled from 0 to 40"),
        ("HCl", "nan", "tabled from 0 to 40"),
        ("KI", 5, "give the solution's density"),
        ("gibberish", 5, "give the solution's density"),
    ],
)
def test_outside_the_table_is_refused(formula, percent, hint):
    with pytest.raises(QuantityError, match=hint):
        density(formula, percent)


@pytest.mark.parametrize("mol_l", [18.8, -1, "nan"])
def test_a_strength_beyond_the_table_is_refused(mol_l):
    with pytest.raises(QuantityError, match="check the strength"):
        mass_percent_at("H2SO4", mol_l)


@given(st.sampled_from(TABLED), st.decimals(0, 1, places=4))
def test_from_per_cent_to_molarity_and_back(formula, share):
    most = {"HCl": 40, "NH3": 35, "NaOH": 50}.get(formula, 100)
    percent = share * most
    mol_l = percent * density(formula, percent).g_ml * 10 / Decimal(str(molar_mass(formula)))
    assert abs(mass_percent_at(formula, mol_l) - percent) < Decimal("1e-9")
