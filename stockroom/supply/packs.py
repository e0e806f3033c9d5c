"""Which packs to buy: cover a need at least cost, then with least surplus, then with fewest packs.

An exact dynamic programme over the amounts that can be reached, offer by offer. It never steps through the
need unit by unit, so a need of tonnes in micrograms is as cheap as one of grams:

- the offer with the lowest price per unit that may be bought without limit (the bulk offer) comes last and
  is counted by one division;
- of an offer no cheaper per unit, bulk / gcd(bulk, pack) packs are never bought: bulk packs of the same
  total amount cost no more;
- a partial choice is dropped when even the cheapest rest, packs cut to measure, would cost more than a
  whole choice already known.

Amounts are integers of the reagent's smallest unit, prices integers of the currency's smallest unit.
"""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from math import gcd

STEPS = 500_000  # partial choices looked at before giving up; everyday needs take a few hundred


class Why(StrEnum):
    """Why no choice covers the need."""

    NO_OFFERS = "no offers"
    LIMITS = "limits"  # all the packs that may be bought are together too little
    ROOM = "room"  # every choice that covers the need is more than max_amount


class PacksError(ValueError):
    """The question is malformed or has too many answers to compare; the message says what to change."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A pack on sale: its amount, its price, and how many may be bought at most (None: any number)."""

    id: Hashable
    amount: int
    price_minor: int
    limit: int | None = None

    def __post_init__(self):
        if self.amount <= 0:
            raise PacksError(f"The pack size of offer {self.id} must be above zero.")
        if self.price_minor < 0 or (self.limit is not None and self.limit < 0):
            raise PacksError(f"The price and limit of offer {self.id} cannot be below zero.")


@dataclass(frozen=True, slots=True)
class Choice:
    """counts: offer id to number of packs (only those bought). Where why is set, nothing covers the need
    and counts is empty."""

    need: int
    counts: dict[Hashable, int] = field(default_factory=dict)
    amount: int = 0
    cost: int = 0
    why: Why | None = None

    @property
    def possible(self) -> bool:
        return self.why is None

    @property
    def surplus(self) -> int:
        return max(0, self.amount - self.need)

    @property
    def packs(self) -> int:
        return sum(self.counts.values())


@dataclass(slots=True)
class _Search:
    """The question, and the best whole choice so far as (cost, amount, packs, trail of counts)."""

    need: int
    room: int | None
    best: tuple | None = None
    steps: int = 0

    def offer(self, cost: int, amount: int, packs: int, trail: tuple) -> None:
        if self.room is not None and amount > self.room:
            return
        if self.best is None or (cost, amount, packs) < self.best[:3]:
            self.best = (cost, amount, packs, trail)

    def step(self) -> None:
        self.steps += 1
        if self.steps > STEPS:
            raise PacksError("Too many ways to combine these packs; leave out some offers or set limits.")


def choose(need: int, offers: Iterable[Offer], max_amount: int | None = None) -> Choice:
    """The cheapest packs that hold at least need and at most max_amount (shelf life or storage room).

    Ties in cost go to the least surplus, then the fewest packs. Raises PacksError for two offers of one id
    and for the rare question with too many answers to compare.
    """
    offers = sorted(offers, key=_dearness)
    if len({offer.id for offer in offers}) < len(offers):
        raise PacksError("Two offers have the same id.")
    if need <= 0:
        return Choice(need)
    offers = [offer for offer in offers if offer.limit != 0]
    bulk = next((offer for offer in offers if offer.limit is None), None)
    if why := _why_none(need, offers, max_amount):
        return Choice(need, why=why)

    search = _Search(need, max_amount)
    _first_guess(search, offers)
    states = _of_limited(search, offers, bulk)
    if bulk is not None:
        _fill_up(search, states, bulk, need)
    if search.best is None:
        return Choice(need, why=Why.ROOM)
    cost, amount, _, trail = search.best
    return Choice(need, _counts(trail), amount, cost)


def _why_none(need: int, offers: list[Offer], max_amount: int | None) -> Why | None:
    """Why no packs can be bought, as far as that is seen without looking for them."""
    if not offers:
        return Why.NO_OFFERS
    if max_amount is not None and max_amount < need:
        return Why.ROOM
    limits = [offer.amount * offer.limit for offer in offers if offer.limit is not None]
    return Why.LIMITS if len(limits) == len(offers) and sum(limits) < need else None


def _of_limited(search: "_Search", offers: list[Offer], bulk: Offer | None) -> dict:
    """Amount -> (cost, packs, how), of what may be bought without the unlimited offer.

    Dearest first: what is left to cover is then bounded by the cheaper offers, the closest bound.
    """
    order = [offer for offer in reversed(offers) if offer is not bulk]
    states = {0: (0, 0, ())}
    for place, offer in enumerate(order):
        rest = [other for other in offers if other is bulk or other in order[place + 1 :]]
        states = _with_offer(search, states, offer, _most(offer, bulk), rest)
    return states


def _fill_up(search: "_Search", states: dict, bulk: Offer, need: int) -> None:
    """Offer each amount that the limited packs give with the rest of it from the unlimited one."""
    for amount, (cost, packs, trail) in states.items():
        count = -(-(need - amount) // bulk.amount)
        whole = (trail, bulk.id, count)
        search.offer(cost + count * bulk.price_minor, amount + count * bulk.amount, packs + count, whole)


def _dearness(offer: Offer) -> tuple:
    """Cheapest per unit first; of equal ones the larger pack, since fewer packs win a tie."""
    return Fraction(offer.price_minor, offer.amount), -offer.amount


def _first_guess(search: _Search, offers: list[Offer]) -> None:
    """Whole choices found greedily, so that dropping partial ones can start at once.

    offers come cheapest per unit first: whole packs of each in turn, the last gap filled by any one offer.
    """
    cost = amount = packs = 0
    trail: tuple = ()
    for offer in offers:
        for filler in offers:
            gap = -(-(search.need - amount) // filler.amount)
            used = _counts(trail).get(filler.id, 0)
            if filler.limit is None or used + gap <= filler.limit:
                whole = (trail, filler.id, gap)
                search.offer(
                    cost + gap * filler.price_minor, amount + gap * filler.amount, packs + gap, whole
                )
        count = (search.need - 1 - amount) // offer.amount
        if offer.limit is not None:
            count = min(count, offer.limit)
        if count:
            cost, amount, packs = (
                cost + count * offer.price_minor,
                amount + count * offer.amount,
                packs + count,
            )
            trail = (trail, offer.id, count)


def _most(offer: Offer, bulk: Offer | None) -> int:
    """How many packs of an offer, other than the bulk offer, can be worth buying at all."""
    if bulk is None or _dearness(offer) < _dearness(bulk):
        return offer.limit
    spare = bulk.amount // gcd(bulk.amount, offer.amount) - 1
    return spare if offer.limit is None else min(spare, offer.limit)


def _with_offer(search: _Search, states: dict, offer: Offer, most: int, rest: list[Offer]) -> dict:
    """Every partial choice worth keeping once this offer has been decided on.

    states: amount below the need -> (cost, packs, trail). Whole choices go to search as they are met.
    rest: the offers still to decide, cheapest per unit first.
    """
    dearest = all(_dearness(other) <= _dearness(offer) for other in rest)
    grown: dict[int, tuple] = {}
    for amount, (cost, packs, trail) in states.items():
        for count in range(most + 1):
            search.step()
            total, spent = amount + count * offer.amount, cost + count * offer.price_minor
            taken = (trail, offer.id, count) if count else trail
            if total >= search.need:
                search.offer(spent, total, packs + count, taken)
                break
            least = _least_cost(search.need - total, rest)
            if least is not None and search.best and spent + least > search.best[0]:
                if dearest:
                    break  # one more pack of this only makes it dearer
            elif least is not None:
                known = grown.get(total)
                if known is None or (spent, packs + count) < known[:2]:
                    grown[total] = (spent, packs + count, taken)
    return grown if search.room is not None else _undominated(grown)


def _least_cost(amount: int, rest: list[Offer]) -> int | None:
    """What covering an amount costs at least: packs cut to measure. None if the packs are too few."""
    cost = 0
    for offer in rest:
        if offer.limit is None or offer.limit * offer.amount >= amount:
            return cost - (-amount * offer.price_minor // offer.amount)
        cost += offer.limit * offer.price_minor
        amount -= offer.limit * offer.amount
    return None


def _undominated(states: dict) -> dict:
    """Without the partial choices that hold no more than another and cost more."""
    kept: dict[int, tuple] = {}
    cheapest = None
    for amount in sorted(states, reverse=True):
        cost = states[amount][0]
        if cheapest is None or cost <= cheapest:
            kept[amount] = states[amount]
            cheapest = cost
    return kept


def _counts(trail: tuple) -> dict:
    """The packs of a choice, from its chain of (chain before, offer id, count)."""
    counts: dict[Hashable, int] = {}
    while trail:
        trail, offer_id, count = trail
        if count:
            counts[offer_id] = counts.get(offer_id, 0) + count
    return counts
