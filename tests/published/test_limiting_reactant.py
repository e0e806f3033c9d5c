"""Limiting reactants, yields, gas volumes and heats of textbook exercises.

Zumdahl: S. S. Zumdahl and S. A. Zumdahl, Chemistry, 9th ed.; Petrucci: General Chemistry, 10th ed.; Chang:
Chemistry, 10th ed. All from memory.
"""

import pytest
from chemicals.reaction import Hfg, Hfl, Hfs

from stockroom.chemistry.aqueous import gas_volume_ml
from stockroom.chemistry.formula import molar_mass
from stockroom.chemistry.reaction import (
    enthalpy_kj,
    formation_kj,
    parse_equation,
    parse_formula,
    react,
    temperature_rise,
)


def run(text, grams, celsius=20.0):
    amounts = {formula: mass / molar_mass(formula) for formula, mass in grams.items()}
    return react(parse_equation(text), amounts, celsius)


def mass(outcome, key):
    return next(product.mass_g for product in outcome.products if product.key == key)


@pytest.mark.parametrize(
    ("text", "grams", "limiting", "product", "expected"),
    [
        # Zumdahl ch. 3: 25.0 kg nitrogen and 5.00 kg hydrogen make 28.2 kg ammonia (here in grams).
        ("N2 + 3 H2 -> 2 NH3", {"N2": 25.0, "H2": 5.00}, "H2", "NH3", 28.2),
        # Zumdahl ch. 3: 18.1 g ammonia over 90.4 g copper(II) oxide give 10.6 g nitrogen, the oxide limits.
        ("2 NH3 + 3 CuO -> N2 + 3 Cu + 3 H2O", {"NH3": 18.1, "CuO": 90.4}, "CuO", "N2", 10.6),
        # Chang ch. 3: 637.2 g ammonia and 1142 g carbon dioxide make 1124 g urea, ammonia limits.
        ("2 NH3 + CO2 -> CO(NH2)2 + H2O", {"NH3": 637.2, "CO2": 1142}, "NH3", "CO(NH2)2", 1124),
        # Chang ch. 3: 124 g aluminium and 601 g iron(III) oxide make 234 g aluminium oxide.
        ("2 Al + Fe2O3 -> Al2O3 + 2 Fe", {"Al": 124, "Fe2O3": 601}, "Al", "Al2O3", 234),
        # Petrucci ch. 4: 215 g phosphorus and 725 g chlorine make 936 g phosphorus trichloride.
        ("P4 + 6 Cl2 -> 4 PCl3", {"P4": 215, "Cl2": 725}, "Cl2", "PCl3", 936),
        # Chang ch. 3: 3.54e7 g titanium(IV) chloride and 1.13e7 g magnesium make 8.93e6 g titanium.
        ("TiCl4 + 2 Mg -> Ti + 2 MgCl2", {"TiCl4": 3.54e1, "Mg": 1.13e1}, "TiCl4", "Ti", 8.93),
    ],
)
def test_limiting_reactants(text, grams, limiting, product, expected):
    outcome = run(text, grams)
    assert outcome.limiting == (limiting,)
    assert mass(outcome, product) == pytest.approx(expected, rel=0.006)


@pytest.mark.parametrize(
    ("text", "grams", "celsius", "litres"),
    [
        # Zumdahl ch. 5: 152 g calcium carbonate give 34.1 L carbon dioxide at 0 °C and 1 atm.
        ("CaCO3 -> CaO + CO2(g)", {"CaCO3": 152}, 0, 34.1),
        # Petrucci ch. 6: 70.0 g sodium azide at 26 °C and 735 mmHg give 41.1 L nitrogen.
        ("2 NaN3 -> 2 Na + 3 N2(g)", {"NaN3": 70.0}, 26, 41.1 * 735 / 760),
    ],
)
def test_gas_volumes(text, grams, celsius, litres):
    assert run(text, grams, celsius).gas_ml / 1000 == pytest.approx(litres, rel=0.01)


def test_molar_volumes():
    """22.414 L at 0 °C, 24.055 L at 20 °C, 24.465 L at 25 °C, all at 101.325 kPa: from CODATA's R."""
    for celsius, litres in ((0, 22.414), (20, 24.055), (25, 24.465)):
        assert gas_volume_ml(1.0, celsius) / 1000 == pytest.approx(litres, abs=0.002)


@pytest.mark.parametrize(
    ("text", "kilojoules"),
    [
        # Enthalpies of reaction as the textbooks print them: Zumdahl ch. 6, Petrucci ch. 7, Chang ch. 6.
        ("H+(aq) + OH-(aq) -> H2O(l)", -55.8),
        ("HCl(aq) + NaOH(aq) -> NaCl(aq) + H2O(l)", -55.8),
        ("2 Al(s) + Fe2O3(s) -> Al2O3(s) + 2 Fe(s)", -851.5),
        ("CH4(g) + 2 O2(g) -> CO2(g) + 2 H2O(l)", -890.4),
        ("C3H8(g) + 5 O2(g) -> 3 CO2(g) + 4 H2O(l)", -2220),
        ("C6H12O6(s) + 6 O2(g) -> 6 CO2(g) + 6 H2O(l)", -2803),
        ("2 H2O2(l) -> 2 H2O(l) + O2(g)", -196.1),
        ("CaCO3(s) -> CaO(s) + CO2(g)", 178.7),
        ("CaO(s) + H2O(l) -> Ca(OH)2(s)", -64.5),
        ("Zn(s) + CuSO4(aq) -> ZnSO4(aq) + Cu(s)", -218.3),
        ("NH4NO3(s) -> NH4NO3(aq)", 25.7),
        ("NaOH(s) -> NaOH(aq)", -44.5),
        ("KCl(s) -> KCl(aq)", 17.2),
        ("Ag+(aq) + Cl-(aq) -> AgCl(s)", -65.5),
        ("Mg(s) + 2 HCl(aq) -> MgCl2(aq) + H2(g)", -466.9),
    ],
)
def test_heats_of_reaction(text, kilojoules):
    found, missing = enthalpy_kj(parse_equation(text))
    assert missing == ()
    assert found == pytest.approx(kilojoules, rel=0.01, abs=0.6)


@pytest.mark.parametrize(
    ("formula", "cas", "table"),
    [
        ("H2O(l)", "7732-18-5", Hfl),
        ("H2O2(l)", "7722-84-1", Hfl),
        ("C2H6O(l)", "64-17-5", Hfl),
        ("CH4O(l)", "67-56-1", Hfl),
        ("HNO3(l)", "7697-37-2", Hfl),
        ("H2SO4(l)", "7664-93-9", Hfl),
        ("C2H4O2(l)", "64-19-7", Hfl),
        ("CO2(g)", "124-38-9", Hfg),
        ("NH3(g)", "7664-41-7", Hfg),
        ("SO2(g)", "7446-09-5", Hfg),
        ("HCl(g)", "7647-01-0", Hfg),
        ("CH4(g)", "74-82-8", Hfg),
        ("C2H2(g)", "74-86-2", Hfg),
        ("C3H8(g)", "74-98-6", Hfg),
        ("NO2(g)", "10102-44-0", Hfg),
        ("NaCl(s)", "7647-14-5", Hfs),
        ("CaO(s)", "1305-78-8", Hfs),
        ("MgO(s)", "1309-48-4", Hfs),
        ("Al2O3(s)", "1344-28-1", Hfs),
        ("Fe2O3(s)", "1309-37-1", Hfs),
        ("CaCO3(s)", "471-34-1", Hfs),
        ("NaOH(s)", "1310-73-2", Hfs),
        ("CuSO4(s)", "7758-98-7", Hfs),
        ("NaHCO3(s)", "144-55-8", Hfs),
        ("Na2CO3(s)", "497-19-8", Hfs),
        ("NH4NO3(s)", "6484-52-2", Hfs),
        ("KNO3(s)", "7757-79-1", Hfs),
        ("AgCl(s)", "7783-90-6", Hfs),
        ("Mg(OH)2(s)", "1309-42-8", Hfs),
        ("Ca(OH)2(s)", "1305-62-0", Hfs),
    ],
)
def test_enthalpies_of_formation_against_the_library(formula, cas, table):
    """The `chemicals` library tabulates the CRC Handbook and ATcT, in J/mol."""
    theirs = table(cas)
    assert theirs is not None
    assert formation_kj(parse_formula(formula)) == pytest.approx(theirs / 1000, rel=0.01, abs=1.0)


def test_a_coffee_cup_calorimeter():
    """Zumdahl ch. 6: 50.0 mL of 1.0 mol/L hydrochloric acid and as much sodium hydroxide warm from
    25.0 to 31.9 °C."""
    outcome = react(parse_equation("H+(aq) + OH-(aq) -> H2O(l)"), {"H+": 0.05, "OH-": 0.05})
    assert temperature_rise(outcome.heat_kj, 100.0) == pytest.approx(6.9, abs=0.3)
