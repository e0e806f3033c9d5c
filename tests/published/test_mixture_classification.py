"""Classes of mixtures against published worked examples and the tables of the standards."""

import re

import pytest

from stockroom.safety.acute import CONVERTED, ate_of_mixture, category
from stockroom.safety.classify import WATER, Constituent, classify


def part(percent, *classes, name="ingredient", **more):
    return Constituent(name, percent, classes, **more)


def classes_of(*parts, **measured):
    return set(classify(parts, solvent=WATER, **measured).classes)


# --- acute toxicity


def test_un_example_with_only_one_toxic_ingredient():
    # UN document ST/SG/AC.10/C.4/2008/23, Annex 2, Example 3 (example 1 (c) of the training set): ATEmix
    # 43,425 mg/kg, not classified
    result = classify(
        [
            part(4, "acute_tox_oral_4", ate=(("oral", 1737),)),
            part(5),
            part(5, ate=(("oral", 5400),)),
            part(86),
        ]
    )
    assert "estimate 43425 mg/kg: not classified" in result.reasons[0].text
    assert result.classes == ()


def test_un_example_with_an_ingredient_of_unknown_toxicity():
    # UN training example 1 (d) to ST/SG/AC.10/C.4/2008/23: oral 873 mg/kg, category 4; inhalation of vapour
    # 6.6 mg/L, category 3, "11% of the mixture consists of an ingredient of unknown inhalation toxicity"
    result = classify(
        [
            part(26, ate=(("oral", 2737), ("vapour", 11)), inhalation_form="vapour"),
            part(23, ate=(("oral", 4500), ("vapour", 19)), inhalation_form="vapour"),
            part(11, no_data=("vapour",), inhalation_form="vapour"),
            part(40, ate=(("oral", 400), ("vapour", 4)), inhalation_form="vapour"),
        ]
    )
    assert set(result.classes) == {"acute_tox_oral_4", "acute_tox_inhalation_3"}
    texts = " ".join(line.text for line in result.reasons)
    oral, vapour = (float(value) for value in re.findall(r"estimate ([\d.]+) ", texts))
    assert oral == pytest.approx(873, abs=0.5)
    assert vapour == pytest.approx(6.6, abs=0.05)
    assert "11 % of the mixture is of unknown acute toxicity (vapour)" in result.missing
    # the label of the same example: Danger; Toxic if inhaled. Harmful if swallowed.
    label = result.label()
    assert label.signal_word == "Danger"
    assert label.pictograms == ("GHS06",)
    assert {line.text for line in label.statements} == {"Toxic if inhaled", "Harmful if swallowed"}


@pytest.mark.parametrize(("percent", "expected"), [(12.9, None), (13.3, 4), (26, 4), (26.6, 3), (68, 3)])
def test_nitric_acid_by_inhalation(percent, expected):
    # Surface Engineering Association, "New self-classification of nitric acid", 12 December 2016: up to 13
    # % none, 13 to 26 % category 4, above 26 % category 3, from an estimate of 2.65 mg/L (vapour)
    acid = part(percent, ate=(("vapour", 2.65),), inhalation_form="vapour", cas="7697-37-2")
    found = [key for key in classes_of(acid) if key.startswith("acute_tox")]
    assert found == ([f"acute_tox_inhalation_{expected}"] if expected else [])


@pytest.mark.parametrize(
    ("route", "upper"),
    [
        ("oral", (5, 50, 300, 2000)),
        ("dermal", (50, 200, 1000, 2000)),
        ("gas", (100, 500, 2500, 20000)),
        ("vapour", (0.5, 2.0, 10.0, 20.0)),
        ("mist", (0.05, 0.5, 1.0, 5.0)),
    ],
)
def test_categories_end_where_the_table_says(route, upper):
    # UN GHS Rev. 5 (2013) Table 3.1.1, as in a public copy; 29 CFR 1910.1200 App. A Table A.1.1 (dermal
    # category 1 as corrected, 89 FR 81830)
    for number, value in enumerate(upper, start=1):
        assert category(route, value) == number
        assert category(route, value * 1.001) == (number + 1 if number < 4 else None)


@pytest.mark.parametrize(
    ("route", "values"),
    [
        ("oral", (0.5, 5, 100, 500)),
        ("dermal", (5, 50, 300, 1100)),
        ("gas", (10, 100, 700, 4500)),
        ("vapour", (0.05, 0.5, 3, 11)),
        ("mist", (0.005, 0.05, 0.5, 1.5)),
    ],
)
def test_category_converted_to_an_estimate(route, values):
    # UN GHS Table 3.1.2; from memory
    assert CONVERTED[route] == values


def test_up_to_ten_per_cent_unknown_does_not_change_the_estimate():
    # UN GHS 3.1.3.6.2.3: the corrected formula only above 10 %
    assert ate_of_mixture([(50, 100)], 10) == pytest.approx(200)
    assert ate_of_mixture([(50, 100)], 20) == pytest.approx(160)


@pytest.mark.parametrize(
    ("percent", "key", "expected"),
    [
        # by the formula with the converted values: 100 * 100 / 300 = 33.3 % of a category 3 chemical is
        # category 3
        (34, "acute_tox_oral_3", {"acute_tox_oral_3"}),
        (33, "acute_tox_oral_3", {"acute_tox_oral_4"}),
        (4.9, "acute_tox_oral_3", set()),
        (25, "acute_tox_oral_4", {"acute_tox_oral_4"}),
        (24.9, "acute_tox_oral_4", set()),
        (0.25, "acute_tox_oral_2", {"acute_tox_oral_4"}),
    ],
)
def test_dilution_of_a_poison(percent, key, expected):
    # UN GHS 3.1.3.6.1 with Table 3.1.2; the arithmetic done by hand
    assert classes_of(part(percent, key)) == expected


# --- skin and eyes, adding up

SKIN = [
    # 29 CFR 1910.1200 App. A Table A.2.3; for the sub-categories also a national guide of 2012 to
    # thresholds and classifications, Table 11.2: 5 % 1A is 1A; under 5 % 1A but 5 % with 1B is 1B; and so
    # with 1C
    ([(5, "skin_corr_1a")], {"skin_corr_1a"}),
    ([(4.9, "skin_corr_1a")], {"skin_irrit_2"}),
    ([(3, "skin_corr_1a"), (2, "skin_corr_1b")], {"skin_corr_1b"}),
    ([(5, "skin_corr_1a"), (2, "skin_corr_1b")], {"skin_corr_1a"}),
    ([(2, "skin_corr_1a"), (2, "skin_corr_1b"), (1, "skin_corr_1c")], {"skin_corr_1c"}),
    ([(5, "skin_corr_1")], {"skin_corr_1"}),
    ([(1, "skin_corr_1b")], {"skin_irrit_2"}),
    ([(0.9, "skin_corr_1b")], set()),
    ([(10, "skin_irrit_2")], {"skin_irrit_2"}),
    ([(9.9, "skin_irrit_2")], set()),
    ([(6, "skin_irrit_2"), (4, "skin_irrit_2")], {"skin_irrit_2"}),
    # ten times the corrosive plus the irritant: 10 * 0.5 does not count below 1 %, so only 9 %
    ([(0.5, "skin_corr_1b"), (9, "skin_irrit_2")], set()),
    # ECHA helpdesk, mixture classification exercises (March 2012), examples 1 and 2: an irritant at 0.8 %
    # is below the cut-off; at 1.8 % it counts, and alone stays under 10 %
    ([(0.8, "skin_irrit_2")], set()),
    ([(1.8, "skin_irrit_2")], set()),
]


@pytest.mark.parametrize(("parts", "expected"), SKIN)
def test_skin_by_adding_up(parts, expected):
    found = classes_of(*(part(percent, key) for percent, key in parts))
    assert {key for key in found if key.startswith("skin")} == expected


EYES = [
    # 29 CFR 1910.1200 App. A Table A.3.3: 3 % of skin corrosive and eye damaging together; 10 % for
    # irritation with the factor 10; from memory
    ([(3, "eye_dam_1")], {"eye_dam_1"}),
    ([(2.9, "eye_dam_1")], {"eye_irrit_2a"}),
    ([(1, "eye_dam_1")], {"eye_irrit_2a"}),
    ([(0.9, "eye_dam_1")], set()),
    ([(1.5, "skin_corr_1b"), (1.5, "eye_dam_1")], {"eye_dam_1"}),
    ([(10, "eye_irrit_2a")], {"eye_irrit_2a"}),
    ([(9.9, "eye_irrit_2a")], set()),
    ([(10, "eye_irrit_2b")], {"eye_irrit_2b"}),
    ([(5, "eye_irrit_2a"), (5, "eye_irrit_2b")], {"eye_irrit_2a"}),
]


@pytest.mark.parametrize(("parts", "expected"), EYES)
def test_eyes_by_adding_up(parts, expected):
    found = classes_of(*(part(percent, key) for percent, key in parts))
    assert {key for key in found if key.startswith("eye")} == expected


def test_specific_limits_are_added_up_as_shares():
    # Regulation (EC) 1272/2008 Annex I 3.2.3.3.2 with specific limits: 13 % of 25 % and 12 % of 25 %
    # corrode together
    hydrochloric = part(13, "skin_corr_1b", cas="7647-01-0")
    phosphoric = part(12, "skin_corr_1b", cas="7664-38-2")
    assert "skin_corr_1b" in classes_of(hydrochloric, phosphoric)
    assert "skin_corr_1b" not in classes_of(hydrochloric, part(11.9, "skin_corr_1b", cas="7664-38-2"))


@pytest.mark.parametrize(
    ("ph", "corrosive"), [(2.0, True), (2.1, False), (7, False), (11.4, False), (11.5, True), (13, True)]
)
def test_extreme_ph(ph, corrosive):
    # Regulation (EC) 1272/2008 Annex I 3.2.3.1.2, "pH <= 2 or a pH >= 11,5", as in a public copy; UN GHS
    # 3.2.3.1.2
    found = classes_of(part(2, kind="bases" if ph > 7 else "acids"), ph=ph)
    assert ("skin_corr_1" in found) is corrosive
    assert ("eye_dam_1" in found) is corrosive


@pytest.mark.parametrize(
    ("ph", "reserve", "corrosive"),
    [(13.5, 12, True), (13.5, 11.9, False), (1.0, 18, True), (1.0, 17, False), (12.4, 0.2, False)],
)
def test_extreme_ph_with_its_reserve(ph, reserve, corrosive):
    # Young, How, Walker, Worth, Toxicology in Vitro 2 (1988) 19: corrosive where pH + reserve/12 >= 14.5 or
    # pH - reserve/12 <= -0.5; from memory
    found = classes_of(part(2, kind="bases" if ph > 7 else "acids"), ph=ph, reserve=reserve)
    assert ("skin_corr_1" in found) is corrosive
    assert corrosive or "skin_irrit_2" in found


# --- effects that are not added up

CUT_OFFS = [
    # 29 CFR 1910.1200 App. A Tables A.4.5, A.5.1, A.6.1; from memory
    ("resp_sens_1", 0.1), ("resp_sens_1a", 0.1), ("resp_sens_1b", 1.0),
    ("skin_sens_1", 0.1), ("skin_sens_1a", 0.1), ("skin_sens_1b", 1.0),
    ("muta_1a", 0.1), ("muta_1b", 0.1), ("muta_2", 1.0),
    ("carc_1a", 0.1), ("carc_1b", 0.1), ("carc_2", 0.1),
    # Table A.7.1 as corrected on 9 October 2024 (89 FR 81830): 0.1 % for every category of reproductive
    # toxicity
    ("repr_1a", 0.1), ("repr_1b", 0.1), ("repr_2", 0.1), ("repr_lact", 0.1),
    # OSHA letter of interpretation, 4 March 2014: 1 % to under 10 % of category 1 is category 1, not 2 as
    # elsewhere
    ("stot_se_1", 1.0), ("stot_re_1", 1.0), ("stot_se_2", 1.0), ("stot_re_2", 1.0),
]  # fmt: skip


@pytest.mark.parametrize(("key", "limit"), CUT_OFFS)
def test_generic_cut_off(key, limit):
    assert classes_of(part(limit, key)) == {key}
    assert classes_of(part(limit * 0.99, key)) == set()


def test_two_carcinogens_below_the_limit_are_not_added_up():
    # 29 CFR 1910.1200 App. A.6.3.1: "at least one ingredient"
    assert classes_of(part(0.06, "carc_1b"), part(0.06, "carc_1b")) == set()


@pytest.mark.parametrize("key", ["stot_se_3_irritation", "stot_se_3_narcosis"])
def test_irritation_and_narcosis_are_added_up_to_twenty_per_cent(key):
    # 29 CFR 1910.1200 App. A.8.3.4.4, 20 %; from memory
    assert classes_of(part(12, key), part(8, key)) == {key}
    assert classes_of(part(12, key), part(7.9, key)) == set()


@pytest.mark.parametrize(
    ("percent", "viscosity", "expected"),
    [(10, 20.5, True), (10, 20.6, False), (9.9, 1.0, False), (10, None, True)],
)
def test_aspiration(percent, viscosity, expected):
    # 29 CFR 1910.1200 App. A.10.3.3: 10 % and at most 20.5 mm2/s at 40 °C; from memory
    found = classes_of(part(percent, "asp_tox_1"), viscosity_mm2_s=viscosity)
    assert ("asp_tox_1" in found) is expected


# --- aquatic

AQUATIC = [
    # UN GHS Rev. 8 tables 4.1.3 and 4.1.4, summation with M-factors; from memory
    ([(25, "aquatic_acute_1")], {"m_acute": 1, "m_chronic": 1}, {"aquatic_acute_1"}),
    ([(24.9, "aquatic_acute_1")], {"m_acute": 1, "m_chronic": 1}, {"aquatic_acute_2"}),
    ([(2.5, "aquatic_acute_1")], {"m_acute": 10}, {"aquatic_acute_1"}),
    ([(2.4, "aquatic_acute_1")], {"m_acute": 10}, {"aquatic_acute_2"}),
    ([(2, "aquatic_acute_1"), (5, "aquatic_acute_2")], {"m_acute": 1, "m_chronic": 1}, {"aquatic_acute_2"}),
    ([(0.25, "aquatic_acute_1")], {"m_acute": 1, "m_chronic": 1}, {"aquatic_acute_3"}),
    ([(25, "aquatic_acute_3")], {"m_acute": 1, "m_chronic": 1}, {"aquatic_acute_3"}),
    ([(25, "aquatic_chronic_1")], {"m_acute": 1, "m_chronic": 1}, {"aquatic_chronic_1"}),
    (
        [(2, "aquatic_chronic_1"), (5, "aquatic_chronic_2")],
        {"m_acute": 1, "m_chronic": 1},
        {"aquatic_chronic_2"},
    ),
    ([(25, "aquatic_chronic_4")], {"m_acute": 1, "m_chronic": 1}, {"aquatic_chronic_4"}),
    (
        [(10, "aquatic_chronic_3"), (15, "aquatic_chronic_4")],
        {"m_acute": 1, "m_chronic": 1},
        {"aquatic_chronic_4"},
    ),
]


@pytest.mark.parametrize(("parts", "factor", "expected"), AQUATIC)
def test_aquatic_by_summation(parts, factor, expected):
    assert classes_of(*(part(percent, key, **factor) for percent, key in parts)) == expected
