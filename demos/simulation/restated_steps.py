"""The words of a step for one booking: another reagent and other amounts in place of those written. Pure."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from stockroom.chemistry.quantity import COUNT, MASS, VOLUME, QuantityError, format_amount, parse_amount

_QUANTITY = re.compile(r"(?<![\w.])\d+(?:\.\d+)?\s?(?:µL|mL|L|mg|kg|g)\b")
_FIGURES = 3
#: by measure: base units from which a class speaks of mL or g, and from which there is a whole one; the unit
_SMALL = {VOLUME: (10, 1_000, "mL"), MASS: (10_000, 1_000_000, "g")}


def portion_text(amount: int, measure: str, figures: int | None = None) -> str:
    """A portion as it is measured in class: down to 0.01 in mL or g.

    >>> portion_text(800, "volume")
    '0.8 mL'
    """
    least, whole, unit = _SMALL.get(measure, (0, 0, None))
    return format_amount(amount, measure, unit if least <= amount < whole else None, figures)


@dataclass(frozen=True)
class Use:
    """What is really taken for an ingredient.

    name: of the ingredient as written. measure: of the ingredient. factor: base units taken for each one
    written. instead: name and measure of what is taken, the ingredient's own where nothing replaces it.
    """

    name: str
    measure: str
    factor: Fraction = Fraction(1)
    instead: str = ""
    instead_measure: str = ""

    @property
    def taken(self) -> str:
        return self.instead or self.name

    def amount(self, written: int) -> str:
        """An amount of the ingredient as the amount to take, in words of at most three figures."""
        measure = self.instead_measure or self.measure
        exact = written * self.factor
        if measure == COUNT:
            return portion_text(-(-exact.numerator // exact.denominator), COUNT)
        return portion_text(round(exact), measure, None if self.factor == 1 else _FIGURES)


def names_of(name: str) -> tuple[str, ...]:
    """How a step may call a reagent, longest first.

    >>> names_of("vinegar, white, 5 % (w/v)")
    ('vinegar, white, 5 % (w/v)', 'vinegar white', 'white vinegar', 'vinegar')
    >>> names_of("hydrochloric acid 1 mol/L")
    ('hydrochloric acid 1 mol/L', 'hydrochloric acid')
    """
    bare = re.split(r",? \d|,? \(", name)[0]
    parts = [part.strip() for part in bare.split(",")]
    found = [name, bare, " ".join(parts), " ".join(reversed(parts)), parts[0]]
    kept = [one for one in dict.fromkeys(found) if len(one) > 2 and (one == name or "," not in one)]
    return tuple(sorted(kept, key=len, reverse=True))


def restate(text: str, uses: Sequence[Use], own: Use | None = None, amounts: Sequence[int] = ()) -> str:
    """`text` with the amounts and names of what is really taken.

    own: the use of the ingredient that the step adds, `amounts` of which (a portion, all of them) may stand
    in the text without its name. A name that two ingredients share is left as it is.
    """
    names = _owners(uses)
    pattern = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    if not pattern:
        return text
    named = re.compile(rf"\b(?P<name>{pattern})(?!\w)(?: solution\b)?", re.IGNORECASE)
    after = re.compile(rf"\s+(?:more\s+)?of\s+(?:the\s+)?(?P<name>{pattern})(?!\w)", re.IGNORECASE)

    def quantity(match: re.Match) -> str:
        following = after.match(text, match.end())
        use = names[following["name"].lower()] if following else own
        try:
            written = parse_amount(match[0], use.measure) if use else None
        except QuantityError:
            return match[0]
        if use is None or (not following and written not in amounts):
            return match[0]
        return use.amount(written)

    return named.sub(lambda match: _renamed(match, names), _QUANTITY.sub(quantity, text))


def _owners(uses: Sequence[Use]) -> dict[str, Use | None]:
    found: dict[str, list[Use]] = {}
    for use in uses:
        for name in names_of(use.name):
            found.setdefault(name.lower(), []).append(use)
    return {name: owners[0] for name, owners in found.items() if len(owners) == 1}


def _renamed(match: re.Match, names: dict[str, Use | None]) -> str:
    use = names[match["name"].lower()]
    if not use.instead:
        return match[0]
    starts = match.start() == 0 or match.string[: match.start()].rstrip().endswith((".", ":", "?"))
    return f"{use.instead[:1].upper()}{use.instead[1:]}" if starts and match[0][0].isupper() else use.instead
