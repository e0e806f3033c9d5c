import pytest

from stockroom.chemistry.aqueous import Addition, Contents, Substance, settle
from stockroom.chemistry.equivalent import EquivalentError, active, by_moles, by_ph, safety_difference


def of(label, formula, mol, water=0.0):
    return Addition(label, (Substance("", formula, "", mol),), water, water)


WATER = Contents(water_g=200.0, volume_ml=200.0, temperature_c=25.0)


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("HCl", {"acid": 1}),
        ("H2SO4", {"acid": 2}),
        ("CH3COOH", {"acid": 1, "C2H3O2-": 1}),
        ("NaOH", {"base": 1}),
        ("NH3", {"base": 1, "NH4+": 1}),
        ("Na2CO3", {"base": 2}),
        ("NaHCO3", {"base": 1}),
        ("CaO", {"base": 2, "Ca+2": 1}),
        ("CuSO4·5H2O", {"Cu+2": 1}),
    ],
)
def test_what_does_the_work(formula, expected):
    assert active(of("", formula, 1.0)) == expected


def test_a_hydrate_for_the_anhydrous_salt():
    same = by_moles(of("anhydrous", "CuSO4", 0.02), of("hydrate", "CuSO4·5H2O", 0.01))
    assert same.factor == pytest.approx(2)
    assert "copper(II)" in same.basis
    assert same.differences == ()


def test_half_as_much_sulfuric_as_hydrochloric():
    same = by_moles(of("hydrochloric", "HCl", 0.02), of("sulfuric", "H2SO4", 0.02))
    assert same.factor == pytest.approx(0.5)
    assert same.substitute.substances[0].mol == pytest.approx(0.01)


def test_a_weaker_acid_is_said_to_be_weaker():
    same = by_moles(of("hydrochloric", "HCl", 0.02), of("acetic", "CH3COOH", 0.02))
    assert any("weaker" in words for words in same.differences)
    assert any("brings acetate ion" in words for words in same.differences)


def test_the_same_end_point():
    found = by_ph(WATER, of("hydrochloric", "HCl", 0.0002), of("acetic", "CH3COOH", 0.01, water=10))
    assert found.ph_substitute == pytest.approx(found.ph_original, abs=0.02)
    check = settle(WATER.with_addition(found.substitute)).ph
    assert check == pytest.approx(found.ph_original, abs=0.02)


def test_a_weak_acid_cannot_do_what_a_strong_one_does():
    with pytest.raises(
        EquivalentError, match="does not bring this to pH 1.1; with the same moles|with the same moles it"
    ):
        by_ph(WATER, of("hydrochloric", "HCl", 0.02), of("acetic", "CH3COOH", 0.02, water=20))


def test_nothing_in_common():
    with pytest.raises(EquivalentError, match="does not do what"):
        by_moles(of("acid", "HCl", 0.02), of("salt", "NaCl", 0.02))
    with pytest.raises(EquivalentError, match="does not do what"):
        by_moles(of("acid", "HCl", 0.02), of("base", "NaOH", 0.02), job="acid")


def test_hazards_that_go_and_come():
    difference = safety_difference({"skin_corr_1b", "met_corr_1"}, {"flam_liq_3", "met_corr_1"})
    assert difference.gone == ("skin_corr_1b",)
    assert difference.new == ("flam_liq_3",)
    assert difference.same == ("met_corr_1",)


def test_a_dilute_substitute_is_followed_as_far_as_it_must():
    """Ten times weaker and two protons: more than five times the volume, since the beaker is diluted too."""
    curds = Addition("curds", (Substance("", "Cu(OH)2", "", 0.02),), 300.0, 300.0)
    strong = Addition("strong", (Substance("", "HNO3", "", 0.044),), 44.0, 44.0)
    dilute = Addition("dilute", (Substance("", "H2SO4", "", 0.001),), 10.0, 10.0)
    found = by_ph(Contents().with_addition(curds), strong, dilute)
    assert 22 < found.factor < 30
    assert found.ph_substitute == pytest.approx(found.ph_original, abs=0.05)
