"""The catalogue's identities, numbers and classes against the outside world."""

import csv
import re
from functools import cache
from pathlib import Path

import pytest

from stockroom.catalogue.loader import load
from stockroom.chemistry.formula import molar_mass
from stockroom.chemistry.quantity import parse_amount

CATALOGUE = load()
CHEMICALS = list(CATALOGUE.chemicals.values())
REAGENTS = list(CATALOGUE.reagents.values())
WITH_CAS = [row for row in CHEMICALS if row.cas]


def test_cas_check_digits():
    """CAS, "Check Digit Verification of CAS Registry Numbers": last digit = sum of place x digit mod 10."""
    for row in WITH_CAS:
        body, check = re.fullmatch(r"(\d{2,7}-\d{2})-(\d)", row.cas).groups()
        digits = [int(digit) for digit in reversed(body.replace("-", ""))]
        assert sum(place * digit for place, digit in enumerate(digits, 1)) % 10 == int(check), row.name


#: CAS RN -> why the `chemicals` library's molar mass is not ours: it drops or doubles part of many salts
LIBRARY_DIFFERS = {
    "7791-13-1": "library holds one water of six",
    "10031-43-3": "library holds one nitrate of two and one water of three",
    "10196-18-6": "library holds one nitrate of two and one water of six",
    "7784-31-8": "library holds one aluminium, one sulfate, one water",
    "7784-24-9": "library holds one sulfate and one water of twelve",
    "10025-69-1": "library holds one water of two",
    "7791-18-6": "library holds one water of six",
    "13446-34-9": "library holds one water of four",
    "1313-84-4": "library holds one water of nine",
    "7785-87-7": "library adds two hydrogen atoms (as the acid and the metal)",
    "10034-96-5": "library adds two hydrogen atoms (as the acid and the metal)",
    "10034-76-1": "library takes the formula twice, 2CaSO4.H2O; ours is CaSO4.0.5H2O",
    "9005-84-9": "library holds maltose; ours is the repeat unit of starch",
    "547-58-0": "library holds the free acid; methyl orange is its sodium salt",
    "12027-67-7": "library holds molybdate, not heptamolybdate",
    "12054-85-2": "library holds molybdate, not heptamolybdate",
    "75-20-7": "library holds another compound under this number",
    "518-47-8": "library holds one sodium of two",
    "139-33-3": "library holds the free acid; ours is its disodium salt",
    "6381-92-6": "library holds the free acid without water; ours is its disodium salt dihydrate",
}
#: CAS RN the library does not have
NOT_IN_LIBRARY = {
    *("13943-58-3", "14459-95-1", "10045-89-3", "9003-04-7", "1344-09-8", "7782-42-5", "1393-92-6"),
    *("1330-20-7", "8032-32-4", "8012-95-1", "8002-74-2", "8006-64-2", "9000-70-8", "9005-38-3"),
    *("9000-30-0", "25322-68-3", "8001-22-7", "9005-25-8", "8023-70-9"),
}


def in_library(cas):
    from chemicals import search_chemical

    try:
        return search_chemical(cas)
    except ValueError:
        return None


def test_molar_masses_against_the_library():
    """`chemicals` 1.5 (its identifiers are PubChem's), within 0.05 %; every exception explained above."""
    found = {row.cas: in_library(row.cas) for row in WITH_CAS}
    differs = {
        row.cas
        for row in WITH_CAS
        if row.formula and found[row.cas] and abs(molar_mass(row.formula) / found[row.cas].MW - 1) > 0.0005
    }
    assert differs == set(LIBRARY_DIFFERS)
    assert {cas for cas, entry in found.items() if entry is None} == NOT_IN_LIBRARY


#: CAS RN -> the library's own name, where none of its names is one of ours though the compound is the same
LIBRARY_CALLS_IT = {
    "17194-00-2": "barium(2+) dihydroxide",
    "10035-04-8": "calcium;dichloride;dihydrate",
    "10025-77-1": "iron(3+) trichloride hexahydrate",
    "10421-48-4": "iron trinitrate",
    "7782-61-8": "iron(3+);trinitrate;nonahydrate",
    "304-59-6": "sodium potassium l-tartrate",
    "10326-27-9": "barium(2+) dichloride dihydrate",
    "7783-85-9": "ferrous ammonium sulfate hexahydrate",
    "10476-85-4": "strontium dichloride",
    "10025-70-4": "strontium;dichloride;hexahydrate",
    "1344-28-1": "corundum",
}


def test_names_against_the_library():
    """A number with the right mass may still be another compound: one of our names must be one of its."""

    def plain(name):
        return re.sub(r"[^a-z0-9]", "", name.casefold())

    for row in WITH_CAS:
        if row.source != "library":
            continue
        entry = in_library(row.cas)
        its = {plain(name) for name in (entry.common_name, entry.iupac_name, *entry.synonyms) if name}
        ours = {plain(name) for name in (row.name, *row.synonyms)}
        if row.cas in LIBRARY_CALLS_IT:
            assert plain(LIBRARY_CALLS_IT[row.cas]) in its
            assert not ours & its, f"{row.name} needs no exception"
        else:
            assert ours & its, row.name


def test_only_what_the_library_confirms_claims_it():
    for row in CHEMICALS:
        confirmed = row.cas and row.formula and row.cas not in {*LIBRARY_DIFFERS, *NOT_IN_LIBRARY}
        assert (row.source == "library") == bool(confirmed), row.name


#: g/mol of the forms above, CRC Handbook of Chemistry and Physics, 97th ed., "Physical Constants of Inorganic
#: Compounds" (methyl orange, EDTA: The Merck Index, 15th ed.); from memory
HANDBOOK_MASSES = {
    "7791-13-1": 237.93,
    "10031-43-3": 241.60,
    "10196-18-6": 297.49,
    "7784-31-8": 666.43,
    "7784-24-9": 474.39,
    "10025-69-1": 225.65,
    "7791-18-6": 203.30,
    "13446-34-9": 197.91,
    "1313-84-4": 240.18,
    "7785-87-7": 151.00,
    "10034-96-5": 169.02,
    "10034-76-1": 145.15,
    "547-58-0": 327.33,
    "12054-85-2": 1235.86,
    "75-20-7": 64.10,
    "518-47-8": 376.27,
    "6381-92-6": 372.24,
}


@pytest.mark.parametrize(("cas", "grams"), HANDBOOK_MASSES.items())
def test_molar_masses_the_library_has_wrong(cas, grams):
    row = next(row for row in CHEMICALS if row.cas == cas)
    assert molar_mass(row.formula) == pytest.approx(grams, rel=0.0005)


def test_hydrates_are_the_salt_and_whole_waters():
    """Water 18.015 g/mol (IUPAC 2021 standard atomic weights); plaster of Paris has half a water."""
    for row in CHEMICALS:
        if row.anhydrous:
            waters = (
                molar_mass(row.formula) - molar_mass(CATALOGUE.chemicals[row.anhydrous].formula)
            ) / 18.01528
            assert waters * 2 == pytest.approx(round(waters * 2), abs=0.002), row.name
            assert waters > 0


#: mol/L of reagents as bought: CRC Handbook, concentrations of commercial acids and bases; from memory
STRENGTHS = {
    "sulfuric_acid_96": 18.0,
    "hydrochloric_acid_37": 12.1,
    "nitric_acid_70": 15.7,
    "phosphoric_acid_85": 14.6,
    "ammonia_28": 14.8,
    "acetic_acid_glacial": 17.4,
    "hydrogen_peroxide_30": 9.8,
    "formaldehyde_37": 13.4,
}


@pytest.mark.parametrize(("key", "strength"), STRENGTHS.items())
def test_strength_of_concentrated_reagents(key, strength):
    row = CATALOGUE.reagents[key]
    part = row.components[0]
    fraction = 1 if part.unit == "pure" else float(part.value) / 100
    mass = molar_mass(CATALOGUE.chemicals[part.chemical].formula)
    assert float(row.density) * 1000 * fraction / mass == pytest.approx(strength, rel=0.01)


def test_densities_that_claim_the_library():
    """`chemicals`: Perry's Chemical Engineers' Handbook, 8th ed., table 2-32, at 20 °C; within 1 %."""
    from chemicals.dippr import EQ105
    from chemicals.volume import rho_data_Perry_8E_105_l as perry

    checked = [row for row in REAGENTS if row.density_source == "library"]
    assert len(checked) >= 25
    for row in checked:
        chemical = CATALOGUE.chemicals[row.components[0].chemical]
        coefficients = perry.loc[chemical.cas][["C1", "C2", "C3", "C4"]]
        mol_m3 = EQ105(293.15, *coefficients)
        assert float(row.density) == pytest.approx(mol_m3 * molar_mass(chemical.formula) / 1e6, rel=0.01), (
            row.key
        )


#: neat liquids whose category is not the one of the library's flash point
FLASH_DIFFERS = {
    "ethane_1_2_diol_pure": "the library's 92 °C is an estimate; measured 111 °C (from memory)",
    "propane_1_2_diol_pure": "the library's 86 °C is an estimate; measured 99 °C or more (from memory)",
}


def test_flammable_liquids_against_flash_and_boiling_points():
    """29 CFR 1910.1200 App. B.6, table B.6.1: flash point below 23 °C and boiling point up to 35 °C: 1;
    below 23 °C: 2; up to 60 °C: 3; up to 93 °C: 4. Flash and boiling points of `chemicals`."""
    from chemicals import T_flash, Tb

    checked = 0
    for row in REAGENTS:
        chemical = CATALOGUE.chemicals[row.components[0].chemical]
        if row.kind != "liquid" or row.components[0].unit != "pure" or not chemical.cas:
            continue
        flash = T_flash(chemical.cas)
        if flash is None or row.key in FLASH_DIFFERS:
            continue
        celsius = flash - 273.15
        if celsius < 23:
            # of a fraction such as petroleum ether the library knows one boiling point only
            expected = "flam_liq_1" if (Tb(chemical.cas) or 400) <= 308.15 else "flam_liq_2"
        else:
            expected = "flam_liq_3" if celsius <= 60 else "flam_liq_4" if celsius <= 93 else None
        given = next((key for key in row.hazard_classes if key.startswith("flam_liq")), None)
        assert given == expected, f"{row.key}: flash point {celsius:.0f} °C"
        checked += 1
    assert checked >= 30


#: listed as carcinogens, but not as the reagent stands on a school's shelf
NOT_AS_KEPT = {
    "64-17-5": "IARC group 1 is ethanol in alcoholic drinks",
    "7664-93-9": "IARC group 1 is a mist of strong inorganic acid at work",
    "75-07-0": "IARC group 1 is acetaldehyde from alcoholic drinks, 2B by itself; kept as 1B",
}


def test_carcinogens_against_iarc_and_ntp():
    """29 CFR 1910.1200 App. F part D: IARC 1 is category 1A, 2A 1B, 2B 2; NTP "known" 1A, "reasonably
    anticipated" at least 2. Lists of IARC and NTP (13th report) as `chemicals` has them."""
    from chemicals.safety import Carcinogen

    rank = {"carc_1a": 0, "carc_1b": 1, "carc_2": 2, None: 3}
    demanded = {"(1)": 0, "Known": 0, "(2A)": 1, "(2B)": 2, "Reasonably Anticipated": 2}
    for row in REAGENTS:
        part = row.components[0]
        cas = CATALOGUE.chemicals[part.chemical].cas
        if part.unit != "pure" or not cas or cas in NOT_AS_KEPT:
            continue
        listed = " ".join(Carcinogen(cas).values())
        worst = min((level for words, level in demanded.items() if words in listed), default=3)
        given = next((key for key in row.hazard_classes if key.startswith("carc")), None)
        assert rank[given] <= worst, f"{row.key}: {listed}"


#: the material in words that the catalogue uses too, "" for an entry not otherwise specified
MATERIAL = {
    "1006": "argon",
    "1011": "butane",
    "1013": "carbon dioxide",
    "1046": "helium",
    "1049": "hydrogen",
    "1066": "nitrogen",
    "1072": "oxygen",
    "1089": "acetaldehyde",
    "1090": "acetone",
    "1105": "amyl alcohol",
    "1120": "butanol",
    "1123": "butyl acetate",
    "1126": "bromobutane",
    "1127": "butyl chloride",
    "1145": "cyclohexane",
    "1155": "diethyl ether",
    "1170": "ethanol",
    "1173": "ethyl acetate",
    "1193": "methyl ethyl ketone",
    "1198": "formaldehyde solution 37 %",
    "1206": "heptane",
    "1208": "hexane",
    "1219": "isopropanol",
    "1230": "methanol",
    "1247": "methyl methacrylate",
    "1265": "pentane",
    "1268": "petroleum",
    "1274": "n-propanol",
    "1294": "toluene",
    "1299": "turpentine",
    "1300": "mineral spirits",
    "1307": "xylene",
    "1325": "",
    "1334": "naphthalene",
    "1338": "phosphorus",
    "1344": "trinitrophenol",
    "1350": "sulfur",
    "1362": "activated carbon",
    "1384": "sodium hydrosulfite",
    "1396": "aluminum",
    "1401": "calcium",
    "1402": "calcium carbide",
    "1415": "lithium",
    "1418": "magnesium, powder",
    "1428": "sodium",
    "1436": "zinc, powder",
    "1439": "ammonium dichromate",
    "1444": "ammonium persulfate",
    "1446": "barium nitrate",
    "1454": "calcium nitrate",
    "1466": "ferric nitrate",
    "1469": "lead(ii) nitrate",
    "1474": "magnesium nitrate",
    "1479": "",
    "1484": "potassium bromate",
    "1485": "potassium chlorate",
    "1486": "potassium nitrate",
    "1490": "potassium permanganate",
    "1492": "potassium persulfate",
    "1493": "silver nitrate",
    "1494": "sodium bromate",
    "1498": "sodium nitrate",
    "1500": "sodium nitrite",
    "1507": "strontium nitrate",
    "1514": "zinc nitrate",
    "1547": "aniline",
    "1564": "barium",
    "1593": "dichloromethane",
    "1616": "lead acetate",
    "1648": "acetonitrile",
    "1671": "phenol",
    "1690": "sodium fluoride",
    "1715": "acetic anhydride",
    "1726": "aluminum chloride",
    "1744": "bromine",
    "1783": "hexamethylenediamine",
    "1789": "hydrochloric acid",
    "1791": "hypochlorite",
    "1805": "phosphoric acid",
    "1813": "potassium hydroxide",
    "1814": "potassium hydroxide",
    "1823": "sodium hydroxide",
    "1824": "sodium hydroxide",
    "1830": "sulfuric acid 96 %",
    "1845": "dry ice",
    "1849": "sodium sulfide nonahydrate",
    "1869": "magnesium",
    "1888": "chloroform",
    "1910": "calcium oxide",
    "1915": "cyclohexanone",
    "1942": "ammonium nitrate",
    "1971": "methane",
    "1977": "nitrogen",
    "1978": "propane",
    "1987": "",
    "1990": "benzaldehyde",
    "1993": "",
    "2014": "hydrogen peroxide 30 %",
    "2031": "nitric acid",
    "2052": "limonene",
    "2055": "styrene",
    "2056": "tetrahydrofuran",
    "2256": "cyclohexene",
    "2257": "potassium",
    "2280": "hexamethylenediamine",
    "2331": "zinc chloride",
    "2582": "ferric chloride",
    "2672": "ammonia",
    "2680": "lithium hydroxide",
    "2717": "camphor",
    "2789": "acetic acid, glacial",
    "2790": "acetic acid",
    "2796": "sulfuric acid",
    "2802": "copper(ii) chloride",
    "2809": "mercury",
    "2811": "",
    "2859": "ammonium metavanadate",
    "2876": "resorcinol",
    "2922": "",
    "2924": "",
    "2926": "",
    "2967": "sulfamic acid",
    "2984": "hydrogen peroxide 10 %",
    "3077": "",
    "3082": "",
    "3085": "",
    "3087": "",
    "3089": "",
    "3143": "",
    "3260": "",
    "3262": "",
    "3264": "",
    "3265": "",
    "3266": "",
    "3288": "",
    "3378": "sodium carbonate peroxyhydrate",
    "3380": "",
    "3412": "formic acid 85 %",
    "3463": "propionic acid",
    "3485": "calcium hypochlorite",
    "3495": "iodine",
}


@cache
def table_172_101():
    """UN number -> entries of the table: (class, subsidiary class, packing group).

    Source: 49 CFR 172.101, Hazardous Materials Table, as of 1 June 2026, columns 2 to 6; text of the US
    government, public domain. us_49cfr_172_101.csv holds its rows for the numbers that the catalogue uses.
    """
    found = {}
    path = Path(__file__).with_name("us_49cfr_172_101.csv")
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            entry = (row["class"], row["subsidiary"], row["packing_group"])
            found.setdefault(row["id"].removeprefix("UN"), set()).add(entry)
    return found


WITH_UN_NUMBER = [row for row in REAGENTS if row.un_number]


@pytest.mark.parametrize("row", WITH_UN_NUMBER, ids=lambda row: row.key)
def test_un_number_class_and_packing_group_stand_in_the_table(row):
    """49 CFR 172.101, columns 3, 4, 5 and 6."""
    entry = (row.transport_class, row.subsidiary_class, row.packing_group)
    assert entry in table_172_101()[row.un_number]
    assert row.transport_source == "published: 49 CFR 172.101 table as of 1 June 2026"


def test_un_numbers_name_the_material():
    """49 CFR 172.101, column 2; an entry by name goes before one not otherwise specified, 172.101(c)(12)."""
    for row in WITH_UN_NUMBER:
        parts = [CATALOGUE.chemicals[part.chemical] for part in row.components]
        called = [row.name, *(name for part in parts for name in (part.name, *part.synonyms))]
        material = MATERIAL[row.un_number]
        assert any(material in name.casefold() for name in called), f"{row.key}: {material}"
    assert set(MATERIAL) == {row.un_number for row in WITH_UN_NUMBER} == set(table_172_101())


#: amounts of textbook recipes, per litre of the solution unless said. Benedict's: S. R. Benedict, J. Am. Med.
#: Assoc. 57 (1911) 1193; Fehling's: AOAC 923.09 (Soxhlet's, per 500 mL); Lugol's and others: CRC Handbook,
#: "Laboratory solutions"; all from memory
RECIPES = [
    ("benedicts_solution", "1 L", "copper_ii_sulfate_pentahydrate_solid", 17.3),
    ("benedicts_solution", "1 L", "sodium_carbonate_anhydrous", 100),
    ("benedicts_solution", "1 L", "trisodium_citrate_dihydrate_solid", 173),
    ("fehlings_a", "500 mL", "copper_ii_sulfate_pentahydrate_solid", 34.64),
    ("fehlings_b", "500 mL", "potassium_sodium_tartrate_solid", 173),
    ("fehlings_b", "500 mL", "sodium_hydroxide_pellets", 50),
    ("biuret_reagent", "1 L", "copper_ii_sulfate_pentahydrate_solid", 1.5),
    ("biuret_reagent", "1 L", "potassium_sodium_tartrate_solid", 6.0),
    ("biuret_reagent", "1 L", "sodium_hydroxide_pellets", 30),
    ("silver_nitrate_0_1m", "1 L", "silver_nitrate_solid", 16.99),
    ("potassium_permanganate_0_02m", "1 L", "potassium_permanganate_solid", 3.161),
    ("sodium_thiosulfate_0_1m", "1 L", "sodium_thiosulfate_pentahydrate_solid", 24.82),
    ("sodium_hydroxide_1m", "1 L", "sodium_hydroxide_pellets", 40.0),
    ("copper_ii_sulfate_1m", "1 L", "copper_ii_sulfate_pentahydrate_solid", 249.7),
    ("magnesium_sulfate_0_1m", "1 L", "magnesium_sulfate_heptahydrate_solid", 24.65),
    ("iron_iii_chloride_0_1m", "1 L", "iron_iii_chloride_hexahydrate_solid", 27.03),
    ("disodium_edta_0_01m", "1 L", "disodium_edta_dihydrate_solid", 3.722),
]


@pytest.mark.parametrize(("key", "volume", "source", "grams"), RECIPES)
def test_amounts_of_textbook_recipes(key, volume, source, grams):
    row = CATALOGUE.preparations[key]
    scale = parse_amount(volume, "volume") / parse_amount(row.yields, "volume")
    amount = next(part.amount for part in row.parts if part.reagent == source)
    assert parse_amount(amount, "mass") / 1e6 * scale == pytest.approx(grams, rel=0.01)


#: mL of the concentrated reagent for 1 L: CRC Handbook, "Preparation of dilute acids and bases"; from memory
DILUTIONS = [
    ("hydrochloric_acid_6m", "hydrochloric_acid_37", 497),
    ("hydrochloric_acid_1m", "hydrochloric_acid_37", 83),
    ("sulfuric_acid_3m", "sulfuric_acid_96", 167),
    ("nitric_acid_6m", "nitric_acid_70", 383),
    ("acetic_acid_6m", "acetic_acid_glacial", 343),
    ("ammonia_6m", "ammonia_28", 405),
]


@pytest.mark.parametrize(("key", "source", "millilitres"), DILUTIONS)
def test_volumes_of_concentrated_reagent_for_a_litre(key, source, millilitres):
    row = CATALOGUE.preparations[key]
    assert row.yields == "1 L"
    amount = next(part.amount for part in row.parts if part.reagent == source)
    assert parse_amount(amount, "volume") / 1e3 == pytest.approx(millilitres, rel=0.02)
