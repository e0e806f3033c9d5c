"""From a composition in the units people write to the classes of the solution."""

from decimal import Decimal

import pytest

from stockroom.catalogue.loader import load
from stockroom.chemistry.concentration import Strength, parse_strength
from stockroom.safety.classify import WATER
from stockroom.safety.composition import Ingredient, acidity, classify_reagent, constituents

ACID = ("skin_corr_1b", "eye_dam_1", "stot_se_3_irritation", "met_corr_1")


def ingredient(name, strength, classes=(), **more):
    return Ingredient(name, parse_strength(strength), classes, **more)


def hydrochloric(strength):
    return ingredient("hydrochloric acid", strength, ACID, cas="7647-01-0", formula="HCl", kind="acids")


@pytest.mark.parametrize(
    ("strength", "density", "expected"),
    [
        # 12.1 mol/L is 37 %, 6 mol/L 20 %, 1 mol/L 3.6 % of HCl: handbook densities, CRC Handbook; from
        # memory
        ("37 % w/w", "1.19", {"skin_corr_1b", "eye_dam_1", "stot_se_3_irritation", "met_corr_1"}),
        ("6 mol/L", "1.10", {"skin_irrit_2", "eye_irrit_2a", "stot_se_3_irritation", "met_corr_1"}),
        ("1 mol/L", "1.016", {"met_corr_1"}),
    ],
)
def test_hydrochloric_acid_by_its_strength(strength, density, expected):
    result = classify_reagent((hydrochloric(strength),), solvent=WATER, density_g_ml=Decimal(density))
    assert set(result.classes) == expected
    assert result.complete


def test_shares_come_out_in_per_cent_by_mass():
    # 1 mol/L NaOH: 40.00 g in 1040 g
    parts, missing = constituents(
        (ingredient("sodium hydroxide", "1 mol/L", formula="NaOH"),), Decimal("1.04")
    )
    assert parts[0].percent == pytest.approx(3.846, abs=0.002)
    assert missing == ()


def test_without_a_density_the_share_is_taken_too_high():
    salt = (ingredient("sodium carbonate", "5 % w/v", formula="Na2CO3"),)
    parts, missing = constituents(salt)
    assert parts[0].percent == pytest.approx(6.25)
    assert "density" in missing[0]


def test_what_cannot_be_converted_counts_as_undiluted():
    dye = ingredient("dye", "saturated", ("carc_2",))
    result = classify_reagent((dye,), solvent=WATER, density_g_ml=Decimal(1))
    assert result.classes == ("carc_2",)
    assert any(line.startswith("dye:") for line in result.missing)


def test_a_light_guess_never_makes_more_than_a_whole():
    salt = ingredient("potassium iodide", "70 % w/v", ("stot_re_1",), formula="KI")
    other = ingredient("sugar", "30 % w/w", formula="C12H22O11")
    result = classify_reagent((salt, other), solvent=WATER)
    assert "stot_re_1" in result.classes


@pytest.mark.parametrize(
    ("formula", "strength", "density", "ph", "reserve"),
    [
        # 0.1 mol/L of a strong acid: pH 1.1 (Bates, Determination of pH, 0.1 mol/kg HCl 1.09), 0.40 g NaOH
        # a 100 g
        ("HCl", "0.1 mol/L", "1.0", 1.1, 0.40),
        # 0.02 mol/kg calcium hydroxide: pH 12.6 at 20 °C (NIST standard, saturated at 20 °C 12.63), from
        # memory
        ("Ca(OH)2", "1.5 g/L", "1.0", 12.6, 0.16),
    ],
)
def test_acidity_and_its_reserve(formula, strength, density, ph, reserve):
    found = acidity((ingredient(formula, strength, formula=formula),), Decimal(density))
    assert found.ph == pytest.approx(ph, abs=0.1)
    assert found.reserve == pytest.approx(reserve, abs=0.02)


def test_acidity_of_what_the_model_does_not_know():
    assert acidity((ingredient("some dye", "1 g/L"),), Decimal(1)) is None


def test_limewater_is_an_irritant_not_a_corrosive():
    lime = ingredient(
        "calcium hydroxide",
        "1.6 g/L",
        ("skin_irrit_2", "eye_dam_1"),
        cas="1305-62-0",
        formula="Ca(OH)2",
        kind="bases",
    )
    result = classify_reagent((lime,), solvent=WATER, density_g_ml=Decimal(1))
    assert set(result.classes) == {"skin_irrit_2", "eye_irrit_2a"}
    assert "worked out from the equilibrium" in result.reasons[0].text


def test_unknown_ph_of_a_base_is_named_as_missing():
    base = ingredient("some amine", "0.5 % w/w", ("eye_dam_1",), kind="bases")
    assert "pH of the mixture" in classify_reagent((base,), solvent=WATER).missing


def test_a_measured_ph_is_not_reckoned_over():
    acid = ingredient("sodium hydrogensulfate", "0.1 mol/L", (), formula="NaHSO4", kind="acids")
    result = classify_reagent((acid,), solvent=WATER, density_g_ml=Decimal("1.01"), ph=7.0)
    assert result.classes == ()


@pytest.mark.parametrize(
    ("cas", "strength", "expected"),
    [
        ("64-19-7", "5 % w/w", None),
        ("64-19-7", "50 % w/w", "flam_liq_4"),
        ("64-19-7", "80 % w/w", "flam_liq_4"),
        ("64-19-7", "90 % w/w", "flam_liq_3"),
        ("64-18-6", "85 % w/w", "flam_liq_4"),
        ("64-18-6", "90 % w/w", "flam_liq_3"),
    ],
)
def test_vinegar_does_not_burn_and_glacial_acid_does(cas, strength, expected):
    # 49 CFR 172.101: UN 2789 acetic acid, more than 80 %, class 8 (3); UN 2790, 10 to 80 %, class 8. UN
    # 1779 formic acid with more than 85 %, class 8 (3); UN 3412, class 8; from memory
    acid = ingredient("acid", strength, ("flam_liq_3",), cas=cas)
    found = [key for key in classify_reagent((acid,), solvent=WATER).classes if key.startswith("flam")]
    assert found == ([expected] if expected else [])


SPIRITS = [
    row
    for row in load().reagents.values()
    if row.solvent == "water" and any(part.chemical in ("ethanol", "propan_2_ol") for part in row.components)
]


@pytest.mark.parametrize("row", SPIRITS, ids=lambda row: row.key)
def test_aqueous_alcohols_of_the_catalogue_burn_as_their_flash_point_says(row):
    alcohol = next(part for part in row.components if part.chemical in ("ethanol", "propan_2_ol"))
    chemical = load().chemicals[alcohol.chemical]
    spirit = Ingredient(
        chemical.name,
        Strength(alcohol.value, alcohol.unit),
        ("flam_liq_2",),
        cas=chemical.cas,
        formula=chemical.formula,
    )
    found = classify_reagent((spirit,), solvent=WATER, density_g_ml=row.density)
    burning = [key for key in found.classes if key.startswith("flam")]
    assert burning == [key for key in row.hazard_classes if key.startswith("flam")]
