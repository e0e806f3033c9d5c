"""Classification of what is made up: what it does with missing data, and that it says what it did."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.safety import classify as module
from stockroom.safety.classify import WATER, Constituent, MixtureError, classify, worst_allowed
from stockroom.safety.label import HAZARD_CLASSES, NOT_CLASSIFIED, worst_of_each

TABLES = Path(module.__file__).parent / "tables"
DYE = Constituent("some dye", 1, None, kind="general")
SODA = Constituent("sodium hydroxide", 4, ("skin_corr_1a", "eye_dam_1"), "1310-73-2", "bases")


def test_an_unclassified_constituent_never_reads_as_safe():
    result = classify([DYE], solvent=WATER)
    assert not result.complete
    assert result.classes == ()
    assert result.cautious
    assert "classes of some dye" in result.missing
    assert result.label().statements[-1].text == NOT_CLASSIFIED


def test_known_classes_are_kept_beside_the_unknown_part():
    result = classify([SODA, DYE], solvent=WATER)
    assert "skin_corr_1b" in result.classes
    assert result.unclassified_percent == 1
    label = result.label()
    assert label.signal_word == "Danger"
    assert label.statements[-1].text == NOT_CLASSIFIED


def test_what_is_left_over_without_a_solvent_is_unknown():
    result = classify([SODA])
    assert not result.complete
    assert result.unclassified_percent == pytest.approx(96)


def test_water_and_a_harmless_salt_are_known_to_have_no_class():
    result = classify([Constituent("sodium chloride", 5, ())], solvent=WATER)
    assert result.complete
    assert result.cautious == ()


def test_a_trace_below_the_lowest_cut_off_does_not_spoil_it_unless_kept_with_the_toxics():
    assert classify([Constituent("indicator", 0.05, None)], solvent=WATER).complete
    assert not classify([Constituent("alkaloid", 0.05, None, kind="toxics")], solvent=WATER).complete


def test_unknown_strength_takes_the_class_undiluted():
    result = classify([Constituent("lime", None, ("eye_dam_1", "skin_irrit_2"))], solvent=WATER)
    assert set(result.classes) == {"eye_dam_1", "skin_irrit_2"}
    assert "strength of lime" in result.missing


def test_the_worst_of_an_unknown_kind_is_the_worst_of_all():
    everything = set(worst_allowed(""))
    assert set(worst_of_each([*everything, *worst_allowed("toxics")])) == everything
    assert {"flam_liq_1", "skin_corr_1a", "ox_liq_1"} <= everything
    assert worst_allowed("cold") == worst_allowed("")
    assert everything <= set(HAZARD_CLASSES)


def test_undiluted_keeps_its_own_classes():
    pure = Constituent("phenol", 100, ("acute_tox_oral_3", "skin_corr_1b", "muta_2"), "108-95-2")
    assert set(classify([pure]).classes) == {"acute_tox_oral_3", "skin_corr_1b", "muta_2"}


def test_a_dissolved_gas_is_labelled_by_the_limits_of_its_solution():
    gas = ("press_gas_liquefied", "acute_tox_inhalation_3", "skin_corr_1a")
    acid = Constituent("hydrogen chloride", 20, gas, "7647-01-0", "acids", inhalation_form="gas")
    result = classify([acid], solvent=WATER)
    assert "press_gas_liquefied" not in result.classes
    assert "acute_tox_inhalation_3" not in result.classes
    assert "skin_irrit_2" in result.classes
    assert any("published limits for its solution" in line.text for line in result.reasons)


def test_a_dissolved_gas_without_such_limits_keeps_its_toxicity():
    gas = ("press_gas_liquefied", "acute_tox_inhalation_2")
    sulfide = Constituent("hydrogen sulfide", 30, gas, "7783-06-4", "gas", inhalation_form="gas")
    assert "acute_tox_inhalation_2" in classify([sulfide], solvent=WATER).classes


def test_oxidising_salt_dilute_strong_and_dry():
    salt = ("ox_sol_2",)
    dilute = classify([Constituent("permanganate", 2, salt)], solvent=WATER)
    strong = classify([Constituent("permanganate", 12, salt)], solvent=WATER)
    dry = classify([Constituent("permanganate", 12, salt), Constituent("sand", 88, ())], state="solid")
    assert (dilute.classes, strong.classes, dry.classes) == ((), ("ox_liq_3",), ("ox_sol_2",))
    assert any("not carried over" in line.text for line in dilute.reasons)


def test_without_a_flash_point_the_worst_constituent_counts():
    parts = [Constituent("ether", 5, ("flam_liq_1",)), Constituent("oil", 95, ())]
    result = classify(parts)
    assert result.classes == ("flam_liq_1",)
    assert "flash point of the mixture" in result.missing


def test_acids_with_specific_limits_are_not_overruled_by_their_ph():
    acid = Constituent("hydrochloric acid", 0.36, ("skin_corr_1b",), "7647-01-0", "acids")
    result = classify([acid], solvent=WATER, ph=1.0)
    assert result.classes == ()
    assert any("specific limits, and they decide" in line.text for line in result.reasons)


def test_missing_m_factor_is_said():
    result = classify([Constituent("copper salt", 30, ("aquatic_acute_1",))], solvent=WATER)
    assert "M-factor of copper salt (acute); 10 taken" in result.missing


def test_table_m_factor_is_used():
    silver = Constituent("silver nitrate", 0.1, ("aquatic_acute_1",), "7761-88-8")
    assert classify([silver], solvent=WATER).classes == ("aquatic_acute_1",)


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ([Constituent("a", 60, ()), Constituent("b", 50, ())], "add up to 110 %"),
        ([Constituent("a", -1, ())], "between 0 and 100"),
        ([Constituent("a", 1, (), inhalation_form="fog")], "gas, vapour or mist"),
    ],
)
def test_impossible_mixtures_say_what_to_change(parts, words):
    with pytest.raises(MixtureError, match=words):
        classify(parts)


def test_unknown_state_says_what_to_use():
    with pytest.raises(MixtureError, match="liquid, solid or gas"):
        classify([DYE], state="foam")


def test_every_line_of_reasoning_names_its_source():
    result = classify(
        [SODA, DYE, Constituent("ethanol", 40, ("flam_liq_2",), "64-17-5")], solvent=WATER, ph=13
    )
    assert len(result.reasons) > 4
    assert all(line.source and line.text for line in result.reasons)


@pytest.mark.parametrize(
    "name", ["concentration_limits.csv", "generic_limits.csv", "m_factors.csv", "flash_points.csv"]
)
def test_every_row_of_a_table_names_its_source(name):
    with (TABLES / name).open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert rows
    assert [row for row in rows if not row["source"]] == []
    assert {row["class_key"] for row in rows if row.get("class_key")} <= set(HAZARD_CLASSES)


@pytest.mark.parametrize("name", ["concentration_limits.csv", "m_factors.csv", "flash_points.csv"])
def test_cas_numbers_of_a_table_hold(name):
    with (TABLES / name).open(newline="", encoding="utf-8") as file:
        for cas in {row["cas"] for row in csv.DictReader(file)}:
            digits = cas.replace("-", "")
            check = sum(place * int(digit) for place, digit in enumerate(reversed(digits[:-1]), start=1)) % 10
            assert check == int(digits[-1]), cas


SEVERITY = ["skin_irrit_2", "skin_corr_1c", "skin_corr_1b", "skin_corr_1a"]


@given(st.floats(0, 100), st.floats(0, 100), st.sampled_from(["1310-73-2", "7664-93-9", "64-19-7", ""]))
def test_more_of_a_corrosive_is_never_less_corrosive(one, other, cas):
    def severity(percent):
        acid = Constituent("acid", percent, ("skin_corr_1a",), cas)
        found = classify([acid], solvent=WATER).classes
        return max((SEVERITY.index(key) for key in found if key in SEVERITY), default=-1)

    weak, strong = sorted((one, other))
    assert severity(weak) <= severity(strong)
