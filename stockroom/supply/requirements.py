"""What must be made up and bought, and by when, so that every need is met on its day.

Time-phased gross-to-net planning, level by level: what a day needs is taken from the shelf in the order of
use of `allocation`, then from what is on order, and only the rest is planned. What is made up needs its
parts on the day it is made up, and those are planned the same way one level down. A reagent used on several
levels is planned once, after everything that uses it.

A reagent with a recipe is made up where time allows and bought otherwise; leave a recipe out to plan
buying. A make-up serves needs up to the last day it keeps. Needs are joined into lots by `lots` where the
caller says how sessions, flasks and waste weigh. Joining and rounding up to glassware must cost no class its
parts: where parts run out, what is made from them until that day is made up in exact amounts, and where that
does not do, day by day. Which alternative an ingredient takes is the caller's choice.

Amounts are integers of each reagent's smallest unit.
"""

from collections import deque
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum
from functools import cached_property
from graphlib import CycleError, TopologicalSorter
from heapq import heappop, heappush
from itertools import groupby

from stockroom.supply import lots as sizing
from stockroom.supply.allocation import Demand, Lot, Shelf
from stockroom.supply.projection import Receipt, lasts
from stockroom.supply.workdays import EVERY_DAY, WorkWeek


class RecipeError(ValueError):
    """A recipe that cannot be planned with; the message says what to change."""


class RecipeCycleError(RecipeError):
    """Recipes that need their own product. cycle: the reagent ids, the first one again at the end."""

    def __init__(self, cycle: Sequence[Hashable]):
        self.cycle = tuple(cycle)
        super().__init__(
            f"These are made from one another: {' -> '.join(map(str, cycle))}. Break the circle."
        )


@dataclass(frozen=True, slots=True)
class Need:
    """An amount of a reagent wanted on a day; ref says by whom (a booking)."""

    reagent_id: Hashable
    on: date
    amount: int
    ref: Hashable


@dataclass(frozen=True, slots=True)
class Recipe:
    """How a reagent is made up: parts ((reagent id, amount), ...) give yield_amount of the product.

    shelf_life_days: days it keeps, counted from the day it is made up (None: no limit). lead_days: days it
    must stand before use. batch_sizes: the amounts there is glassware for (empty: any amount). most: what
    there is room for, which no lot for several days goes beyond (None: any amount).
    """

    product_id: Hashable
    yield_amount: int
    parts: tuple[tuple[Hashable, int], ...]
    shelf_life_days: int | None = None
    batch_sizes: tuple[int, ...] = ()
    lead_days: int = 0
    most: int | None = None

    def __post_init__(self):
        if self.yield_amount <= 0 or not self.parts or any(amount <= 0 for _, amount in self.parts):
            raise RecipeError(f"The recipe of {self.product_id} needs parts, each above zero, and a yield.")
        if any(size <= 0 for size in self.batch_sizes):
            raise RecipeError(f"The batch sizes of {self.product_id} must be above zero.")
        if self.lead_days < 0 or (self.shelf_life_days is not None and self.shelf_life_days < self.lead_days):
            raise RecipeError(f"{self.product_id} must keep at least as long as it has to stand before use.")


class Cause(StrEnum):
    """Why the shelf alone will not do."""

    NONE_LEFT = "none left"
    TAKEN = "taken"  # by needs served before; refs says whose
    EXPIRES = "expires"  # on: the last day of the longest-lasting of it
    UNUSABLE = "unusable"
    ARRIVES_LATER = "arrives later"  # on: when the first of it comes


class Why(StrEnum):
    """Why a need cannot be met."""

    NO_SOURCE = "no source"  # neither a recipe nor anybody who sells it
    TOO_LATE_TO_MAKE = "too late to make"
    TOO_LATE_TO_ORDER = "too late to order"


@dataclass(frozen=True, slots=True)
class Reason:
    code: Cause
    amount: int = 0
    on: date | None = None
    refs: tuple = ()


@dataclass(frozen=True, slots=True)
class MakeUp:
    """One making-up: on any day from earliest to latest. Parts are planned for the latest.

    amount: what the glassware gives, batches ((size, how many), ...); short: what was missing for the day
    needed_on, the rest serves later needs until good_until (counted from the latest day). also_on: the
    later days on which it is used.
    level: 0 is what needs ask for, 1 what that is made from, and so on.
    """

    reagent_id: Hashable
    amount: int
    short: int
    batches: tuple[tuple[int, int], ...]
    earliest: date
    latest: date
    needed_on: date
    good_until: date | None
    parts: tuple[tuple[Hashable, int], ...]
    refs: tuple
    level: int
    reasons: tuple[Reason, ...]
    also_on: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True)
class Purchase:
    reagent_id: Hashable
    amount: int
    needed_on: date
    order_by: date
    refs: tuple
    level: int
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Shortfall:
    """What cannot be had in time. earliest: the day this reagent alone could be had, if ever."""

    reagent_id: Hashable
    amount: int
    needed_on: date
    why: Why
    earliest: date | None
    refs: tuple
    level: int
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Waiting:
    """A need served from something still on order."""

    reagent_id: Hashable
    amount: int
    arrives: date
    needed_on: date
    refs: tuple


@dataclass(frozen=True)
class Plan:
    """make_ups by day (what goes into another first), purchases by the last day to order, and so on.

    gross: reagent id to everything wanted of it, the parts of planned make-ups included, ref being a tuple
    of the needs' refs. refs: every need's ref. sparing: what is made from parts that run out.
    """

    make_ups: tuple[MakeUp, ...]
    purchases: tuple[Purchase, ...]
    shortfalls: tuple[Shortfall, ...]
    waiting: tuple[Waiting, ...]
    gross: dict[Hashable, tuple[Demand, ...]]
    refs: frozenset
    sparing: "dict[Hashable, Sparing]" = field(default_factory=dict)

    @cached_property
    def by_ref(self) -> dict[Hashable, list]:
        """Each ref's lines, of all four kinds."""
        lines: dict[Hashable, list] = {}
        for line in (*self.shortfalls, *self.purchases, *self.make_ups, *self.waiting):
            for ref in line.refs:
                lines.setdefault(ref, []).append(line)
        return lines


#: rounds of finding the parts that run out; each puts at least one day nearer to the shelf
ROUNDS = 12


def explode(
    needs: Iterable[Need],
    recipes: Iterable[Recipe],
    lots: Mapping[Hashable, Sequence[Lot]],
    receipts: Mapping[Hashable, Sequence[Receipt]],
    lead_days: Mapping[Hashable, int],
    today: date,
    weights: sizing.Weights | None = None,
    week: WorkWeek = EVERY_DAY,
) -> Plan:
    """Plan every need, the earlier day first; on one day in the order given.

    lots, receipts (open orders) and lead_days (of the quickest offer) are by reagent id; a reagent without
    lead_days cannot be bought. A need dated before today takes its share of the shelf but plans nothing.
    weights: how a lot is sized that also covers what is missing later, as long as it keeps; without them
    each day is made up by itself, in the fewest batches. week: a last day to make up or to order that is no
    working day moves to the one before, unless that one is over or what is made then would not keep.

    Raises RecipeCycleError naming the circle (leave those out with `without_circles`), RecipeError for two
    recipes of one product.
    """
    question = _Question(_by_product(recipes), lots, receipts, lead_days, today, weights, week)
    gross: dict[Hashable, list[Demand]] = {}
    for need in needs:
        gross.setdefault(need.reagent_id, []).append(Demand(need.on, need.amount, (need.ref,)))
    levels = _levels(gross, question.recipes)
    sparing: dict[Hashable, Sparing] = {}
    memo: dict[Hashable, tuple] = {}
    for _ in range(ROUNDS if weights else 1):
        plan = _explode_once(question, gross, levels, sparing, memo)
        tighter = {
            key: sparing.get(key, Sparing()).tightened(until)
            for key, until in short_of_parts(
                (*plan.purchases, *plan.shortfalls), plan.make_ups, question.recipes
            ).items()
        }
        if all(sparing.get(key) == value for key, value in tighter.items()):
            break
        sparing |= tighter
    return plan


@dataclass(frozen=True, slots=True)
class Sparing:
    """A product whose parts run out: made up in exact amounts up to a day, and day by day up to another."""

    exact: date = date.min
    alone: date = date.min

    def tightened(self, until: date) -> "Sparing":
        """The next thing to try so that the parts last until a day."""
        if self.exact < until:
            return Sparing(until, self.alone)
        return Sparing(self.exact, max(until, self.alone))


@dataclass(frozen=True, slots=True)
class _Question:
    """What `explode` is asked, but for the needs."""

    recipes: Mapping[Hashable, Recipe]
    lots: Mapping[Hashable, Sequence[Lot]]
    receipts: Mapping[Hashable, Sequence[Receipt]]
    lead_days: Mapping[Hashable, int]
    today: date
    weights: sizing.Weights | None
    week: WorkWeek


def _explode_once(question: _Question, wanted, levels, sparing, memo) -> Plan:
    """One pass over the levels. memo keeps what each reagent's netting said, for as long as it is asked the
    same."""
    gross = {key: list(demands) for key, demands in wanted.items()}
    refs = frozenset(ref for demands in gross.values() for demand in demands for ref in demand.ref)
    lines: tuple[list, ...] = ([], [], [], [])
    for reagent_id, level in levels.items():
        demands = gross[reagent_id] = sorted(gross.get(reagent_id, ()), key=lambda d: d.on)
        asked = (demands, sparing.get(reagent_id, Sparing()))
        if reagent_id not in memo or memo[reagent_id][0] != asked:
            memo[reagent_id] = asked, _net(question, reagent_id, level, *asked)
        found = memo[reagent_id][1]
        for planned, more in zip(lines, found, strict=True):
            planned.extend(more)
        for make_up in found[0]:
            for part_id, amount in make_up.parts:
                gross.setdefault(part_id, []).append(Demand(make_up.latest, amount, make_up.refs))
    make_ups, purchases, shortfalls, waiting = lines
    return Plan(
        make_ups=tuple(sorted(make_ups, key=lambda line: (line.latest, -line.level))),
        purchases=tuple(sorted(purchases, key=lambda line: line.order_by)),
        shortfalls=tuple(sorted(shortfalls, key=lambda line: line.needed_on)),
        waiting=tuple(sorted(waiting, key=lambda line: line.needed_on)),
        gross={reagent_id: tuple(demands) for reagent_id, demands in gross.items() if demands},
        refs=refs,
        sparing=dict(sparing),
    )


def _net(question: _Question, reagent_id, level: int, demands: list[Demand], sparing: Sparing) -> tuple:
    """(make-ups, purchases, shortfalls, waiting) of one reagent."""
    lots = question.lots.get(reagent_id, ())
    if not demands or lasts(lots, demands, max(demands[-1].on, question.today)):
        return (), (), (), ()
    netting = _Netting(question, reagent_id, level, sparing)
    netting.run(lots, demands, question.receipts.get(reagent_id, ()))
    return netting.make_ups(), netting.purchases(), netting.shortfalls, netting.waiting


def short_of_parts(
    lines: Iterable, make_ups: Iterable[MakeUp], recipes: Mapping[Hashable, Recipe]
) -> dict[Hashable, date]:
    """The products made from what runs out, and the last day up to which they should spare it.

    lines: purchases and shortfalls. A part that cannot be had is spared up to the last day on which it is
    missing, one to be bought up to the first.
    """
    parts = {part for recipe in recipes.values() for part, _ in recipe.parts}
    bought: dict[Hashable, date] = {}
    missing: dict[Hashable, date] = {}
    for line in lines:
        key = line.reagent_id
        if key in parts and isinstance(line, Purchase):
            bought[key] = min(line.needed_on, bought.get(key, date.max))
        elif key in parts:
            missing[key] = max(line.needed_on, missing.get(key, date.min))
    short = bought | {key: max(until, bought.get(key, until)) for key, until in missing.items()}
    tighter: dict[Hashable, date] = {}
    for make_up in make_ups if short else ():
        product = make_up.reagent_id
        for part_id in _all_parts(product, recipes):
            until = short.get(part_id)
            if until is not None and make_up.latest <= until:
                tighter[product] = max(until, tighter.get(product, until))
    return tighter


def _all_parts(product_id: Hashable, recipes: Mapping[Hashable, Recipe]) -> set:
    """What a product is made from, through the levels."""
    found: set = set()
    queue = [product_id]
    while queue:
        recipe = recipes.get(queue.pop())
        new = {part for part, _ in recipe.parts} - found if recipe else set()
        found |= new
        queue.extend(new)
    return found


def find_cycle(recipes: Iterable[Recipe]) -> tuple[Hashable, ...] | None:
    """A circle among these recipes (the first id again at the end), or None. For checking a new recipe."""
    known = _by_product(recipes)
    try:
        _levels(known, known)
    except RecipeCycleError as error:
        return error.cycle
    return None


def circle_through(
    product_id: Hashable, part_ids: Iterable[Hashable], made_from: Mapping[Hashable, Iterable[Hashable]]
) -> tuple[Hashable, ...] | None:
    """The shortest circle if a product were made from these parts, or None where there is none.

    made_from: reagent id to the ids that go into it. The product stands first and last; the second id is
    the part that leads back to it.
    """
    paths = deque([(product_id, part_id) for part_id in part_ids])
    seen = set()
    while paths:
        path = paths.popleft()
        if path[-1] == product_id:
            return path
        if path[-1] not in seen:
            seen.add(path[-1])
            paths.extend((*path, part_id) for part_id in made_from.get(path[-1], ()))
    return None


def without_circles(
    recipes: Iterable[Recipe],
) -> tuple[tuple[Recipe, ...], tuple[tuple[Hashable, ...], ...]]:
    """The recipes that can be planned with, and the circles that the others go round in.

    Every recipe that lies on a circle is left out, so that it does not matter which was written first. Each
    circle is told once, its first id again at the end; every recipe left out is on one that is told.
    """
    recipes = tuple(recipes)
    if find_cycle(recipes) is None:
        return recipes, ()
    made_from = {row.product_id: [part_id for part_id, _ in row.parts] for row in recipes}
    found = {key: circle_through(key, parts, made_from) for key, parts in made_from.items()}
    told = {frozenset(circle): circle for circle in reversed(found.values()) if circle}
    kept = tuple(row for row in recipes if not found[row.product_id])
    return kept, tuple(reversed(told.values()))


def _by_product(recipes: Iterable[Recipe]) -> dict[Hashable, Recipe]:
    known: dict[Hashable, Recipe] = {}
    for recipe in recipes:
        if known.setdefault(recipe.product_id, recipe) is not recipe:
            raise RecipeError(f"{recipe.product_id} has two recipes; choose one.")
    return known


def _levels(wanted: Iterable[Hashable], recipes: Mapping[Hashable, Recipe]) -> dict[Hashable, int]:
    """Reagent ids with their low-level codes, every product before its parts."""
    used_by: dict[Hashable, list] = {reagent_id: [] for reagent_id in wanted}
    queue = deque(used_by)
    while queue:
        product_id = queue.popleft()
        for part_id, _ in recipes[product_id].parts if product_id in recipes else ():
            if part_id not in used_by:
                used_by[part_id] = []
                queue.append(part_id)
            used_by[part_id].append(product_id)
    levels: dict[Hashable, int] = {}
    try:
        for reagent_id in TopologicalSorter(used_by).static_order():
            levels[reagent_id] = max((levels[user] + 1 for user in used_by[reagent_id]), default=0)
    except CycleError as error:
        raise RecipeCycleError(error.args[1]) from None
    return levels


def _fewest(amount: int, sizes: tuple[int, ...]) -> tuple[tuple[int, int], ...]:
    """Fewest batches that hold an amount: whole ones of the largest size, then the smallest that holds the
    rest."""
    if not sizes:
        return ((amount, 1),)
    largest = max(sizes)
    whole, rest = divmod(amount, largest)
    last = min((size for size in sizes if size >= rest), default=largest) if rest else 0
    if last == largest:
        return ((largest, whole + 1),)
    return tuple((size, count) for size, count in ((largest, whole), (last, 1)) if size and count)


@dataclass(slots=True)
class _Supply:
    """A make-up or purchase while needs are still being pegged to it."""

    on: date
    short: int
    start: date  # the day to make it up or order it
    batches: tuple[tuple[int, int], ...] | None  # None: bought
    amount: int
    expires: date | None
    reasons: tuple[Reason, ...]
    used_on: list[date]
    refs: dict = field(default_factory=dict)


class _Netting:
    """Gross to net for one reagent."""

    def __init__(self, question: _Question, reagent_id: Hashable, level: int, sparing: Sparing):
        self.reagent_id, self.level, self.sparing = reagent_id, level, sparing
        self.recipe = question.recipes.get(reagent_id)
        self.lead_days = question.lead_days.get(reagent_id)
        self.today, self.week, self.weights = question.today, question.week, question.weights
        self.sized: deque = deque()
        self.supplies: list[_Supply] = []
        self.shortfalls: list[Shortfall] = []
        self.waiting: list[Waiting] = []
        self.taken: dict[Hashable, int] = {}

    def run(self, lots: Sequence[Lot], demands: Sequence[Demand], receipts: Sequence[Receipt]) -> None:
        """demands come by date. A day is planned as one, since what it needs is there before it begins."""
        self.shelf = Shelf(lots)
        self.arriving = deque(sorted(receipts, key=lambda r: r.on))
        self.unusable = sum(lot.balance for lot in lots if not lot.usable)
        place = 0
        for (past, on), group in groupby(demands, lambda d: (d.on < self.today, max(d.on, self.today))):
            wanted = tuple(group)
            place += len(wanted)
            _receive(self.shelf, self.arriving, on)
            served, short = _serve(self.shelf, wanted, on)
            plannable = not past and short
            if plannable and (supply := self._supply(wanted, on, short, demands[place:])):
                _undo(served)
                self.supplies.append(supply)
                self.shelf.add(supply.amount, supply.expires, on, supply)
                served, short = _serve(self.shelf, wanted, on)
            self._peg(served, on)
            if plannable and short:
                self._fall_short(served, on)

    def _peg(self, served: list[tuple], on: date) -> None:
        """Note who depends on what is not there yet, and who takes how much of what is."""
        for demand, taken, _ in served:
            for row, part in taken:
                source = row[3]
                if isinstance(source, _Supply):
                    source.refs.update(dict.fromkeys(demand.ref))
                    if source.used_on[-1] != on:
                        source.used_on.append(on)
                    continue
                if isinstance(source, Receipt):
                    self.waiting.append(Waiting(self.reagent_id, part, source.on, on, demand.ref))
                for ref in demand.ref:
                    self.taken[ref] = self.taken.get(ref, 0) + part

    def _supply(self, wanted: tuple, on: date, short: int, later: Sequence[Demand]) -> _Supply | None:
        """A make-up or a purchase for what a day is short of, or None where neither is in time."""
        recipe, day = self.recipe, timedelta(days=1)
        if recipe and on - recipe.lead_days * day >= self.today:
            start = self._make_by(on)
            keeps = None if recipe.shelf_life_days is None else start + recipe.shelf_life_days * day
            batches = self._batches(on, start, short, sum(demand.amount for demand in wanted), later)
            amount = sum(size * count for size, count in batches)
        elif self.lead_days is not None and on - self.lead_days * day >= self.today:
            start, keeps, batches = self.week.back(on - self.lead_days * day, self.today), None, None
            amount = short
        else:
            return None
        reasons = self._reasons(on, {ref for demand in wanted for ref in demand.ref})
        return _Supply(on, short, start, batches, amount, keeps, reasons, [on])

    def _batches(self, on: date, start: date, short: int, day: int, later: Sequence[Demand]) -> tuple:
        """What to make up on a day: exactly what is missing while parts run out, else a lot."""
        if self.weights is None:
            return _fewest(short, self.recipe.batch_sizes)
        if start <= self.sparing.alone:
            return ((short, 1),)
        # The lots sized before hold as long as they meet what is missing now.
        if not self.sized or self.sized[0][:2] != (on, short):
            # A draw comes whole from one container: what is left of the last lot is not counted on.
            missing = self._missing(on, short if start <= self.sparing.exact else day, later)
            if start <= self.sparing.exact:
                until = self.sparing.exact
                missing = [missing[0], *((day, amount) for day, amount in missing[1:] if day <= until)]
                self.sized = self._size_lots(missing, ())
            else:
                self.sized = self._size_lots(missing, self.recipe.batch_sizes)
        return self.sized.popleft()[2]

    def _size_lots(self, missing: list[tuple[date, int]], sizes: tuple[int, ...]) -> deque:
        """(day, what is missing on it, batches) of the next lot and those after it."""
        wanted = [sizing.Wanted(day, amount, self._keeps_until(day)) for day, amount in missing]
        lots = sizing.make_up_lots(wanted, sizes, self.weights, self.recipe.most)
        left, sized = 0, deque()
        for lot, after in zip(lots, (*lots[1:], None), strict=True):
            first = wanted[lot.first]
            sized.append((first.on, first.amount - left, lot.batches))
            end = len(wanted) if after is None else after.first
            left += lot.amount - sum(need.amount for need in wanted[lot.first : end])
            if after is not None and first.until is not None and first.until < wanted[after.first].on:
                left = 0
        return sized

    def _keeps_until(self, on: date) -> date | None:
        """The last day that a lot made up for a day serves."""
        life = self.recipe.shelf_life_days
        return None if life is None else self._make_by(on) + timedelta(days=life)

    def _make_by(self, on: date) -> date:
        """The last day to make up what is needed on a day: a working day where it keeps from then on."""
        latest = on - timedelta(days=self.recipe.lead_days)
        start = self.week.back(latest, self.today)
        life = self.recipe.shelf_life_days
        return start if life is None or start + timedelta(days=life) >= on else latest

    def _missing(self, on: date, short: int, later: Sequence[Demand]) -> list[tuple[date, int]]:
        """What is missing on this day and on each later one. Nothing in date is on the shelf now, so only
        what arrives can help."""
        shelf, arriving = Shelf(()), self.arriving.copy()
        missing = [(on, short)]
        for demand in later:
            _receive(shelf, arriving, demand.on)
            lacks = shelf.take(demand.amount, demand.on)[1]
            if lacks and missing[-1][0] == demand.on:
                missing[-1] = (demand.on, missing[-1][1] + lacks)
            elif lacks:
                missing.append((demand.on, lacks))
        return missing

    def _fall_short(self, served: list[tuple], on: date) -> None:
        leads = [lead for lead in (self.recipe and self.recipe.lead_days, self.lead_days) if lead is not None]
        why = Why.TOO_LATE_TO_MAKE if self.recipe else Why.TOO_LATE_TO_ORDER if leads else Why.NO_SOURCE
        earliest = self.today + timedelta(days=min(leads)) if leads else None
        for demand, _, short in served:
            if short:
                reasons = self._reasons(on, demand.ref)
                self.shortfalls.append(
                    Shortfall(self.reagent_id, short, on, why, earliest, demand.ref, self.level, reasons)
                )

    def _reasons(self, on: date, refs: Iterable) -> tuple[Reason, ...]:
        """Why the shelf alone will not do for these refs on a day."""
        others = {ref: amount for ref, amount in self.taken.items() if ref not in refs}
        gone = [row for row in self.shelf.rows if row[1] and row[2] < on]
        reasons = []
        if others:
            reasons.append(Reason(Cause.TAKEN, sum(others.values()), refs=tuple(others)))
        if gone:
            reasons.append(Reason(Cause.EXPIRES, sum(row[1] for row in gone), max(row[2] for row in gone)))
        if self.unusable:
            reasons.append(Reason(Cause.UNUSABLE, self.unusable))
        if self.arriving:
            later = sum(receipt.amount for receipt in self.arriving)
            reasons.append(Reason(Cause.ARRIVES_LATER, later, self.arriving[0].on))
        return tuple(reasons) or (Reason(Cause.NONE_LEFT),)

    def make_ups(self) -> list[MakeUp]:
        recipe = self.recipe
        return [
            MakeUp(
                reagent_id=self.reagent_id,
                amount=supply.amount,
                short=supply.short,
                batches=supply.batches,
                earliest=self._earliest(supply),
                latest=supply.start,
                needed_on=supply.on,
                good_until=supply.expires,
                # Rounded up, so that the parts are never a smallest unit short.
                parts=tuple(
                    (part, -(-amount * supply.amount // recipe.yield_amount)) for part, amount in recipe.parts
                ),
                refs=tuple(supply.refs),
                level=self.level,
                reasons=supply.reasons,
                also_on=tuple(supply.used_on[1:]),
            )
            for supply in self.supplies
            if supply.batches is not None
        ]

    def _earliest(self, supply: _Supply) -> date:
        """Made up earlier than this it would not keep until its last need."""
        first = self.today
        if self.recipe.shelf_life_days is not None:
            first = max(first, supply.used_on[-1] - timedelta(days=self.recipe.shelf_life_days))
        return min(self.week.forward(first), supply.start)

    def purchases(self) -> list[Purchase]:
        return [
            Purchase(
                self.reagent_id,
                supply.amount,
                supply.on,
                supply.start,
                tuple(supply.refs),
                self.level,
                supply.reasons,
            )
            for supply in self.supplies
            if supply.batches is None
        ]


def _receive(shelf: Shelf, arriving: deque, on: date) -> None:
    """Put on the shelf what has arrived by a day."""
    while arriving and arriving[0].on <= on:
        receipt = arriving.popleft()
        shelf.add(receipt.amount, receipt.expires, receipt.on, receipt)


def _serve(shelf: Shelf, wanted: Iterable[Demand], on: date) -> tuple[list[tuple], int]:
    """Serve one day: ([(demand, what it takes, what it is short of)], short in all)."""
    served = [(demand, *shelf.take(demand.amount, on)) for demand in wanted]
    return served, sum(short for _, _, short in served)


def _undo(served: list[tuple]) -> None:
    """Put back what a day took."""
    for _, taken, _ in served:
        for row, part in taken:
            row[1] += part


class Readiness(StrEnum):
    READY = "ready"
    MAKE_UP = "ready after making up"
    ORDER = "ready if ordered"
    CANNOT = "cannot be ready"


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a booking can be ready.

    by: the first day on which something is due: the last day to make up (MAKE_UP) or to order (ORDER);
    None otherwise. The lines are the plan's that this booking depends on; waiting are open orders it counts
    on, which it does even where it is READY.
    """

    readiness: Readiness
    by: date | None
    make_ups: tuple[MakeUp, ...]
    purchases: tuple[Purchase, ...]
    shortfalls: tuple[Shortfall, ...]
    waiting: tuple[Waiting, ...]


def verdict(needs: Iterable[Need], plan: Plan) -> Verdict:
    """Judge one booking's needs by the plan they are part of.

    Raises ValueError where a need was not in the plan, which would otherwise pass as ready.
    """
    refs = dict.fromkeys(need.ref for need in needs)
    unknown = [ref for ref in refs if ref not in plan.refs]
    if unknown:
        raise ValueError(f"The plan was made without {', '.join(map(str, unknown))}; plan again with it.")
    lines = {id(line): line for ref in refs for line in plan.by_ref.get(ref, ())}.values()
    make_ups, purchases, shortfalls, waiting = (
        tuple(line for line in lines if isinstance(line, kind))
        for kind in (MakeUp, Purchase, Shortfall, Waiting)
    )
    if shortfalls:
        readiness, by = Readiness.CANNOT, None
    elif purchases:
        readiness, by = Readiness.ORDER, min(line.order_by for line in purchases)
    elif make_ups:
        readiness, by = Readiness.MAKE_UP, min(line.latest for line in make_ups)
    else:
        readiness, by = Readiness.READY, None
    return Verdict(readiness, by, make_ups, purchases, shortfalls, waiting)


@dataclass(frozen=True, slots=True)
class PlannedOrder:
    """net: what is missing on needed_on; amount: that in whole lots. An order_by in the past is overdue."""

    needed_on: date
    order_by: date
    net: int
    amount: int


def net_requirements(
    lots: Sequence[Lot],
    demands: Sequence[Demand],
    receipts: Sequence[Receipt],
    start: date,
    end: date,
    minimum: int = 0,
    lead_days: int = 0,
    lot_size: int | None = None,
    shelf_life_days: int | None = None,
) -> tuple[PlannedOrder, ...]:
    """One reagent's orders that keep its balance at or above a minimum (reorder point, safety stock).

    Lot for lot, or in multiples of lot_size. What is ordered keeps for shelf_life_days from the day it
    comes. Demands and receipts before the start count on the start; those after the end are left out.
    """
    if lasts(lots, demands, end, minimum):
        return ()
    shelf, planned, day = Shelf(lots), [], timedelta(days=1)
    arriving = deque(sorted(receipts, key=lambda r: r.on))
    wanted = deque(sorted((d for d in demands if d.on <= end), key=lambda d: d.on))
    days = _days_that_matter(shelf, wanted, arriving, start, end)
    while days:
        on = heappop(days)
        _receive(shelf, arriving, on)
        todays = _wanted_by(wanted, on)
        served, short = _serve(shelf, todays, on)
        net = short + max(0, minimum - sum(row[1] for row in shelf.rows if row[2] >= on))
        if not net:
            continue
        amount = net if lot_size is None else -(-net // lot_size) * lot_size
        planned.append(PlannedOrder(on, on - lead_days * day, net, amount))
        expires = None if shelf_life_days is None else on + shelf_life_days * day
        _undo(served)
        shelf.add(amount, expires, on)
        _serve(shelf, todays, on)
        if expires and expires < end:
            heappush(days, expires + day)
    return tuple(planned)


def _days_that_matter(
    shelf: Shelf, wanted: Iterable[Demand], arriving: Iterable[Receipt], start: date, end: date
) -> list[date]:
    """When something comes, goes or is wanted: a heap, since orders that are planned expire too."""
    day = timedelta(days=1)
    days = [start, *(d.on for d in wanted), *(r.on for r in arriving)]
    days += [row[2] + day for row in shelf.rows if row[2] < end]
    days += [r.expires + day for r in arriving if r.expires and r.expires < end]
    return sorted({on for on in days if start <= on <= end})


def _wanted_by(wanted: deque[Demand], on: date) -> list[Demand]:
    """What is wanted up to a day, taken from the front of the queue."""
    todays = []
    while wanted and wanted[0].on <= on:
        todays.append(wanted.popleft())
    return todays
