"""Cases of mixing: two reagents of the catalog meet in one vessel; is there a warning, and what does it
name?"""

from demos.conformance import HOLDS, WRONG, CaseError, Row, Verdict
from stockroom.catalogue.as_item import item_of
from stockroom.catalogue.loader import load
from stockroom.safety.storage import Item, mixing_conflicts

COLUMNS = frozenset({"a", "b", "expect", "words"})
WARN, OK = "warn", "ok"


def hold(row: Row) -> Verdict:
    """Whether the app warns where the case says so, with one of its words, and is silent elsewhere.

    Raises CaseError.
    """
    expected = row["expect"]
    if expected not in (WARN, OK):
        raise CaseError(f"“{expected}” is neither {WARN} nor {OK}")
    found = mixing_conflicts([_item(row["a"]), _item(row["b"])]).unmeant
    said = "; ".join(
        f"{one.severity}: {one.consequence}" for conflict in found for one in (conflict, *conflict.also)
    )
    words = [word for word in row["words"].casefold().split("|") if word]
    named = not words or any(word in said.casefold() for word in words)
    holds = bool(found) and named if expected == WARN else not found
    wanted = f"{expected}, naming {' or '.join(words)}" if words else expected
    return Verdict(HOLDS if holds else WRONG, wanted, said or "nothing")


def _item(key: str) -> Item:
    row = load().reagents.get(key)
    if row is None:
        raise CaseError(f"the catalog has no reagent “{key}”")
    return item_of(row)
