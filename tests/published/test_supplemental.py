"""EUH statements, Regulation (EC) 1272/2008 Annex II and Annex VI Table 3, from memory."""

import pytest

from stockroom.chemistry.formula import check_cas
from stockroom.safety.classify import WATER, Constituent, classify
from stockroom.safety.published import rows
from stockroom.safety.supplement import supplemental

TEXTS = {
    "EUH001": "Explosive when dry",
    "EUH014": "Reacts violently with water",
    "EUH019": "May form explosive peroxides",
    "EUH029": "Contact with water liberates toxic gas",
    "EUH031": "Contact with acids liberates toxic gas",
    "EUH032": "Contact with acids liberates very toxic gas",
    "EUH066": "Repeated exposure may cause skin dryness or cracking",
    "EUH071": "Corrosive to the respiratory tract",
}


@pytest.mark.parametrize(
    ("cas", "codes"),
    [
        ("7440-23-5", ["EUH014"]),  # sodium
        ("60-29-7", ["EUH019", "EUH066"]),  # diethyl ether
        ("109-99-9", ["EUH019"]),  # tetrahydrofuran
        ("10026-13-8", ["EUH014", "EUH029"]),  # phosphorus pentachloride
        ("7681-57-4", ["EUH031"]),  # sodium disulfite
        ("151-50-8", ["EUH032"]),  # potassium cyanide
        ("26628-22-8", ["EUH032"]),  # sodium azide
        ("67-64-1", ["EUH066"]),  # acetone
        ("7647-14-5", []),  # sodium chloride
    ],
)
def test_undiluted(cas, codes):
    assert [row.code for row in supplemental([(cas, 100.0)])] == codes


@pytest.mark.parametrize(("percent", "said"), [(4.9, False), (5.0, True), (12.0, True), (None, True)])
def test_bleach_from_five_per_cent(percent, said):
    """Annex VI, 017-011-00-1: EUH031 from 5 % sodium hypochlorite."""
    assert [row.code for row in supplemental([("7681-52-9", percent)])] == (["EUH031"] if said else [])


def test_each_row_says_what_its_code_means_and_where_it_is_from():
    for row in rows("supplemental"):
        check_cas(row["cas"])
        assert row["text"] == TEXTS[row["code"]] and row["source"] and float(row["from_percent"]) > 0


def test_a_mixture_carries_it_on():
    bleach = Constituent("sodium hypochlorite", 10.0, ("skin_corr_1b",), cas="7681-52-9")
    assert classify((bleach,), solvent=WATER).notes == ("Contact with acids liberates toxic gas",)
