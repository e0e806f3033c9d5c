"""Molar masses and registry numbers against published figures.

Masses: CRC Handbook of Chemistry and Physics, 97th ed., "Physical Constants of Inorganic Compounds" and
"Physical Constants of Organic Compounds" (from memory), and the compound table of the `chemicals` library,
which carries PubChem's formula and mass for each CAS number. Check digit rule: CAS, "CAS Registry Number
verified products: check digit" (from memory).
"""

import pytest
from chemicals.identifiers import MW, CAS_from_any, check_CAS, search_chemical

from stockroom.chemistry.formula import FormulaError, check_cas, molar_mass, parse_formula


@pytest.mark.parametrize(
    ("formula", "grams_per_mole"),
    [
        ("H2O", 18.015),
        ("NaCl", 58.443),
        ("NaOH", 39.997),
        ("HCl", 36.461),
        ("H2SO4", 98.079),
        ("HNO3", 63.013),
        ("NH3", 17.031),
        ("CuSO4", 159.609),
        ("CuSO4·5H2O", 249.685),
        ("KMnO4", 158.034),
        ("AgNO3", 169.873),
        ("Na2S2O3·5H2O", 248.184),
        ("Mg(OH)2", 58.320),
        ("CaCO3", 100.087),
        ("KI", 166.003),
        ("Na2CO3·10H2O", 286.142),
        ("KAl(SO4)2·12H2O", 474.388),
        ("CH3COOH", 60.052),
        ("C12H22O11", 342.296),
        ("CoCl2·6H2O", 237.930),
        ("Pb(NO3)2", 331.2),
    ],
)
def test_handbook_molar_masses(formula, grams_per_mole):
    assert molar_mass(formula) == pytest.approx(grams_per_mole, rel=1e-4)


@pytest.mark.parametrize(
    "cas",
    [
        "7732-18-5",
        "64-17-5",
        "64-19-7",
        "7664-93-9",
        "7647-01-0",
        "1310-73-2",
        "7722-64-7",
        "77-09-8",
        "57-50-1",
    ],
)
def test_formula_and_mass_of_the_same_compound_elsewhere(cas):
    compound = search_chemical(cas)
    ours = parse_formula(compound.formula)
    assert ours.molar_mass == pytest.approx(MW(cas), rel=2e-4)
    assert ours.hill == compound.formula


@pytest.mark.parametrize(
    "name", ["water", "ethanol", "acetone", "sodium hydroxide", "potassium permanganate"]
)
def test_check_digits_of_registered_numbers(name):
    number = CAS_from_any(name)
    assert check_CAS(number)
    assert check_cas(number) == number
    wrong = number[:-1] + str((int(number[-1]) + 1) % 10)
    with pytest.raises(FormulaError):
        check_cas(wrong)


def test_worked_check_digit():
    # CAS: for 107-07-3, (1*5 + 0*4 + 7*3 + 0*2 + 7*1) = 33, remainder 3.
    assert check_cas("107-07-3") == "107-07-3"
