"""Reactivity groups from composition."""

import time
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.catalogue.as_item import item_of, reactivity_of
from stockroom.catalogue.loader import load
from stockroom.chemistry.residue import Dissolved, Organic, Residue, Solid
from stockroom.safety.building_blocks import blocks_of
from stockroom.safety.groups import (
    FORMS,
    NOT_KNOWN,
    STATE_WORDS,
    Matter,
    Part,
    Reactivity,
    form_of,
    of_residue,
    reactivity,
    with_written,
)
from stockroom.safety.published import rows, words
from stockroom.safety.storage import MIX, findings, reactivity_groups

#: what composition cannot tell: it comes with hazard classes and labels
_WRITTEN_ONLY = {
    *("toxic", "flammable", "flammable_solid", "pyrophoric", "explosive", "radioactive", "gas_pressure"),
    *("gas_toxic", "water_reactive", "oxidiser"),
}


def groups(*parts, form="solution", water=True, **more):
    """Of parts (formula, mol/L) or (formula, "30 %")."""
    made = []
    for formula, amount in parts:
        share = str(amount).endswith("%")
        made.append(
            Part(formula, percent=float(amount[:-1]) if share else None, mol_per_l=None if share else amount)
        )
    return reactivity(Matter(tuple(made), form, water=water, **more)).groups


@pytest.mark.parametrize(
    ("formula", "group"),
    [
        *(("AgNO3", "silver"), ("NH3", "ammonia_dilute"), ("NH4Cl", "ammonium"), ("KSCN", "thiocyanate")),
        *(("K4Fe(CN)6", "ferrocyanide"), ("K3Fe(CN)6", "ferrocyanide"), ("NaCN", "cyanide")),
        *(("Na2S", "sulfide"), ("Na2SO3", "sulfite"), ("Na2S2O5", "sulfite"), ("Na2S2O4", "sulfite")),
        *(("Na2S2O3", "sulfite"), ("NaNO2", "nitrite"), ("NaOCl", "hypochlorite"), ("ClNaO", "hypochlorite")),
        *(("KClO3", "chlorate_dilute"), ("KBrO3", "oxidiser_high"), ("KIO3", "oxidiser_high")),
        *(("KMnO4", "permanganate_dilute"), ("K2CrO4", "oxidiser_high"), ("H2O2", "peroxide_dilute")),
        *(("KI", "iodide"), ("NaBr", "bromide"), ("NaCl", "chloride"), ("NaF", "fluoride")),
        *(("NaN3", "azide"), ("Na2CO3", "carbonate"), ("KHCO3", "carbonate"), ("FeSO4", "reducing")),
        *(("SnCl2", "reducing"), ("Na2C2O4", "oxalate"), ("HCOONa", "formate"), ("NaOCN", "cyanate")),
        *(("Ag(NH3)2+", "silver"), ("Ag(NH3)2+", "ammonia_dilute"), ("MnO4-", "oxidiser_high")),
    ],
)
def test_ions_bring_their_groups_at_a_tenth_of_a_mole_per_litre(formula, group):
    assert group in groups((formula, 0.1))


@pytest.mark.parametrize(
    ("formula", "group"),
    [
        *(("KNO3", "nitrate"), ("KClO3", "chlorate"), ("KBrO3", "bromate"), ("KClO4", "perchlorate")),
        *(("KMnO4", "permanganate"), ("K2Cr2O7", "chromate"), ("KIO4", "oxidiser"), ("K2S2O8", "peroxide")),
        *(("Na2O2", "peroxide"), ("BaO2", "peroxide"), ("NaBO3·4H2O", "peroxide")),
        *(("(Na2CO3)2(H2O2)3", "hydrogen_peroxide"), ("(Na2CO3)2(H2O2)3", "carbonate")),
        *(("CaC2", "carbide"), ("NaH", "hydride"), ("LiAlH4", "hydride"), ("NaBH4", "hydride")),
        *(
            ("Ca3P2", "phosphide"),
            ("Mg3N2", "nitride"),
            ("AlCl3", "water_reactive"),
            ("P4O10", "dehydrating"),
        ),
        *(("CaO", "heats_in_water"), ("NaOH", "caustic"), ("NaHSO4", "acid_dilute")),
        *(("KAl(SO4)2·12H2O", "acid_dilute"), ("NH4NO3", "ammonium_nitrate"), ("CrO3", "acid_oxidising")),
        *(
            ("MnO2", "oxidiser_high"),
            ("Ag2O", "silver"),
            ("HgO", "mercury"),
            ("I2", "iodine"),
            ("As2O3", "metal_toxic_hydride"),
        ),
    ],
)
def test_solids_bring_their_groups(formula, group):
    assert group in groups((formula, "100%"), form="solid", water=False)


@pytest.mark.parametrize(
    ("formula", "mol_per_l", "yes", "no"),
    [
        ("HCl", 0.1, "acid_dilute", "acid_strong"),
        ("HCl", 6, "acid_strong", "acid_dilute"),
        ("HNO3", 1, "acid_dilute", "nitric"),
        ("HNO3", 6, "acid_oxidising", "acid_strong"),
        ("H2SO4", 0.1, "acid_dilute", "sulfuric_conc"),
        ("H2SO4", 18, "sulfuric_conc", "acid_dilute"),
        ("NaOH", 0.1, "base_dilute", "base_strong"),
        ("NaOH", 6, "caustic", "base_dilute"),
        ("NH3", 6, "ammonia", "ammonium"),
        ("H2O2", 0.9, "peroxide_dilute", "peroxide"),
        ("H2O2", 9.8, "peroxide", "peroxide_dilute"),
        ("CH3COOH", 0.1, "acid_dilute", "acid_organic"),
        ("KNO3", 1, "inert", "nitrate"),
        ("NaH2PO4", 0.1, "inert", "acid_dilute"),
    ],
)
def test_strength_decides(formula, mol_per_l, yes, no):
    found = groups((formula, mol_per_l))
    assert yes in found and no not in found


@pytest.mark.parametrize(
    ("formula", "form", "yes", "no"),
    [
        *(("Zn", "powder", "metal_powder", "metal_noble"), ("Zn", "pieces", "metal_active", "metal_powder")),
        *(("Zn", "solid", "metal_powder", "metal_slow"), ("Cu", "pieces", "metal_noble", "metal_active")),
        *(("Na", "pieces", "alkali_metal", "metal_noble"), ("Sn", "pieces", "metal_slow", "metal_active")),
        ("Mg", "pieces", "metal_light", "water_reactive"),
    ],
)
def test_metals_by_potential_and_form_and_powder_where_nobody_said(formula, form, yes, no):
    found = groups((formula, "100%"), form=form, water=False)
    assert yes in found and no not in found


@pytest.mark.parametrize(
    ("cas", "form", "has"),
    [
        ("67-64-1", "liquid", "ketone flammable solvent organic"),
        ("64-17-5", "liquid", "alcohol flammable"),
        ("56-81-5", "liquid", "glycerol"),
        ("50-00-0", "gas", "formaldehyde aldehyde"),
        ("67-66-3", "liquid", "halogenated_organic polyhalogenated"),
        ("98-95-3", "liquid", "nitro_organic"),
        ("62-53-3", "liquid", "amine"),
        ("57-13-6", "solid", "amide organic"),
        ("100-42-5", "liquid", "polymerises unsaturated"),
        ("109-99-9", "liquid", "peroxide_former"),
        ("108-24-7", "liquid", "anhydride water_reactive"),
        ("75-36-5", "liquid", "acid_chloride water_reactive"),
        ("64-18-6", "liquid", "acid_organic formate"),
        ("144-62-7", "solid", "oxalate acid_dilute"),
        ("50-81-7", "solid", "reducing"),
        ("94-36-0", "solid", "peroxide_organic"),
        ("88-89-1", "solid", "picric explosive"),
        ("74-86-2", "gas", "acetylene flammable_gas"),
        ("302-01-2", "liquid", "reducer amine"),
        ("9005-25-8", "solid", "organic"),
    ],
)
def test_structure_brings_its_groups(cas, form, has):
    found = reactivity(Matter((Part(cas=cas),), form))
    assert set(has.split()) <= found.groups and not found.unknown


def test_isomers_are_told_apart_by_their_registry_number():
    urea = reactivity(Matter((Part("CH4N2O", "57-13-6", "urea"),), "solid")).groups
    assert "amide" in urea and "ammonium" not in urea
    thiocyanate = reactivity(Matter((Part("NH4SCN", "1762-95-4"),), "solid")).groups
    assert {"ammonium", "thiocyanate"} <= thiocyanate


def test_every_group_has_its_reason():
    found = reactivity(Matter((Part("AgNO3", "7761-88-8", "silver nitrate", 0.1),), "solution", water=True))
    assert "silver ion, 0.1 mol/L" in found.why("silver")
    assert all(why for _, why in found.reasons)


def test_what_is_not_understood_is_not_known_and_never_inert():
    for matter in (
        Matter((Part("XyZ", "", "grey powder"),), "solid"),
        Matter((Part("NaCl", percent=50.0), Part(name="something green")), "solid"),
        Matter((), "solution", water=True),
        Matter((Part("NaCl", mol_per_l=0.1),), water=True, unknown=("what fell in",)),
        Matter((Part("C9H9", "", "an isomer nobody named"),), "liquid"),
    ):
        found = reactivity(matter)
        assert NOT_KNOWN in found.groups and "inert" not in found.groups


def test_what_is_written_adds_and_takes_nothing_away():
    silver = Reactivity((("silver", "silver ion"), ("solid", "a solid")))
    assert with_written(silver, frozenset({"inert", "toxic"})) == {"silver", "solid", "toxic"}
    grey = Reactivity(((NOT_KNOWN, "grey powder"),), ("grey powder",))
    assert NOT_KNOWN in with_written(grey, frozenset())
    assert NOT_KNOWN in with_written(grey, frozenset({"solid"}))
    vouched = with_written(grey, frozenset({"acid_strong"}))
    assert NOT_KNOWN not in vouched and {"acid_conc", "hydrochloric", "sulfuric_conc"} <= vouched


def test_ph_decides_between_ammonia_and_ammonium_and_neutral_is_no_acid():
    def residue(ph):
        parts = (Dissolved("ammonia", "NH3", "7664-41-7", 0.2), Dissolved("chloride ion", "Cl-", "", 0.2))
        return reactivity(of_residue(Residue(100_000, ph, components=parts))).groups

    assert "ammonium" in residue(5) and not residue(5) & {"ammonia", "ammonia_dilute"}
    assert "ammonia" in residue(11)
    buffered = (Dissolved("acetic acid", "CH3COOH", "64-19-7", 0.01),)
    assert "acid_dilute" in reactivity(of_residue(Residue(100_000, 3.0, components=buffered))).groups
    assert "acid_dilute" not in reactivity(of_residue(Residue(100_000, 8.5, components=buffered))).groups


def test_residues_say_what_is_dissolved_undissolved_and_organic():
    mixed = Residue(
        100_000,
        2.0,
        components=(Dissolved("silver ion", "Ag+", "", 0.01), Dissolved("nitrate ion", "NO3-", "", 0.01)),
        undissolved=(Solid("zinc", "Zn", "7440-66-6", 0.1),),
        organics=(Organic("ethanol", "64-17-5", 12.0),),
    )
    assert {"silver", "acid_dilute", "metal_powder", "alcohol_dilute", "aqueous"} <= reactivity(
        of_residue(mixed)
    ).groups
    assert (
        "ketone"
        in reactivity(
            of_residue(Residue(50_000, None, organics=(Organic("acetone", "67-64-1", 98.0),)))
        ).groups
    )
    assert NOT_KNOWN in reactivity(of_residue(Residue(50_000, None, unknown=("sludge",)))).groups


@pytest.mark.parametrize(
    ("kind", "measure", "name", "solvent", "form"),
    [
        *(("metal", "mass", "zinc, powder", "", "powder"), ("metal", "mass", "iron, filings", "", "powder")),
        *(("metal", "mass", "copper, wire", "", "pieces"), ("metal", "mass", "zinc", "", "solid")),
        *(
            ("liquid", "volume", "acetone", "", "liquid"),
            ("solution", "volume", "salt water", "water", "solution"),
        ),
        ("gas", "volume", "nitrogen, compressed", "", "gas"),
    ],
)
def test_form_of_a_reagent(kind, measure, name, solvent, form):
    assert form_of(kind, measure, name, solvent) == form


def test_liquid_nitrogen_is_a_liquid():
    assert form_of("gas", "volume", "nitrogen, liquid", "", 0.807) == "liquid"
    assert "cryogenic" in groups(("N2", "100%"), form="liquid", water=False)


@given(
    st.sampled_from(FORMS),
    st.floats(0.001, 20),
    st.sampled_from(["HCl", "NaOH", "AgNO3", "KMnO4", "C3H6O", "Zn"]),
)
def test_more_of_a_thing_never_makes_it_unknown_or_inert(form, strength, formula):
    found = groups((formula, strength), form=form)
    assert found
    assert ("inert" in found) <= (strength < 0.01)


# --- the catalogue


def test_every_composition_of_the_catalogue_is_understood():
    unknown = {key: reactivity_of(row).unknown for key, row in load().reagents.items()}
    assert not {key: names for key, names in unknown.items() if names}


def test_no_group_of_the_catalogue_is_contradicted_by_composition():
    harmless = {row["key"] for row in rows("reactivity_groups") if row["alone"] == "harmless"}
    wrong = {}
    for key, row in load().reagents.items():
        found = reactivity_of(row).groups
        lost = set(row.groups) - found - _WRITTEN_ONLY - STATE_WORDS
        if "inert" in lost and found <= harmless:
            lost.discard("inert")
        if lost:
            wrong[key] = lost
    assert not wrong


def test_what_is_called_inert_has_no_group_that_could_hurt():
    """Each is a salt, oxide, gas or watery solution that no rule speaks of; the list is read by a person."""
    alone = {
        key
        for key, row in load().reagents.items()
        if reactivity_of(row).groups <= {"inert", "watery", *STATE_WORDS}
    }
    assert len(alone) < 60
    assert {"sand", "magnesium_sulfate_0_1m", "potassium_nitrate_1m", "starch_1"} <= alone
    classes = ("ox_", "flam_", "skin_corr", "water_react", "pyr", "expl", "self_")
    assert not [
        key for key in alone if any(one.startswith(classes) for one in load().reagents[key].hazard_classes)
    ]


def test_every_word_that_a_table_brings_is_in_the_vocabulary():
    known = reactivity_groups().keys()
    for name, columns in {
        "reactive_species": ("always", "strong", "weak"),
        "natural_matter": ("groups",),
        "reactivity_groups": ("worst",),
    }.items():
        for row in rows(name):
            assert {word for column in columns for word in words(row[column])} <= known, row
    for row in load().reagents.values():
        assert reactivity_of(row).groups <= known, row.key


def test_the_structures_are_those_of_the_library():
    from chemicals import search_chemical

    for row in rows("structures"):
        assert search_chemical(row["cas"]).smiles == row["smiles"], row["name"]


def test_all_pairs_of_the_catalogue_are_judged_in_under_ten_seconds():
    start = time.perf_counter()
    items = [item_of(row) for row in load().reagents.values()]
    count = sum(bool(findings(a, b, MIX)) for a, b in combinations(items, 2))
    assert count > 10_000
    assert time.perf_counter() - start < 10


def test_formulas_that_are_no_salt_are_not_guessed():
    assert blocks_of("C2H4O") is None
    assert blocks_of("not a formula") is None
    assert blocks_of("C6H12O6") is None
