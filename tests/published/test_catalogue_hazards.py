"""Hazard classes of the catalogue against the harmonised list.

Source: Regulation (EC) No 1272/2008 (CLP), Annex VI, Table 3, as amended to 2023; from memory.
Hexane and silver as amended by Delegated Regulation (EU) 2024/2564, from 1 May 2026; as an audit read it.
A harmonised entry is a minimum: the catalogue may say more or worse (self-classification, 29 CFR 1910.1200),
never less. Forms are taken as the reagent is kept: powders as stabilised.
"""

import pytest

from stockroom.catalogue.loader import load

REAGENTS = load().reagents
AQUATIC = "aquatic_acute_1 aquatic_chronic_1"
HARMONISED = {
    # solvents
    "acetone_pure": "flam_liq_2 eye_irrit_2a stot_se_3_narcosis",
    "methanol_pure": ("flam_liq_2 acute_tox_oral_3 acute_tox_dermal_3 acute_tox_inhalation_3 stot_se_1"),
    "ethanol_absolute": "flam_liq_2",
    "propan_2_ol_pure": "flam_liq_2 eye_irrit_2a stot_se_3_narcosis",
    "propan_1_ol_pure": "flam_liq_2 eye_dam_1 stot_se_3_narcosis",
    "butan_1_ol_pure": (
        "flam_liq_3 acute_tox_oral_4 stot_se_3_irritation skin_irrit_2 eye_dam_1 stot_se_3_narcosis"
    ),
    "methylpropan_2_ol_pure": "flam_liq_2 acute_tox_inhalation_4 eye_irrit_2a stot_se_3_irritation",
    "acetonitrile_pure": (
        "flam_liq_2 acute_tox_oral_4 acute_tox_dermal_4 acute_tox_inhalation_4 eye_irrit_2a"
    ),
    "ethyl_acetate_pure": "flam_liq_2 eye_irrit_2a stot_se_3_narcosis",
    "butyl_acetate_pure": "flam_liq_3 stot_se_3_narcosis",
    "butanone_pure": "flam_liq_2 eye_irrit_2a stot_se_3_narcosis",
    "diethyl_ether_pure": "flam_liq_1 acute_tox_oral_4 stot_se_3_narcosis",
    "tetrahydrofuran_pure": "flam_liq_2 eye_irrit_2a stot_se_3_irritation carc_2",
    "hexane_pure": (
        "flam_liq_2 repr_2 asp_tox_1 stot_re_1 skin_irrit_2 stot_se_3_narcosis aquatic_chronic_2"
    ),
    "heptane_pure": f"flam_liq_2 asp_tox_1 skin_irrit_2 stot_se_3_narcosis {AQUATIC}",
    "pentane_pure": "flam_liq_2 asp_tox_1 stot_se_3_narcosis aquatic_chronic_2",
    "cyclohexane_pure": f"flam_liq_2 asp_tox_1 skin_irrit_2 stot_se_3_narcosis {AQUATIC}",
    "toluene_pure": "flam_liq_2 repr_2 asp_tox_1 stot_re_2 skin_irrit_2 stot_se_3_narcosis",
    "xylene_mixed": "flam_liq_3 acute_tox_dermal_4 acute_tox_inhalation_4 skin_irrit_2",
    "styrene_stabilised": ("flam_liq_3 repr_2 acute_tox_inhalation_4 stot_re_1 skin_irrit_2 eye_irrit_2a"),
    "methyl_methacrylate_stabilised": "flam_liq_2 stot_se_3_irritation skin_irrit_2 skin_sens_1",
    "dichloromethane_pure": "carc_2",
    "trichloromethane_pure": (
        "carc_2 repr_2 acute_tox_inhalation_3 acute_tox_oral_4 stot_re_1 eye_irrit_2a skin_irrit_2"
    ),
    "turpentine_liquid": (
        "flam_liq_3 acute_tox_oral_4 acute_tox_dermal_4 acute_tox_inhalation_4 asp_tox_1 skin_irrit_2 "
        "eye_irrit_2a skin_sens_1 aquatic_chronic_2"
    ),
    "limonene_pure": "flam_liq_3 skin_irrit_2 skin_sens_1b asp_tox_1 aquatic_acute_1 aquatic_chronic_3",
    "ethane_1_2_diol_pure": "acute_tox_oral_4",
    "pentan_1_ol_pure": "flam_liq_3 acute_tox_inhalation_4 skin_irrit_2 stot_se_3_irritation",
    "cyclohexanol_pure": ("acute_tox_oral_4 acute_tox_inhalation_4 stot_se_3_irritation skin_irrit_2"),
    "cyclohexanone_pure": "flam_liq_3 acute_tox_inhalation_4",
    # organic poisons
    "formaldehyde_37": (
        "carc_1b muta_2 acute_tox_oral_3 acute_tox_dermal_3 acute_tox_inhalation_2 skin_corr_1b skin_sens_1"
    ),
    "ethanal_pure": "flam_liq_1 eye_irrit_2a stot_se_3_irritation muta_2 carc_1b",
    "phenol_solid": (
        "muta_2 acute_tox_oral_3 acute_tox_dermal_3 acute_tox_inhalation_3 stot_re_2 skin_corr_1b"
    ),
    "aniline_pure": (
        "carc_2 muta_2 acute_tox_oral_3 acute_tox_dermal_3 acute_tox_inhalation_3 stot_re_1 eye_dam_1 "
        "skin_sens_1 aquatic_acute_1"
    ),
    "naphthalene_solid": f"carc_2 acute_tox_oral_4 {AQUATIC}",
    "hydroquinone_solid": "carc_2 muta_2 acute_tox_oral_4 eye_dam_1 skin_sens_1 aquatic_acute_1",
    "resorcinol_solid": "acute_tox_oral_4 eye_irrit_2a skin_irrit_2 aquatic_acute_1",
    "hexane_1_6_diamine_solid": ("acute_tox_dermal_4 acute_tox_oral_4 stot_se_3_irritation skin_corr_1b"),
    "phenolphthalein_solid": "carc_1b muta_2 repr_2",
    "crystal_violet_solid": f"carc_2 acute_tox_oral_4 eye_dam_1 {AQUATIC}",
    "congo_red_solid": "carc_1b repr_2",
    "phenanthroline_monohydrate_solid": f"acute_tox_oral_3 {AQUATIC}",
    "benzoic_acid_solid": "stot_re_1 skin_irrit_2 eye_dam_1",
    "salicylic_acid_solid": "repr_2 acute_tox_oral_4 eye_dam_1",
    "oxalic_acid_dihydrate_solid": "acute_tox_oral_4 acute_tox_dermal_4",
    "citric_acid_anhydrous": "eye_irrit_2a stot_se_3_irritation",
    "caffeine_solid": "acute_tox_oral_4",
    # acids, bases, peroxide, bleach
    "sulfuric_acid_96": "skin_corr_1a",
    "hydrochloric_acid_37": "skin_corr_1b stot_se_3_irritation",
    "nitric_acid_70": "ox_liq_3 skin_corr_1a acute_tox_inhalation_3",
    "phosphoric_acid_85": "skin_corr_1b",
    "acetic_acid_glacial": "flam_liq_3 skin_corr_1a",
    "acetic_anhydride_pure": "flam_liq_3 acute_tox_inhalation_4 acute_tox_oral_4 skin_corr_1b",
    "formic_acid_85": "skin_corr_1b",
    "propanoic_acid_pure": "skin_corr_1b",
    "lactic_acid_85": "skin_corr_1c eye_dam_1",
    "sulfamic_acid_solid": "eye_irrit_2a skin_irrit_2 aquatic_chronic_3",
    "sodium_hydroxide_pellets": "skin_corr_1a",
    "potassium_hydroxide_pellets": "acute_tox_oral_4 skin_corr_1a",
    "ammonia_28": "skin_corr_1b stot_se_3_irritation aquatic_acute_1",
    "hydrogen_peroxide_30": "acute_tox_oral_4 eye_dam_1",
    # 10 % of what is chronic 1 with an M-factor of 1: chronic 2
    "sodium_hypochlorite_10": "skin_corr_1b aquatic_acute_1 aquatic_chronic_2",
    # oxidisers
    "potassium_permanganate_solid": f"ox_sol_2 acute_tox_oral_4 repr_2 {AQUATIC}",
    "potassium_dichromate_solid": (
        "ox_sol_2 carc_1b muta_1b repr_1b acute_tox_inhalation_2 acute_tox_oral_3 acute_tox_dermal_4 "
        f"stot_re_1 skin_corr_1b resp_sens_1 skin_sens_1 {AQUATIC}"
    ),
    "potassium_chromate_solid": (
        f"carc_1b muta_1b eye_irrit_2a stot_se_3_irritation skin_irrit_2 skin_sens_1 {AQUATIC}"
    ),
    "potassium_chlorate_solid": ("ox_sol_1 acute_tox_inhalation_4 acute_tox_oral_4 aquatic_chronic_2"),
    "ammonium_dichromate_solid": (
        "ox_sol_2 carc_1b muta_1b repr_1b acute_tox_inhalation_2 acute_tox_oral_3 acute_tox_dermal_4 "
        f"stot_re_1 skin_corr_1b resp_sens_1 skin_sens_1 {AQUATIC}"
    ),
    "calcium_hypochlorite_solid": "ox_sol_2 acute_tox_oral_4 skin_corr_1b aquatic_acute_1",
    "picric_acid_wet": "acute_tox_oral_3 acute_tox_dermal_3 acute_tox_inhalation_3",
    "phosphorus_red": "flam_sol_1 aquatic_chronic_3",
    "potassium_bromate_solid": "ox_sol_1 carc_1b acute_tox_oral_3",
    "sodium_nitrite_solid": "ox_sol_3 acute_tox_oral_3 aquatic_acute_1",
    "silver_nitrate_solid": f"ox_sol_2 skin_corr_1b {AQUATIC}",
    "ammonium_peroxodisulfate_solid": (
        "ox_sol_3 acute_tox_oral_4 eye_irrit_2a stot_se_3_irritation skin_irrit_2 resp_sens_1 skin_sens_1"
    ),
    # metals and their salts
    "lead_ii_nitrate_solid": f"repr_1a acute_tox_inhalation_4 acute_tox_oral_4 stot_re_2 {AQUATIC}",
    "lead_ii_acetate_trihydrate_solid": f"repr_1a stot_re_2 {AQUATIC}",
    "lead_strip": "repr_1a repr_lact",
    "silver_wire": "repr_2",
    "mercury_metal": f"repr_1b acute_tox_inhalation_2 stot_re_1 {AQUATIC}",
    "cobalt_ii_chloride_hexahydrate_solid": (
        f"carc_1b muta_2 repr_1b acute_tox_oral_4 resp_sens_1 skin_sens_1 {AQUATIC}"
    ),
    "nickel_ii_sulfate_hexahydrate_solid": (
        "carc_1a muta_2 repr_1b stot_re_1 acute_tox_inhalation_4 acute_tox_oral_4 skin_irrit_2 resp_sens_1 "
        f"skin_sens_1 {AQUATIC}"
    ),
    "nickel_strip": "carc_2 stot_re_1 skin_sens_1",
    "copper_ii_sulfate_pentahydrate_solid": f"acute_tox_oral_4 eye_dam_1 {AQUATIC}",
    "zinc_chloride_solid": f"acute_tox_oral_4 skin_corr_1b {AQUATIC}",
    "zinc_sulfate_heptahydrate_solid": f"acute_tox_oral_4 eye_dam_1 {AQUATIC}",
    "zinc_oxide_powder": AQUATIC,
    "barium_chloride_dihydrate_solid": "acute_tox_oral_3 acute_tox_inhalation_4",
    "manganese_dioxide_powder": "acute_tox_inhalation_4 acute_tox_oral_4",
    "manganese_ii_sulfate_monohydrate_solid": "stot_re_2 aquatic_chronic_2",
    "iron_ii_sulfate_heptahydrate_solid": "acute_tox_oral_4 eye_irrit_2a skin_irrit_2",
    "boric_acid_solid": "repr_1b",
    "borax_solid": "repr_1b eye_irrit_2a",
    "sodium_fluoride_solid": "acute_tox_oral_3 eye_irrit_2a skin_irrit_2",
    "ammonium_chloride_solid": "acute_tox_oral_4 eye_irrit_2a",
    "potassium_thiocyanate_solid": (
        "acute_tox_oral_4 acute_tox_dermal_4 acute_tox_inhalation_4 aquatic_chronic_3"
    ),
    "sodium_carbonate_anhydrous": "eye_irrit_2a",
    "calcium_chloride_anhydrous": "eye_irrit_2a",
    # halogens, sulfur compounds, what reacts with water
    "bromine_liquid": "acute_tox_inhalation_2 skin_corr_1a aquatic_acute_1",
    "iodine_solid": "acute_tox_inhalation_4 acute_tox_dermal_4 aquatic_acute_1",
    "sodium_dithionite_solid": "self_heat_1 acute_tox_oral_4",
    "sodium_metabisulfite_solid": "acute_tox_oral_4 eye_dam_1",
    "sodium_hydrogensulfite_solid": "acute_tox_oral_4",
    "sodium_sulfide_nonahydrate_solid": "acute_tox_dermal_3 acute_tox_oral_4 skin_corr_1b aquatic_acute_1",
    "sulfur_powder": "skin_irrit_2",
    "calcium_carbide_lumps": "water_react_1",
    "sodium_metal": "water_react_1 skin_corr_1b",
    "potassium_metal": "water_react_1 skin_corr_1b",
    "lithium_metal": "water_react_1 skin_corr_1b",
    "calcium_metal": "water_react_2",
    "aluminium_powder": "flam_sol_1 water_react_2",
    "zinc_powder": AQUATIC,
    "aluminium_chloride_anhydrous": "skin_corr_1b",
    # gases
    "hydrogen_cylinder": "flam_gas_1a",
    "methane_cylinder": "flam_gas_1a",
    "propane_cylinder": "flam_gas_1a",
    "butane_canister": "flam_gas_1a",
    "oxygen_cylinder": "ox_gas_1",
}
#: a class that is at least as grave says what the milder one would
COVERED_BY = {
    "skin_irrit_2": ("skin_corr_",),
    "eye_irrit_2a": ("eye_dam_1", "skin_corr_"),
    "eye_dam_1": ("skin_corr_",),
    "stot_re_2": ("stot_re_1",),
    "skin_sens_1b": ("skin_sens_1",),
    "aquatic_chronic_2": ("aquatic_chronic_1",),
    "aquatic_chronic_3": ("aquatic_chronic_1", "aquatic_chronic_2"),
}


def is_covered(wanted: str, given: tuple[str, ...]) -> bool:
    """By the class itself, a graver category of the same effect, or a graver effect."""
    effect, _, category = wanted.rpartition("_")
    same = [key.rpartition("_")[2] for key in given if key.rpartition("_")[0] == effect]
    return (
        wanted in given
        or (category[0].isdigit() and any(one[0].isdigit() and one <= category for one in same))
        or any(key.startswith(COVERED_BY.get(wanted, ("-",))) for key in given)
    )


@pytest.mark.parametrize(("key", "classes"), HARMONISED.items())
def test_no_harmonised_class_is_missing(key, classes):
    given = REAGENTS[key].hazard_classes
    assert [wanted for wanted in classes.split() if not is_covered(wanted, given)] == []


def test_the_check_would_see_a_missing_class():
    assert not is_covered("carc_1b", ("carc_2",)) and is_covered("carc_2", ("carc_1b",))
    assert not is_covered("acute_tox_oral_3", ("acute_tox_oral_4", "acute_tox_dermal_3"))
    assert not is_covered("stot_se_3_narcosis", ("stot_se_3_irritation",))
    assert not is_covered("repr_lact", ("repr_1a",))
    assert is_covered("eye_irrit_2a", ("skin_corr_1b",)) and not is_covered("skin_corr_1b", ("skin_irrit_2",))
