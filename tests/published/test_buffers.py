"""pH of standard buffers and of plain solutions against published values.

NIST: pH standards of the National Institute of Standards and Technology (R. G. Bates, Determination of pH,
2nd ed., 1973, table 4-2; also in the CRC Handbook of Chemistry and Physics), from memory. Compositions in mol
per kilogram of water.
"""

import pytest

from stockroom.chemistry.aqueous import Addition, Substance, follow


def ph_of(*parts, temperature=25.0):
    substances = tuple(Substance(name, formula, "", mol) for formula, mol, name in parts)
    return follow([Addition("buffer", substances, 1000.0, 1000.0, temperature)])[0].ph


TARTRATE = (("KHC4H4O6", 0.05, ""),)
PHTHALATE = (("KHC8H4O4", 0.05, ""),)
CITRATE = (("C6H8O7", 0.05, "citric acid"), ("KOH", 0.05, ""))
PHOSPHATE = (("KH2PO4", 0.025, ""), ("Na2HPO4", 0.025, ""))
BLOOD = (("KH2PO4", 0.008695, ""), ("Na2HPO4", 0.03043, ""))
BORAX = (("Na2B4O7·10H2O", 0.01, ""),)
CARBONATE = (("NaHCO3", 0.025, ""), ("Na2CO3", 0.025, ""))


@pytest.mark.parametrize(
    ("parts", "temperature", "ph"),
    [
        (TARTRATE, 25, 3.557),  # saturated at 25 °C
        (CITRATE, 25, 3.776),
        (PHTHALATE, 25, 4.006),
        (PHTHALATE, 10, 3.998),
        (PHTHALATE, 40, 4.035),
        (PHOSPHATE, 25, 6.865),
        (PHOSPHATE, 10, 6.923),
        (PHOSPHATE, 40, 6.838),
        (BLOOD, 25, 7.413),
        (BLOOD, 40, 7.380),
        (BORAX, 25, 9.180),
        (BORAX, 10, 9.332),
        (BORAX, 40, 9.068),
        (CARBONATE, 25, 10.012),
        (CARBONATE, 10, 10.179),
        (CARBONATE, 40, 9.889),
    ],
)
def test_nist_standard_buffers(parts, temperature, ph):
    assert ph_of(*parts, temperature=temperature) == pytest.approx(ph, abs=0.05)


def test_saturated_lime_water():
    """NIST: calcium hydroxide saturated at 25 °C, pH 12.454."""
    assert ph_of(("Ca(OH)2", 0.05, "")) == pytest.approx(12.454, abs=0.05)


@pytest.mark.parametrize(
    ("acid", "base", "pka", "tolerance"),
    [
        # CRC Handbook of Chemistry and Physics, 97th ed., dissociation constants, section 5 (from memory).
        # Half neutralised at 0.02 mol/kg each: the activity of the ion (Davies, I = 0.02) lowers or raises
        # the pH by 0.06 for a singly charged one, hence the tolerance.
        (("CH3COOH", "acetic acid"), ("CH3COONa", ""), 4.756, 0.1),
        (("HCOOH", "formic acid"), ("HCOONa", ""), 3.75, 0.1),
        (("C3H6O2", "propanoic acid"), ("C2H5COONa", ""), 4.87, 0.1),
        (("C4H8O2", "butanoic acid"), ("C3H7COONa", ""), 4.83, 0.1),
        (("C7H6O2", "benzoic acid"), ("C6H5COONa", ""), 4.204, 0.1),
        (("NH4Cl", ""), ("NH3", ""), 9.25, 0.1),
        (("H3BO3", ""), ("NaBO2", ""), 9.27, 0.1),
        (("CH3NH2", ""), ("HCl", ""), 10.66, 0.15),
    ],
)
def test_half_neutralised_stands_near_the_pka(acid, base, pka, tolerance):
    amounts = (0.02, 0.02) if acid[0] != "CH3NH2" else (0.04, 0.02)
    ph = ph_of((acid[0], amounts[0], acid[1]), (base[0], amounts[1], base[1]))
    assert ph == pytest.approx(pka, abs=tolerance)


@pytest.mark.parametrize(
    ("parts", "ph"),
    [
        # Worked examples and end-of-chapter tables found alike in general chemistry textbooks (Zumdahl,
        # Chemistry, 9th ed., ch. 14; Petrucci, General Chemistry, 10th ed., ch. 16), from memory. They leave
        # activities out, which is worth up to 0.1.
        ((("CH3COOH", 1.0, "acetic acid"),), 2.37),
        ((("CH3COOH", 0.1, "acetic acid"),), 2.88),
        ((("HCl", 0.1, ""),), 1.00),
        ((("HCl", 0.01, ""),), 2.00),
        ((("NaOH", 0.01, ""),), 12.00),
        ((("NH3", 0.1, ""),), 11.13),
        ((("NH4Cl", 0.1, ""),), 5.13),
        ((("CH3COONa", 0.1, ""),), 8.88),
        ((("CH3NH2", 0.1, ""),), 11.8),
        ((("H3PO4", 0.1, ""),), 1.63),
        ((("H2SO4", 0.01, ""),), 1.84),
    ],
)
def test_textbook_solutions(parts, ph):
    assert ph_of(*parts) == pytest.approx(ph, abs=0.12)


@pytest.mark.parametrize(("formula", "ph"), [("NaHCO3", 8.3), ("Na2CO3", 11.65)])
def test_textbook_carbonates(formula, ph):
    """The same books; with a doubly charged ion, leaving activities out is worth up to 0.3 at 0.1 mol/L."""
    assert ph_of((formula, 0.1, "")) == pytest.approx(ph, abs=0.3)


def test_neutral_water_at_other_temperatures():
    """CRC Handbook, "Ion Product of Water": pKw 14.734 at 5 °C, 13.995 at 25 °C, 13.262 at 50 °C."""
    for temperature, pkw in ((5, 14.734), (25, 13.995), (50, 13.262)):
        assert 2 * ph_of(("NaCl", 1e-6, ""), temperature=temperature) == pytest.approx(pkw, abs=0.03)


def test_water_with_carbon_dioxide():
    """Stumm and Morgan, Aquatic Chemistry, 3rd ed., ch. 4 (from memory): water under 1 atm of CO2 stands at
    pH 3.9 and holds 0.034 mol/L at 25 °C."""
    state = follow([Addition("soda", (Substance("", "CO2", "", 0.1),), 1000.0, 1000.0, 25.0)])[0]
    assert state.ph == pytest.approx(3.9, abs=0.05)
    assert 0.1 - state.gas[0].mol == pytest.approx(0.034, abs=0.001)
