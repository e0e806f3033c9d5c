"""The fewest moves after which nothing stands beside what it must not.

An exact search. Containers of one reagent in one place are alike, so a conflict is between two such groups,
and one of the two has to leave whole. The search deepens one move at a time from a lower bound (what must
leave each place for certain), so the first plan it finds has the fewest moves there can be. It gives up after
`effort` steps and says so: the plan of last resort is good, but not proven shortest.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from stockroom.safety.storage import (
    HANDS_OFF,
    KEPT,
    SEVERITIES,
    TO_WASTE,
    Conflict,
    Item,
    Place,
    cabinet_findings,
    conflicts,
    conflicts_of,
    findings,
    kind_suits,
    refusal,
)

_IMPOSSIBLE = 10**9
_DEEPEST = 300  # moves; the search calls itself twice a move
_EXACT_COVER = 14  # reagents in conflict in one cabinet up to which the bound is worked out exactly

#: a group of containers in a place, each by its number
Key = tuple[int, int]


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

    `waste` are containers that go into the waste before anything is moved: expired or quarantined, they are
    not carried to another shelf. `hands_off` are those that nobody may touch: they, and all in their cabinet,
    stay. `at_least` is a number of moves no plan can go below.
    """

    moves: tuple[Move, ...]
    left: tuple[Conflict, ...]
    proven: bool
    at_least: int
    waste: tuple[Item, ...] = ()
    hands_off: tuple[Item, ...] = ()


def move_plan(
    items: Iterable[Item], places: Iterable[Place], at_least: str = "caution", effort: int = 20_000
) -> MovePlan:
    """The fewest moves that leave no conflict of severity `at_least` or worse.

    What is in a conflict and goes into the waste anyway goes first. Of the rest, a container moves only to a
    place of the kind it asks for and with room (`capacity`; a place that is too full today may stay so).
    Conflicts for which there is no such place are in `left`: a place is missing. Raises ValueError for a
    severity that is none.
    """
    if at_least not in SEVERITIES:
        raise ValueError(f"Not a severity: {at_least}. Choose one of {', '.join(SEVERITIES)}.")
    severities, places = SEVERITIES[: SEVERITIES.index(at_least) + 1], list(places)
    stand = [item for item in items if item.location_id is not None]
    found = [one for one in conflicts(stand, places) if one.severity in severities]
    in_conflict = {pk for one in found for pk in (*one.ids_a, *one.ids_b)}
    closed = _kept_shut(stand, places)
    waste = tuple(
        item
        for item in stand
        if item.id in in_conflict and item.fate == TO_WASTE and item.location_id not in closed
    )
    hands_off = tuple(item for item in stand if item.id in in_conflict and item.fate == HANDS_OFF)
    gone = {item.id for item in waste}
    plan = _moves([item for item in stand if item.id not in gone], places, severities, effort)
    return replace(plan, waste=waste, hands_off=hands_off)


def _kept_shut(items: list[Item], places: list[Place]) -> set[int | str]:
    """The places nobody works in: where something stands that nobody may touch, and the cabinet around it."""
    off = {item.location_id for item in items if item.fate == HANDS_OFF}
    cabinets = {place.cabinet for place in places if place.id in off and place.cabinet is not None}
    return off | {place.id for place in places if place.cabinet in cabinets}


def _moves(items: list[Item], places: list[Place], severities: tuple[str, ...], effort: int) -> MovePlan:
    room = _Room(items, places, severities)
    start = _State(room)
    bound = start.bound()
    tolerated: set[tuple[Key, Key]] = set()
    found = _search(start, effort) if bound < _IMPOSSIBLE else None
    if found is None:
        rough = _rough(_State(room))
        tolerated = rough.violations_left()
        start = _State(room, tolerated)
        bound = start.bound()
        found = _search(start, effort) if tolerated and bound < _IMPOSSIBLE else None
    proven = found is not None and not tolerated
    final = found or rough
    left = _left(room, final, items)
    return MovePlan(_in_order(room, final), left, proven, min(bound, len(final.moved)))


def suits(item: Item, place: Place) -> bool:
    """Whether a plan may put an item into a place, but for what stands there."""
    return kind_suits(item, place) and refusal(item, place) is None


class _Room:
    """What does not change: the groups, which of them conflict, and where each may go.

    A place that stands in no cabinet is one by itself: `cabinet[p]` numbers what a conflict can reach across.
    """

    def __init__(self, items: list[Item], places: list[Place], severities: tuple[str, ...]):
        known = {place.id for place in places}
        extra = {item.location_id for item in items} - known
        self.places = places + [Place(one, str(one)) for one in sorted(extra, key=str)]
        self.severities = severities
        self.index = {place.id: n for n, place in enumerate(self.places)}
        self.cabinet, self.shelves = _cabinets(self.places)
        self.groups: list[Item] = []
        self.units: dict[Key, list[Item]] = defaultdict(list)
        seen: dict[Item, int] = {}
        for item in sorted(items, key=lambda one: str(one.id)):
            alike = replace(item, id=0, name="", location_id=None, amount=0, fate_why="")
            group = seen.setdefault(alike, len(seen))
            if group == len(self.groups):
                self.groups.append(item)
            self.units[group, self.index[item.location_id]].append(item)
        self._enemies: dict[int, frozenset[int]] = {}
        self._far: dict[int, frozenset[int]] = {}
        self._suits: dict[int, tuple[int, ...]] = {}
        self.shut = {self.index[one] for one in _kept_shut(items, self.places)}
        self.closed = self.shut | {self.index[one] for one in extra}

    def enemies(self, group: int) -> frozenset[int]:
        """The groups that must not share a place with this one."""
        if group not in self._enemies:
            item = self.groups[group]
            self._enemies[group] = self._in_conflict(range(len(self.groups)), item, findings)
        return self._enemies[group]

    def far_enemies(self, group: int) -> frozenset[int]:
        """Those among its enemies that must not stand in one cabinet with it either."""
        if group not in self._far:
            item = self.groups[group]
            self._far[group] = self._in_conflict(self.enemies(group), item, cabinet_findings)
        return self._far[group]

    def _in_conflict(self, among: Iterable[int], item: Item, judge: Callable) -> frozenset[int]:
        return frozenset(
            n
            for n in among
            if self.groups[n].reagent_key != item.reagent_key
            and (found := judge(item, self.groups[n]))
            and found[0].severity in self.severities
        )

    def targets(self, group: int) -> tuple[int, ...]:
        """The places of the kind a group asks for; places nobody described take nothing in."""
        item = self.groups[group]
        if item.fate != KEPT:
            return ()
        if group not in self._suits:
            self._suits[group] = tuple(
                n for n, place in enumerate(self.places) if n not in self.closed and suits(item, place)
            )
        return self._suits[group]

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


def _cabinets(places: list[Place]) -> tuple[list[int], list[list[int]]]:
    """The number of each place's cabinet, and the places of each cabinet."""
    numbers: dict[tuple, int] = {}
    cabinet = [
        numbers.setdefault((place.cabinet is None, place.id if place.cabinet is None else place.cabinet), n)
        for n, place in enumerate(places)
    ]
    dense = {number: n for n, number in enumerate(dict.fromkeys(cabinet))}
    shelves: list[list[int]] = [[] for _ in dense]
    for place, number in enumerate(cabinet):
        shelves[dense[number]].append(place)
    return [dense[number] for number in cabinet], shelves


class _State:
    """Where everything stands after the moves so far; done and undone in place by the search.

    Keys are (group, place). `here[p][g]` counts containers, `arrived` those that were moved in and stay,
    `anchored` groups of which some must stay, `shut` groups of which no more may leave, `leaving` groups that
    must leave whole (with the last place one was sent to), `moved` the moves as (group, from, to). `bounds`
    says for each cabinet how many must at least still leave one of its places.
    """

    def __init__(self, room: _Room, tolerated: Iterable[tuple[Key, Key]] = ()):
        self.room = room
        self.tolerated = frozenset(tolerated)
        self.here: list[Counter] = [Counter() for _ in room.places]
        for (group, place), units in room.units.items():
            self.here[place][group] = len(units)
        self.arrived: Counter = Counter()
        self.anchored: Counter = Counter()
        self.shut: Counter = Counter()
        self.leaving: dict[Key, int] = {}
        self.moved: list[tuple[int, int, int]] = []
        self.bounds = [self._bound_of(cabinet) for cabinet in range(len(room.shelves))]

    def enemies_in(self, group: int, place: int) -> list[Key]:
        """What conflicts with this group in a place and its cabinet, but for what is put up with."""
        room, found = self.room, []
        for shelf in room.shelves[room.cabinet[place]]:
            enemies = room.enemies(group) if shelf == place else room.far_enemies(group)
            if not enemies.isdisjoint(self.here[shelf]):
                found += [(one, shelf) for one in sorted(enemies & self.here[shelf].keys())]
        if not self.tolerated:
            return found
        mine = (group, place)
        return [one for one in found if (min(mine, one), max(mine, one)) not in self.tolerated]

    def pairs(self, cabinet: int) -> list[tuple[Key, Key]]:
        """The pairs of groups in a cabinet that conflict where they stand."""
        return [
            ((group, place), other)
            for place in self.room.shelves[cabinet]
            for group in sorted(self.here[place])
            for other in self.enemies_in(group, place)
            if (group, place) < other
        ]

    def stays(self, group: int, place: int) -> bool:
        """Whether a group cannot leave a place whole."""
        key = (group, place)
        return bool(self.arrived[key] or self.anchored[key] or place in self.room.shut)

    def can_spare(self, group: int, place: int) -> bool:
        """Whether one container may leave to make room."""
        key = (group, place)
        kept = self.arrived[key] or (1 if self.anchored[key] else 0)
        return not self.shut[key] and self.here[place][group] > kept

    def bound(self) -> int:
        """At least so many moves are still needed."""
        return min(_IMPOSSIBLE, sum(self.bounds))

    def _bound_of(self, cabinet: int) -> int:
        """What must still leave its place: a smallest weighted cover of the conflicts, or to make room."""
        pairs = self.pairs(cabinet)
        weight = {
            key: _IMPOSSIBLE
            if self.stays(*key) or not self.room.targets(key[0])
            else self.here[key[1]][key[0]]
            for pair in pairs
            for key in pair
        }
        shelves = self.room.shelves[cabinet]
        leaving = [key for key in self.leaving if key[1] in shelves]
        must = sum(self.here[place][group] for group, place in leaving)
        for key in leaving:
            pairs = [pair for pair in pairs if key not in pair]
        over = sum(self.over(place) for place in shelves)
        return max(must + _cover(pairs, weight), over)

    def over(self, place: int) -> int:
        """How many more stand in a place than it may hold."""
        most = self.room.most[place]
        return 0 if most is None else max(0, self.here[place].total() - most)

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
        for cabinet in {self.room.cabinet[place] for place in places}:
            self.bounds[cabinet] = self._bound_of(cabinet)

    def violations_left(self) -> set[tuple[Key, Key]]:
        return {pair for cabinet in range(len(self.room.shelves)) for pair in self.pairs(cabinet)}


def _cover(pairs: list[tuple[Key, Key]], weight: dict[Key, int]) -> int:
    """Least weight of keys that touch every pair; a lower bound where there are many."""
    if not pairs:
        return 0
    degree = Counter(key for pair in pairs for key in pair)
    if len(degree) > _EXACT_COVER:
        return _cover_bound(pairs, weight)
    pivot = max(degree, key=lambda key: (degree[key], [-n for n in key]))
    rest = [pair for pair in pairs if pivot not in pair]
    with_pivot = weight[pivot] + _cover(rest, weight)
    partners = {key for pair in pairs if pivot in pair for key in pair} - {pivot}
    without = [pair for pair in pairs if not partners & set(pair)]
    return min(with_pivot, sum(weight[key] for key in partners) + _cover(without, weight), _IMPOSSIBLE)


def _cover_bound(pairs: list[tuple[Key, Key]], weight: dict[Key, int]) -> int:
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
    keys, whole = trouble
    barred = state.anchored if whole else state.shut
    marked = []
    solved = False
    for group, place in keys:
        if state.stays(group, place) if whole else not state.can_spare(group, place):
            continue
        if _send(state, group, place, allowed, steps, whole):
            solved = True
            break
        # No plan in which this one leaves: from here on it does not.
        barred[group, place] += 1
        marked.append((group, place))
        state.refresh(place)
        if state.bound() > allowed:
            break
    for group, place in marked:
        barred[group, place] -= 1
        state.refresh(place)
    return solved


def _trouble(state: _State) -> tuple[list[Key], bool] | None:
    """Groups of which one must leave its place, and whether whole: for a conflict, or to make room."""
    for group, place in state.leaving:
        if state.here[place][group]:
            return [(group, place)], True
    for cabinet, bound in enumerate(state.bounds):
        if bound:
            pairs = state.pairs(cabinet)
            if pairs:
                pair = min(pairs, key=lambda pair: min(state.here[place][group] for group, place in pair))
                return sorted(pair, key=lambda key: (state.here[key[1]][key[0]], key)), True
            place = next(one for one in state.room.shelves[cabinet] if state.over(one))
            return [(group, place) for group in sorted(state.here[place])], False
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
        if any(state.stays(*other) for other in enemies) or (most is not None and arrived >= most):
            continue
        like = _like(state, target)
        if like in tried:
            continue
        if like is not None:
            tried.add(like)
        crowded = most is not None and there.total() >= most
        trouble = sum(state.here[shelf][other] for other, shelf in enemies) + crowded
        options.append((trouble, not there[group], there.total(), target))
    return (target for *_, target in sorted(options))


def _like(state: _State, place: int) -> tuple | None:
    """What an empty place in an empty cabinet has in common with all that would do as well; else None."""
    room = state.room
    shelves = room.shelves[room.cabinet[place]]
    if any(state.here[shelf] for shelf in shelves):
        return None

    def described(shelf: int) -> tuple:
        gone = tuple(sorted(other for other, left in state.leaving if left == shelf))
        return (room.places[shelf].storage_kind, room.most[shelf] is None, room.most[shelf] or 0, gone)

    return (described(place), tuple(sorted(map(described, shelves))))


def _rough(state: _State) -> _State:
    """A plan without search: each conflict in turn, the smaller side to a place where it troubles nobody."""
    stuck: set[tuple[Key, Key]] = set()
    for cabinet in range(len(state.room.shelves)):
        while True:
            pairs = [pair for pair in state.pairs(cabinet) if pair not in stuck]
            if not pairs:
                break
            sides = sorted(pairs[0], key=lambda key: state.here[key[1]][key[0]])
            if not any(_clear_out(state, *side) for side in sides):
                stuck.add(pairs[0])
    return state


def _clear_out(state: _State, group: int, place: int) -> bool:
    """Move a whole group out to places without trouble; nothing is moved where not all of it fits."""
    done = 0
    if state.stays(group, place):
        return False
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
    best = None
    for target in state.room.targets(group):
        there, most = state.here[target], state.room.most[target]
        if target == source or state.enemies_in(group, target):
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
    target = room.index[move.target.id]
    most = room.most[target]
    shelves = [room.places[n] for n in room.shelves[room.cabinet[target]]]
    near = [
        replace(item, location_id=shelf.id)
        for shelf in shelves
        for item in here[shelf.id].values()
        if item.id != move.item.id
    ]
    trouble = conflicts_of(move.item, near, move.target, shelves)
    full = most is not None and len(here[move.target.id]) >= most
    return not full and not (trouble and trouble[0].severity in room.severities)


def _left(room: _Room, state: _State, items: list[Item]) -> tuple[Conflict, ...]:
    """The conflicts that remain, as they would be after the moves."""
    target = {move.item.id: move.target.id for move in _carried(room, state)}
    after = [replace(item, location_id=target.get(item.id, item.location_id)) for item in items]
    return tuple(one for one in conflicts(after, room.places) if one.severity in room.severities)
