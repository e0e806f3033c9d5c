"""Balanced equations against the `chemicals` library, and against the textbooks where charge matters."""

from fractions import Fraction

import pytest
from chemicals.elements import simple_formula_parser
from chemicals.reaction import balance_stoichiometry, stoichiometric_matrix

from stockroom.chemistry.reaction import balance, imbalance, parse_equation

# Equations without charges: the library balances atoms only.
NEUTRAL = [
    "H2 + O2 -> H2O",
    "CH4 + O2 -> CO2 + H2O",
    "C3H8 + O2 -> CO2 + H2O",
    "C6H12O6 + O2 -> CO2 + H2O",
    "Fe + O2 -> Fe2O3",
    "Fe2O3 + CO -> Fe + CO2",
    "Al + Fe2O3 -> Al2O3 + Fe",
    "KClO3 -> KCl + O2",
    "H2O2 -> H2O + O2",
    "NH3 + O2 -> NO + H2O",
    "Na + H2O -> NaOH + H2",
    "Al + HCl -> AlCl3 + H2",
    "CaC2 + H2O -> CaO2H2 + C2H2",
    "Cu + HNO3 -> CuN2O6 + NO + H2O",
    "Cu + HNO3 -> CuN2O6 + NO2 + H2O",
    "KMnO4 + HCl -> KCl + MnCl2 + H2O + Cl2",
    "K2Cr2O7 + HCl -> KCl + CrCl3 + H2O + Cl2",
    "N2H8Cr2O7 -> N2 + H2O + Cr2O3",
    "P4 + O2 -> P4O10",
    "C8H18 + O2 -> CO2 + H2O",
    "FeS2 + O2 -> Fe2O3 + SO2",
    "NaHCO3 -> Na2CO3 + CO2 + H2O",
]


@pytest.mark.parametrize("text", NEUTRAL)
def test_the_library_balances_it_alike(text):
    left, right = (side.split(" + ") for side in text.split(" -> "))
    matrix = stoichiometric_matrix(
        [simple_formula_parser(formula) for formula in left + right],
        [True] * len(left) + [False] * len(right),
    )
    theirs = balance_stoichiometry(matrix)
    ours = balance(parse_equation(text))
    terms = (*ours.reactants, *ours.products)
    assert [int(term.coefficient) for term in terms] == [int(n) for n in theirs]


@pytest.mark.parametrize(
    "text",
    [
        # Half equations and ionic equations of the redox chapter, Zumdahl, Chemistry, 9th ed., ch. 18, and of
        # the table of standard potentials (from memory).
        "MnO4- + 8 H+ + 5 e- -> Mn2+ + 4 H2O",
        "Cr2O7^2- + 14 H+ + 6 e- -> 2 Cr3+ + 7 H2O",
        "2 H2O + 2 e- -> H2 + 2 OH-",
        "MnO4- + 8 H+ + 5 Fe2+ -> Mn2+ + 5 Fe3+ + 4 H2O",
        "2 MnO4- + 5 H2C2O4 + 6 H+ -> 2 Mn2+ + 10 CO2 + 8 H2O",
        "2 S2O3^2- + I2 -> S4O6^2- + 2 I-",
        "IO3- + 5 I- + 6 H+ -> 3 I2 + 3 H2O",
        "Cu + 2 Ag+ -> Cu^2+ + 2 Ag",
        "3 Cu + 8 H+ + 2 NO3- -> 3 Cu^2+ + 2 NO + 4 H2O",
        "2 Cu^2+ + 4 I- -> 2 CuI + I2",
    ],
)
def test_ionic_equations_come_out_as_printed(text):
    printed = parse_equation(text)
    assert not imbalance(printed)
    bare = parse_equation(text)
    found = balance(bare)
    assert [t.coefficient for t in (*found.reactants, *found.products)] == [
        Fraction(t.coefficient) for t in (*printed.reactants, *printed.products)
    ]
