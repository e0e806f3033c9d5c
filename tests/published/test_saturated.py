"""Saturated solutions at two temperatures, against tabled solubilities.

CRC Handbook of Chemistry and Physics, 98th ed., "Aqueous Solubility of Inorganic Compounds at Various
Temperatures", in per cent by weight. The constants were set from that table at 0, 20, 40 and 60 °C (of some
hydrates at fewer); held against here are the temperatures between, and the hydrates' own water.
"""

import pytest

from stockroom.chemistry.aqueous import Addition, Substance, follow
from stockroom.chemistry.formula import molar_mass, parse_formula

# formula without water, solid that lies there, {°C: per cent by weight}
_TABLE = [
    ("BaCl2", "BaCl2*2H2O", {10: 24.88, 30: 27.7}),
    ("Ba(NO3)2", "Ba(NO3)2", {10: 6.3, 30: 10.2}),
    ("CaCl2", "CaCl2*6H2O", {0: 36.7, 20: 42.13}),
    ("CoCl2", "CoCl2*6H2O", {10: 32.6, 30: 37.1}),
    ("CoSO4", "CoSO4*7H2O", {10: 23.0, 30: 29.2}),
    ("CuCl2", "CuCl2*2H2O", {10: 41.7, 30: 43.7}),
    ("CuSO4", "CuSO4*5H2O", {10: 14.4, 30: 19.3}),
    ("FeSO4", "FeSO4*7H2O", {10: 17.0, 30: 24.8}),
    ("H3BO3", "H3BO3", {10: 3.57, 30: 6.27}),
    ("HgCl2", "HgCl2", {10: 5.05, 30: 7.62}),
    ("KBr", "KBr", {10: 37.3, 30: 41.4}),
    ("KBrO3", "KBrO3", {10: 4.48, 30: 8.79}),
    ("KCl", "KCl", {10: 23.61, 30: 27.04}),
    ("KClO3", "KClO3", {10: 4.67, 30: 9.21}),
    ("KClO4", "KClO4", {10: 1.1, 30: 2.47}),
    ("KHCO3", "KHCO3", {10: 21.73, 30: 28.13}),
    ("KH2PO4", "KH2PO4", {10: 14.91, 30: 21.77}),
    ("KI", "KI", {10: 57.6, 30: 60.4}),
    ("KIO3", "KIO3", {10: 5.96, 30: 9.34}),
    ("KMnO4", "KMnO4", {10: 4.12, 30: 8.28}),
    ("KNO3", "KNO3", {10: 17.6, 30: 31.3}),
    ("K2CO3", "K2CO3*1.5H2O", {10: 51.7, 30: 53.1}),
    ("K2CrO4", "K2CrO4", {10: 38.1, 30: 39.8}),
    ("K2Cr2O7", "K2Cr2O7", {10: 7.12, 30: 15.5}),
    ("K2SO4", "K2SO4", {10: 8.46, 30: 11.4}),
    ("K3Fe(CN)6", "K3Fe(CN)6", {10: 27.6, 30: 34.3}),
    ("K4Fe(CN)6", "K4Fe(CN)6*3H2O", {10: 17.3, 30: 25.6}),
    ("Li2CO3", "Li2CO3", {10: 1.43, 30: 1.24}),
    ("Li2SO4", "Li2SO4*H2O", {10: 25.9, 30: 25.3}),
    ("MgCl2", "MgCl2*6H2O", {10: 34.85, 30: 36.2}),
    ("MgSO4", "MgSO4*7H2O", {10: 21.7, 30: 28.2}),
    ("MnCl2", "MnCl2*4H2O", {10: 40.6, 30: 44.7}),
    ("NH4Br", "NH4Br", {10: 40.2, 30: 45.1}),
    ("NH4Cl", "NH4Cl", {10: 25.12, 30: 29.39}),
    ("NH4ClO4", "NH4ClO4", {10: 14.1, 30: 21.7}),
    ("NH4H2PO4", "NH4H2PO4", {10: 22.0, 30: 31.2}),
    ("(NH4)2C2O4", "(NH4)2C2O4*H2O", {10: 3.11, 30: 5.73}),
    ("(NH4)2SO4", "(NH4)2SO4", {10: 42.1, 30: 43.8}),
    ("NaBrO3", "NaBrO3", {10: 23.22, 30: 29.86}),
    ("NaC2H3O2", "CH3COONa*3H2O", {10: 28.8, 30: 35.5}),
    ("NaCl", "NaCl", {10: 26.32, 30: 26.52}),
    ("NaClO3", "NaClO3", {10: 46.67, 30: 51.2}),
    ("NaF", "NaF", {10: 3.72, 30: 4.05}),
    ("NaHCO3", "NaHCO3", {10: 7.59, 30: 9.91}),
    ("NaNO3", "NaNO3", {10: 44.4, 30: 48.8}),
    ("Na2B4O7", "Na2B4O7*10H2O", {10: 1.71, 30: 3.82}),
    ("Na2CO3", "Na2CO3*10H2O", {10: 10.8, 25: 23.5}),
    ("Na2C2O4", "Na2C2O4", {10: 2.95, 30: 3.65}),
    ("Na2HPO4", "Na2HPO4*12H2O", {10: 4.19, 25: 10.55}),
    ("Na2S2O3", "Na2S2O3*5H2O", {10: 36.3, 30: 45.9}),
    ("Na2SO4", "Na2SO4*10H2O", {25: 21.94, 30: 29.22}),
    ("Na3PO4", "Na3PO4*12H2O", {10: 7.3, 30: 14.1}),
    ("NiSO4", "NiSO4*7H2O", {10: 24.4, 25: 28.8}),
    ("Pb(NO3)2", "Pb(NO3)2", {10: 32.13, 30: 39.05}),
    ("SrCl2", "SrCl2*6H2O", {10: 32.93, 30: 36.43}),
    ("ZnSO4", "ZnSO4*7H2O", {10: 32.0, 25: 36.6}),
]


@pytest.mark.parametrize(("formula", "solid", "percent"), _TABLE, ids=[row[0] for row in _TABLE])
def test_what_water_holds(formula, solid, percent):
    for celsius, tabled in percent.items():
        grams = 1000 * tabled / (100 - tabled)
        waters = float(parse_formula(solid).water)
        # Half as much again as dissolves, a hydrate with its own water, so that it lies undissolved.
        mol = grams / molar_mass(formula)
        poured = Substance("", formula, "", 1.5 * mol)
        water = 1000 + 0.5 * mol * waters * 18.015
        state = follow([Addition("salt", (poured,), water, water, float(celsius))])[0]
        left = state.solid(solid)
        assert left > 0, state.solids
        held = 1000 * (1.5 * mol - left) / (water - left * waters * 18.015) * molar_mass(formula)
        assert held == pytest.approx(grams, rel=0.08), celsius
