"""What should not be in a teaching stockroom, or needs a written reason, and the way out for what is there.

The list is tables/restricted.csv, each row with its source, and for salts and hydrates that it does not name
tables/restricted_compounds.csv, by what the formula holds. It is no law: the head decides, in writing.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from stockroom.chemistry.formula import FormulaError, parse_formula
from stockroom.safety.published import rows, words

NEVER, REASON = "never", "reason"
#: below this share by weight a listed substance is not reported; 29 CFR 1910.1200 App. A, carcinogens
FLOOR_PERCENT = 0.1


@dataclass(frozen=True)
class Listed:
    """One row of the list. `level`: "never" in a school, or only with a written "reason"."""

    cas: str
    name: str
    at_least_percent: float
    level: str
    why: str
    route: str
    source: str


@dataclass(frozen=True)
class Part:
    """One chemical of a reagent: CAS RN, name and formula as far as they are written down.

    `percent` by weight; None where it is not known, which counts as the pure substance.
    """

    cas: str = ""
    percent: float | None = None
    name: str = ""
    formula: str = ""


@dataclass(frozen=True)
class Present:
    """A reagent that is there, and what it holds."""

    reagent_key: str
    name: str
    parts: tuple[Part, ...]
    container_ids: tuple[int | str, ...] = ()


@dataclass(frozen=True)
class RestrictedFinding:
    """A listed substance that is there. `reason` is the one written down, "" where there is none.

    `open`: it still needs the head, for it should never be there or nobody has written down why it is.
    """

    present: Present
    listed: Listed
    reason: str

    @property
    def open(self) -> bool:
        return self.listed.level == NEVER or not self.reason.strip()


@cache
def restricted_list() -> dict[str, Listed]:
    """The list by CAS RN."""
    sources = {row["key"]: row["text"] for row in rows("sources")}
    return {
        row["cas"]: Listed(
            row["cas"],
            row["name"],
            float(row["at_least_percent"] or FLOOR_PERCENT),
            row["level"],
            row["why"],
            row["route"],
            sources[row["source"]],
        )
        for row in rows("restricted")
    }


@cache
def _by_name() -> dict[str, Listed]:
    return {row.name.casefold(): row for row in restricted_list().values()}


@cache
def _compounds() -> tuple[tuple[frozenset[str], str, Listed], ...]:
    """(elements, pattern of the formula, row) of each kind of compound."""
    sources = {row["key"]: row["text"] for row in rows("sources")}
    return tuple(
        (
            frozenset(words(row["elements"])),
            row["formula"],
            Listed(
                *("", row["name"], FLOOR_PERCENT, row["level"]),
                *(row["why"], row["route"], sources[row["source"]]),
            ),
        )
        for row in rows("restricted_compounds")
    )


def listed(part: Part) -> Listed | None:
    """The row that a chemical of a reagent meets: by CAS RN, else by name, else by what its formula holds."""
    row = restricted_list().get(part.cas) or _by_name().get(part.name.casefold())
    row = row or _compound(part.formula)
    return row if row and (part.percent is None or part.percent >= row.at_least_percent) else None


def _compound(formula: str) -> Listed | None:
    """The kind of compound a formula is of; an element by itself is no compound."""
    try:
        atoms = parse_formula(formula).atoms
    except FormulaError:
        return None
    for elements, pattern, row in _compounds():
        holds = len(atoms) > 1 and bool(elements & set(atoms))
        if holds or (pattern and re.fullmatch(pattern, formula)):
            return row
    return None


def restricted_findings(
    present: Iterable[Present], reasons: Mapping[str, str] | None = None
) -> tuple[RestrictedFinding, ...]:
    """Everything listed that is there: what should never be first. `reasons` by reagent key."""
    written = reasons or {}
    found = [
        RestrictedFinding(one, row, written.get(one.reagent_key, ""))
        for one in present
        for part in one.parts
        if (row := listed(part))
    ]
    return tuple(sorted(found, key=lambda one: (one.listed.level != NEVER, not one.open, one.present.name)))
