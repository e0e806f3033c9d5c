"""Names as bottles say them. What each spelling means is a fact of the trade: common practice, no source."""

import pytest

from stockroom.catalogue.label_text import read_label
from stockroom.catalogue.loader import load
from stockroom.catalogue.lookup import lookup, search
from stockroom.catalogue.matching import CHOOSE, SURE, UNKNOWN, match
from stockroom.catalogue.naming import base_of

#: as written -> the reagent that must come first
SPELLINGS = """
conc. HCl|hydrochloric_acid_37
HCl conc|hydrochloric_acid_37
Hydrochloric acid, 36.5-38%, ACS|hydrochloric_acid_37
12M HCl|hydrochloric_acid_37
dil. HCl|hydrochloric_acid_2m
2M HCl|hydrochloric_acid_2m
HCl 6|hydrochloric_acid_6m
HCl (6 mol/L)|hydrochloric_acid_6m
hydrochloric acid 0,1 mol/l|hydrochloric_acid_0_1m
0.1N HCl|hydrochloric_acid_0_1m
M/10 NaOH|sodium_hydroxide_0_1m
muriatic acid conc|hydrochloric_acid_37
conc sulphuric|sulfuric_acid_96
H2SO4 conc.|sulfuric_acid_96
sulfuric acid 95-98 %|sulfuric_acid_96
H2SO4 3M|sulfuric_acid_3m
HNO3 conc|nitric_acid_70
nitric acid 68-70%|nitric_acid_70
glacial acetic|acetic_acid_glacial
ethanoic acid, glacial|acetic_acid_glacial
acetic acid 6M|acetic_acid_6m
ortho-phosphoric acid 85%|phosphoric_acid_85
ammonia conc|ammonia_28
NH4OH 2M|ammonia_2m
amm. hydroxide conc|ammonia_28
NaOH pellets|sodium_hydroxide_pellets
sod. hydroxide|sodium_hydroxide_pellets
caustic soda|sodium_hydroxide_pellets
KOH pellets|potassium_hydroxide_pellets
pot. iodide|potassium_iodide_solid
KI|potassium_iodide_solid
Potassium Iodide 0.5M|potassium_iodide_0_5m
pot permanganate|potassium_permanganate_solid
KMnO4 0.02 M|potassium_permanganate_0_02m
mg ribbon|magnesium_ribbon
Mg powder|magnesium_powder
magnesium turnings|magnesium_turnings
zinc granular|zinc_granules
Zn dust|zinc_powder
iron filings|iron_filings
wire wool|steel_wool
Cu turnings|copper_turnings
copper foil|copper_foil
aluminum foil|aluminium_foil
Aluminium powder|aluminium_powder
tin shot|tin_granules
meths|ethanol_denatured
methylated spirits|ethanol_denatured
absolute alcohol|ethanol_absolute
ethanol 95%|ethanol_96
70% IPA|propan_2_ol_70
isopropyl alcohol|propan_2_ol_pure
acetone|acetone_pure
propanone|acetone_pure
DCM|dichloromethane_pure
chloroform|trichloromethane_pure
pet ether 40-60|petroleum_ether_40_60
n-hexane|hexane_pure
glycerine|glycerol_pure
lugol|lugol_solution
Lugol's iodine|lugol_solution
iodine crystals|iodine_solid
bromine water|bromine_water
copper sulphate crystals|copper_ii_sulfate_pentahydrate_solid
CuSO4.5H2O|copper_ii_sulfate_pentahydrate_solid
CuSO4 · 5 H2O|copper_ii_sulfate_pentahydrate_solid
CuSO4|copper_ii_sulfate_anhydrous
anhydrous copper(II) sulfate|copper_ii_sulfate_anhydrous
cupric sulphate 1M|copper_ii_sulfate_1m
Na2CO3|sodium_carbonate_anhydrous
Na2CO3.10H2O|sodium_carbonate_decahydrate_solid
soda ash|sodium_carbonate_anhydrous
washing soda|sodium_carbonate_decahydrate_solid
sod. bicarb|sodium_hydrogencarbonate_solid
sodium bicarbonate|sodium_hydrogencarbonate_solid
NaHCO3|sodium_hydrogencarbonate_solid
epsom salts|magnesium_sulfate_heptahydrate_solid
Plaster of Paris|plaster_of_paris
potash alum|alum
marble chips|marble_chips
CaCO3|calcium_carbonate_powder
lime water|limewater
quicklime|calcium_oxide_solid
CaCl2 anhydrous|calcium_chloride_anhydrous
ferric chloride hexahydrate|iron_iii_chloride_hexahydrate_solid
FeCl3.6H2O|iron_iii_chloride_hexahydrate_solid
ferrous sulphate 7H2O|iron_ii_sulfate_heptahydrate_solid
Mohr's salt|ammonium_iron_ii_sulfate_hexahydrate_solid
cobalt chloride hexahydrate|cobalt_ii_chloride_hexahydrate_solid
AgNO3 0.1M|silver_nitrate_0_1m
silver nitrate|silver_nitrate_solid
lead nitrate|lead_ii_nitrate_solid
potassium ferricyanide|potassium_hexacyanoferrate_iii_solid
KSCN|potassium_thiocyanate_solid
sodium thiosulphate 0.1M|sodium_thiosulfate_0_1m
hypo crystals|sodium_thiosulfate_pentahydrate_solid
H2O2 20 vol|hydrogen_peroxide_6
hydrogen peroxide 3%|hydrogen_peroxide_3
phph indicator|phenolphthalein_1
phenolphthalein 1% in ethanol|phenolphthalein_1
methyl orange powder|methyl_orange_solid
BTB 0.04%|bromothymol_blue_0_04
UI paper|universal_paper
red litmus|litmus_paper_red
Benedicts|benedicts_solution
Fehlings A|fehlings_a
sulphur|sulfur_powder
potasium iodide|potassium_iodide_solid
hydrocloric acid 2M|hydrochloric_acid_2m
calcuim chloride anhydrous|calcium_chloride_anhydrous
"""
WANTED = [tuple(line.split("|")) for line in SPELLINGS.strip().splitlines()]


def test_of_a_hundred_usual_spellings_ninety_five_find_the_right_reagent_first():
    wrong = [
        (text, key, found.best and found.best.reagent)
        for text, key in WANTED
        if (found := match(text)).best is None or found.best.reagent != key
    ]
    assert len(WANTED) >= 100
    assert len(wrong) <= len(WANTED) * 0.05, wrong


def test_no_usual_spelling_is_sure_of_another_substance():
    reagents = load().reagents
    for text, key in WANTED:
        found = match(text)
        if found.mark == SURE and found.best.reagent:
            own = base_of(reagents[key].components[0].chemical)
            assert base_of(reagents[found.best.reagent].components[0].chemical) == own, text


@pytest.mark.parametrize("key", load().reagents)
def test_a_reagents_own_name_means_that_reagent(key):
    assert match(load().reagents[key].name).best.reagent == key


def test_phph_is_no_biphenyl():
    assert match("phph").best.cas_rn == ("77-09-8",)


@pytest.mark.parametrize(
    "text",
    [
        "copper sulphate",  # anhydrous or with water
        "iron chloride",  # iron(II) or iron(III)
        "ether",  # diethyl ether or petroleum ether
        "hydrochloric acid",  # how strong?
        "dilute sulphuric acid",
        "HCl 6",  # six what?
        "zinc",  # powder or granules
        "ethanol",  # absolute, 96 % or denatured
        "white phosphorus",  # the catalogue has red
        "H2SO4 1N",  # half a mole in a litre
        "iodine solution",
        "sodium chloride and potassium chloride",
        "C6H12O6",  # glucose or fructose
        "starch",
    ],
)
def test_an_ambiguous_name_is_a_question_with_something_to_choose(text):
    found = match(text)
    assert found.mark == CHOOSE
    assert found.candidates and found.why


@pytest.mark.parametrize(
    ("text", "cas"),
    [
        ("potassium iodate", "7758-05-6"),
        ("sodium chlorite", "7758-19-2"),
        ("potassium perchlorate", "7778-74-7"),
        ("sodium nitrite", "7632-00-0"),
        ("sodium azide", "26628-22-8"),
        ("calcium hypochlorite", "7778-54-3"),
        ("magnesium nitrate hexahydrate", "13446-18-9"),
        ("butan-2-ol", "78-92-2"),
        ("methanoic acid 85%", "64-18-6"),
    ],
)
def test_names_one_letter_apart_stay_apart(text, cas):
    """CAS RNs as in PubChem."""
    found = match(text)
    assert found.mark != SURE or cas in found.best.cas_rn, found


@pytest.mark.parametrize(
    "text", ["sodum sulfite", "sodium sulfote", "methnol", "potassium chlorade", "butanl"]
)
def test_a_slip_that_could_be_two_substances_is_never_sure(text):
    assert match(text).mark != SURE


def test_unknown_words_are_dropped_and_ranked_and_never_a_dead_end():
    assert match("Riverside brand sodium chloride from last year").best.cas_rn == ("7647-14-5",)
    assert match("sodum chlorid kitchen").candidates
    assert match("beaker tongs").mark == UNKNOWN


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("phph", "phenolphthalein"),
        ("pot. iodide", "potassium_iodide"),
        ("hydrocloric acid", "hydrogen_chloride"),
    ],
)
def test_the_forms_suggestion_and_the_search_use_the_same_matcher(text, key):
    chemical = load().chemicals[key]
    assert lookup(text).cas == chemical.cas
    assert search(text)[0] == chemical


# --- CAS RN


def test_cas_rn_with_a_slip_is_a_question():
    found = match("nitric acid 70%", cas="7697-37-3")
    assert found.mark == CHOOSE
    assert "7697-37-3" in found.why


@pytest.mark.parametrize(
    ("name", "cas"),
    [
        ("potassium iodide", "7681-52-9"),  # sodium hypochlorite
        ("sodium sulfite", "7757-82-6"),  # sodium sulfate
        ("cyclohexene", "110-82-7"),  # cyclohexane
        ("copper(II) sulfate pentahydrate", "7758-98-7"),  # anhydrous
        ("CuSO4.5H2O", "7758-98-7"),
        ("Epsom salts", "7487-88-9"),  # anhydrous
        ("Lugol's iodine", "7647-14-5"),
        ("thiourea", "57-13-6"),  # urea
        ("bromobenzene", "71-43-2"),  # benzene
        ("something nobody knows", "67-64-1"),
    ],
)
def test_cas_rn_of_another_substance_is_a_question(name, cas):
    assert match(name, cas=cas).mark == CHOOSE


@pytest.mark.parametrize(
    ("name", "cas", "reagent"),
    [
        ("copper sulphate", "7758-99-8", "copper_ii_sulfate_pentahydrate_solid"),
        ("copper sulphate", "7758-98-7", "copper_ii_sulfate_anhydrous"),
        ("iron chloride", "10025-77-1", "iron_iii_chloride_hexahydrate_solid"),
        ("copper sulphate 1M", "7758-99-8", "copper_ii_sulfate_1m"),
        ("Lugol's iodine", "7553-56-2", "lugol_solution"),
        ("phenolphthalein 1% in ethanol", "64-17-5", "phenolphthalein_1"),
        ("sodum bicarbonat", "144-55-8", "sodium_hydrogencarbonate_solid"),
        ("NaCl", "CAS 7647-14-5", "sodium_chloride_solid"),
    ],
)
def test_cas_rn_settles_what_the_name_leaves_open(name, cas, reagent):
    found = match(name, cas=cas)
    assert (found.mark, found.best.reagent) == (SURE, reagent), found.why


def test_no_name_in_the_catalogue_is_ready_with_the_cas_rn_of_another_substance():
    rows = [row for row in load().chemicals.values() if row.cas and row.key != "water"]
    for row, other in zip(rows, rows[3:] + rows[:3], strict=True):
        if base_of(row.key) != base_of(other.key):
            assert match(row.name, cas=other.cas).mark != SURE, (row.name, other.name)


def test_no_name_in_the_catalogue_is_ready_with_a_slip_in_its_cas_rn():
    for row in load().chemicals.values():
        if row.cas:
            slip = f"{row.cas[:-1]}{(int(row.cas[-1]) + 1) % 10}"
            assert match(row.name, cas=slip).mark != SURE, (row.name, slip)


def test_a_substance_outside_the_catalogue_is_a_new_reagent():
    found = match("thiourea", cas="62-56-6")
    assert found.mark == SURE
    assert (found.best.reagent, found.best.cas_rn) == ("", ("62-56-6",))


@pytest.mark.parametrize(
    ("text", "strength", "waters"),
    [
        ("HCl 2M", "2 mol/L", None),
        ("sulfuric acid 95-98 %", "95 to 98 %", None),
        ("NaOH 0,1 mol/l", "0.1 mol/L", None),
        ("M/20 I2", "0.05 mol/L", None),
        ("hydrogen peroxide 20 vols", "20 vol", None),
        ("CaSO4·½H2O", "None", "0.5"),
        ("sodium carbonate 10-hydrate", "None", "10"),
        ("copper sulphate, anhydrous", "None", "0"),
        ("sodium chloride 500 g", "None", None),
        ("Mg ribbon", "None", None),
    ],
)
def test_strength_and_water_are_read(text, strength, waters):
    said = read_label(text)
    assert str(said.strength) == strength
    assert (None if said.waters is None else f"{said.waters.normalize():f}") == waters
