"""Every word of the starter catalogue that opens a drain or a trash can, held against what the reagent is.

The bounds are typed here from 40 CFR 403.5(b)(1), (2) and (3), 40 CFR 261.24 Table 1 and, for copper, nickel,
zinc, molybdenum and the like, from what local limits name (40 CFR 403.5(c), EPA 833-R-04-002A).
"""

import csv
import re

import pytest
from chemicals import T_flash

from stockroom.catalogue.disposing import FILE, key_of, waste_of_row
from stockroom.catalogue.loader import load
from stockroom.chemistry.formula import parse_formula
from stockroom.safety.route import ROUTES

LISTED = frozenset(
    {"As", "Ba", "Cd", "Cr", "Pb", "Hg", "Se", "Ag", "Cu", "Ni", "Zn", "Mo", "Co", "Mn", "Sn", "Sb", "Be"}
    | {"Tl", "V"}
)
OPENS = re.compile(r"\b(drain|sewer|sink|trash)\b", re.IGNORECASE)
FORBIDS = re.compile(r"never (?:down the drain|with the trash)[^.;]*", re.IGNORECASE)
ROWS = list(load().reagents.values())


def elements(row):
    formulas = [load().chemicals[part.chemical].formula for part in row.components]
    return {symbol for formula in formulas if formula for symbol in parse_formula(formula).atoms}


def test_the_file_is_what_the_rules_say():
    with FILE.open(newline="", encoding="utf-8") as lines:
        kept = {row["reagent"]: row["disposal"] for row in csv.DictReader(lines)}
    assert kept == {row.key: key_of(row) for row in ROWS}, "run python -m stockroom.catalogue.disposing"


def test_each_text_says_what_its_code_says():
    for row in ROWS:
        assert row.disposal_route in ROUTES
        opened = OPENS.search(FORBIDS.sub("", row.disposal))
        assert bool(opened) == (row.disposal_route in ("drain", "trash")), row.key
        assert not re.search("small amount|drops", row.disposal, re.IGNORECASE), row.key


@pytest.mark.parametrize("row", [row for row in ROWS if row.disposal_route == "drain"], ids=lambda r: r.key)
def test_drain(row):
    residue = waste_of_row(row).residue
    assert residue.volume_ul and not residue.undissolved and not residue.unknown
    assert 5 <= residue.ph <= 9
    assert not elements(row) & LISTED
    for organic in residue.organics:
        flash = T_flash(organic.cas)
        assert flash is None or flash > 333.15, organic.name
    assert not row.hazard_classes


@pytest.mark.parametrize("row", [row for row in ROWS if row.disposal_route == "trash"], ids=lambda r: r.key)
def test_trash(row):
    assert row.measure != "volume" and not row.hazard_classes and row.classified
    assert not elements(row) & LISTED


@pytest.mark.parametrize(
    "key",
    [
        "lemon_juice",
        "soap_solution",
        "bromothymol_blue_0_04",
        "hydrochloric_acid_0_1m",
        "barium_sulfate_powder",
    ]
    + [
        "potassium_permanganate_0_002m",
        "sodium_hydrogensulfite_0_02m",
        "iron_ii_sulfate_0_1m",
        "vinegar_white",
    ],
)
def test_what_once_went_to_the_drain_in_small_amounts_is_collected(key):
    assert load().reagents[key].disposal_route == "collect"
