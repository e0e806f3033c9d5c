"""Strength in all its units, and the way between them."""

from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stockroom.chemistry.concentration import (
    UNITS,
    Component,
    Medium,
    Strength,
    StrengthError,
    check,
    convert_strength,
    parse_strength,
)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("96 % (w/w)", "96", "% w/w"),
        ("96% m/m", "96", "% w/w"),
        ("5% w/v", "5", "% w/v"),
        ("70 % v/v", "70", "% v/v"),
        ("70 % vol", "70", "% v/v"),
        ("0,1 mol/L", "0.1", "mol/L"),
        ("2M", "2", "mol/L"),
        ("10 mmol/L", "0.01", "mol/L"),
        ("9 mol/dm³", "9", "mol/L"),
        ("1 g/mL", "1000", "g/L"),
        ("3 mg/L", "3", "mg/L"),
        ("0.5 mol/kg", "0.5", "mol/kg"),
        ("20 volumes", "20", "vol H2O2"),
        ("pure", None, "pure"),
        ("Saturated", None, "saturated"),
    ],
)
def test_reads_strengths_as_people_write_them(text, value, unit):
    assert parse_strength(text) == Strength(Decimal(value) if value else None, unit)


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("37 %", "which per cent"),
        ("120 % w/w", "more than there can be"),
        ("120 % v/v", "more than there can be"),
        ("250 % w/v", "more than there can be"),
        ("100 mol/L", "more than there can be"),
        ("-1 mol/L", "nought or more"),
        ("1 N", "normality"),
        ("500 ppm", "mg/L"),
        ("5", "Add a unit"),
        ("strong", "not a strength"),
        ("", "Write the strength"),
        (None, "Write the strength"),
        ("9" * 10**7, "Write the strength"),
        ("nan mol/L", "not a strength"),
    ],
)
def test_a_refusal_says_what_to_change(text, hint):
    with pytest.raises(StrengthError, match=hint):
        parse_strength(text)


def test_check_refuses_what_no_form_should_send():
    for value, unit in [("x", "mol/L"), ("nan", "mol/L"), (1, "stone"), (1, "pure"), (101, "% w/w")]:
        with pytest.raises(StrengthError):
            check(value, unit)


def test_shows_without_idle_noughts():
    assert str(Strength(Decimal("1.500"), "mol/L")) == "1.5 mol/L"
    assert str(Strength(Decimal("100"), "% w/w")) == "100 % w/w"
    assert str(Strength(None, "pure")) == "pure"


@pytest.mark.parametrize(
    ("text", "unit", "known", "missing"),
    [
        ("96 % w/w", "mol/L", {"molar_mass": 98}, "density of the reagent"),
        ("96 % w/w", "mol/L", {"density_g_ml": 1.8}, "molar mass"),
        ("1 mol/L", "% w/w", {"molar_mass": 98}, "density of the reagent"),
        ("1 g/L", "mol/L", {}, "molar mass"),
        ("5 % v/v", "g/L", {}, "density of the pure liquid"),
        ("pure", "g/L", {"formula": "NaOH"}, "density of the reagent"),
        ("5 % v/v", "g/L", {"formula": "NaOH"}, "density of the pure liquid"),
        ("saturated", "g/L", {"formula": "NaF"}, "solubility of NaF"),
        ("1 g/L", "mol/L", {"formula": "nonsense"}, "not a formula"),
        ("20 vol", "mol/L", {"formula": "NaCl"}, "hydrogen peroxide only"),
        ("1 g/L", "pure", {}, "cannot be turned"),
        ("pure", "mol/kg", {"formula": "H2SO4"}, "no strength in mol/kg"),
        ("100 % w/w", "mol/kg", {"formula": "H2SO4"}, "no strength in mol/kg"),
        ("1 g/L", "% w/w", {"density_g_ml": 0}, "above nought"),
        ("1 g/L", "% w/w", {"density_g_ml": 998}, "check the number and its unit"),
    ],
)
def test_what_is_missing_is_named(text, unit, known, missing):
    with pytest.raises(ValueError, match=missing):
        convert_strength(parse_strength(text), unit, Medium(**known))


@pytest.mark.parametrize(
    ("text", "known"),
    [
        ("50 % w/v", {"density_g_ml": Decimal("0.4")}),
        ("30 mol/L", {"density_g_ml": 1, "molar_mass": 98}),
        ("19 mol/L", {"formula": "H2SO4"}),
    ],
)
def test_stronger_than_pure_is_refused(text, known):
    with pytest.raises(ValueError, match="check the strength"):
        convert_strength(parse_strength(text), "g/L", Medium(**known))


KNOWN = Medium(density_g_ml=Decimal("1.2"), molar_mass=Decimal(60), pure_g_ml=Decimal("1.1"))
CONVERTIBLE = [unit for unit in UNITS if unit not in ("pure", "saturated", "vol H2O2")]


@given(st.decimals("0.0001", 90, places=4), st.permutations(CONVERTIBLE))
def test_round_all_units_and_back_in_any_order(percent, order):
    assume(percent * Decimal("1.2") / Decimal("1.1") <= 100)  # else more than 100 % v/v
    there = Strength(percent, "% w/w")
    for unit in (*order, "% w/w"):
        there = convert_strength(there, unit, KNOWN)
    assert abs(there.value - percent) < Decimal("1e-15")


@given(st.decimals(1, 50, places=2))
def test_volumes_of_peroxide_and_back(percent):
    start = Strength(percent, "% w/w")
    volumes = convert_strength(start, "vol H2O2", Medium(formula="H2O2"))
    assert abs(convert_strength(volumes, "% w/w", Medium(formula="H2O2")).value - percent) < Decimal("1e-9")


def test_a_pure_metal_has_many_moles_in_a_litre():
    copper = convert_strength(Strength(None, "pure"), "mol/L", Medium(density_g_ml="8.96", formula="Cu"))
    assert round(copper.value) == 141


def test_moles_in_a_litre_of_a_component():
    acid = Component("sulfuric_acid", "H2SO4", 98.079, Decimal(96), "% w/w")
    for density, mol_l in ((None, "17.97"), (Decimal("1.84"), "18.01")):
        found = convert_strength(acid.strength, "mol/L", Medium(density, Decimal("98.079"), formula="H2SO4"))
        assert found.value == pytest.approx(Decimal(mol_l), abs=Decimal("0.01"))
