"""Which wastes may share a container, held against published pairs.

waste_joins.csv names the source beside each case. 40 CFR 264 Appendix V and EPA-600/2-80-076 (Hatayama and
others, A Method for Determining the Compatibility of Hazardous Wastes, 1980) were read for their pairs of
groups; which reagent stands for a group is common practice, as are all the cases that join.
"""

import csv
from collections import Counter
from pathlib import Path

import pytest

from demos.conformance import HOLDS
from demos.conformance.waste import hold
from stockroom.safety.streams import APART, streams

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
