"""Five hundred beakers of school chemistry with what is to be expected of them: `beaker_cases.csv`.

The columns are those of a conformance set (demos/conformance/beaker.py), with the source beside each row. An
answer that says that it does not know counts as unknown there; here it must hold.
"""

import csv
import re
from pathlib import Path

import pytest

from stockroom.chemistry.aqueous import Addition, Substance, follow

_FILE = Path(__file__).with_name("beaker_cases.csv")
CASES = list(csv.DictReader(_FILE.read_text(encoding="utf-8").splitlines()))
_SEEN_MOL = 1e-6


def beaker(row):
    """All of a row's substances at once in its water."""
    parts = []
    for text in row["additions_mol"].split(";"):
        what, mol = text.split()
        formula, _, cas = what.partition("@")
        parts.append(Substance("", formula, cas, float(mol)))
    water = float(row["water_g"])
    return follow([Addition("mixture", tuple(parts), water, water, float(row["celsius"]))])[0]


def test_there_are_enough_and_each_says_its_source():
    assert len(CASES) >= 250
    assert all(row["source"] for row in CASES)


@pytest.mark.parametrize("row", CASES, ids=lambda row: f"{row['additions_mol']} at {row['celsius']}")
def test_what_stands_in_the_beaker(row):
    state = beaker(row)
    lying = [solid.formula for solid in state.solids if solid.mol > _SEEN_MOL]
    words = " ".join((*state.notes, state.why_no_ph))
    if row["ph"]:
        ph, _, within = row["ph"].partition("±")
        assert state.ph == pytest.approx(float(ph), abs=float(within)), words
    if row["solid"] == "none":
        assert not lying
    elif row["solid"]:
        assert any(re.search(row["solid"], formula) for formula in lying), lying
    if row["gas"]:
        assert row["gas"] in [gas.formula for gas in state.gas]
    if row["words"]:
        assert any(word in words for word in row["words"].split("|")), words
