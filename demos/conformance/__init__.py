"""Holding the app against cases that somebody else wrote: which hold, which are unknown, which are wrong.

One module a kind of case; each has `COLUMNS`, by which its files are known, and `hold(row)`. A case is held
against the same functions that the pages use, from the starter catalog, without a database.
"""

from collections.abc import Mapping
from dataclasses import dataclass

HOLDS, UNKNOWN, WRONG = "holds", "unknown", "wrong"


@dataclass(frozen=True)
class Verdict:
    """What came of one case: `state` is HOLDS, UNKNOWN or WRONG; `expected` and `said` in words."""

    state: str
    expected: str
    said: str


class CaseError(ValueError):
    """A case that cannot be read; the message says what to change."""


Row = Mapping[str, str]
