"""What should not be in a teaching stockroom, or needs a written reason, and the way out for what is there.

The list is tables/restricted.csv, each row with its source. It is no law: the head decides, in writing.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from stockroom.safety.published import rows

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
class Present:
    """A reagent that is there. `strengths`: (CAS RN, per cent by weight or None where not known) pairs."""

    reagent_key: str
    name: str
    strengths: tuple[tuple[str, float | None], ...]
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


def listed(cas: str, percent: float | None = None) -> Listed | None:
    """The row of a substance at a strength; a strength that is not known counts as the pure substance."""
    row = restricted_list().get(cas)
    return row if row and (percent is None or percent >= row.at_least_percent) else None


def restricted_findings(
    present: Iterable[Present], reasons: Mapping[str, str] | None = None
) -> tuple[RestrictedFinding, ...]:
    """Everything listed that is there: what should never be first. `reasons` by reagent key."""
    written = reasons or {}
    found = [
        RestrictedFinding(one, row, written.get(one.reagent_key, ""))
        for one in present
        for cas, percent in one.strengths
        if (row := listed(cas, percent))
    ]
    return tuple(sorted(found, key=lambda one: (one.listed.level != NEVER, not one.open, one.present.name)))
