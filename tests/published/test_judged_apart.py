"""Mixing pairs and waste joins written by somebody who had not read the rules, from a chemist's knowledge.

judged_mixing.csv and judged_waste.csv: common practice, no source, except where a row names one. Rows whose
author was wrong (16 pairs, such as boric acid with calcium hypochlorite: the acid is too weak to set chlorine
free; 4 joins) were taken out after reading, not turned round.
"""

import csv
from collections import Counter
from pathlib import Path

import pytest

from demos.conformance import HOLDS, mixing, waste

_HERE = Path(__file__).parent


def cases(name):
    with (_HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


MIXING, WASTE = cases("judged_mixing.csv"), cases("judged_waste.csv")


def not_holding(rows, hold):
    return "\n".join(
        f"{' | '.join(row.values())}: {found.said}" for row in rows if (found := hold(row)).state != HOLDS
    )


@pytest.mark.parametrize("expect", ["warn", "ok"])
def test_mixing(expect):
    wrong = not_holding([row for row in MIXING if row["expect"] == expect], mixing.hold)
    assert not wrong, wrong


@pytest.mark.parametrize("expect", ["refuse", "join"])
def test_waste(expect):
    wrong = not_holding([row for row in WASTE if row["expect"] == expect], waste.hold)
    assert not wrong, wrong


def test_there_are_enough_of_each_kind_and_each_names_its_source():
    mixed, poured = (Counter(row["expect"] for row in rows) for rows in (MIXING, WASTE))
    assert mixed["warn"] >= 500 and mixed["ok"] >= 300
    assert poured["refuse"] >= 250 and poured["join"] >= 130
    assert all(row["source"] for row in (*MIXING, *WASTE))
