"""Classes of a made-up solution at, above and below each published concentration limit.

Source unless a test says otherwise: Regulation (EC) 1272/2008 Annex VI Table 3, specific concentration
limits; from memory, hydrogen peroxide compared with a 2024 notice that reprints the entry.
"""

import pytest

from stockroom.safety.classify import WATER, Constituent, classify

CORROSIVE = ("skin_corr_1b", "eye_dam_1")

ACIDS = {
    "HCl": Constituent("hydrochloric acid", 0, CORROSIVE, "7647-01-0", "acids"),
    "H2SO4": Constituent("sulfuric acid", 0, ("skin_corr_1a", "eye_dam_1"), "7664-93-9", "acids"),
    "HNO3": Constituent("nitric acid", 0, ("skin_corr_1a", "eye_dam_1", "ox_liq_2"), "7697-37-2", "acids"),
    "acetic": Constituent("acetic acid", 0, ("skin_corr_1a", "eye_dam_1"), "64-19-7", "acids"),
    "H3PO4": Constituent("phosphoric acid", 0, CORROSIVE, "7664-38-2", "acids"),
    "formic": Constituent("formic acid", 0, ("skin_corr_1a", "eye_dam_1"), "64-18-6", "acids"),
    "propionic": Constituent("propionic acid", 0, CORROSIVE, "79-09-4", "acids"),
    "HBr": Constituent("hydrobromic acid", 0, CORROSIVE, "10035-10-6", "acids"),
    "HF": Constituent("hydrofluoric acid", 0, ("skin_corr_1a",), "7664-39-3", "acids"),
    "HClO4": Constituent("perchloric acid", 0, ("skin_corr_1a", "ox_liq_1"), "7601-90-3", "acids"),
    "NaOH": Constituent("sodium hydroxide", 0, ("skin_corr_1a", "eye_dam_1"), "1310-73-2", "bases"),
    "KOH": Constituent("potassium hydroxide", 0, ("skin_corr_1a", "eye_dam_1"), "1310-58-3", "bases"),
    "phenol": Constituent("phenol", 0, CORROSIVE, "108-95-2", "toxics"),
    "formaldehyde": Constituent("formaldehyde", 0, CORROSIVE, "50-00-0", "toxics"),
}


def classes_of(constituent, percent, **measured):
    part = Constituent(
        constituent.name, percent, constituent.classes, constituent.cas, constituent.kind, constituent.ate
    )
    return set(classify([part], solvent=WATER, **measured).classes)


def skin_and_eyes(classes):
    return {key for key in classes if key.startswith(("skin_corr", "skin_irrit", "eye"))}


IRRITANT = {"skin_irrit_2", "eye_irrit_2a"}
B1 = {"skin_corr_1b", "eye_dam_1"}
A1 = {"skin_corr_1a", "eye_dam_1"}

STEPS = [
    ("HCl", 37, B1), ("HCl", 25, B1), ("HCl", 24.9, IRRITANT), ("HCl", 10, IRRITANT), ("HCl", 9.9, set()),
    ("H2SO4", 96, A1), ("H2SO4", 15, A1),
    ("H2SO4", 14.9, IRRITANT), ("H2SO4", 5, IRRITANT), ("H2SO4", 4.9, set()),
    ("HNO3", 20, A1), ("HNO3", 19.9, B1), ("HNO3", 5, B1),
    ("acetic", 90, A1), ("acetic", 89.9, B1), ("acetic", 25, B1), ("acetic", 24.9, IRRITANT),
    ("acetic", 10, IRRITANT), ("acetic", 9.9, set()),
    ("H3PO4", 25, B1), ("H3PO4", 24.9, IRRITANT), ("H3PO4", 10, IRRITANT), ("H3PO4", 9.9, set()),
    ("formic", 90, A1),
    ("formic", 10, B1), ("formic", 9.9, IRRITANT), ("formic", 2, IRRITANT), ("formic", 1.9, set()),
    ("propionic", 25, B1), ("propionic", 24, IRRITANT), ("propionic", 9, set()),
    ("HBr", 40, B1), ("HBr", 39.9, IRRITANT), ("HBr", 10, IRRITANT), ("HBr", 9.9, set()),
    ("HF", 7, A1), ("HF", 6.9, B1), ("HF", 1, B1), ("HF", 0.9, {"eye_irrit_2a"}),
    ("HClO4", 50, A1),
    ("HClO4", 49.9, B1), ("HClO4", 10, B1), ("HClO4", 9.9, IRRITANT), ("HClO4", 1, IRRITANT),
    ("NaOH", 5, A1), ("NaOH", 4.9, B1), ("NaOH", 2, B1), ("NaOH", 1.9, IRRITANT), ("NaOH", 0.5, IRRITANT),
    ("NaOH", 0.49, set()),
    ("KOH", 5, A1), ("KOH", 2, B1), ("KOH", 1.9, IRRITANT), ("KOH", 0.5, IRRITANT), ("KOH", 0.4, set()),
    ("phenol", 3, B1), ("phenol", 2.9, IRRITANT), ("phenol", 1, IRRITANT), ("phenol", 0.9, set()),
    ("formaldehyde", 25, B1), ("formaldehyde", 24.9, IRRITANT), ("formaldehyde", 5, IRRITANT),
    ("formaldehyde", 4.9, set()),
]  # fmt: skip


@pytest.mark.parametrize(("name", "percent", "expected"), STEPS, ids=[f"{row[0]}-{row[1]}" for row in STEPS])
def test_skin_and_eyes_of_a_solution(name, percent, expected):
    assert skin_and_eyes(classes_of(ACIDS[name], percent)) == expected


def test_dilute_nitric_acid_falls_to_the_generic_limits():
    # Annex VI has no limits of nitric acid for irritation or for the eye: 29 CFR 1910.1200 App. A Table
    # A.2.3 (from 1 % of a corrosive: irritant) and Table A.3.4 (acid to which adding up does not apply,
    # from 1 %: eye damage)
    assert skin_and_eyes(classes_of(ACIDS["HNO3"], 4.9)) == {"skin_irrit_2", "eye_dam_1"}
    assert skin_and_eyes(classes_of(ACIDS["HNO3"], 0.6)) == set()


@pytest.mark.parametrize(
    ("name", "percent", "expected"),
    [
        ("HCl", 10, True),
        ("HCl", 9.9, False),
        ("HBr", 10, True),
        ("propionic", 9.9, False),
        ("formaldehyde", 5, True),
    ],
)
def test_respiratory_irritation_from_a_solution(name, percent, expected):
    assert ("stot_se_3_irritation" in classes_of(ACIDS[name], percent)) is expected


PEROXIDE = Constituent("hydrogen peroxide", 0, ("ox_liq_1", "skin_corr_1a"), "7722-84-1", "oxidisers")


@pytest.mark.parametrize(
    ("percent", "expected"),
    [
        (70, {"skin_corr_1a", "eye_dam_1", "stot_se_3_irritation"}),
        (50, {"skin_corr_1b", "eye_dam_1", "stot_se_3_irritation"}),
        (49.9, {"skin_irrit_2", "eye_dam_1", "stot_se_3_irritation"}),
        (35, {"skin_irrit_2", "eye_dam_1", "stot_se_3_irritation"}),
        (34.9, {"eye_dam_1"}),
        (8, {"eye_dam_1"}),
        (7.9, {"eye_irrit_2a"}),
        (5, {"eye_irrit_2a"}),
        (4.9, set()),
    ],
)
def test_hydrogen_peroxide_on_skin_and_eyes(percent, expected):
    found = {key for key in classes_of(PEROXIDE, percent) if not key.startswith("ox_")}
    assert found == expected


@pytest.mark.parametrize(
    ("percent", "expected"),
    [
        (65, {"ox_liq_1"}),
        (59.9, {"ox_liq_2"}),
        (30, {"ox_liq_2"}),
        (20, {"ox_liq_2"}),
        (19.9, {"ox_liq_3"}),
        (8, {"ox_liq_3"}),
        (7.9, set()),
        (3, set()),
    ],
)
def test_oxidizing_hydrogen_peroxide(percent, expected):
    # 49 CFR 172.101: UN 2984 (8 to 20 %, packing group III), UN 2014 (20 to 60 %, II), UN 2015 (over 60 %,
    # I); packing group to category: UN GHS 2.13.4.1. The same limits in the proposal for Annex VI as of May
    # 2024.
    assert {key for key in classes_of(PEROXIDE, percent) if key.startswith("ox_")} == expected


@pytest.mark.parametrize(
    ("percent", "expected"), [(99, "ox_liq_2"), (68, "ox_liq_3"), (65, "ox_liq_3"), (64, None)]
)
def test_oxidizing_nitric_acid(percent, expected):
    found = [key for key in classes_of(ACIDS["HNO3"], percent) if key.startswith("ox_liq")]
    assert found == ([expected] if expected else [])


AMMONIA = Constituent("ammonia", 0, ("skin_corr_1b", "eye_dam_1", "aquatic_acute_1"), "1336-21-6", "bases")


@pytest.mark.parametrize(
    ("percent", "expected"),
    [
        (25, {"skin_corr_1b", "eye_dam_1", "stot_se_3_irritation"}),
        (5, {"skin_corr_1b", "eye_dam_1", "stot_se_3_irritation"}),
        (4.9, {"skin_irrit_2", "eye_dam_1"}),
        (3, {"skin_irrit_2", "eye_dam_1"}),
        (2.9, {"skin_irrit_2", "eye_irrit_2a"}),
        (1, {"skin_irrit_2", "eye_irrit_2a"}),
        (0.9, set()),
    ],
)
def test_ammonia_solution(percent, expected):
    # Annex VI for the airways (5 %); 29 CFR 1910.1200 App. A Tables A.2.3 and A.3.3 for skin and eyes; from
    # memory
    found = {key for key in classes_of(AMMONIA, percent) if not key.startswith("aquatic")}
    assert found == expected


@pytest.mark.parametrize(
    ("cas", "classes", "percent", "expected"),
    [
        ("67-56-1", ("stot_se_1",), 10, {"stot_se_1"}),
        ("67-56-1", ("stot_se_1",), 9.9, {"stot_se_2"}),
        ("67-56-1", ("stot_se_1",), 3, {"stot_se_2"}),
        ("67-56-1", ("stot_se_1",), 2.9, set()),
        ("7786-81-4", ("stot_re_1",), 1, {"stot_re_1", "skin_sens_1"}),
        ("7786-81-4", ("stot_re_1",), 0.1, {"stot_re_2", "skin_sens_1"}),
        ("7786-81-4", ("stot_re_1",), 0.09, {"skin_sens_1"}),
        ("7786-81-4", ("stot_re_1",), 0.009, set()),
        ("7646-79-9", ("carc_1b",), 0.01, {"carc_1b"}),
        ("7646-79-9", ("carc_1b",), 0.009, set()),
        ("50-00-0", ("skin_sens_1",), 0.2, {"skin_sens_1"}),
        ("50-00-0", ("skin_sens_1",), 0.19, set()),
        ("7778-50-9", ("stot_se_3_irritation",), 5, {"stot_se_3_irritation"}),
        ("7778-50-9", ("stot_se_3_irritation",), 4.9, set()),
    ],
)
def test_other_specific_limits(cas, classes, percent, expected):
    assert classes_of(Constituent("salt", 0, classes, cas), percent) == expected


@pytest.mark.parametrize(("percent", "said"), [(5, True), (4.9, False)])
def test_hypochlorite_and_acid(percent, said):
    # Annex VI, sodium hypochlorite: EUH031 from 5 %; from memory
    bleach = Constituent(
        "sodium hypochlorite", percent, ("skin_corr_1b", "aquatic_acute_1"), "7681-52-9", "oxidisers"
    )
    notes = classify([bleach], solvent=WATER).notes
    assert ("Contact with acids liberates toxic gas" in notes) is said


@pytest.mark.parametrize(
    ("percent_by_mass", "flash", "category"),
    [(33.3, 26, 3), (16.2, 36, 3), (8.01, 49, 3), (62.4, 21, 2), (73.5, 20, 2), (93.8, 17, 2), (3.98, 62, 4)],
)
def test_flash_point_of_ethanol_in_water(percent_by_mass, flash, category):
    # Flash points at 40, 20, 10, 70, 80, 96 and 5 % by volume, as in encyclopedia tables quoted in a safety
    # mailing list (28 January 2015); by mass from OIML alcohol tables; categories: 29 CFR 1910.1200 App. B
    # Table B.6.1
    ethanol = Constituent("ethanol", percent_by_mass, ("flam_liq_2",), "64-17-5")
    result = classify([ethanol], solvent=WATER)
    assert result.classes == (f"flam_liq_{category}",)
    assert f"flash point {flash} °C" in result.reasons[0].text


@pytest.mark.parametrize(("percent", "flash"), [(100, 12), (87.9, 14)])
def test_flash_point_of_isopropanol(percent, flash):
    # NFPA 325 (1994), isopropyl alcohol 53 °F, 87.9 % 57 °F; from memory
    isopropanol = Constituent("isopropanol", percent, ("flam_liq_2",), "67-63-0")
    result = classify([isopropanol, Constituent("water", 100 - percent, (), "7732-18-5")])
    assert f"flash point {flash} °C" in result.reasons[0].text


@pytest.mark.parametrize(
    ("flash", "boiling", "category"),
    [
        (22.9, 35, "flam_liq_1"),
        (22.9, 35.1, "flam_liq_2"),
        (23, 35, "flam_liq_3"),
        (60, 150, "flam_liq_3"),
        (60.1, 150, "flam_liq_4"),
        (93, 200, "flam_liq_4"),
        (93.1, 200, None),
    ],
)
def test_flammable_liquid_by_its_flash_point(flash, boiling, category):
    # 29 CFR 1910.1200 App. B Table B.6.1: below 23 °C and boiling at most 35 °C, below 23, 23 to 60, 60 to
    # 93 °C
    solvents = [Constituent("solvent", 100, ("flam_liq_2",)), Constituent("other", 0, ())]
    classes = classify(solvents, flash_point_c=flash, boiling_point_c=boiling).classes
    assert classes == ((category,) if category else ())
