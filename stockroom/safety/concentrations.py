"""Concentration limits, M-factors and flash points read from the tables, each row with its source."""

from dataclasses import dataclass
from functools import cache

from stockroom.safety.mixture import Constituent, Finding, Mixture, reaches
from stockroom.safety.published import rows


@dataclass(frozen=True)
class Limit:
    """The class that the chemical gives from ``start`` % (w/w) on and below ``below`` % (None: no end)."""

    class_key: str
    start: float
    below: float | None
    source: str
    note: str

    def holds(self, percent: float) -> bool:
        return reaches(percent, self.start) and (self.below is None or not reaches(percent, self.below))


@cache
def _specific() -> dict[str, tuple[Limit, ...]]:
    found: dict[str, list[Limit]] = {}
    for row in rows("concentration_limits"):
        below = float(row["below_percent"]) if row["below_percent"] else None
        limit = Limit(row["class_key"], float(row["from_percent"]), below, row["source"], row["note"])
        found.setdefault(row["cas"], []).append(limit)
    return {cas: tuple(limits) for cas, limits in found.items()}


@cache
def _generic() -> dict[str, Limit]:
    return {
        row["class_key"]: Limit(row["class_key"], float(row["from_percent"]), None, row["source"], "")
        for row in rows("generic_limits")
    }


@cache
def _m_factors() -> dict[str, dict[str, float]]:
    return {
        row["cas"]: {word: float(row[word]) for word in ("acute", "chronic") if row[word]}
        for row in rows("m_factors")
    }


@cache
def _flash_points() -> dict[str, tuple[tuple[float, float, str], ...]]:
    found: dict[str, list[tuple[float, float, str]]] = {}
    for row in rows("flash_points"):
        point = (float(row["percent_w_w"]), float(row["flash_point_c"]), row["source"])
        found.setdefault(row["cas"], []).append(point)
    return {cas: tuple(sorted(points)) for cas, points in found.items()}


def specific_limits(cas: str, *starts: str) -> tuple[Limit, ...]:
    """Specific limits of the chemical for classes beginning with one of ``starts``; () where it has none."""
    return tuple(row for row in _specific().get(cas, ()) if row.class_key.startswith(starts))


def in_solution(mixture: Mixture, constituent: Constituent) -> bool:
    """Whether it is a gas whose solution has published limits, which then stand for the gas's own classes."""
    dissolved = mixture.state == "liquid" and constituent.has("press_gas")
    return dissolved and bool(specific_limits(constituent.cas, "skin_corr"))


def m_factor(constituent: Constituent, effect: str) -> float | None:
    """M-factor of a category 1 chemical, ``effect`` "acute" or "chronic"; None where nobody has given one."""
    own = constituent.m_acute if effect == "acute" else constituent.m_chronic
    return own if own is not None else _m_factors().get(constituent.cas, {}).get(effect)


def aqueous_flash_point(cas: str, percent: float) -> tuple[float, str] | None:
    """Closed-cup flash point in °C of the chemical at ``percent`` % (w/w) in water, and the source.

    Linear between the rows of the table; None where there is no table or the strength is below its first row.
    """
    points = _flash_points().get(cas, ())
    if not points or percent < points[0][0]:
        return None
    for (low, warm, source), (high, cool, _) in zip(points, points[1:], strict=False):
        if percent <= high:
            return warm + (cool - warm) * (percent - low) / (high - low), source
    return points[-1][1], points[-1][2]


def one_by_one(constituent: Constituent, start: str) -> Finding | None:
    """The class that one constituent alone gives the mixture, where amounts are not added up.

    start: beginning of the class keys, such as "carc". None: no such class. A Finding without classes says
    that the constituent stays below its limit.
    """
    specific = specific_limits(constituent.cas, start)
    own = [key for key in constituent.classes or () if key.startswith(start)]
    percent = constituent.percent
    if specific:
        for row in specific:
            if row.holds(percent):
                return _line(constituent, row, f"specific limit {row.start:g} %", (row.class_key,))
        lowest = min(specific, key=lambda row: row.start)
        return _line(constituent, lowest, f"below its specific limit of {lowest.start:g} %", ())
    limits = [_generic()[key] for key in own if key in _generic()]
    if not limits:
        return None
    held = tuple(row.class_key for row in limits if row.holds(percent))
    if held:
        return _line(constituent, limits[0], f"generic limit {limits[0].start:g} %", held)
    return _line(constituent, limits[0], f"below the generic limit of {limits[0].start:g} %", ())


def _line(constituent: Constituent, row: Limit, words: str, classes: tuple[str, ...]) -> Finding:
    note = f" ({row.note})" if row.note else ""
    return Finding(f"{constituent.name} {constituent.percent:.4g} %: {words}{note}", row.source, classes)
