"""Strengths of the usual concentrated reagents and published conversions between units."""

from decimal import Decimal

import pytest

from stockroom.chemistry.concentration import Medium, convert_strength, parse_strength, solubility
from stockroom.chemistry.formula import molar_mass


@pytest.mark.parametrize(
    ("formula", "percent", "g_ml", "mol_l"),
    [
        # Harvey, Analytical Chemistry 2.1, and Flowers et al., Chemistry 2e (OpenStax), Appendix F,
        # "Composition of Commercial Acids and Bases", table F1 (read; its phosphoric acid from memory).
        ("CH3COOH", "99.5", "1.05", "17.4"),
        ("NH3", "28", "0.90", "14.8"),
        ("HCl", "36", "1.18", "11.6"),
        ("HNO3", "71", "1.42", "16.0"),
        ("HClO4", "70", "1.67", "11.65"),
        ("H3PO4", "85", "1.70", "14.7"),
        ("NaOH", "50", "1.53", "19.1"),
        ("H2SO4", "96", "1.84", "18.0"),
        # CRC Handbook, "Composition of concentrated reagents" (from memory).
        ("HCl", "37.2", "1.19", "12.1"),
        ("HNO3", "69.6", "1.41", "15.6"),
        ("H2SO4", "98", "1.84", "18.4"),
        ("HCOOH", "90", "1.20", "23.5"),
        ("KOH", "45", "1.45", "11.7"),
    ],
)
def test_concentrated_reagents_by_their_stated_density(formula, percent, g_ml, mol_l):
    found = convert_strength(
        parse_strength(f"{percent} % w/w"), "mol/L", Medium(density_g_ml=g_ml, formula=formula)
    )
    assert float(found.value) == pytest.approx(float(mol_l), rel=0.008)


@pytest.mark.parametrize(
    ("formula", "percent", "mol_l", "mol_kg"),
    [
        # CRC Handbook of Chemistry and Physics, 102nd ed., "Concentrative Properties of Aqueous Solutions":
        # mass %, molarity c and molality m of one row; columns that are not in our own table.
        ("H2SO4", "60", "9.168", "15.294"),
        ("H2SO4", "96", "17.966", "244.698"),
        ("HCl", "20", "6.023", "6.857"),
        ("HCl", "36", "11.642", "15.427"),
        ("HNO3", "30", "5.618", "6.801"),
        ("NaOH", "10", "2.772", "2.778"),
        ("NaOH", "40", "14.300", "16.668"),
        ("NH3", "28", "14.764", "22.834"),
        ("CH3COOH", "50", "8.794", "16.653"),
        ("C2H5OH", "70", "13.183", "50.648"),
        ("CuSO4", "10", "0.694", "0.696"),
        ("H3PO4", "20", "2.273", "2.551"),
    ],
)
def test_molarity_and_molality_of_the_same_solution(formula, percent, mol_l, mol_kg):
    medium = Medium(formula=formula)
    strength = parse_strength(f"{percent} % w/w")
    assert float(convert_strength(strength, "mol/L", medium).value) == pytest.approx(float(mol_l), rel=1e-3)
    assert float(convert_strength(strength, "mol/kg", medium).value) == pytest.approx(float(mol_kg), rel=1e-3)
    back = convert_strength(parse_strength(f"{mol_l} mol/L"), "% w/w", medium)
    assert float(back.value) == pytest.approx(float(percent), rel=1e-3)


@pytest.mark.parametrize(
    ("volumes", "percent"),
    # British Pharmacopoeia, hydrogen peroxide solutions: 3 % gives about 10 times its volume of oxygen,
    # 6 % 20 times, 30 % 110 times (from memory).
    [(10, 3), (20, 6), (110, 30)],
)
def test_volumes_of_hydrogen_peroxide(volumes, percent):
    found = convert_strength(parse_strength(f"{volumes} vol"), "% w/w", Medium(formula="H2O2"))
    assert float(found.value) == pytest.approx(percent, rel=0.03)


@pytest.mark.parametrize(
    ("by_volume", "by_mass"),
    # OIML R 22 (1975), International Alcoholometric Tables, table of strength by volume and by mass at 20 °C
    # (from memory).
    [("50", "42.43"), ("70", "62.39"), ("95", "92.41"), ("96", "93.84")],
)
def test_ethanol_by_volume_and_by_mass(by_volume, by_mass):
    found = convert_strength(parse_strength(f"{by_volume} % v/v"), "% w/w", Medium(formula="C2H5OH"))
    assert float(found.value) == pytest.approx(float(by_mass), abs=0.05)


@pytest.mark.parametrize(
    ("formula", "mol_l"),
    [
        # Solubility products of the CRC Handbook (from memory): the saturated solution, activities left out.
        ("Mg(OH)2", (5.61e-12 / 4) ** (1 / 3)),
        ("AgCl", 1.77e-10**0.5),
        ("BaSO4", 1.08e-10**0.5),
        ("PbI2", (9.8e-9 / 4) ** (1 / 3)),
    ],
)
def test_tabled_solubilities_against_solubility_products(formula, mol_l):
    grams, _source = solubility(formula)
    assert float(grams) / molar_mass(formula) == pytest.approx(mol_l, rel=0.4)


def test_saturated_magnesium_hydroxide_holds_a_hundredth_of_a_gram():
    # common practice, no source: about 0.01 g/L.
    assert solubility("Mg(OH)2")[0] == pytest.approx(Decimal("0.01"), abs=Decimal("0.004"))
