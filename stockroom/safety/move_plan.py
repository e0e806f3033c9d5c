"""The fewest moves after which nothing stands beside what it must not.

An exact search. Containers of one reagent in one place are alike, so a conflict is between two such groups,
and one of the two has to leave whole. The search deepens one move at a time from a lower bound (what must
leave each place for certain), so the first plan it finds has the fewest moves there can be. It gives up after
`effort` steps and says so: the plan of last resort is good, but not proven shortest.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from stockroom.safety.storage import (
    SEVERITIES,
    Conflict,
    Item,
    Place,
    conflicts,
    conflicts_of,
    findings,
    kind_suits,
)

_IMPOSSIBLE = 10**9
_DEEPEST = 300  # moves; the search calls itself twice a move
_EXACT_COVER = 14  # reagents in conflict in one place up to which the bound is worked out exactly


@dataclass(frozen=True)
class Move:
    """One container to carry. `set_aside`: lift it out first, and put it down only when the rest is done."""

    item: Item
    source: Place
    target: Place
    set_aside: bool = False


@dataclass(frozen=True)
class MovePlan:
    """The moves in an order that works, conflicts that no move can cure, and whether it is proven shortest.

    `at_least` is a number of moves no plan can go below.
    """

    moves: tuple[Move, ...]
    left: tuple[Conflict, ...]
    proven: bool
    at_least: int


def move_plan(
    items: Iterable[Item], places: Iterable[Place], at_least: str = "caution", effort: int = 20_000
) -> MovePlan:
    """The fewest moves that leave no conflict of severity `at_least` or worse.

    A container moves only to a place of the kind it asks for and with room (`capacity`; a place that is too
    full today may stay so). Conflicts for which there is no such place are in `left`: a place is missing.
    Raises ValueError for a severity that is none.
    """
    if at_least not in SEVERITIES:
        raise ValueError(f"Not a severity: {at_least}. Choose one of {', '.join(SEVERITIES)}.")
    stand = [item for item in items if item.location_id is not None]
    room = _Room(stand, list(places), SEVERITIES[: SEVERITIES.index(at_least) + 1])
    start = _State(room)
    bound = start.bound()
    tolerated: set[tuple[int, int, int]] = set()
    found = _search(start, effort) if bound < _IMPOSSIBLE else None
    if found is None:
        rough = _rough(_State(room))
        tolerated = rough.violations_left()
        start = _State(room, tolerated)
        bound = start.bound()
        found = _search(start, effort) if tolerated and bound < _IMPOSSIBLE else None
    proven = found is not None and not tolerated
    final = found or rough
    left = _left(room, final, stand)
    return MovePlan(_in_order(room, final), left, proven, min(bound, len(final.moved)))


class _Room:
    """What does not change: the groups, which of them conflict, and where each may go."""

    def __init__(self, items: list[Item], places: list[Place], severities: tuple[str, ...]):
        known = {place.id for place in places}
        extra = {item.location_id for item in items} - known
        self.places = places + [Place(one, str(one)) for one in sorted(extra, key=str)]
        self.severities = severities
        self.index = {place.id: n for n, place in enumerate(self.places)}
        self.groups: list[Item] = []
        self.units: dict[tuple[int, int], list[Item]] = defaultdict(list)
        seen: dict[tuple, int] = {}
        for item in sorted(items, key=lambda one: str(one.id)):
            key = (item.reagent_key, item.groups, item.hazard_keys, item.transport_class, item.cas)
            group = seen.setdefault((*key, item.classified, item.storage_kind), len(seen))
            if group == len(self.groups):
                self.groups.append(item)
            self.units[group, self.index[item.location_id]].append(item)
        self._enemies: dict[int, frozenset[int]] = {}
        self._suits: dict[str, tuple[int, ...]] = {}
        self.closed = {self.index[one] for one in extra}

    def enemies(self, group: int) -> frozenset[int]:
        """The groups that must not share a place with this one."""
        if group not in self._enemies:
            item = self.groups[group]
            self._enemies[group] = frozenset(
                n
                for n, other in enumerate(self.groups)
                if other.reagent_key != item.reagent_key
                and (found := findings(item, other))
                and found[0].severity in self.severities
            )
        return self._enemies[group]

    def targets(self, group: int) -> tuple[int, ...]:
        """The places of the kind a group asks for; places nobody described take nothing in."""
        item = self.groups[group]
        if item.storage_kind not in self._suits:
            self._suits[item.storage_kind] = tuple(
                n for n, place in enumerate(self.places) if n not in self.closed and kind_suits(item, place)
            )
        return self._suits[item.storage_kind]

    @cached_property
    def most(self) -> list[int | None]:
        """How many containers each place may hold in the end."""
        now = Counter()
        for (_, place), units in self.units.items():
            now[place] += len(units)
        return [
            None if place.capacity is None else max(place.capacity, now[n])
            for n, place in enumerate(self.places)
        ]


class _State:
    """Where everything stands after the moves so far; done and undone in place by the search.

    Keys are (group, place). `here[p][g]` counts containers, `arrived` those that were moved in and stay,
    `anchored` groups of which some must stay, `shut` groups of which no more may leave, `leaving` groups that
    must leave whole (with the last place one was sent to), `moved` the moves as (group, from, to).
    """

    def __init__(self, room: _Room, tolerated: Iterable[tuple[int, int, int]] = ()):
        self.room = room
        self.tolerated = frozenset(tolerated)
        self.here: list[Counter] = [Counter() for _ in room.places]
        for (group, place), units in room.units.items():
            self.here[place][group] = len(units)
        self.arrived: Counter = Counter()
        self.anchored: Counter = Counter()
        self.shut: Counter = Counter()
        self.leaving: dict[tuple[int, int], int] = {}
        self.moved: list[tuple[int, int, int]] = []
        self.bounds = [self._bound_of(place) for place in range(len(room.places))]

    def enemies_in(self, group: int, place: int) -> list[int]:
        """The groups in a place that conflict with this one, but for pairs that are put up with there."""
        enemies = self.room.enemies(group)
        if enemies.isdisjoint(self.here[place]):
            return []
        found = sorted(enemies & self.here[place].keys())
        if not self.tolerated:
            return found
        return [one for one in found if (min(group, one), max(group, one), place) not in self.tolerated]

    def pairs(self, place: int) -> list[tuple[int, int]]:
        """The pairs of groups in a place that conflict."""
        return [(a, b) for a in sorted(self.here[place]) for b in self.enemies_in(a, place) if a < b]

    def stays(self, group: int, place: int) -> bool:
        """Whether a group cannot leave a place whole."""
        return bool(self.arrived[group, place] or self.anchored[group, place])

    def can_spare(self, group: int, place: int) -> bool:
        """Whether one container may leave to make room."""
        key = (group, place)
        kept = self.arrived[key] or (1 if self.anchored[key] else 0)
        return not self.shut[key] and self.here[place][group] > kept

    def bound(self) -> int:
        """At least so many moves are still needed."""
        return min(_IMPOSSIBLE, sum(self.bounds))

    def _bound_of(self, place: int) -> int:
        """What must still leave one place: a smallest weighted cover of its conflicts, or room to be made."""
        pairs = self.pairs(place)
        weight = {
            group: _IMPOSSIBLE if self.stays(group, place) else self.here[place][group]
            for pair in pairs
            for group in pair
        }
        must = sum(self.here[place][group] for (group, there) in self.leaving if there == place)
        for group, there in self.leaving:
            if there == place:
                pairs = [pair for pair in pairs if group not in pair]
        cover = _cover(pairs, weight)
        most = self.room.most[place]
        over = 0 if most is None else self.here[place].total() - most
        return max(must + cover, over)

    def move(self, group: int, source: int, target: int) -> None:
        self.here[source][group] -= 1
        if not self.here[source][group]:
            del self.here[source][group]
        self.here[target][group] += 1
        self.arrived[group, target] += 1
        self.moved.append((group, source, target))
        self.refresh(source, target)

    def undo(self) -> None:
        group, source, target = self.moved.pop()
        self.here[target][group] -= 1
        if not self.here[target][group]:
            del self.here[target][group]
        self.here[source][group] += 1
        self.arrived[group, target] -= 1
        self.refresh(source, target)

    def refresh(self, *places: int) -> None:
        for place in places:
            self.bounds[place] = self._bound_of(place)

    def violations_left(self) -> set[tuple[int, int, int]]:
        return {(a, b, place) for place in range(len(self.here)) for a, b in self.pairs(place)}


def _cover(pairs: list[tuple[int, int]], weight: dict[int, int]) -> int:
    """Least weight of groups that touch every pair; a lower bound where there are many."""
    if not pairs:
        return 0
    degree = Counter(group for pair in pairs for group in pair)
    if len(degree) > _EXACT_COVER:
        return _cover_bound(pairs, weight)
    pivot = max(degree, key=lambda group: (degree[group], -group))
    rest = [pair for pair in pairs if pivot not in pair]
    with_pivot = weight[pivot] + _cover(rest, weight)
    partners = {group for pair in pairs if pivot in pair for group in pair} - {pivot}
    without = [pair for pair in pairs if not partners & set(pair)]
    return min(with_pivot, sum(weight[group] for group in partners) + _cover(without, weight), _IMPOSSIBLE)


def _cover_bound(pairs: list[tuple[int, int]], weight: dict[int, int]) -> int:
    """Each pair pays the lesser of what its two groups have left: never more than a cover costs."""
    left, paid = dict(weight), 0
    for a, b in pairs:
        share = min(left[a], left[b])
        left[a] -= share
        left[b] -= share
        paid += share
    return min(paid, _IMPOSSIBLE)


# --- the search


def _search(state: _State, effort: int) -> _State | None:
    """A plan with the fewest moves, or None where there is none or the effort is spent."""
    if state.bound() > _DEEPEST:
        return None
    steps = [effort]
    units = sum(counts.total() for counts in state.here)
    for allowed in range(state.bound(), min(units, _DEEPEST) + 1):
        if _deepen(state, allowed, steps):
            return state
        if steps[0] <= 0:
            return None
    return None


def _deepen(state: _State, allowed: int, steps: list[int]) -> bool:
    """Whether `allowed` further moves can cure all; if so the state keeps them."""
    steps[0] -= 1
    if steps[0] <= 0 or state.bound() > allowed:
        return False
    trouble = _trouble(state)
    if trouble is None:
        return True
    place, groups, whole = trouble
    barred = state.anchored if whole else state.shut
    marked = []
    solved = False
    for group in groups:
        if state.stays(group, place) if whole else not state.can_spare(group, place):
            continue
        if _send(state, group, place, allowed, steps, whole):
            solved = True
            break
        # No plan in which this one leaves: from here on it does not.
        barred[group, place] += 1
        marked.append(group)
        state.refresh(place)
        if state.bound() > allowed:
            break
    for group in marked:
        barred[group, place] -= 1
    state.refresh(place)
    return solved


def _trouble(state: _State) -> tuple[int, list[int], bool] | None:
    """A place, the groups of which one must leave it, and whether whole: for a conflict, or to make room."""
    for group, place in state.leaving:
        if state.here[place][group]:
            return place, [group], True
    for place, bound in enumerate(state.bounds):
        if bound:
            there = state.here[place]
            pairs = state.pairs(place)
            if pairs:
                pair = min(pairs, key=lambda pair: min(state.here[place][group] for group in pair))
                return place, sorted(pair, key=lambda group: (there[group], group)), True
            return place, sorted(there), False
    return None


def _send(state: _State, group: int, place: int, allowed: int, steps: list[int], whole: bool) -> bool:
    """Try every place one container of the group could go to, the best first; `whole`: all of it must go."""
    key = (group, place)
    first = whole and key not in state.leaving
    if first:
        state.leaving[key] = -1
        state.refresh(place)
    last = state.leaving.get(key, -1)
    for target in _targets(state, group, place, last):
        state.move(group, place, target)
        if whole:
            state.leaving[key] = target
        if _deepen(state, allowed - 1, steps):
            if first:
                del state.leaving[key]
            return True
        state.undo()
        if whole:
            state.leaving[key] = last
    if first:
        del state.leaving[key]
        state.refresh(place)
    return False


def _targets(state: _State, group: int, source: int, last: int) -> Iterator[int]:
    """Places for one container, least trouble first. Places that are alike are tried once, and containers of
    one group go to places in rising order, since which goes where makes no difference."""
    tried, options = set(), []
    for target in state.room.targets(group):
        if target == source or target < last or (group, target) in state.leaving:
            continue
        there, most = state.here[target], state.room.most[target]
        enemies = state.enemies_in(group, target)
        arrived = 0 if most is None else sum(state.arrived[other, target] for other in there)
        if any(state.stays(other, target) for other in enemies) or (most is not None and arrived >= most):
            continue
        if not there:
            gone = frozenset(other for other, place in state.leaving if place == target)
            like = (state.room.places[target].storage_kind, most, gone)
            if like in tried:
                continue
            tried.add(like)
        crowded = most is not None and there.total() >= most
        trouble = sum(there[other] for other in enemies) + crowded
        options.append((trouble, not there[group], there.total(), target))
    return (target for *_, target in sorted(options))


def _rough(state: _State) -> _State:
    """A plan without search: each conflict in turn, the smaller side to a place where it troubles nobody."""
    stuck: set[tuple[int, int, int]] = set()
    for place in range(len(state.here)):
        while True:
            pairs = [pair for pair in state.pairs(place) if (*pair, place) not in stuck]
            if not pairs:
                break
            pair = pairs[0]
            sides = sorted(pair, key=lambda group: state.here[place][group])
            if not any(_clear_out(state, group, place) for group in sides):
                stuck.add((*pair, place))
    return state


def _clear_out(state: _State, group: int, place: int) -> bool:
    """Move a whole group out to places without trouble; nothing is moved where not all of it fits."""
    done = 0
    for _ in range(state.here[place][group]):
        target = _welcoming(state, group, place)
        if target is None:
            break
        state.move(group, place, target)
        done += 1
    if not state.here[place][group]:
        return True
    for _ in range(done):
        state.undo()
    return False


def _welcoming(state: _State, group: int, source: int) -> int | None:
    """A place with room where one container troubles nobody: beside its like, else where least stands."""
    enemies, best = state.room.enemies(group), None
    for target in state.room.targets(group):
        there, most = state.here[target], state.room.most[target]
        if target == source or not enemies.isdisjoint(there):
            continue
        if most is None or there.total() < most:
            rank = (group not in there, len(there), target)
            best = rank if best is None or rank < best else best
    return None if best is None else best[-1]


# --- telling it


def _carried(room: _Room, state: _State) -> list[Move]:
    """The moves as containers; of several alike, the ones with the lowest ids go."""
    pools = {key: list(units) for key, units in room.units.items()}
    return [
        Move(pools[group, source].pop(0), room.places[source], room.places[target])
        for group, source, target in state.moved
    ]


def _in_order(room: _Room, state: _State) -> tuple[Move, ...]:
    """Moves in an order in which each finds its place clear; where all wait for another, one is set aside."""
    todo, ordered, held = _carried(room, state), [], []
    here: dict = defaultdict(dict)
    for units in room.units.values():
        for item in units:
            here[item.location_id][item.id] = item
    while todo:
        ready = next((move for move in todo if _clear(room, move, here)), None)
        move = ready or todo[0]
        todo.remove(move)
        del here[move.source.id][move.item.id]
        if ready:
            here[move.target.id][move.item.id] = move.item
            ordered.append(move)
        else:
            held.append(Move(move.item, move.source, move.target, set_aside=True))
    return (*ordered, *held)


def _clear(room: _Room, move: Move, here: dict) -> bool:
    there = list(here[move.target.id].values())
    most = room.most[room.index[move.target.id]]
    trouble = conflicts_of(move.item, there)
    return (most is None or len(there) < most) and not (trouble and trouble[0].severity in room.severities)


def _left(room: _Room, state: _State, items: list[Item]) -> tuple[Conflict, ...]:
    """The conflicts that remain, as they would be after the moves."""
    target = {move.item.id: move.target.id for move in _carried(room, state)}
    after = [replace(item, location_id=target.get(item.id, item.location_id)) for item in items]
    return tuple(one for one in conflicts(after, room.places) if one.severity in room.severities)
