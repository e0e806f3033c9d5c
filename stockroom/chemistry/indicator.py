"""Indicators: the colour a class sees at a pH, in words and as sRGB.

Ranges and colours come from `tables/indicators.csv` and `tables/indicator_mixtures.csv`, each row with its
source. Screen colours are illustrations: what a class sees depends on strength, depth and light.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from stockroom.chemistry.published import rows as read_rows


class IndicatorError(ValueError):
    """No such indicator, or no pH; says what to change."""


@dataclass(frozen=True)
class Colour:
    """words: such as "pale pink". srgb: "#rrggbb"."""

    words: str
    srgb: str


@dataclass(frozen=True)
class Change:
    """One change of colour, between low_ph and high_ph."""

    low_ph: float
    high_ph: float
    acid: Colour
    middle: Colour
    base: Colour

    @property
    def midpoint(self) -> float:
        return (self.low_ph + self.high_ph) / 2

    def share_of_base(self, ph: float) -> float:
        """Share of the dye in its base form, 0 to 1: 1/11 at low_ph, 10/11 at high_ph, as for a pKa ± 1."""
        half = (self.high_ph - self.low_ph) / 2
        return 1 / (1 + 10 ** ((self.midpoint - ph) / half))


@dataclass(frozen=True)
class Indicator:
    """changes: in order of pH, for a single dye. scale: (pH, colour) points, for a mixture. One is empty."""

    key: str
    name: str
    cas: str
    source: str
    changes: tuple[Change, ...] = ()
    scale: tuple[tuple[float, Colour], ...] = ()

    @property
    def low_ph(self) -> float:
        return self.changes[0].low_ph if self.changes else self.scale[0][0]

    @property
    def high_ph(self) -> float:
        return self.changes[-1].high_ph if self.changes else self.scale[-1][0]


@cache
def indicators() -> dict[str, Indicator]:
    """All indicators by key."""
    found: dict[str, Indicator] = {}
    for row in read_rows("indicators.csv"):
        change = Change(
            float(row["low_ph"]),
            float(row["high_ph"]),
            Colour(row["acid_colour"], row["acid_srgb"]),
            Colour(row["middle_colour"], row["middle_srgb"]),
            Colour(row["base_colour"], row["base_srgb"]),
        )
        before = found[row["key"]].changes if row["key"] in found else ()
        found[row["key"]] = Indicator(
            row["key"], row["name"], row["cas"], row["source"], changes=(*before, change)
        )
    for row in read_rows("indicator_mixtures.csv"):
        point = (float(row["ph"]), Colour(row["colour"], row["srgb"]))
        before = found[row["key"]].scale if row["key"] in found else ()
        found[row["key"]] = Indicator(
            row["key"], row["name"], row["cas"], row["source"], scale=(*before, point)
        )
    return found


def find(name: str = "", cas: str = "") -> Indicator | None:
    """The indicator of that name (or a longer name that holds it) or CAS RN, None if there is none."""
    wanted = name.casefold()
    for indicator in sorted(indicators().values(), key=lambda i: -len(i.name)):
        if (cas and indicator.cas == cas) or (wanted and indicator.name.casefold() in wanted):
            return indicator
    return indicators()["red_cabbage_extract"] if "red cabbage" in wanted else None


def colour_at(key: str, ph: float) -> Colour:
    """The colour of an indicator at a pH. Raises IndicatorError for an unknown key or a pH that is none.

    >>> colour_at("phenolphthalein", 7).words, colour_at("phenolphthalein", 11).words
    ('colourless', 'pink')
    """
    if key not in indicators():
        raise IndicatorError(f"there is no indicator {key}; choose one of {', '.join(indicators())}")
    if not -5 <= ph <= 20:
        raise IndicatorError(f"a pH of {ph} cannot be: check what is in the beaker")
    indicator = indicators()[key]
    if indicator.scale:
        return _on_scale(indicator.scale, ph)
    change = min(indicator.changes, key=lambda c: abs(c.midpoint - ph))
    share = change.share_of_base(ph)
    if share < 0.5:
        srgb = _mix(change.acid.srgb, change.middle.srgb, 2 * share)
    else:
        srgb = _mix(change.middle.srgb, change.base.srgb, 2 * share - 1)
    if ph < change.low_ph:
        return Colour(change.acid.words, srgb)
    return Colour(change.base.words if ph > change.high_ph else change.middle.words, srgb)


def along(key: str, phs: Iterable[float | None]) -> tuple[Colour | None, ...]:
    """The colour at each point of a path; None where there is no pH."""
    return tuple(None if ph is None else colour_at(key, ph) for ph in phs)


def _on_scale(scale, ph: float) -> Colour:
    if ph <= scale[0][0]:
        return scale[0][1]
    for (low, acid), (high, base) in zip(scale, scale[1:], strict=False):
        if ph <= high:
            share = (ph - low) / (high - low)
            return Colour((base if share >= 0.5 else acid).words, _mix(acid.srgb, base.srgb, share))
    return scale[-1][1]


def _mix(one: str, other: str, share: float) -> str:
    """Mix two colours in linear light, as two dyes side by side would look."""
    parts = []
    for at in (1, 3, 5):
        a, b = (_to_linear(int(text[at : at + 2], 16) / 255) for text in (one, other))
        parts.append(round(255 * _to_srgb(a + (b - a) * min(max(share, 0.0), 1.0))))
    return "#" + "".join(f"{part:02x}" for part in parts)


def _to_linear(value: float) -> float:
    """IEC 61966-2-1."""
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def _to_srgb(value: float) -> float:
    return 12.92 * value if value <= 0.0031308 else 1.055 * value ** (1 / 2.4) - 0.055
