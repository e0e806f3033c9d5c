"""What dissolves, against tables.

CRC: CRC Handbook of Chemistry and Physics, 97th ed., sections 4 and 5, "Physical Constants of Inorganic
Compounds" (solubility in g per 100 g of water) and "Solubility Product Constants at 25 °C", from memory. The
engine's constants come from another compilation (NIST 46 by way of MINTEQ), hence tens of per cent.
Barium hydroxide's constant was set from this same solubility: its line checks that it is kept. Salts that
dissolve well are in test_saturated.py, the solubility rules in test_solubility_chart.py.
"""

from math import log10

import pytest

from stockroom.chemistry.aqueous import Addition, Substance, follow, settle
from stockroom.chemistry.formula import molar_mass


def dissolved(formula, ion, temperature=25.0, amount=0.5, extra=()):
    """mol/kg of `ion` over the undissolved solid."""
    parts = (Substance("", formula, "", amount), *(Substance("", f, "", m) for f, m in extra))
    state = follow([Addition("solid", parts, 1000.0, 1000.0, temperature)])[0]
    assert state.solids, f"{formula} dissolved wholly"
    return sum(part.mol for part in state.dissolved if part.formula == ion), state


@pytest.mark.parametrize(
    ("formula", "ion", "grams_per_100g", "temperature", "within"),
    [
        ("Ca(OH)2", "Ca+2", 0.160, 20, 0.15),
        ("Ba(OH)2", "Ba+2", 4.91, 25, 0.15),
        ("PbCl2", "Pb+2", 1.08, 25, 0.15),
        ("PbBr2", "Pb+2", 0.975, 25, 0.3),
        ("PbI2", "Pb+2", 0.076, 25, 0.15),
        ("PbF2", "Pb+2", 0.067, 25, 0.35),
        ("AgCl", "Ag+", 0.00019, 25, 0.15),
        ("AgBr", "Ag+", 0.000014, 25, 0.15),
        ("BaSO4", "Ba+2", 0.00031, 20, 0.35),
        ("SrSO4", "Sr+2", 0.0135, 25, 0.15),
        ("CaSO4·2H2O", "Ca+2", 0.205 * 172.17 / 136.14, 25, 0.2),
        ("PbSO4", "Pb+2", 0.0044, 25, 0.2),
        ("Ag2SO4", "half Ag+", 0.84, 25, 0.2),
        ("CaF2", "Ca+2", 0.0016, 25, 0.15),
    ],
)
def test_solubility_in_water(formula, ion, grams_per_100g, temperature, within):
    mol, _ = dissolved(formula, ion.removeprefix("half "), temperature)
    if ion.startswith("half"):
        mol /= 2
    assert mol * molar_mass(formula) / 10 == pytest.approx(grams_per_100g, rel=within)


@pytest.mark.parametrize(
    ("formula", "ion", "product", "power"),
    [
        # CRC solubility products, pKsp: from Ksp = 4 s³ or s² with activities the tables leave out.
        ("Mg(OH)2", "Mg+2", 11.25, 3),
        ("AgI", "Ag+", 16.07, 2),
        ("AgBr", "Ag+", 12.27, 2),
        ("AgCl", "Ag+", 9.75, 2),
    ],
)
def test_solubility_products(formula, ion, product, power):
    """s from the tabled product, against what dissolves; within a quarter of a power of ten in s."""
    tabled = (-product - (log10(4) if power == 3 else 0)) / power
    assert log10(dissolved(formula, ion)[0]) == pytest.approx(tabled, abs=0.25)


def test_saturated_magnesium_hydroxide():
    """Common practice, no source: a saturated suspension holds about 0.01 g/L and stands near pH 10."""
    mol, state = dissolved("Mg(OH)2", "Mg+2", 20)
    assert 0.004 < mol * molar_mass("Mg(OH)2") < 0.02
    assert state.ph == pytest.approx(10.4, abs=0.4)


def test_excess_of_dilute_acid_takes_it_all():
    """Common practice, no source: with an excess of dilute acid the suspension clears and falls to pH 3-4 or
    below."""
    suspension = Addition("suspension", (Substance("", "Mg(OH)2", "", 0.002),), 100.0, 100.0)
    acid = Addition("acid", (Substance("", "HCl", "", 0.0015),), 15.0, 15.0)
    states = follow([suspension, acid, acid, acid])
    assert states[1].ph > 8.5
    assert states[-1].solids == ()
    assert states[-1].ph < 3.5


def test_a_common_ion_holds_it_back():
    """Zumdahl, Chemistry, 9th ed., ch. 16, worked example (from memory): calcium fluoride in 0.025 mol/L
    sodium fluoride dissolves to 6.4e-8 mol/L; leaving activities out is worth a factor of four here."""
    mol, _ = dissolved("CaF2", "Ca+2", extra=(("NaF", 0.025),))
    assert 6.4e-8 / 4 < mol < 6.4e-8 * 4


def test_ammonia_takes_up_silver_chloride_but_not_silver_iodide():
    """Vogel's Qualitative Inorganic Analysis, 7th ed., tests for silver ions (from memory)."""
    for halide, clears in (("NaCl", True), ("KI", False)):
        parts = tuple(Substance("", f, "", m) for f, m in (("AgNO3", 0.01), (halide, 0.01), ("NH3", 2.0)))
        state = follow([Addition("test", parts, 1000.0, 1000.0, 25.0)])[0]
        assert (state.solids == ()) is clears


def test_thiosulfate_takes_up_silver_bromide():
    """The fixing bath: Harris, Quantitative Chemical Analysis, 8th ed. (from memory)."""
    parts = tuple(Substance("", f, "", m) for f, m in (("AgNO3", 0.01), ("KBr", 0.01), ("Na2S2O3", 0.5)))
    assert follow([Addition("fix", parts, 1000.0, 1000.0, 25.0)])[0].solids == ()


def test_a_warm_solution_rains_crystals_when_it_cools():
    """65 g of potassium nitrate in 100 g of water: clear at 65 °C, all but 31.6 g of it crystals at 20 °C."""
    salt = Addition("salt", (Substance("", "KNO3", "", 65 / molar_mass("KNO3")),), 100.0, 100.0, 65.0)
    warm = follow([salt])[0]
    assert not warm.solids
    cold = settle(warm.contents.brought_to(20.0))
    assert cold.solid("KNO3") * molar_mass("KNO3") == pytest.approx(65 - 31.6, rel=0.05)
