"""Which wastes may share a container, held against published pairs.

waste_joins.csv names the source beside each case. 40 CFR 264 Appendix V and EPA-600/2-80-076 (Hatayama and
others, A Method for Determining the Compatibility of Hazardous Wastes, 1980) were read for their pairs of
groups; which reagent stands for a group is common practice, as are all the cases that join.
"""

import csv
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from demos.conformance import HOLDS, waste
from demos.conformance.waste import hold
from stockroom.chemistry.residue import Organic, Residue
from stockroom.safety.joining import WasteVessel, may_join
from stockroom.safety.streams import APART, stream_for, streams

PORTION = waste.portion

with Path(__file__).with_name("waste_joins.csv").open(newline="", encoding="utf-8") as lines:
    CASES = list(csv.DictReader(lines))


@pytest.mark.parametrize("case", CASES, ids=[f"{row['add']} into {row['held']}" for row in CASES])
def test_join(case):
    found = hold(case)
    assert found.state == HOLDS, f"{found.expected}; the app says: {found.said}"


def test_each_case_names_its_source_and_the_set_is_large_enough():
    assert all(row["source"] for row in CASES)
    count = Counter(row["expect"] for row in CASES)
    assert count["refuse"] >= 100 and count["join"] >= 50


def test_every_stream_that_takes_a_second_waste_is_seen_to_take_one():
    """Otherwise a technician ends with a bottle for each waste. Mercury has one row in the catalogue."""
    seen = {found.said for row in CASES if (found := hold(row)).said.startswith("join")}
    taking = {key for key, stream in streams().items() if any(f"“{stream.name}”" in said for said in seen)}
    assert streams().keys() - taking <= {APART, "mercury", "chromate", "nitrite", "metals_acid"}


def test_composition_alone_lets_nothing_dangerous_in(monkeypatch):
    """Whatever groups somebody typed or forgot to type."""
    monkeypatch.setattr(waste, "portion", lambda text: replace(PORTION(text), groups=frozenset()))
    let_in = [
        f"{row['add']} into {row['held']}"
        for row in CASES
        if row["expect"] == "refuse" and waste.hold(row).state != HOLDS
    ]
    assert not let_in


def test_the_whole_is_judged_too():
    """Each portion alone would do; all of them together hold too much of what burns."""
    drop = replace(
        waste.portion("sodium_chloride_0_1m 50 mL"),
        residue=Residue(50_000, 7.0, organics=(Organic("toluene", "108-88-3", 0.9),)),
    )
    assert stream_for(drop)[0].key == "neutral"
    acetone = waste.portion("acetone_pure 60 mL")
    found = may_join(drop, WasteVessel("neutral", (acetone, drop), 0, 10**12), 1)
    assert any("Together with what is in it" in reason for reason in found.reasons)
