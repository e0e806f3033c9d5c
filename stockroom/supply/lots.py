"""Which needs to join into one lot: the dynamic lot-size model with shelf life as a bound.

Source: H. M. Wagner and T. M. Whitin, "Dynamic Version of the Economic Lot Size Model", Management Science
5(1), 1958, pages 89-96. In a least plan every lot serves needs that follow one another, so the best plan of
the first needs, and one lot more, gives the best plan of the next: `join`.

`make_up_lots` is that model for solutions: a lot costs a session, its flasks and what is left over. What is
left of a lot is carried to the needs after it while it keeps.

Amounts are integers of the reagent's smallest unit.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

LITRE = 1_000_000  # microlitres
#: partial plans of one length that are kept, the cheapest first
KEPT = 8
#: lots that begin with one need and stop so many needs before the longest are looked at
SHORTER = 8


def join(count: int, cost: Callable[[int, int], int | None]) -> tuple[int, tuple[tuple[int, int], ...]]:
    """The cheapest way to serve needs 0 to count - 1 in lots: (cost, ((first, last), ...)).

    cost(first, last) is what one lot for these needs costs, or None where it cannot be: then a lot for more
    needs from the same first one cannot be either. Of plans of one cost, the one with the fewest lots.
    Raises ValueError where a need cannot be served even by a lot of its own.
    """
    best: list[tuple[int, int, int] | None] = [(0, 0, -1)] + [None] * count  # cost, lots, first of the last
    for first in range(count):
        before = best[first]
        if before is None:
            raise ValueError(f"Need {first} cannot be served: give a cost for a lot of it alone.")
        for last in range(first, count):
            more = cost(first, last)
            if more is None:
                break
            plan = (before[0] + more, before[1] + 1, first)
            if best[last + 1] is None or plan < best[last + 1]:
                best[last + 1] = plan
    if best[count] is None:
        raise ValueError(f"Need {count - 1} cannot be served: give a cost for a lot of it alone.")
    lots, end = [], count
    while end:
        first = best[end][2]
        lots.append((first, end - 1))
        end = first
    return best[count][0], tuple(reversed(lots))


@dataclass(frozen=True, slots=True)
class Weights:
    """How a department weighs its work, in points: one session, one flask to wash, one litre left over.

    The usual weights are common practice, no source: a session is worth five flasks or a litre of waste.
    """

    session: int = 100
    flask: int = 20
    litre_left: int = 100

    def __post_init__(self):
        if min(self.session, self.flask, self.litre_left) < 0:
            raise ValueError("What a session, a flask and a litre left over are worth cannot be below zero.")


@dataclass(frozen=True, slots=True)
class Wanted:
    """An amount missing on a day; a lot made up for this day serves up to `until` (None: no limit)."""

    on: date
    amount: int
    until: date | None = None


@dataclass(frozen=True, slots=True)
class MadeLot:
    """One lot, for the needs `first` to `last`: batches ((size, how many), ...), the largest first."""

    first: int
    last: int
    batches: tuple[tuple[int, int], ...]

    @property
    def amount(self) -> int:
        return sum(size * count for size, count in self.batches)


@lru_cache(maxsize=100_000)
def batches(amount: int, sizes: tuple[int, ...], weights: Weights) -> tuple[int, tuple[tuple[int, int], ...]]:
    """(cost in millionths of a point, batches) that hold an amount at least cost.

    The cost is that of the flasks and of all that is made: less what is used, that is the waste. No sizes:
    one batch of exactly the amount.
    """
    if not sizes:
        return weights.flask * LITRE + weights.litre_left * amount, ((amount, 1),)
    flasks, found = _fill(amount, tuple(sorted(sizes, reverse=True)), weights)
    return flasks, tuple((size, count) for size, count in found if count)


@lru_cache(maxsize=100_000)
def _fill(amount: int, sizes: tuple[int, ...], weights: Weights) -> tuple[int, tuple]:
    """The cheapest flasks of these sizes, the largest first: as many as are filled, one more, or one less."""
    size, smaller = sizes[0], sizes[1:]
    price = weights.flask * LITRE + weights.litre_left * size
    whole, rest = divmod(amount, size)
    up = whole + bool(rest)
    best = (up * price, ((size, up),))
    for count in {whole, max(0, whole - 1)} if smaller and rest else ():
        cost, found = _fill(amount - count * size, smaller, weights)
        best = min(best, (cost + count * price, ((size, count), *found)), key=lambda pair: pair[0])
    return best


@dataclass(slots=True)
class _State:
    """A partial plan: its cost, what is left over of its last lot and until when, the lots as a chain."""

    cost: int
    left: int
    until: date
    chain: tuple


def make_up_lots(
    wanted: Sequence[Wanted], sizes: tuple[int, ...], weights: Weights, most: int | None = None
) -> tuple[MadeLot, ...]:
    """The lots that serve these needs, given by day, at least cost. Nothing is on the shelf before the first.

    most: no lot joins needs beyond this amount in all (what there is room for); a single need may be larger.
    """
    states: list[list[_State]] = [[] for _ in range(len(wanted) + 1)]
    states[0].append(_State(0, 0, date.max, ()))
    for first, need in enumerate(wanted):
        for state in _worth_keeping(states[first]):
            left = state.left if state.until >= need.on else 0
            if left >= need.amount:
                rest = _State(state.cost, left - need.amount, state.until, state.chain)
                states[first + 1].append(rest)
                continue
            for last, total, made in _joinable(wanted, first, left, sizes, most):
                cost, found = batches(made, sizes, weights)
                lot = MadeLot(first, last, found)
                states[last + 1].append(
                    _State(
                        state.cost + weights.session * LITRE + cost,
                        lot.amount - (total - left),
                        need.until or date.max,
                        (state.chain, lot),
                    )
                )
    best = min(states[-1], key=lambda state: (state.cost, -state.left))
    return _unchained(best.chain)


def _joinable(wanted: Sequence[Wanted], first: int, left: int, sizes: tuple[int, ...], most: int | None):
    """(last need, amount in all, amount to make) of the lots that may begin with a need.

    Two lots that could be one never cost less than that one, so the longest comes first, and nothing else
    where it serves all that is wanted. A shorter one can be worth it for a better filled flask, and so can
    full flasks that also hold a part of the next need.
    """
    totals = [0]
    for last in range(first, len(wanted)):
        total = totals[-1] + wanted[last].amount
        if last > first and not _may_join(wanted[first], wanted[last], total, most):
            break
        totals.append(total)
    longest = first + len(totals) - 2
    for last in range(longest, max(first, longest - SHORTER) - 1, -1):
        total = totals[last - first + 1]
        yield last, total, total - left
        if last == len(wanted) - 1:
            return
        if last < longest and sizes:
            more = totals[last - first + 2] - left
            full = {more // size * size for size in sizes}
            yield from ((last, total, made) for made in full if made > total - left)


def _may_join(first: Wanted, last: Wanted, total: int, most: int | None) -> bool:
    return (first.until is None or last.on <= first.until) and (most is None or total <= most)


def _worth_keeping(states: list[_State]) -> list[_State]:
    """Without the partial plans that cost no less, leave no more and keep no longer than another."""
    kept: list[_State] = []
    for state in sorted(states, key=lambda s: (s.cost, -s.left, -s.until.toordinal())):
        if not any(other.left >= state.left and other.until >= state.until for other in kept):
            kept.append(state)
            if len(kept) == KEPT:
                break
    return kept


def _unchained(chain: tuple) -> tuple[MadeLot, ...]:
    lots = []
    while chain:
        chain, lot = chain
        lots.append(lot)
    return tuple(reversed(lots))
