"""650 beakers that someone who did not write the beaker set down before looking: `judged_beaker.csv`.

They are held as a conformance set is (demos/conformance/beaker.py): what the app does not know it must say,
and little may be so. The source stands beside each row; where the app and the first hand disagreed, the row
gives what a handbook decided.
"""

import csv
from functools import cache
from pathlib import Path

import pytest

from demos.conformance import UNKNOWN, WRONG
from demos.conformance.beaker import hold
from stockroom.chemistry.species import UNKNOWN as NOT_UNDERSTOOD
from stockroom.chemistry.species import classroom_meaning, identify

_FILE = Path(__file__).with_name("judged_beaker.csv")
CASES = list(csv.DictReader(_FILE.read_text(encoding="utf-8").splitlines()))


@cache
def verdict(number):
    return hold({column: text for column, text in CASES[number].items() if column != "source"})


def test_each_case_names_its_source():
    assert len(CASES) >= 600
    assert all(row["source"] for row in CASES)


@pytest.mark.parametrize("number", range(len(CASES)), ids=lambda number: CASES[number]["additions_mol"])
def test_no_answer_is_wrong_without_a_word_of_doubt(number):
    found = verdict(number)
    assert found.state != WRONG, found


def test_few_answers_are_not_known():
    unknown = [row["additions_mol"] for n, row in enumerate(CASES) if verdict(n).state == UNKNOWN]
    assert len(unknown) <= len(CASES) // 20, unknown


# Sum formulas as any catalogue of chemicals prints them.
@pytest.mark.parametrize(
    ("formula", "name"),
    [
        ("C6H8O7·H2O", "citric acid"),
        ("C4H6O6", "tartaric acid"),
        ("H2C2O4·2H2O", "oxalic acid"),
        ("KC8H5O4", "potassium hydrogenphthalate"),
        ("C3H8O3", "glycerol"),
        ("C7H5NaO2", "sodium benzoate"),
    ],
)
def test_a_sum_formula_means_the_substance_of_a_classroom(formula, name):
    assert classroom_meaning(formula).name == name


def test_a_formula_with_groups_is_not_taken_for_its_isomer():
    assert classroom_meaning("HCOOCH3").kind == NOT_UNDERSTOOD


def test_a_listed_acid_brings_its_water_of_crystallization():
    assert dict(identify("C6H8O7·H2O", "citric acid", "77-92-9").ions)["H2O"] == 1
