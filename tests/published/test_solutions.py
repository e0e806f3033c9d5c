"""Making up solutions against worked problems and printed recipes.

"OpenStax": Flowers and others, Chemistry 2e (OpenStax), section 3.3 "Molarity": examples, "check your
learning" and end-of-chapter exercises with their printed answers (read).
"""

from decimal import Decimal

import pytest

from stockroom.chemistry.concentration import (
    Component,
    Medium,
    Strength,
    convert_strength,
    parse_strength,
)
from stockroom.chemistry.formula import molar_mass
from stockroom.chemistry.solution import Solid, Stock, dilute, make_from_solid

LITRE = 1_000_000


@pytest.mark.parametrize(
    ("formula", "have", "want", "volume_ml", "take_ml"),
    [
        # OpenStax example "Volume of a Concentrated Solution Needed for Dilution"
        ("KOH", "1.59 mol/L", "0.100 mol/L", 5000, 314),
        # the same examples read backwards: the volume made and the volume taken are both printed
        ("Cu(NO3)2", "5.00 mol/L", "2.361 mol/L", 1800, 850),
        ("CH3OH", "2.04 mol/L", "0.102 mol/L", 500, 25),
        ("HBr", "0.45 mol/L", "0.12 mol/L", 41.25, 11),
        ("HNO3", "1.88 mol/L", "0.125 mol/L", 3760, 250),
        ("C6H12O6", "3.00 mol/L", "0.575 mol/L", 260.9, 50),
        # Harvey, Analytical Chemistry 2.1, chapter 2, 250 mL of 0.10 mol/L ammonia from the 14.8 mol/L stock
        # (from memory)
        ("NH3", "14.8 mol/L", "0.10 mol/L", 250, 1.69),
    ],
)
def test_textbook_dilutions(formula, have, want, volume_ml, take_ml):
    made = dilute(
        "it",
        Stock("stock", formula, parse_strength(have)),
        parse_strength(want),
        round(volume_ml * 1000),
        round_up=False,
    )
    assert made.takes[0].exact == pytest.approx(take_ml * 1000, rel=0.004)


@pytest.mark.parametrize(
    ("formula", "percent", "g_ml", "take_ml"),
    [
        # "Composition of concentrated reagent-grade acids, ammonium hydroxide, and sodium and potassium
        # hydroxide solutions", millilitres to make 1 L of 1 mol/L, rounded to 0.5 mL; reprinted by several
        # suppliers (read).
        ("CH3COOH", "99.8", "1.05", 57.5),
        ("HCl", "37.2", "1.19", 82.5),
        ("HNO3", "69.6", "1.41", 64),
        ("HClO4", "70.5", "1.67", 85.5),
        ("HClO4", "61.3", "1.54", 105.5),
        ("H3PO4", "85.5", "1.71", 67.5),
        ("H2SO4", "96", "1.84", 55.5),
        ("NH3", "28", "0.90", 67.6),  # the table prints 69 for 14.5 mol/L; 67.6 follows from its own columns
        ("NaOH", "50.5", "1.53", 51.5),
        ("KOH", "45", "1.45", 85.5),
    ],
)
def test_millilitres_of_concentrated_reagent_for_a_litre_of_molar_solution(formula, percent, g_ml, take_ml):
    stock = Stock("stock", formula, parse_strength(f"{percent} % w/w"), Decimal(g_ml))
    made = dilute("molar", stock, parse_strength("1 mol/L"), LITRE)
    assert made.takes[0].exact / 1000 == pytest.approx(take_ml, abs=1)


@pytest.mark.parametrize(
    ("formula", "active", "strength", "volume_ml", "grams"),
    [
        # OpenStax 3.3: exercise on 0.500 L of 0.30 M glucose
        ("C6H12O6", "", "0.30 mol/L", 500, 27),
        # OpenStax 3.3: exercise (d), 10.5 kg of the decahydrate in 18.60 L is 1.75 M
        ("Na2SO4·10H2O", "Na2SO4", "1.75 mol/L", 18_600, 10_500),
        # OpenStax 3.3: exercise (c), 0.2074 g in 40.00 mL is 0.06998 M (more than dissolves, so the limit is
        # lifted)
        ("Ca(OH)2", "", "0.06998 mol/L", 40, 0.2074),
        # OpenStax 3.3: 0.0908 g of permanganate in 0.500 L is 1.15e-3 M
        ("KMnO4", "", "0.00115 mol/L", 500, 0.0908),
        # Vogel's Quantitative Chemical Analysis, preparation of standard solutions (from memory)
        ("AgNO3", "", "0.1 mol/L", 1000, 16.99),
        ("KMnO4", "", "0.02 mol/L", 1000, 3.16),
        ("Na2S2O3·5H2O", "Na2S2O3", "0.1 mol/L", 1000, 24.82),
        ("Na2CO3", "", "0.05 mol/L", 1000, 5.30),
        ("(NH4)2Fe(SO4)2·6H2O", "", "0.1 mol/L", 1000, 39.21),
        ("CuSO4·5H2O", "CuSO4", "0.1 mol/L", 1000, 24.97),
        # Harvey, Analytical Chemistry 2.1, chapter 2: 500 mL of 0.20 mol/L sodium hydroxide (from memory)
        ("NaOH", "", "0.20 mol/L", 500, 4.0),
    ],
)
def test_textbook_weighings(formula, active, strength, volume_ml, grams):
    made = make_from_solid(
        "it",
        Solid("solid", formula, active=active),
        parse_strength(strength),
        volume_ml * 1000,
        solubility_g_l=1000,
        round_up=False,
    )
    assert made.takes[0].exact / LITRE == pytest.approx(grams, rel=0.006)


@pytest.mark.parametrize(
    ("formula", "grams", "litres", "mol_l"),
    [
        # OpenStax 3.3, exercises with printed answers
        ("H3PO4", 98.0, 1.00, 1.00),
        ("HCl", 18, 0.075, 6.6),
        ("C27H46O", 0.195, 0.100, 5.04e-3),
        ("NH3", 4.25, 0.500, 0.499),
        ("C3H7OH", 1490, 2.50, 9.92),
        ("I2", 0.029, 0.100, 1.1e-3),
    ],
)
def test_molarity_from_grams_in_a_litre(formula, grams, litres, mol_l):
    component = Component("it", formula, molar_mass(formula), Decimal(str(grams / litres)), "g/L")
    medium = Medium(molar_mass=Decimal(str(component.molar_mass)), formula=formula)
    assert float(convert_strength(component.strength, "mol/L", medium).value) == pytest.approx(
        mol_l, rel=0.04
    )


@pytest.mark.parametrize(
    ("strength", "take_ml"),
    # British Pharmacopoeia, "Dilute Ethanols": millilitres of ethanol (96 per cent) made up to 1000 mL (from
    # memory).
    [("90 % v/v", 934), ("80 % v/v", 831), ("70 % v/v", 727), ("50 % v/v", 519), ("20 % v/v", 207)],
)
def test_dilute_ethanols(strength, take_ml):
    stock = Stock("ethanol 96 %", "C2H5OH", parse_strength("96 % v/v"))
    made = dilute("dilute ethanol", stock, parse_strength(strength), LITRE)
    assert made.takes[0].exact / 1000 == pytest.approx(take_ml, rel=0.008)


def test_ethanol_and_water_shrink_when_mixed():
    # OIML R 22 densities: 70 % v/v at 20 °C is 0.8856 g/mL, so a litre holds 885.6 - 552.5 = 333 g of water
    # (from memory).
    stock = Stock("ethanol 96 %", "C2H5OH", parse_strength("96 % v/v"))
    made = dilute("dilute ethanol", stock, parse_strength("70 % v/v"), LITRE)
    assert float(made.water_g) == pytest.approx(333, abs=2)


def test_physiological_saline():
    # European Pharmacopoeia: sodium chloride 9 g/L, 154 mmol/L (from memory).
    saline = convert_strength(Strength(Decimal("0.9"), "% w/v"), "mol/L", Medium(formula="NaCl"))
    assert float(saline.value) == pytest.approx(0.154, abs=0.0005)
