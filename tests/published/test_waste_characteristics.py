"""Characteristics of hazardous waste, 40 CFR 261.21-261.24, and unused products, 261.33.

Source: Code of Federal Regulations, title 40, part 261, subpart C, as of 2023; the limits below are Table 1
of 261.24, from memory. The alcohol exclusion as amended by 85 FR 40594 (July 7, 2020), from memory.
"""

import pytest
from chemicals import T_flash, search_chemical

from stockroom.chemistry.formula import check_cas
from stockroom.chemistry.residue import Dissolved, Organic, Residue, Solid
from stockroom.safety.published import rows
from stockroom.safety.waste import Waste, WasteRules, alcohol_percent_v, characterise

TABLE_1 = {
    "D004": 5.0, "D005": 100.0, "D006": 1.0, "D007": 5.0, "D008": 5.0, "D009": 0.2, "D010": 1.0, "D011": 5.0,
    "D012": 0.02, "D013": 0.4, "D014": 10.0, "D015": 0.5, "D016": 10.0, "D017": 1.0,
    "D018": 0.5, "D019": 0.5, "D020": 0.03, "D021": 100.0, "D022": 6.0, "D023": 200.0, "D024": 200.0,
    "D025": 200.0, "D026": 200.0, "D027": 7.5, "D028": 0.5, "D029": 0.7, "D030": 0.13, "D031": 0.008,
    "D032": 0.13, "D033": 0.5, "D034": 3.0, "D035": 200.0, "D036": 2.0, "D037": 100.0, "D038": 5.0,
    "D039": 0.7, "D040": 0.5, "D041": 400.0, "D042": 2.0, "D043": 0.2,
}  # fmt: skip
METALS = {
    "D004": ("AsO4-3", 74.92), "D005": ("Ba+2", 137.33), "D006": ("Cd+2", 112.41), "D007": ("CrO4-2", 52.00),
    "D008": ("Pb+2", 207.2), "D009": ("Hg+2", 200.59), "D010": ("SeO4-2", 78.97), "D011": ("Ag+", 107.87),
}  # fmt: skip


def water(litres=1.0, ph=7.0, **more):
    return Residue(int(litres * 1e6), ph, **more)


def codes(waste, rules=None):
    return {code.code for code in characterise(waste, rules).codes}


def test_table_1_is_whole():
    assert {row["code"]: float(row["limit_mg_l"]) for row in rows("waste_codes")} == TABLE_1


@pytest.mark.parametrize("code", METALS)
@pytest.mark.parametrize(("share", "over"), [(0.99, False), (1.01, True)])
def test_a_metal_at_its_limit(code, share, over):
    """261.24(a): hazardous where the extract contains the contaminant at or above the concentration."""
    formula, grams_per_mol = METALS[code]
    mol = share * TABLE_1[code] / 1000 / grams_per_mol
    residue = water(2.0, components=(Dissolved("metal", formula, "", 2 * mol),))
    assert (code in codes(Waste(residue))) == over


def test_a_dry_solid_leaches_into_twenty_times_its_weight():
    """Method 1311 of SW-846, named in 261.24(a): liquid to solid ratio 20:1."""

    def paper(grams_silver):
        silver = Solid("silver", "Ag", "7440-22-4", grams_silver / 107.87)
        sand = Solid("silica", "SiO2", "7631-86-9", (1000 - grams_silver) / 60.08)
        return Waste(Residue(0, None, undissolved=(silver, sand)))

    assert "D011" in codes(paper(0.101))  # 101 mg/kg / 20 = 5.05 mg/L
    assert "D011" not in codes(paper(0.099))


@pytest.mark.parametrize(
    ("ph", "corrosive"),
    [(1.9, True), (2.0, True), (2.1, False), (7, False), (12.4, False), (12.5, True), (14, True)],
)
def test_corrosive(ph, corrosive):
    """261.22(a)(1): aqueous, pH less than or equal to 2 or greater than or equal to 12.5."""
    salt = Dissolved("sodium ion", "Na+", "", 0.1)
    assert ("D002" in codes(Waste(water(ph=ph, components=(salt,))))) == corrosive


def ethanol_in_water(percent_w):
    return water(organics=(Organic("ethanol", "64-17-5", percent_w),))


@pytest.mark.parametrize(("percent_w", "percent_v"), [(10, 12.4), (20, 24.5)])
def test_alcohol_by_volume_is_never_underrated(percent_w, percent_v):
    """Handbook alcohol tables, ethanol in water at 20 degC; from memory."""
    assert percent_v <= alcohol_percent_v(ethanol_in_water(percent_w)) <= 1.04 * percent_v


@pytest.mark.parametrize(
    ("percent_w", "ignitable"), [(10, False), (18, False), (21, True), (40, True), (96, True)]
)
def test_aqueous_alcohol_under_24_percent_is_not_ignitable(percent_w, ignitable):
    """261.21(a)(1): other than a solution containing less than 24 percent of any alcohol by volume and at
    least 50 percent water by weight."""
    assert ("D001" in codes(Waste(ethanol_in_water(percent_w)))) == ignitable


def test_a_spent_listed_alcohol_is_not_excluded():
    """261.21(a)(1), the exception for alcohols of F003 and F005 used for their solvent properties."""
    methanol = water(organics=(Organic("methanol", "67-56-1", 10),))
    assert "D001" not in codes(Waste(methanol))
    assert "D001" in codes(Waste(methanol, spent_solvent=True))


def test_other_solvents_have_no_exclusion():
    assert "D001" in codes(Waste(water(organics=(Organic("acetone", "67-64-1", 10),))))


@pytest.mark.parametrize(("flash", "ignitable"), [(59.9, True), (60.0, False), (75, False)])
def test_a_measured_flash_point_decides(flash, ignitable):
    """261.21(a)(1): a flash point less than 60 degC (140 degF)."""
    mixture = Residue(10**6, None, organics=(Organic("white spirit", "", 100),))
    assert ("D001" in codes(Waste(mixture, flash_point_c=flash))) == ignitable


@pytest.mark.parametrize("formula", ["KMnO4", "KClO3", "KNO3", "Na2O2"])
def test_the_oxidisers_named_in_the_rule(formula):
    """261.21(a)(4): a chlorate, permanganate, inorganic peroxide, or a nitrate."""
    solid = Solid("oxidiser", formula, "", 0.5)
    assert "D001" in codes(Waste(Residue(0, None, undissolved=(solid,))))


@pytest.mark.parametrize("formula", ["CN-", "S-2", "NaCN", "Na2S"])
def test_cyanide_and_sulfide_bearing_waste_is_reactive(formula):
    """261.23(a)(5)."""
    assert "D003" in codes(Waste(water(ph=11, components=(Dissolved("it", formula, "", 0.1),))))


@pytest.mark.parametrize("group", ["water_reactive", "explosive", "peroxide_organic", "hydride"])
def test_what_reacts_with_water_or_explodes_is_reactive(group):
    """261.23(a)(2)-(4), (6)-(8)."""
    assert "D003" in codes(
        Waste(Residue(0, None, undissolved=(Solid("x", "Ca", "", 1),)), frozenset({group}))
    )


@pytest.mark.parametrize(
    ("cas", "code", "acute"),
    [
        ("26628-22-8", "P105", True),
        ("67-64-1", "U002", False),
        ("67-66-3", "U044", False),
        ("67-56-1", "U154", False),
    ],
)
def test_unused_products(cas, code, acute):
    """261.33(e) acute (P) and (f) toxic (U): sodium azide, acetone, chloroform, methanol."""
    found = characterise(Waste(Residue(0, None), unused_cas=frozenset({cas})))
    assert code in {one.code for one in found.codes}
    assert found.acute == acute


def test_codes_of_listed_products_name_the_substance_the_library_knows():
    """Registry numbers against the `chemicals` library. It lacks two mixtures (cresol, xylene), toxaphene and
    zinc phosphide, and files chlordane and nicotine under another number of the same substance."""
    lacking = {"1319-77-3", "1330-20-7", "8001-35-2", "1314-84-7", "57-74-9", "54-11-5"}
    for table in ("listed_waste", "waste_codes"):
        for row in rows(table):
            check_cas(row["cas"])
            if row["cas"] not in lacking:
                assert search_chemical(row["cas"]).CASs == row["cas"]


def test_what_is_not_known_is_hazardous():
    """Own rule, not a published one."""
    found = characterise(Waste(water(unknown=("grey sludge",))))
    assert found.hazardous and not found.codes
    assert "grey sludge" in found.undetermined[0]


def test_a_stricter_limit_of_the_department_replaces_the_published_one():
    """Own rule for other countries."""
    copper_free = water(components=(Dissolved("lead ion", "Pb+2", "", 1 / 1000 / 207.2),))
    assert "D008" not in codes(Waste(copper_free))
    rules = WasteRules("GB", toxic_limits=(("D008", 0.5),))
    assert "D008" in codes(Waste(copper_free), rules)
    assert rules.guidance and "guidance" in rules.note


#: read and found wrong: an acid or another salt for the sodium salt, a hydrocarbon mixture with bromine in
#: it, ligroin instead of the fraction that boils from 40 to 60 °C
MENDED = {
    "518-47-8": ("C20H10Na2O5", ""),
    "547-58-0": ("C14H14N3NaO3S", ""),
    "8052-41-3": ("", "43.33"),
    "8032-32-4": ("", "-30"),
}


@pytest.mark.parametrize("row", rows("organics"), ids=lambda row: row["name"])
def test_copied_flash_points_and_formulas_are_the_librarys(row):
    """The `chemicals` library: closed-cup flash points (DIPPR, IEC 60079-20-1, NFPA 497) and formulas."""
    try:
        formula = search_chemical(row["cas"]).formula
    except ValueError:
        formula = ""
    kelvin = T_flash(row["cas"])
    if row["cas"] in MENDED:
        assert (row["formula"], row["flash_point_c"]) == MENDED[row["cas"]]
        return
    assert row["formula"] == formula
    assert row["flash_point_c"] == ("" if kelvin is None else f"{float(kelvin) - 273.15:.2f}")
