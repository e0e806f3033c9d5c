import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockroom.chemistry.aqueous import Addition, Contents, Substance, follow, settle, to_residue
from stockroom.chemistry.formula import parse_formula
from stockroom.chemistry.neutralise import NeutraliseError, contents_of, neutralise, options
from stockroom.chemistry.residue import Dissolved, Organic, Residue, Solid


def left_of(*parts, water=100.0):
    substances = tuple(Substance("", formula, "", mol) for formula, mol in parts)
    return to_residue(follow([Addition("", substances, water, water)])[-1])


def test_acid_takes_the_hydrogencarbonate_that_matches_it():
    dose = neutralise(left_of(("HCl", 0.05)), "sodium_hydrogencarbonate")
    assert dose.mol == pytest.approx(0.05, rel=0.1)
    assert dose.mass_g == pytest.approx(dose.mol * 84.007, rel=1e-3)
    assert dose.volume_ml is None
    assert 6 <= dose.ph_after <= 9
    assert dose.gas[0].formula == "CO2"
    assert any("froths" in note for note in dose.notes)


def test_a_strong_base_lands_between_all_the_same():
    dose = neutralise(left_of(("HCl", 0.05)), "sodium_hydroxide_1m")
    assert dose.volume_ml == pytest.approx(50, rel=0.01)
    assert 6 <= dose.ph_after <= 9
    assert any("overshoots" in note for note in dose.notes)


def test_citric_acid_for_alkali():
    dose = neutralise(left_of(("NaOH", 0.03)), "citric_acid")
    assert dose.mol == pytest.approx(0.01, rel=0.05)
    assert dose.gas == ()


def test_solids_left_dissolve_on_the_way():
    dose = neutralise(left_of(("Ca(OH)2", 0.02)), "hydrochloric_acid_1m")
    assert dose.mol == pytest.approx(0.04, rel=0.02)
    assert dose.residue.undissolved == ()


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(["HCl", "HNO3", "H2SO4", "CH3COOH"]), st.floats(1e-3, 0.05))
def test_carbon_is_conserved(acid, mol):
    dose = neutralise(left_of((acid, mol)), "sodium_hydrogencarbonate")
    carbon = sum(gas.mol for gas in dose.gas)
    carbon += sum(part.mol for part in dose.residue.components if part.formula == "CO3-2")
    assert carbon == pytest.approx(dose.mol, rel=1e-4)
    assert parse_formula(dose.neutraliser.formula).atoms["C"] == 1


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["HCl", "NH3", "Na2CO3", "CuSO4", "CH3COOH", "Na2HPO4", "CaCl2"]),
            st.floats(1e-3, 0.02),
        ),
        min_size=1,
        max_size=4,
    )
)
def test_a_residue_gives_back_the_beaker_it_came_from(parts):
    state = follow([Addition("", tuple(Substance("", f, "", mol) for f, mol in parts), 100.0, 100.0)])[-1]
    # The gas that bubbled off is not in the residue, nor in the state's own contents.
    again = settle(contents_of(to_residue(state)))
    assert again.ph == pytest.approx(settle(state.contents).ph, abs=0.02)


def test_a_ph_alone_is_taken_as_strong_acid_or_base():
    assert settle(contents_of(Residue(500_000, 2.0))).ph == pytest.approx(2.0, abs=0.3)
    assert settle(contents_of(Residue(500_000, 12.0))).ph == pytest.approx(12.0, abs=0.3)


def test_every_option_ends_in_the_range():
    found = options(left_of(("HNO3", 0.02)), 6, 8)
    assert [dose.neutraliser.key for dose in found][0] == "sodium_hydrogencarbonate"
    assert all(5.99 <= dose.ph_after <= 8.01 for dose in found)


@pytest.mark.parametrize(
    ("residue", "key", "low", "high", "says"),
    [
        (Residue(100_000, 1.0), "sodium_hydrogencarbonate", 9, 6, "low to high"),
        (Residue(100_000, 1.0), "lemonade", 6, 9, "choose one"),
        (Residue(100_000, 7.0), "citric_acid", 6, 9, "already"),
        (Residue(100_000, 1.0), "citric_acid", 6, 9, "wrong way"),
        (Residue(100_000, 1.0), "sodium_hydrogencarbonate", 11, 12, "does not bring"),
        (Residue(0, 1.0), "sodium_hydrogencarbonate", 6, 9, "volume"),
        (Residue(100_000, None, unknown=("XeF2 is not known",)), "citric_acid", 6, 9, "collect"),
        (
            Residue(100_000, None, organics=(Organic("ethanol", "64-17-5", 90.0),)),
            "citric_acid",
            6,
            9,
            "solvent",
        ),
    ],
)
def test_says_why_not(residue, key, low, high, says):
    with pytest.raises(NeutraliseError, match=says):
        neutralise(residue, key, low, high)


def test_too_much_gas_asks_for_smaller_lots():
    acid = Residue(5_000_000, None, components=(Dissolved("hydrogen chloride", "HCl", "7647-01-0", 8.0),))
    with pytest.raises(NeutraliseError, match="smaller lots"):
        neutralise(acid, "sodium_hydrogencarbonate")


def test_a_hand_made_residue_may_name_salts_and_solids():
    residue = Residue(
        100_000,
        None,
        components=(Dissolved("copper(II) sulfate", "CuSO4", "", 0.001),),
        undissolved=(Solid("zinc", "Zn", "7440-66-6", 0.01),),
    )
    contents = contents_of(residue)
    assert isinstance(contents, Contents)
    assert contents.ions["Cu+2"] == pytest.approx(0.001)
    assert contents.others[0][0].name == "zinc"
