"""Hazards of gases that come off in demonstrations.

Source: Regulation (EC) No 1272/2008 (CLP), Annex VI, Table 3, harmonised classification (hazard statement
codes); simple asphyxiants: 29 CFR 1910.1200(c). From memory.
"""

import pytest

from stockroom.chemistry.formula import molar_mass
from stockroom.safety.gases import gases
from stockroom.safety.label import HAZARD_CLASSES

HARMONISED = {
    "H2": {"H220"},
    "O2": {"H270"},
    "CO": {"H220", "H331", "H360", "H372"},
    "NH3": {"H221", "H331", "H314", "H400"},
    "Cl2": {"H270", "H330", "H315", "H319", "H335", "H400"},
    "HCl": {"H331", "H314"},
    "SO2": {"H331", "H314"},
    "H2S": {"H220", "H330", "H400"},
    "NO2": {"H270", "H330", "H314"},
    "C2H4": {"H220", "H336"},
}
#: stated for a corrosive in addition, 29 CFR 1910.1200 App. C covers it by H314
COVERED = {"H318"}


@pytest.mark.parametrize(("formula", "codes"), HARMONISED.items())
def test_statements_of_the_harmonised_list(formula, codes):
    found = {code for key in gases()[formula].classes for code in HAZARD_CLASSES[key].h_codes}
    assert found - COVERED == codes


@pytest.mark.parametrize("formula", ["H2", "N2", "CO2", "CH4"])
def test_what_takes_the_place_of_air_says_so(formula):
    assert "simple_asphyxiant" in gases()[formula].classes


def test_every_row_is_a_gas_with_classes_and_a_source():
    assert len(gases()) >= 15
    for gas in gases().values():
        assert molar_mass(gas.formula) < 80 and gas.classes and gas.source
        assert set(gas.classes) <= set(HAZARD_CLASSES)
