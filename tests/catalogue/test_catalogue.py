"""The starter catalog hangs together: every key leads somewhere, every row says where it comes from."""

import functools
import re

import pytest

from stockroom.catalogue.classing import is_mixed, worked_out
from stockroom.catalogue.loader import load
from stockroom.catalogue.lookup import lookup, search
from stockroom.chemistry.formula import FormulaError, molar_mass
from stockroom.chemistry.quantity import parse_amount
from stockroom.safety.ageing import ageing_rules, peroxide_class
from stockroom.safety.label import HAZARD_CLASSES, label_elements
from stockroom.safety.published import rows

CATALOGUE = load()
REAGENTS = list(CATALOGUE.reagents.values())
PREPARATIONS = list(CATALOGUE.preparations.values())
STORAGE_KINDS = {row["wanted"] for row in rows("storage_kinds")}
GROUPS = {row["key"] for row in rows("reactivity_groups")}
UNITS = {"% w/w", "% w/v", "% v/v", "mol/L", "mol/kg", "g/L", "mg/L", "pure", "vol H2O2", "saturated"}
KINDS = {"solid", "liquid", "solution", "mixture", "hydrate", "metal", "indicator", "gas"}
SOURCE = re.compile(r"library|from memory|published: .{8,}")


def each(some):
    """Run a check over every row in one test, and name all the rows that fail it."""

    def wrap(check):
        @functools.wraps(check)
        def test():
            failed = []
            for row in some:
                try:
                    check(row)
                except AssertionError as error:
                    failed.append(f"{getattr(row, 'key', '') or row.reagent}: {error}")
            assert not failed, "\n".join(failed)

        del test.__wrapped__  # pytest would ask for a fixture called row
        return test

    return wrap


def has(row, *prefixes):
    return any(key.startswith(prefixes) for key in row.hazard_classes)


def test_there_is_enough_to_stock_a_school():
    assert len(REAGENTS) >= 250
    assert len(CATALOGUE.chemicals) >= 200


@each(REAGENTS)
def test_reagent_speaks_the_vocabulary(row):
    assert row.kind in KINDS
    assert row.measure in {"mass", "volume", "count"}
    assert row.storage_kind in STORAGE_KINDS
    assert {component.unit for component in row.components} <= UNITS
    assert set(row.hazard_classes) <= set(HAZARD_CLASSES)
    assert row.classified
    assert row.groups
    assert set(row.groups) <= GROUPS
    for source in (
        *(row.composition_source, row.density_source or "from memory"),
        *(row.hazard_source, row.transport_source, row.handling_source),
    ):
        assert SOURCE.fullmatch(source)
    assert all((row.protection, row.first_aid, row.spill, row.disposal))


@each(REAGENTS)
def test_what_burns_and_must_be_cold_asks_for_a_refrigerator_rated_for_it(row):
    if row.storage_kind == "cold":
        assert "flammable" not in row.groups and not row.transport_class.startswith(("2.1", "3"))
        assert not [key for key in row.hazard_classes if key.startswith(("flam_liq", "flam_gas"))]


@each(REAGENTS)
def test_reagent_leads_to_its_chemicals(row):
    keys = [component.chemical for component in row.components]
    assert keys
    assert len(keys) == len(set(keys))
    assert set(keys) <= set(CATALOGUE.chemicals)
    assert not row.solvent or row.solvent in CATALOGUE.chemicals


@each(REAGENTS)
def test_liquid_has_a_density_and_opened_life_is_no_longer_than_sealed(row):
    if row.measure == "volume":
        assert row.density
        assert row.density_source
    if row.shelf_life_opened_days:
        assert row.shelf_life_opened_days <= row.shelf_life_sealed_days


@each(REAGENTS)
def test_ageing_is_in_the_table_gravest_first_and_shelf_life_within_it(row):
    rules = [ageing_rules()[key] for key in row.ageing]
    assert len(" ".join(row.ageing)) <= 40  # the width of the database's column
    assert [rule.dangerous for rule in rules] == sorted((rule.dangerous for rule in rules), reverse=True)
    for rule in rules:
        assert row.shelf_life_sealed_days <= (rule.sealed_discard_months or 1200) * 365 / 12
        assert row.shelf_life_opened_days <= (rule.opened_discard_months or 1200) * 365 / 12


@each([row for row in REAGENTS if row.components[0].unit == "pure"])
def test_listed_peroxide_formers_are_marked_so(row):
    listed = peroxide_class(CATALOGUE.chemicals[row.components[0].chemical].cas)
    assert listed is None or listed in row.ageing


@each(REAGENTS)
def test_shares_of_a_mixture_stay_below_the_whole(row):
    for unit in ("% w/w", "% v/v"):
        assert sum(part.value for part in row.components if part.unit == unit) <= 100


@each(REAGENTS)
def test_classes_agree_with_each_other(row):
    if has(row, "skin_corr"):
        assert has(row, "eye_dam_1")
        assert not has(row, "skin_irrit")
    assert not (has(row, "eye_dam") and has(row, "eye_irrit"))
    effects = [key.rpartition("_")[0] for key in row.hazard_classes]
    for effect in (
        "acute_tox_oral",
        "acute_tox_dermal",
        "acute_tox_inhalation",
        "flam_liq",
        "carc",
        "stot_re",
    ):
        assert effects.count(effect) <= 1


POISON = tuple(f"acute_tox_{way}_{n}" for way in ("oral", "dermal", "inhalation") for n in (1, 2, 3))
#: what a class must show on the label, 29 CFR 1910.1200 App. C; flam_liq_4 and chronic 3 and 4 show nothing
SHOWN = {
    ("flam_liq_1", "flam_liq_2", "flam_liq_3"): "GHS02",
    ("flam_sol", "flam_gas_1a", "self_heat", "water_react"): "GHS02",
    ("desens_expl_",): "GHS02",
    ("ox_",): "GHS03",
    ("press_gas",): "GHS04",
    ("skin_corr", "eye_dam", "met_corr"): "GHS05",
    POISON: "GHS06",
    ("resp_sens", "muta", "carc", "repr_1", "repr_2"): "GHS08",
    ("stot_se_1", "stot_se_2", "stot_re", "asp_tox"): "GHS08",
}
DANGER = (
    *(
        "desens_expl_1",
        "flam_liq_1",
        "flam_liq_2",
        "flam_sol_1",
        "flam_gas_1a",
        "self_heat_1",
        "water_react_1",
    ),
    *("water_react_2", "ox_sol_1", "ox_sol_2", "ox_liq_1", "ox_liq_2", "ox_gas"),
    *("skin_corr", "eye_dam", "resp_sens", "asp_tox", "muta_1", "carc_1", "repr_1", "stot_se_1", "stot_re_1"),
    *POISON,
)


@each(REAGENTS)
def test_label_shows_what_the_classes_demand(row):
    label = label_elements(row.hazard_classes)
    shown = {pictogram for prefixes, pictogram in SHOWN.items() if has(row, *prefixes)}
    assert set(label.pictograms) - {"GHS07", "GHS09"} == shown
    silent = {f"aquatic_{term}_{n}" for term in ("acute", "chronic") for n in (2, 3)} >= set(
        row.hazard_classes
    )
    assert label.signal_word == ("Danger" if has(row, *DANGER) else "" if silent else "Warning")


#: where the entry by name in the table of 49 CFR 172.101, which goes before classes found by test, differs
LISTED = {
    "ammonium_dichromate_solid": "5.1 by name",
    "calcium_oxide_solid": "8 by name, though it corrodes by test neither skin nor metal",
    "picric_acid_wet": "4.1 by name (wetted with 30 % water or more)",
    "acetic_anhydride_pure": "8 (3) by name, though poisonous to breathe",
    "aluminium_powder": "4.3 by name (uncoated)",
    "cyclohexene_pure": "3 by name",
    "formaldehyde_37": "3 (8) by name (flammable: with methanol); no entry takes a third class",
    "formic_acid_85": "8 by name (10 to 85 %)",
    "hydrogen_peroxide_30": "5.1 (8) by name",
    "iodine_solid": "8 (6.1) by name",
    "iron_powder": "4.1 as a metal powder; self-heating only in bulk",
    "lithium_metal": "4.3 by name",
    "magnesium_turnings": "4.1 by name (pellets, turnings or ribbons)",
    "nitric_acid_6m": "8 by name (70 % or less)",
    "nitric_acid_70": "8 (5.1) by name",
    "phenol_solid": "6.1 by name",
    "potassium_bromate_solid": "5.1 by name",
    "potassium_dichromate_solid": "5.1 (6.1); no entry takes a third class",
    "potassium_metal": "4.3 by name",
    "potassium_permanganate_solid": "5.1 by name",
    "silver_nitrate_solid": "5.1 by name",
    "sodium_metal": "4.3 by name",
    "sodium_sulfide_nonahydrate_solid": "8 by name (hydrated)",
    "sulfamic_acid_solid": "8 by name, though only irritant by test",
    "trisodium_phosphate_dodecahydrate_solid": "8 as some ship it, though only irritant to skin by test",
}
CALLS_FOR = {
    "3": ("flam_liq_1", "flam_liq_2", "flam_liq_3"),
    "4.1": ("flam_sol", "desens_expl"),
    "4.2": ("self_heat",),
    "4.3": ("water_react",),
    "5.1": ("ox_sol", "ox_liq", "ox_gas"),
    "6.1": POISON,
    "8": ("skin_corr", "met_corr"),
}
MAY_STAND_FOR = {
    "6.1": ("acute_tox", "stot_se_1", "stot_re", "carc"),
    "9": ("aquatic_", "simple_asphyxiant", "flam_liq_4"),
}


@each(REAGENTS)
def test_transport_class_fits_the_hazard_classes(row):
    given = {row.transport_class, row.subsidiary_class} - {""}
    called_for = {number for number, prefixes in CALLS_FOR.items() if has(row, *prefixes)}
    if has(row, "aquatic_acute_1", "aquatic_chronic_1", "aquatic_chronic_2") and given == {"none"}:
        called_for.add("9")
    if row.kind == "gas":
        assert row.transport_class == ("2.1" if has(row, "flam_gas") else "2.2")
        given -= {row.transport_class}
    unfounded = {
        number
        for number in given - {"none"}
        if not has(row, *CALLS_FOR.get(number, ()), *MAY_STAND_FOR.get(number, ()))
    }
    fits = called_for <= given and not unfounded
    assert fits != (row.key in LISTED), f"called for {called_for}, given {given}, unfounded {unfounded}"


@each(REAGENTS)
def test_un_number_where_and_only_where_regulated(row):
    if row.transport_class == "none":
        assert (row.un_number, row.packing_group, row.subsidiary_class) == ("", "", "")
        assert row.transport_text == "none"
    else:
        assert re.fullmatch(r"\d{4}", row.un_number)
        assert row.packing_group in {"", "I", "II", "III"}
        assert bool(row.packing_group) == (row.kind != "gas" and row.key != "dry_ice")


@each(REAGENTS)
def test_groups_fit_the_classes(row):
    groups = set(row.groups)
    if has(row, "flam_liq_1", "flam_liq_2", "flam_liq_3"):
        assert groups & {"flammable", "acid_organic"}
    if has(row, "ox_"):
        oxidisers = {"oxidiser", "nitrate", "nitrite", "chlorate", "permanganate", "chromate", "peroxide"}
        assert groups & {*oxidisers, "bromate", "acid_oxidising", "ammonium"}
    if has(row, "water_react"):
        assert "water_reactive" in groups
    if has(row, *POISON):
        assert "toxic" in groups
    if "inert" in groups:
        assert groups <= {"inert", "solid", "aqueous"}
    if row.measure == "mass" and row.kind != "gas":
        assert "solid" in groups


def in_millilitres_or_grams(reagent, text):
    return parse_amount(text, reagent.measure) / (1e6 if reagent.measure == "mass" else 1e3)


def content(reagent, amount):
    """Moles of each chemical, counted without crystal water, in grams or milliliters of a reagent."""
    found = {}
    grams = amount if reagent.measure == "mass" else amount * float(reagent.density)
    for part in reagent.components:
        chemical = CATALOGUE.chemicals[part.chemical]
        value = None if part.value is None else float(part.value)
        mass = {
            "pure": lambda: grams,
            "% w/w": lambda value=value: grams * value / 100,
            "% w/v": lambda value=value: amount * value / 100,
            "g/L": lambda value=value: amount * value / 1000,
            "% v/v": lambda value=value, key=part.chemical: amount * value / 100 * neat_density(key),
            "mol/L": lambda value=value, formula=chemical.formula: (
                amount * value / 1000 * molar_mass(formula)
            ),
        }[part.unit]()
        moles = mass / molar_mass(chemical.formula) if chemical.formula else mass
        found[chemical.anhydrous or chemical.key] = found.get(chemical.anhydrous or chemical.key, 0) + moles
    return found


def neat_density(chemical):
    """g/mL of the chemical by itself, from the reagent that holds nothing else."""
    return next(
        float(row.density)
        for row in REAGENTS
        if row.density and [(part.chemical, part.unit) for part in row.components] == [(chemical, "pure")]
    )


#: more goes in than dissolves; the rest stays behind
EXCESS = {"limewater"}


#: of these the flash point or the test of the solution decides, not the sum of its parts
DECIDED_BY_TEST = ("flam_", "ox_", "met_corr")
#: rows that say more than their parts make of them, and why
SAYS_MORE = {
    "bromine_water": "bromine vapor burns, whatever the sum says",
    "sodium_hydroxide_0_1m": "pH 13: irritant until a test says otherwise",
    "glucose_alkaline": "the sub-category of the EU limit from 2 %, which it nearly reaches",
}
#: nothing on file that is one substance speaks for these
NO_NEAT_FORM = {"sodium_hypochlorite", "formaldehyde", "detergent", "food_dye", "milk_proteins"}
MIXED = [
    row
    for row in REAGENTS
    if row.solvent == "water"
    and is_mixed(row)
    and not NO_NEAT_FORM & {part.chemical for part in row.components}
]


@each(MIXED)
def test_solution_is_classed_as_its_parts_make_it(row):
    found = worked_out(row)
    assert found.complete
    follows, written = (
        {key for key in keys if not key.startswith(DECIDED_BY_TEST)}
        for keys in (found.classes, row.hazard_classes)
    )
    same = written == follows
    assert same != (row.key in SAYS_MORE), f"written {written - follows}, follows {follows - written}"


#: what 49 CFR 171.8 leaves to class 9 when nothing else applies: UN GHS aquatic acute 1, chronic 1, chronic 2
POLLUTES = ("aquatic_acute_1", "aquatic_chronic_1", "aquatic_chronic_2")


@each([row for row in REAGENTS if row.transport_class == "4.3"])
def test_packing_group_of_what_reacts_with_water_is_its_category(row):
    """49 CFR 173.125(d): great danger I, medium II, minor III; GHS 2.12 takes the same three."""
    category = next(key[-1] for key in row.hazard_classes if key.startswith("water_react"))
    assert row.packing_group == "I" * int(category)


@each(REAGENTS)
def test_un_3077_and_3082_follow_from_the_aquatic_classes(row):
    """UN Model Regulations 2.9.3.4.3; the US asks for it by name (marine pollutants, 172.101 App. B) only."""
    by_water_life = row.un_number in ("3077", "3082")
    assert by_water_life <= bool(set(POLLUTES) & set(row.hazard_classes))


@each(PREPARATIONS)
def test_preparation_puts_in_what_the_strength_says(row):
    reagent = CATALOGUE.reagents[row.reagent]
    made = content(reagent, in_millilitres_or_grams(reagent, row.yields))
    put_in = {}
    for part in row.parts:
        source = CATALOGUE.reagents[part.reagent]
        for key, moles in content(source, in_millilitres_or_grams(source, part.amount)).items():
            put_in[key] = put_in.get(key, 0) + moles
    for key, moles in made.items():
        if row.reagent in EXCESS:
            assert put_in[key] > moles
        else:
            assert put_in[key] == pytest.approx(moles, rel=0.02)
    assert set(put_in) - set(made) <= {"water", "heptane"}


@each(PREPARATIONS)
def test_preparation_neither_loses_nor_makes_mass(row):
    """Within 6 %: densities from memory, and litmus, cabbage and lime leave a residue."""
    reagent = CATALOGUE.reagents[row.reagent]
    made = in_millilitres_or_grams(reagent, row.yields) * float(reagent.density)
    put_in = 0
    for part in row.parts:
        source = CATALOGUE.reagents[part.reagent]
        amount = in_millilitres_or_grams(source, part.amount)
        put_in += amount if source.measure == "mass" else amount * float(source.density)
    assert put_in == pytest.approx(made, rel=0.25 if row.reagent == "red_cabbage_extract" else 0.06)


@each(PREPARATIONS)
def test_preparation_leads_to_reagents(row):
    assert row.reagent in CATALOGUE.reagents
    assert {part.reagent for part in row.parts} <= set(CATALOGUE.reagents) - {row.reagent}
    assert len(row.method.splitlines()) >= 2
    assert SOURCE.fullmatch(row.source)


STRONG_ACIDS = {"sulfuric_acid_96", "hydrochloric_acid_37", "nitric_acid_70", "phosphoric_acid_85"}


@each([row for row in PREPARATIONS if STRONG_ACIDS & {part.reagent for part in row.parts}])
def test_strong_acid_goes_into_the_water(row):
    assert row.method.index("water in a") < row.method.index(" the acid ")
    assert "ever water into acid" in row.method


def test_preparations_do_not_go_in_circles():
    def needs(key, seen=()):
        assert key not in seen, f"{key} is made from itself: {seen}"
        if key in CATALOGUE.preparations:
            for part in CATALOGUE.preparations[key].parts:
                needs(part.reagent, (*seen, key))

    for key in CATALOGUE.preparations:
        needs(key)


def test_names_and_numbers_are_not_used_twice():
    names = [row.name for row in REAGENTS]
    cas = [row.cas for row in CATALOGUE.chemicals.values() if row.cas]
    chemicals = [row.name for row in CATALOGUE.chemicals.values()]
    assert sorted(names) == sorted(set(names))
    assert sorted(cas) == sorted(set(cas))
    assert sorted(chemicals) == sorted(set(chemicals))


def test_every_working_solution_can_be_made():
    """What a school buys as it is has no preparation; every other solution has one."""
    bought = {
        *("vinegar_white", "bleach_household", "ethanol_denatured", "ammonia_household", "bromine_water"),
        *("sodium_silicate_solution", "lemon_juice", "milk_whole", "dish_liquid", "food_colouring"),
    }
    solutions = {row.key for row in REAGENTS if row.kind in ("solution", "mixture")}
    assert solutions - bought - set(CATALOGUE.preparations) == set()


@pytest.mark.parametrize(
    ("typed", "cas", "source"),
    [
        ("Sulphuric acid", "7664-93-9", "library"),
        ("isopropyl alcohol", "67-63-0", "library"),
        (" CAS 67-64-1 ", "67-64-1", "library"),
        ("copper(II) sulfate pentahydrate", "7758-99-8", "library"),
        ("nitrobenzene", "98-95-3", "library"),
        ("98-95-3", "98-95-3", "library"),
        ("litmus", "1393-92-6", "from memory"),
    ],
)
def test_lookup_finds_by_name_synonym_and_number(typed, cas, source):
    found = lookup(typed)
    assert (found.cas, found.source) == (cas, source)


def test_lookup_fills_in_what_the_catalogue_holds():
    found = lookup("acetone")
    assert [row.key for row in found.reagents] == ["acetone_pure"]
    assert found.facts.flash_point_c == pytest.approx(-20, abs=3)
    assert found.facts.limit_eight_hours[1] == "ppm"
    assert lookup("98-95-3").reagents == ()


@pytest.mark.parametrize(
    "typed", ["", "  ", "zzz", "<script>alert(1)</script>", "x" * 500, "../..", "C((", "\x00"]
)
def test_lookup_does_not_guess(typed):
    assert lookup(typed) is None


def test_lookup_says_that_a_number_has_a_slip():
    with pytest.raises(FormulaError, match="slip"):
        lookup("7664-93-8")


def test_search_puts_names_that_start_so_first():
    assert search("sulfur")[0].name == "sulfur"
    assert "sulfuric acid" in [row.name for row in search("sulph")]
    assert search("") == ()
    assert len(search("a", limit=5)) == 5
