"""What comes, goes and changes its color as more is poured in: amphoteric hydroxides, ammines, complexes.

Vogel's Qualitative Inorganic Analysis, 7th ed., reactions of the cations (from memory); the colors are common
practice, no source.
"""

import pytest

from demos.simulation.outcome import _tint
from stockroom.chemistry.aqueous import Addition, Substance, follow


def pour(formula, mol, water=50.0, cas=""):
    return Addition(formula, (Substance("", formula, cas, mol),), water, water, 25.0)


def lying(state):
    return [solid.formula for solid in state.solids if solid.mol > 1e-6]


@pytest.mark.parametrize(
    ("salt", "hydroxide", "mol_of_base"),
    [
        ("AlCl3", "Al(OH)3", 3),
        ("Zn(NO3)2", "Zn(OH)2", 2),
        ("CrCl3", "Cr(OH)3", 3),
        ("Pb(NO3)2", "Pb(OH)2", 2),
        ("SnCl2", "Sn(OH)2", 2),
    ],
)
def test_an_amphoteric_hydroxide_falls_out_dissolves_in_alkali_and_comes_back(salt, hydroxide, mol_of_base):
    mol = 0.002
    steps = [pour(salt, mol), pour("NaOH", mol_of_base * mol), pour("NaOH", 0.2), pour("HNO3", 0.2)]
    states = follow(steps)
    # tin(II) chloride is cloudy in water from the beginning
    assert hydroxide not in lying(states[0]) or salt == "SnCl2"
    assert hydroxide in lying(states[1])
    assert hydroxide not in lying(states[2])
    assert hydroxide in lying(states[3])


@pytest.mark.parametrize(
    ("salt", "hydroxide"),
    [
        ("MgCl2", "Mg(OH)2"),
        ("FeCl3", "Fe(OH)3"),
        ("MnCl2", "Mn(OH)2"),
        ("NiCl2", "Ni(OH)2"),
        ("Cd(NO3)2", "Cd(OH)2"),
        ("Bi(NO3)3", "Bi(OH)3"),
    ],
)
def test_other_hydroxides_stay_in_alkali(salt, hydroxide):
    states = follow([pour(salt, 0.002), pour("NaOH", 0.006), pour("NaOH", 0.1)])
    assert hydroxide in lying(states[1])
    assert hydroxide in lying(states[2])


@pytest.mark.parametrize(
    ("salt", "solid", "ammonia"),
    [
        ("CuSO4", "Cu(OH)2", 0.1),
        ("Ni(NO3)2", "Ni(OH)2", 0.2),
        ("Zn(NO3)2", "Zn(OH)2", 0.1),
        ("AgNO3", "Ag2O", 0.02),
        ("Cd(NO3)2", "Cd(OH)2", 0.3),
    ],
)
def test_ammonia_makes_the_hydroxide_and_takes_it_up(salt, solid, ammonia):
    few = 0.0008 if salt == "AgNO3" else 0.003
    base = "NaOH" if salt == "AgNO3" else "NH3"
    states = follow([pour(salt, 0.002), pour(base, few), pour("NH3", ammonia)])
    assert solid in lying(states[1])
    assert not lying(states[2])


@pytest.mark.parametrize(
    ("salt", "solid"), [("AlCl3", "Al(OH)3"), ("FeCl3", "Fe(OH)3"), ("Pb(NO3)2", "Pb"), ("Bi(NO3)3", "Bi")]
)
def test_ammonia_takes_up_no_others(salt, solid):
    assert any(solid in formula for formula in lying(follow([pour(salt, 0.002), pour("NH3", 0.1)])[-1]))


@pytest.mark.parametrize(
    ("parts", "color"),
    [
        ("CuSO4 0.05; NH3 1", "deep blue"),
        ("NiSO4 0.05; NH3 2", "violet-blue"),
        ("CoCl2 0.05", "pink"),
        ("CoCl2 0.05; HCl 8", "deep blue"),
        ("CuCl2 0.1; HCl 6", "yellow-green"),
        ("FeCl3 0.05; HCl 2", "deep yellow"),
        ("FeCl3 0.005; KSCN 0.01", "blood red"),
        ("K2CrO4 0.05", "yellow"),
        ("K2CrO4 0.05; HCl 0.2", "orange"),
        ("K2Cr2O7 0.05", "orange"),
        ("K2Cr2O7 0.05; NaOH 0.2", "yellow"),
        ("CrCl3 0.02; NaOH 1", "dark green"),
        ("CuSO4 0.05; KNaC4H4O6 0.3; NaOH 0.5", "deep blue"),
        ("CuSO4 0.05; Na3C6H5O7 0.2; Na2CO3 0.3", "blue"),
        ("I2 0.005; KI 0.1", "brown"),
    ],
)
def test_the_color_follows_from_what_is_there(parts, color):
    substances = (text.split() for text in parts.split(";"))
    poured = tuple(Substance("", formula, "", float(mol)) for formula, mol in substances)
    state = follow([Addition("mixture", poured, 1000.0, 1000.0, 25.0)])[0]
    assert list(_tint(state).values()) == [color]


def test_borax_and_boric_acid_are_told_as_they_are():
    """NIST: 0.01 mol/kg borax, pH 9.18, is half boric acid and half borate, four of boron in each borax."""
    borax = {d.formula: d.mol for d in follow([pour("Na2B4O7", 0.01, 1000.0)])[0].dissolved}
    assert borax["H3BO3"] + borax["B(OH)4-"] == pytest.approx(0.04, rel=1e-6)
    assert borax["B(OH)4-"] == pytest.approx(0.02, rel=0.1)
    acid = {d.formula: d.mol for d in follow([pour("H3BO3", 0.1, 1000.0)])[0].dissolved}
    assert acid["H3BO3"] == pytest.approx(0.1, rel=1e-3)


def test_dichromate_counts_as_itself():
    state = follow([pour("K2Cr2O7", 0.1, 1000.0)])[0]
    found = {d.formula: d.mol for d in state.dissolved}
    assert found["Cr2O7-2"] > 0.05
    assert 2 * found["Cr2O7-2"] + found["CrO4-2"] == pytest.approx(0.2, rel=1e-6)
