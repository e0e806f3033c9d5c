"""The limits of the waste rules one by one: what is published, and what a department may put in its place.

In the US a department's own limit may only be stricter than the federal one, as a state or a sewer authority
may ask. Elsewhere the published limits are guidance, and its own stand in their place.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from stockroom.safety.generator import KG, Category, categories
from stockroom.safety.published import rows
from stockroom.safety.waste import WasteRules

LOWER, HIGHER, EITHER = "lower", "higher", "either"


@dataclass(frozen=True)
class WasteLimit:
    """One limit. stricter: whether a LOWER or a HIGHER number is, or EITHER where nothing is published.

    `least` and `most`: what makes sense at all, in `unit`.
    """

    key: str
    group: str
    name: str
    published: float
    unit: str
    source: str
    stricter: str
    least: float
    most: float

    @property
    def text(self) -> str:
        """The published number with its unit."""
        return f"{self.published:g} {self.unit}".strip()


#: fields of WasteRules: key, group, name, unit, source, which way is stricter, least, most
_WHAT, _SEWER = "What is hazardous", "What the sewer may take"
_FIXED = (
    ("acid_ph", _WHAT, "Corrosive: pH at most", "", "40 CFR 261.22(a)(1)", HIGHER, 0, 7),
    ("base_ph", _WHAT, "Corrosive: pH at least", "", "40 CFR 261.22(a)(1)", LOWER, 7, 14),
    (
        "ignitable_below_c",
        _WHAT,
        "Ignitable: flash point below",
        "°C",
        "40 CFR 261.21(a)(1), 403.5(b)(1)",
        HIGHER,
        0,
        200,
    ),
    (
        "alcohol_percent_v",
        _WHAT,
        "Not so: alcohol in water under",
        "% v/v",
        "40 CFR 261.21(a)(1)",
        LOWER,
        0,
        100,
    ),
    ("sewer_ph_low", _SEWER, "pH not below", "", "40 CFR 403.5(b)(2)", HIGHER, 1, 7),
    ("sewer_ph_high", _SEWER, "pH not above", "", "common practice, no source", EITHER, 7, 12),
    ("sewer_hot_c", _SEWER, "Not warmer than", "°C", "40 CFR 403.5(b)(5)", LOWER, 0, 100),
)


def _fixed() -> tuple[WasteLimit, ...]:
    usual = WasteRules()
    return tuple(
        WasteLimit(key, group, name, getattr(usual, key), *rest) for key, group, name, *rest in _FIXED
    )


def _toxic() -> tuple[WasteLimit, ...]:
    return tuple(
        WasteLimit(
            row["code"],
            "Toxic: from this much on",
            f"{row['code']} {row['name']}",
            float(row["limit_mg_l"]),
            "mg/L",
            row["source"],
            LOWER,
            0,
            1e6,
        )
        for row in rows("waste_codes")
    )


_GENERATOR = (
    ("most_month", "in a month", "kg", KG),
    ("most_acute_month", "acutely hazardous in a month", "kg", KG),
    ("most_on_site", "in the house", "kg", KG),
    ("most_days", "kept, at most", "days", 1),
)


def _generator() -> tuple[WasteLimit, ...]:
    return tuple(
        WasteLimit(
            f"{one.key}-{field}",
            "How much",
            f"{one.name}: {words}",
            getattr(one, field) / size,
            unit,
            one.source,
            LOWER,
            1 if unit == "days" else 0,
            1e6,
        )
        for one in categories()
        for field, words, unit, size in _GENERATOR
        if getattr(one, field) is not None
    )


@cache
def waste_limits() -> dict[str, WasteLimit]:
    """Every limit by key, in the order in which to show them."""
    return {one.key: one for one in (*_fixed(), *_generator(), *_toxic())}


def refused(limit: WasteLimit, value: float, country: str, others: Mapping[str, float]) -> str:
    """Why a department may not set this value, "" if it may. others: its own limits so far."""
    if not limit.least <= value <= limit.most:
        return f"Enter a number between {limit.least:g} and {limit.most:g}."
    in_us = not WasteRules(country).guidance
    laxer = value > limit.published if limit.stricter == LOWER else value < limit.published
    if in_us and limit.stricter != EITHER and laxer:
        return (
            f"In the US it may only be stricter than {limit.published:g}: this federal limit holds in every "
            "state."
        )
    if limit.unit == "days" and value != int(value):
        return "Enter whole days."
    after = rules_with(country, {**others, limit.key: value})
    if after.sewer_ph_low >= after.sewer_ph_high or after.acid_ph >= after.base_ph:
        return "The lower pH limit would not be below the upper one: look at both."
    return ""


def _held(country: str, own: Mapping[str, float]) -> dict[str, float]:
    """The department's own limits that may stand: in the US a laxer one never replaces a federal one."""
    known = {key: value for key, value in own.items() if key in waste_limits()}
    if WasteRules(country).guidance:
        return known
    kept = {}
    for key, value in known.items():
        limit = waste_limits()[key]
        pick = {LOWER: min, HIGHER: max}.get(limit.stricter)
        kept[key] = pick(value, limit.published) if pick else value
    return kept


def rules_with(country: str, own: Mapping[str, float]) -> WasteRules:
    """The rules in force: published limits with the department's own in their place."""
    held = _held(country, own)
    fixed = {one.key: held[one.key] for one in _fixed() if one.key in held}
    toxic = tuple((one.key, held[one.key]) for one in _toxic() if one.key in held)
    return WasteRules(country, **fixed, toxic_limits=toxic, own=tuple(sorted(held)))


def categories_with(country: str, own: Mapping[str, float]) -> tuple[Category, ...]:
    """The generator categories in force."""
    held = _held(country, own)
    found = []
    for one in categories():
        changes = {
            field: round(held[key] * size)
            for field, _, _, size in _GENERATOR
            if (key := f"{one.key}-{field}") in held
        }
        found.append(
            replace(one, source=f"the department's own; {one.source}", **changes) if changes else one
        )
    return tuple(found)
