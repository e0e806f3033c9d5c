"""Mixing, pair by pair, against mixing_pairs.csv, which names the source of each row.

A side is a key of the starter catalogue, or "CAS:RN form name" for what a school hardly keeps; such a one is
known by its composition alone. Rows of 46 CFR part 150, Figure 1 are made of its groups (marked X: heat of
more
than 25 °C or gas; blank: neither), each with reagents of the group; left out where 40 CFR 264 Appendix V is
stricter: the acids and caustics (groups 1 to 3 and 5) beside what the figure leaves blank.

What must not happen: silence where a source warns. What should not: a warning for a pair known to be
harmless.
"""

import csv
from collections import Counter
from functools import cache
from pathlib import Path

from stockroom.catalogue.as_item import item_of
from stockroom.catalogue.loader import load
from stockroom.safety.groups import Matter, Part, reactivity
from stockroom.safety.storage import Item, mixing_conflicts

_FILE = Path(__file__).parent / "mixing_pairs.csv"


@cache
def cases():
    with _FILE.open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


@cache
def item(text):
    if not text.startswith("CAS:"):
        return item_of(load().reagents[text])
    from chemicals import search_chemical

    cas, form, name = text.removeprefix("CAS:").split(" ", 2)
    found = reactivity(Matter((Part(search_chemical(cas).formula, cas, name),), form))
    assert not found.unknown, f"{text} is not understood"
    return Item(text, name, text, groups=found.groups, cas=frozenset({cas}), classified=True, composed=True)


@cache
def warnings(a, b):
    found = mixing_conflicts([item(a), item(b)]).unmeant
    return "; ".join(one.consequence for conflict in found for one in (conflict, *conflict.also))


def wrong(expect):
    rows = [row for row in cases() if row["expect"] == expect]
    return rows, [row for row in rows if bool(warnings(row["a"], row["b"])) != (expect == "warn")]


def listed(rows):
    return "\n".join(f"{row['a']} + {row['b']}: {warnings(row['a'], row['b']) or 'nothing'}" for row in rows)


def test_there_are_enough_of_each_kind():
    count = Counter(row["expect"] for row in cases())
    assert count["warn"] >= 300 and count["ok"] >= 200
    assert all(row["source"] for row in cases())


def test_no_dangerous_pair_is_silent():
    _, silent = wrong("warn")
    assert not silent, listed(silent)


def test_at_most_one_in_a_hundred_harmless_pairs_warns():
    rows, false = wrong("ok")
    assert len(false) <= len(rows) / 100, listed(false)


def test_the_warning_names_what_comes_of_it():
    nameless = [
        row
        for row in cases()
        if row["words"]
        and not any(word in warnings(row["a"], row["b"]).casefold() for word in row["words"].split("|"))
    ]
    assert not nameless, listed(nameless)
