"""Rates of dissolving against Palandri and Kharaka (USGS Open-File Report 2004-1068), read from the copy of
its tables that ships with PHREEQC, phreeqc_rates.dat."""

import importlib.resources

import pytest

from stockroom.chemistry.kinetics import rates

MINERALS = {"Mg(OH)2": "brucite", "CaCO3": "calcite", "MgCO3": "magnesite"}


def published(mineral):
    table = importlib.resources.files("phreeqc") / "databases" / "phreeqc_rates.dat"
    text = table.read_text(encoding="latin-1")
    block = text[text.index("RATE_PARAMETERS_PK\n") :]
    line = next(line for line in block.splitlines() if line.split()[:1] == [mineral])
    return [float(word) for word in line.split()[1:6]]


@pytest.mark.parametrize("formula", MINERALS)
def test_constants(formula):
    rate = rates()[formula]
    ours = [
        rate.acid_log_k,
        rate.acid_energy_kj,
        rate.acid_order,
        rate.neutral_log_k,
        rate.neutral_energy_kj,
    ]
    assert ours == published(MINERALS[formula])


def test_no_solid_without_a_published_rate():
    assert set(rates()) == set(MINERALS)
