"""Label elements of single classes and of sets of classes, against the published tables.

Source of the single classes: 29 CFR 1910.1200 Appendix C, C.4 (2024 revision); for the aquatic classes and
the codes UN GHS Rev. 8 Annex 3, tables A3.1.1 to A3.1.3. From memory, compared with a public reprint of the
list of hazard statements; chemicals under pressure also with the correction 89 FR 81829 (9 October 2024).
"""

import pytest

from stockroom.safety.label import HAZARD_CLASSES, label_elements

D, W, NONE = "Danger", "Warning", ""

PUBLISHED = [
    ("expl_1_1", D, "GHS01", "H201", "Explosive; mass explosion hazard"),
    ("expl_1_4", W, "GHS01", "H204", "Fire or projection hazard"),
    ("expl_1_5", D, "", "H205", "May mass explode in fire"),
    ("flam_gas_1a", D, "GHS02", "H220", "Extremely flammable gas"),
    ("flam_gas_1b", D, "GHS02", "H221", "Flammable gas"),
    ("flam_gas_2", W, "", "H221", "Flammable gas"),
    (
        "chem_press_1",
        D,
        "GHS02 GHS04",
        "H282",
        "Extremely flammable chemical under pressure: may explode if heated",
    ),
    ("chem_press_3", W, "GHS04", "H284", "Chemical under pressure: may explode if heated"),
    ("ox_gas_1", D, "GHS03", "H270", "May cause or intensify fire; oxidizer"),
    ("press_gas_compressed", W, "GHS04", "H280", "Contains gas under pressure; may explode if heated"),
    (
        "press_gas_refrigerated",
        W,
        "GHS04",
        "H281",
        "Contains refrigerated gas; may cause cryogenic burns or injury",
    ),
    ("flam_liq_1", D, "GHS02", "H224", "Extremely flammable liquid and vapor"),
    ("flam_liq_2", D, "GHS02", "H225", "Highly flammable liquid and vapor"),
    ("flam_liq_3", W, "GHS02", "H226", "Flammable liquid and vapor"),
    ("flam_liq_4", W, "", "H227", "Combustible liquid"),
    ("flam_sol_1", D, "GHS02", "H228", "Flammable solid"),
    ("flam_sol_2", W, "GHS02", "H228", "Flammable solid"),
    ("self_react_b", D, "GHS01 GHS02", "H241", "Heating may cause a fire or explosion"),
    ("org_perox_a", D, "GHS01", "H240", "Heating may cause an explosion"),
    ("org_perox_f", W, "GHS02", "H242", "Heating may cause a fire"),
    ("pyr_sol_1", D, "GHS02", "H250", "Catches fire spontaneously if exposed to air"),
    ("self_heat_2", W, "GHS02", "H252", "Self-heating in large quantities; may catch fire"),
    (
        "water_react_1",
        D,
        "GHS02",
        "H260",
        "In contact with water releases flammable gases which may ignite spontaneously",
    ),
    ("water_react_3", W, "GHS02", "H261", "In contact with water releases flammable gas"),
    ("ox_liq_1", D, "GHS03", "H271", "May cause fire or explosion; strong oxidizer"),
    ("ox_sol_2", D, "GHS03", "H272", "May intensify fire; oxidizer"),
    ("ox_sol_3", W, "GHS03", "H272", "May intensify fire; oxidizer"),
    ("met_corr_1", W, "GHS05", "H290", "May be corrosive to metals"),
    (
        "desens_expl_1",
        D,
        "GHS02",
        "H206",
        "Fire, blast or projection hazard; increased risk of explosion if desensitizing agent is reduced",
    ),
    ("acute_tox_oral_1", D, "GHS06", "H300", "Fatal if swallowed"),
    ("acute_tox_oral_3", D, "GHS06", "H301", "Toxic if swallowed"),
    ("acute_tox_oral_4", W, "GHS07", "H302", "Harmful if swallowed"),
    ("acute_tox_dermal_2", D, "GHS06", "H310", "Fatal in contact with skin"),
    ("acute_tox_dermal_4", W, "GHS07", "H312", "Harmful in contact with skin"),
    ("acute_tox_inhalation_2", D, "GHS06", "H330", "Fatal if inhaled"),
    ("acute_tox_inhalation_4", W, "GHS07", "H332", "Harmful if inhaled"),
    ("skin_corr_1a", D, "GHS05", "H314", "Causes severe skin burns and eye damage"),
    ("skin_irrit_2", W, "GHS07", "H315", "Causes skin irritation"),
    ("eye_dam_1", D, "GHS05", "H318", "Causes serious eye damage"),
    ("eye_irrit_2a", W, "GHS07", "H319", "Causes serious eye irritation"),
    ("eye_irrit_2b", W, "", "H320", "Causes eye irritation"),
    (
        "resp_sens_1",
        D,
        "GHS08",
        "H334",
        "May cause allergy or asthma symptoms or breathing difficulties if inhaled",
    ),
    ("skin_sens_1", W, "GHS07", "H317", "May cause an allergic skin reaction"),
    ("muta_1b", D, "GHS08", "H340", "May cause genetic defects"),
    ("muta_2", W, "GHS08", "H341", "Suspected of causing genetic defects"),
    ("carc_1a", D, "GHS08", "H350", "May cause cancer"),
    ("carc_2", W, "GHS08", "H351", "Suspected of causing cancer"),
    ("repr_1b", D, "GHS08", "H360", "May damage fertility or the unborn child"),
    ("repr_2", W, "GHS08", "H361", "Suspected of damaging fertility or the unborn child"),
    ("repr_lact", NONE, "", "H362", "May cause harm to breast-fed children"),
    ("stot_se_1", D, "GHS08", "H370", "Causes damage to organs"),
    ("stot_se_3_irritation", W, "GHS07", "H335", "May cause respiratory irritation"),
    ("stot_se_3_narcosis", W, "GHS07", "H336", "May cause drowsiness or dizziness"),
    ("stot_re_1", D, "GHS08", "H372", "Causes damage to organs through prolonged or repeated exposure"),
    ("stot_re_2", W, "GHS08", "H373", "May cause damage to organs through prolonged or repeated exposure"),
    ("asp_tox_1", D, "GHS08", "H304", "May be fatal if swallowed and enters airways"),
    ("aquatic_acute_1", W, "GHS09", "H400", "Very toxic to aquatic life"),
    ("aquatic_chronic_2", NONE, "GHS09", "H411", "Toxic to aquatic life with long lasting effects"),
    ("aquatic_chronic_3", NONE, "", "H412", "Harmful to aquatic life with long lasting effects"),
]


@pytest.mark.parametrize(
    ("key", "signal", "pictograms", "code", "text"), PUBLISHED, ids=[row[0] for row in PUBLISHED]
)
def test_one_class_on_a_label(key, signal, pictograms, code, text):
    label = label_elements([key])
    assert label.signal_word == signal
    assert label.pictograms == tuple(pictograms.split())
    assert [(line.h_code, line.text) for line in label.statements] == [(code, text)]


@pytest.mark.parametrize(
    ("key", "codes"),
    [
        ("flam_gas_1a_pyr", ["H220", "H232"]),
        ("flam_gas_1a_unst_a", ["H220", "H230"]),
        ("flam_gas_1a_unst_b", ["H220", "H231"]),
        ("aerosol_1", ["H222", "H229"]),
        ("aerosol_2", ["H223", "H229"]),
    ],
)
def test_classes_with_two_statements(key, codes):
    # UN GHS Rev. 7 tables 2.2.2 and 2.3.2; from memory
    assert [line.h_code for line in label_elements([key]).statements] == codes


@pytest.mark.parametrize(
    ("keys", "pictograms"),
    [
        # C.2.1.2: skull and crossbones, no exclamation mark for acute toxicity
        (["acute_tox_oral_3", "acute_tox_dermal_4"], "GHS06"),
        (["acute_tox_inhalation_1", "acute_tox_oral_4", "skin_irrit_2"], "GHS06 GHS07"),
        # C.2.1.3: corrosion, no exclamation mark for skin or eye irritation
        (["eye_dam_1", "skin_irrit_2"], "GHS05"),
        (["skin_corr_1b", "eye_irrit_2a"], "GHS05"),
        (["skin_corr_1b", "acute_tox_oral_4"], "GHS05 GHS07"),
        (["skin_corr_1b", "stot_se_3_irritation"], "GHS05 GHS07"),
        # C.2.1.4: health hazard for respiratory sensitization, no exclamation mark for skin or eye effects
        (["resp_sens_1", "skin_sens_1"], "GHS08"),
        (["resp_sens_1", "skin_irrit_2", "eye_irrit_2a"], "GHS08"),
        (["resp_sens_1", "stot_se_3_narcosis"], "GHS07 GHS08"),
        # the health hazard sign for anything else leaves the exclamation mark
        (["carc_1a", "skin_sens_1"], "GHS07 GHS08"),
    ],
)
def test_precedence_of_pictograms(keys, pictograms):
    # 29 CFR 1910.1200 App. C.2.1.2 to C.2.1.4, as quoted in a safety mailing list, 10 October 2023
    assert label_elements(keys).pictograms == tuple(pictograms.split())


def test_danger_stands_alone():
    # 29 CFR 1910.1200 App. C.2.1.1
    assert label_elements(["flam_liq_2", "skin_irrit_2"]).signal_word == "Danger"
    assert label_elements(["flam_liq_3", "skin_irrit_2"]).signal_word == "Warning"
    assert label_elements(["aquatic_chronic_2"]).signal_word == ""


@pytest.mark.parametrize(
    ("keys", "codes"),
    [
        (["skin_corr_1a", "eye_dam_1"], ["H314"]),
        (["aquatic_acute_1", "aquatic_chronic_1"], ["H410"]),
        (["aquatic_acute_2", "aquatic_chronic_2"], ["H411"]),
        (["aquatic_acute_3", "aquatic_chronic_3"], ["H412"]),
        (["aquatic_acute_1", "aquatic_chronic_2"], ["H400", "H411"]),
    ],
)
def test_precedence_of_statements(keys, codes):
    # UN GHS Rev. 4 and later, 1.4.10.5.3.3; from memory
    assert [line.h_code for line in label_elements(keys).statements] == codes


@pytest.mark.parametrize(
    ("keys", "code", "text"),
    [
        (
            ["acute_tox_oral_1", "acute_tox_dermal_2"],
            "H300+H310",
            "Fatal if swallowed or in contact with skin",
        ),
        (["acute_tox_oral_2", "acute_tox_inhalation_2"], "H300+H330", "Fatal if swallowed or if inhaled"),
        (
            ["acute_tox_dermal_3", "acute_tox_inhalation_3"],
            "H311+H331",
            "Toxic in contact with skin or if inhaled",
        ),
        (
            ["acute_tox_oral_3", "acute_tox_dermal_3", "acute_tox_inhalation_3"],
            "H301+H311+H331",
            "Toxic if swallowed, in contact with skin or if inhaled",
        ),
        (["acute_tox_oral_4", "acute_tox_inhalation_4"], "H302+H332", "Harmful if swallowed or if inhaled"),
        (["skin_irrit_2", "eye_irrit_2b"], "H315+H320", "Causes skin and eye irritation"),
    ],
)
def test_statements_said_in_one(keys, code, text):
    # UN GHS Annex 3 Table A3.1.2, combined statements, as in a public reprint
    assert [(line.h_code, line.text) for line in label_elements(keys).statements] == [(code, text)]


def test_classes_osha_does_not_have_are_marked():
    # UN GHS part 4 is not part of 29 CFR 1910.1200 (paragraph (c): physical and health hazards only)
    outside = {key for key, row in HAZARD_CLASSES.items() if not row.osha}
    assert outside == {key for key in HAZARD_CLASSES if key.startswith(("aquatic", "ozone"))}


@pytest.mark.parametrize(
    ("key", "codes"),
    [
        (
            "skin_corr_1b",
            "P260 P264 P280 P301+P330+P331 P303+P361+P353 P363 P304+P340 P310 P305+P351+P338 P405 P501",
        ),
        ("flam_liq_2", "P210 P233 P240 P241 P242 P243 P280 P303+P361+P353 P370+P378 P403+P235 P501"),
        ("skin_sens_1", "P261 P272 P280 P302+P352 P333+P313 P362+P364 P501"),
        ("eye_irrit_2a", "P264 P280 P305+P351+P338 P337+P313"),
        ("asp_tox_1", "P301+P310 P331 P405 P501"),
        ("carc_1b", "P201 P202 P280 P308+P313 P405 P501"),
    ],
)
def test_precautionary_statements_of_a_class(key, codes):
    # 29 CFR 1910.1200 App. C, C.4; from memory. P321, "specific treatment", is left to the supplier's label.
    assert set(HAZARD_CLASSES[key].p_codes) == set(codes.split())
