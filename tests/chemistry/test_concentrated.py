"""Which activity model answers, and what is said where none does."""

import pytest

from demos.simulation.outcome import foresee
from stockroom.chemistry import concentrated
from stockroom.chemistry.aqueous import Addition, Substance, follow, to_residue
from tests.simulation.test_outcome import WATER, Step, solid


def beaker(text, celsius=25.0):
    parts = (part.split() for part in text.split(";"))
    substances = tuple(Substance("", formula, "", float(mol)) for formula, mol in parts)
    return follow([Addition("mixture", substances, 1000.0, 1000.0, celsius)])[0]


@pytest.mark.parametrize(
    ("text", "model"),
    [
        ("NaCl 0.1", ""),
        ("Na2CO3 2", "pitzer.dat"),
        ("CaCl2 3", "pitzer.dat"),
        ("K2SO4 0.6", "pitzer.dat"),
        ("HCl 6", "pitzer.dat"),
        ("NaNO3 2", "sit.dat"),
        ("HNO3 2", "sit.dat"),
        ("NH4Cl 2", "sit.dat"),
        ("ZnCl2 0.3", "sit.dat"),
    ],
)
def test_what_is_chosen_by_content(text, model):
    state = beaker(text)
    assert model in state.model
    assert bool(state.model) is bool(model)
    assert state.ph is not None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("NH4NO3 6", "no table of its ions goes beyond"),
        ("HNO3 10", "strongly acidic"),
        ("NaOH 12", "strongly alkaline"),
        ("H2SO4 40", "strongly acidic"),
        ("Sr(SCN)2 0.5", "strontium ion with thiocyanate ion"),
    ],
)
def test_where_none_fits_there_is_no_ph_and_it_is_said(text, words):
    state = beaker(text)
    assert state.ph is None
    assert "above what can be computed" in state.why_no_ph
    assert words in state.why_no_ph


def test_what_is_strongly_acidic_counts_as_acid_without_a_ph():
    assert to_residue(beaker("HNO3 10")).ph == 0.0
    assert to_residue(beaker("NaOH 12")).ph == 14.0
    assert to_residue(beaker("NH4NO3 6")).ph is None


def test_solids_are_told_where_there_is_no_ph():
    state = beaker("KNO3 8", 20.0)
    assert state.solid("KNO3") > 1


def test_the_answer_of_two_models_is_much_the_same_where_both_hold():
    """On both sides of 0.5 mol/kg the answers differ by less than 0.25, most of it sodium with carbonate."""
    for salt in ("NaHCO3", "Na2HPO4", "CH3COONa", "NH4Cl"):
        below, above = (beaker(f"{salt} 0.1; NaCl {mol}") for mol in (0.15, 0.5))
        assert not below.model
        assert above.model
        assert below.ph == pytest.approx(above.ph, abs=0.25)


def test_the_outcome_says_which_model():
    out = foresee((Step(1, "", WATER), Step(2, "", solid("calcium chloride", "CaCl2", 50))))
    assert any("pitzer.dat" in note for note in out.notes)


def test_a_main_ion_is_missed_and_a_little_is_not():
    ions = {"Na+": 2.0, "Cl-": 2.0, "Sr+2": 0.01, "SCN-": 0.02}
    assert not concentrated.missing(ions, concentrated.sit(), 7.0)
    assert concentrated.missing({"Sr+2": 1.0, "SCN-": 2.0}, concentrated.sit(), 7.0)
