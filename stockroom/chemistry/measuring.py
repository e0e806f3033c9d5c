"""What a balance, a pipette, a cylinder and a flask can do: amounts rounded to them, and the error that
brings.

Glassware and its tolerances stand in tables/glassware.csv. Balances: readings of 1 g, 0.1 g, 0.01 g and 1
mg, as teaching stockrooms have them (common practice, no source); a reading is taken to be good to one step.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cache

from stockroom.chemistry.published import rows as read_rows
from stockroom.chemistry.quantity import COUNT, MASS, MAX_BASE_UNITS, VOLUME, QuantityError, format_amount

#: Rounding beyond this is worth a finer tool.
GOOD_PERCENT = Decimal("0.1")
#: Rounding beyond this is worth a warning.
POOR_PERCENT = Decimal(5)


@dataclass(frozen=True)
class Tool:
    """holds, step and tolerance in microgram or microlitre: the most it takes, its smallest mark, its
    error.
    """

    name: str
    holds: int
    step: int
    tolerance: int


BALANCES = (
    Tool("balance reading 1 g", 60_000_000_000, 1_000_000, 1_000_000),
    Tool("balance reading 0.1 g", 6_000_000_000, 100_000, 100_000),
    Tool("balance reading 0.01 g", 600_000_000, 10_000, 10_000),
    Tool("balance reading 0.001 g", 120_000_000, 1_000, 1_000),
)


@dataclass(frozen=True)
class Measured:
    """One amount to set out.

    exact, amount: base units of `measure` before and after rounding to `tool`. rounding_percent: how far the
    amount is off the exact one, with its sign. tolerance_percent: what the tool itself may be off, plus or
    minus.
    """

    what: str
    measure: str
    exact: int
    amount: int
    tool: str
    rounding_percent: Decimal
    tolerance_percent: Decimal

    @property
    def shown(self):
        return format_amount(self.amount, self.measure)

    @property
    def is_poor(self):
        """Whether rounding and tool together may be off by more than 5 %."""
        return abs(self.rounding_percent) + self.tolerance_percent > POOR_PERCENT


@dataclass(frozen=True)
class Vessel:
    """Glassware to make up in. volume: microlitre in all, `times` fillings of it."""

    name: str
    volume: int
    times: int
    tolerance_percent: Decimal


@cache
def _glassware(*kinds):
    rows = [row for row in read_rows("glassware.csv") if row["kind"] in kinds]
    return tuple(
        Tool(row["name"], int(row["holds_ul"]), int(row["division_ul"]), int(row["tolerance_ul"]))
        for row in rows
    )


def flask_volumes():
    """What can be made up in one filling, in microlitre, smallest first."""
    return tuple(tool.holds for tool in _glassware("flask"))


def _checked(exact):
    if not isinstance(exact, int) or not 0 < exact <= MAX_BASE_UNITS:
        raise QuantityError("The amount to set out must be above nought and within what can be kept.")
    return exact


def _percent(part, whole):
    return (Decimal(part) * 100 / Decimal(whole)).quantize(Decimal("0.001"), rounding=ROUND_HALF_UP)


def _rounded(what, measure, exact, tool):
    steps = max(1, (2 * exact + tool.step) // (2 * tool.step))
    amount = steps * tool.step
    fillings = -(-amount // tool.holds)
    return Measured(
        what,
        measure,
        exact,
        amount,
        tool.name,
        _percent(amount - exact, exact),
        _percent(tool.tolerance * fillings, amount),
    )


def weigh(what, exact):
    """Measured for a mass in microgram, on the plainest balance that rounds it by 0.1 % at most.

    Where none does, the finest is taken. Raises QuantityError for an amount of nought or below.
    """
    _checked(exact)
    fitting = [tool for tool in BALANCES if tool.holds >= exact] or [BALANCES[0]]
    for tool in fitting:
        found = _rounded(what, MASS, exact, tool)
        if abs(found.rounding_percent) <= GOOD_PERCENT and tool.step * 100 <= exact:
            return found
    return _rounded(what, MASS, exact, fitting[-1])


def measure_out(what, exact):
    """Measured for a volume in microlitre, by the smallest pipette (to 10 mL) or cylinder that holds it.

    More than a litre is measured by filling the 1 L cylinder more than once. Raises QuantityError.
    """
    _checked(exact)
    tools = _glassware("pipette", "cylinder")
    tool = next((tool for tool in tools if tool.holds >= exact), tools[-1])
    return _rounded(what, VOLUME, exact, tool)


def set_out(what, measure, exact):
    """Measured for base units of any measure; pieces are counted. Raises QuantityError."""
    if measure == MASS:
        return weigh(what, exact)
    if measure == VOLUME:
        return measure_out(what, exact)
    if measure != COUNT:
        raise QuantityError(f"{measure!r} is not a way of measuring: use mass, volume or count.")
    return Measured(what, COUNT, _checked(exact), exact, "by count", Decimal(0), Decimal(0))


def vessel_for(volume, *, round_up=True):
    """The Vessel that holds at least `volume` microlitre: a volumetric flask to 2 L, a marked bottle to 20 L.

    Beyond 20 L the largest is filled several times. With round_up False the vessel is marked at the volume
    itself and taken to be good to 1 %. Raises QuantityError.
    """
    _checked(volume)
    flasks = _glassware("flask")
    tool = next((tool for tool in flasks if tool.holds >= volume), flasks[-1])
    if not round_up and volume != tool.holds:
        return Vessel(f"vessel marked at {format_amount(volume, VOLUME)}", volume, 1, Decimal(1))
    times = -(-volume // tool.holds)
    return Vessel(tool.name, tool.holds * times, times, _percent(tool.tolerance, tool.holds))


def round_number_up(n):
    """The next whole number of two figures and noughts: 1234 -> 1300. For batches that need no flask."""
    step = 10 ** max(0, len(str(_checked(n))) - 2)
    return -(-n // step) * step
