"""The runner of beaker cases: what holds, what is wrong, and what is a plain "not known"."""

import pytest

from demos.conformance import HOLDS, UNKNOWN, WRONG, CaseError
from demos.conformance.beaker import hold


def case(additions, **expected):
    return {"water_g": "1000", "additions_mol": additions, "celsius": "25", **expected}


@pytest.mark.parametrize(
    "row, state",
    [
        (case("AgNO3 0.05; NaCl 0.05", solid="AgCl"), HOLDS),
        (case("AgNO3 0.05; NaCl 0.05", solid="none"), WRONG),
        (case("HCl 0.01", ph="2.04±0.05"), HOLDS),
        (case("HCl 0.01", ph="3±0.05"), WRONG),
        (case("Na2CO3 0.1; HCl 0.3", gas="CO2"), HOLDS),
        (case("Na2CO3 0.1; HCl 0.3", gas="SO2"), WRONG),
        (case("CH3COOH@64-19-7 0.1", ph="2.88±0.03", solid="none"), HOLDS),
        (case("KCN 0.1; HCl 0.2", ph="2±0.1"), UNKNOWN),
        (case("KCN 0.1; HCl 0.2", words="unheard of|not"), HOLDS),
    ],
)
def test_case(row, state):
    verdict = hold(row)
    assert verdict.state == state, verdict


@pytest.mark.parametrize("additions", ["NaCl much", "NaCl -1", "Na(Cl 1"])
def test_row_that_cannot_be_read(additions):
    with pytest.raises(CaseError):
        hold(case(additions))
