"""Substances that do not belong in a school.

Source: CPSC and NIOSH, School Chemistry Laboratory Safety Guide, DHHS (NIOSH) 2007-107 (2006), its appendix
of substances with a greater hazardous nature than educational utility; from memory.
"""

import pytest

from stockroom.chemistry.formula import check_cas
from stockroom.safety.published import rows
from stockroom.safety.restricted import NEVER, REASON, Part, Present, listed, restricted_findings

WORST = {
    "picric acid": "88-89-1", "benzoyl peroxide": "94-36-0", "benzene": "71-43-2",
    "white phosphorus": "12185-10-3",
    "sodium cyanide": "143-33-9", "potassium cyanide": "151-50-8", "sodium azide": "26628-22-8",
    "hydrofluoric acid": "7664-39-3", "mercury": "7439-97-6", "carbon disulfide": "75-15-0",
    "arsenic trioxide": "1327-53-3", "osmium tetroxide": "20816-12-0", "asbestos": "1332-21-4",
    "carbon tetrachloride": "56-23-5", "diisopropyl ether": "108-20-3", "hydrogen sulfide": "7783-06-4",
    "vinyl chloride": "75-01-4",
    "benzidine": "92-87-5", "nicotine": "54-11-5", "perchloric acid": "7601-90-3",
}  # fmt: skip
WITH_A_REASON = {
    "potassium dichromate": "7778-50-9", "lead nitrate": "10099-74-8", "potassium": "7440-09-7",
    "sodium": "7440-23-5", "diethyl ether": "60-29-7", "potassium chlorate": "3811-04-9",
    "bromine": "7726-95-6",
    "phenol": "108-95-2", "chloroform": "67-66-3", "formaldehyde": "50-00-0",
}  # fmt: skip
WELCOME = {
    "water": "7732-18-5", "sodium chloride": "7647-14-5", "hydrochloric acid": "7647-01-0",
    "sodium hydroxide": "1310-73-2", "ethanol": "64-17-5", "copper(II) sulfate": "7758-98-7",
    "magnesium": "7439-95-4", "acetic acid": "64-19-7",
}  # fmt: skip


@pytest.mark.parametrize("cas", WORST.values(), ids=WORST)
def test_never_in_a_school(cas):
    assert listed(Part(cas)).level == NEVER


@pytest.mark.parametrize("cas", WITH_A_REASON.values(), ids=WITH_A_REASON)
def test_only_with_a_written_reason(cas):
    assert listed(Part(cas)).level == REASON


@pytest.mark.parametrize("cas", WELCOME.values(), ids=WELCOME)
def test_not_listed(cas):
    assert listed(Part(cas)) is None


@pytest.mark.parametrize(
    ("cas", "percent", "on_the_list"),
    [
        ("7697-37-2", 70, False),  # nitric acid, only the fuming acid is listed
        ("7697-37-2", 90, True),
        ("7722-84-1", 30, False),  # hydrogen peroxide over 30 %
        ("7722-84-1", 35, True),
        ("7778-50-9", 0.05, False),  # a trace
        ("7778-50-9", None, True),  # a strength nobody knows counts as pure
    ],
)
def test_strength(cas, percent, on_the_list):
    assert bool(listed(Part(cas, percent))) == on_the_list


#: kinds of compound of the same appendix ("lead compounds", "mercury compounds" ...), by formula
COMPOUNDS = {
    "HgO": NEVER, "Hg2Cl2": NEVER, "As2O3": NEVER, "TlNO3": NEVER, "BeSO4·4H2O": NEVER, "Zn(CN)2": NEVER,
    "AgCN": NEVER, "UO2(NO3)2·6H2O": NEVER, "PbO": REASON, "Pb(CH3COO)2·3H2O": REASON, "CdS": REASON,
    "BaCrO4": REASON, "Na2Cr2O7·2H2O": REASON, "CrO3": REASON,
}  # fmt: skip


@pytest.mark.parametrize(("formula", "level"), COMPOUNDS.items())
def test_salts_and_hydrates_that_no_row_names(formula, level):
    assert listed(Part(formula=formula)).level == level


@pytest.mark.parametrize(
    "formula",
    [
        *("Pb", "K4Fe(CN)6·3H2O", "KSCN", "C2H3N", "Cr2O3", "KCr(SO4)2·12H2O", "NaCl", "", "not a formula"),
        *("C6H12O6", "CuSO4·5H2O", "Na2S2O3·5H2O", "NaOCN"),
    ],
)
def test_what_only_looks_like_one(formula):
    """The metal lead, complex cyanides, thiocyanates, chromium(III)."""
    assert listed(Part(formula=formula)) is None


def test_without_a_number_the_name_tells():
    assert listed(Part(name="Picric acid")).level == NEVER
    assert listed(Part(name="Table salt")) is None


@pytest.mark.parametrize(
    "cas", ["7791-13-1", "10101-97-0", "10326-27-9", "7791-20-0", "10026-22-9", "13478-00-7"]
)
def test_a_hydrate_is_listed_as_its_salt_is(cas):
    assert listed(Part(cas)).level == REASON


def test_every_row_has_a_way_out_and_a_real_registry_number():
    for row in rows("restricted"):
        check_cas(row["cas"])
        assert row["why"] and row["route"] and row["level"] in (NEVER, REASON)


def test_what_is_there_worst_first_and_open_until_there_is_a_reason():
    """Own rule: a written reason settles a substance of the second kind, never of the first."""
    dichromate = Present("dichromate", "potassium dichromate", (Part("7778-50-9"),), (1,))
    mercury = Present("mercury", "mercury", (Part("7439-97-6"),), (2,))
    salt = Present("salt", "sodium chloride", (Part("7647-14-5"),), (3,))
    found = restricted_findings(
        [dichromate, salt, mercury], {"dichromate": "Equilibrium, closed tubes", "mercury": "old"}
    )
    assert [(one.present.reagent_key, one.open) for one in found] == [
        ("mercury", True),
        ("dichromate", False),
    ]
    assert restricted_findings([dichromate])[0].open
