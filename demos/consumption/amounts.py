"""What a booking takes from the shelves: the design's first computation, in whole base units.

For an ingredient that is used up:
    scale x (first showing + each repeat x (showings - 1) + each group x groups x showings) x (1 + spill)
For one that comes back (a catalyst, a magnet, an electrode):
    scale x (first showing + each repeat x (showings - 1) + each group x groups)
set aside and not consumed: groups hand it on to the next showing, and nothing counts as spilled.

Each ingredient is rounded up once, at the end, to a whole microgram, microliter or piece. The spare of
pieces is rounded half up before that, so that one strip with 10 % spare stays one strip and ten become
eleven.
"""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor

from stockroom.chemistry.quantity import COUNT, MAX_BASE_UNITS, MEASURES

MAX_SHOWINGS = 100
MAX_GROUPS = 1000
MAX_SCALE = 1000


class ConsumptionError(ValueError):
    """A booking whose needs cannot be worked out; the message says what to change."""


@dataclass(frozen=True)
class Ingredient:
    """One ingredient of a demonstration. Amounts in base units of `measure` ("mass", "volume", "count").

    key: what the caller knows it by. reagent: what is taken; several ingredients may take the same.
    """

    key: Hashable
    reagent: Hashable
    measure: str
    first: int
    repeat: int = 0
    per_group: int = 0
    returns: bool = False


@dataclass(frozen=True)
class Booking:
    """How much of a demonstration is shown. spill_percent is the spare on top of what is used up."""

    showings: int = 1
    groups: int = 0
    scale: Decimal = Decimal(1)
    spill_percent: int | Decimal = 0


@dataclass(frozen=True)
class Use:
    """Base units of one ingredient: set aside for the booking, and used up by it (0 where it comes back)."""

    key: Hashable
    reagent: Hashable
    measure: str
    reserved: int
    consumed: int


def _check(booking: Booking):
    if not isinstance(booking.showings, int) or not 1 <= booking.showings <= MAX_SHOWINGS:
        raise ConsumptionError(f"Showings must be a whole number from 1 to {MAX_SHOWINGS}.")
    if not isinstance(booking.groups, int) or not 0 <= booking.groups <= MAX_GROUPS:
        raise ConsumptionError(f"Student groups must be a whole number from 0 to {MAX_GROUPS}.")
    scale, spill = Decimal(booking.scale), Decimal(booking.spill_percent)
    if not scale.is_finite() or not 0 < scale <= MAX_SCALE:
        raise ConsumptionError(f"The scale must be above 0 and at most {MAX_SCALE}.")
    if not spill.is_finite() or not 0 <= spill <= 100:
        raise ConsumptionError("The spill allowance must be from 0 to 100 %.")
    return Fraction(scale), Fraction(spill) / 100


def _check_ingredient(ingredient: Ingredient):
    if ingredient.measure not in MEASURES:
        raise ConsumptionError(
            f"{ingredient.measure!r} is not a way of measuring: use mass, volume or count."
        )
    for amount in (ingredient.first, ingredient.repeat, ingredient.per_group):
        if not isinstance(amount, int) or amount < 0:
            raise ConsumptionError("Amounts of an ingredient must be whole base units, zero or more.")


def use_of(ingredient: Ingredient, booking: Booking) -> Use:
    """What one ingredient needs for a booking. Raises ConsumptionError for amounts that cannot be."""
    scale, spill = _check(booking)
    _check_ingredient(ingredient)
    handed_out = ingredient.per_group * booking.groups * (1 if ingredient.returns else booking.showings)
    exact = scale * (ingredient.first + ingredient.repeat * (booking.showings - 1) + handed_out)
    spare = Fraction(0) if ingredient.returns else exact * spill
    if ingredient.measure == COUNT:
        spare = Fraction(floor(spare + Fraction(1, 2)))
    total = ceil(exact + spare)
    if total > MAX_BASE_UNITS:
        raise ConsumptionError("The booking needs more of an ingredient than can be kept: lower the scale.")
    return Use(
        ingredient.key, ingredient.reagent, ingredient.measure, total, 0 if ingredient.returns else total
    )


def consumption(ingredients: Iterable[Ingredient], booking: Booking) -> tuple[Use, ...]:
    """What every ingredient needs, in the order given. Raises ConsumptionError."""
    return tuple(use_of(ingredient, booking) for ingredient in ingredients)


def by_reagent(uses: Iterable[Use]) -> dict[Hashable, Use]:
    """The uses of each reagent added up, keyed by reagent in order of first mention.

    Raises ConsumptionError where one reagent is measured in two ways.
    """
    totals: dict[Hashable, Use] = {}
    for use in uses:
        before = totals.get(use.reagent)
        if before is None:
            totals[use.reagent] = Use(use.reagent, use.reagent, use.measure, use.reserved, use.consumed)
            continue
        if before.measure != use.measure:
            raise ConsumptionError("One reagent is measured in two ways: write both amounts in the same.")
        totals[use.reagent] = Use(
            use.reagent,
            use.reagent,
            use.measure,
            before.reserved + use.reserved,
            before.consumed + use.consumed,
        )
    return totals
