"""How much stands where, against published limits and the department's own."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from stockroom.chemistry.quantity import MASS, VOLUME, format_amount
from stockroom.inventory.models import Container, Location, Reagent
from stockroom.inventory.stock import Words
from stockroom.safety import limits
from stockroom.safety.limits import Bottle, Kept, Load
from stockroom.storage.models import DepartmentLimit
from stockroom.storage.storage_items import items_of

#: share of a limit from which it is called near
NEAR = 0.8
#: g/mL, of a flammable liquid that is weighed and whose density is not known: light, to count for more
LIGHT = Fraction(6, 10)
#: family of `limits.oxidisers_acids_bases` -> its name on the page, where that is another word
_KINDS = {"oxidisers": "oxidizers"}
_SOLIDS = (Reagent.Kind.SOLID, Reagent.Kind.HYDRATE, Reagent.Kind.METAL)


@dataclass(frozen=True)
class Row:
    """One limit with what there is under it, in words. `pk` is the container's where it is about one."""

    where: str
    what: str
    have: str
    most: str
    share: float
    source: str
    pk: int | None = None

    @property
    def state(self) -> Words:
        if self.share > 1:
            return Words("Over the limit", "bad")
        return Words("Near the limit", "warn") if self.share >= NEAR else Words("Within", "good")

    @property
    def percent(self) -> str:
        return "over" if self.share > 10 else f"{self.share:.0%}"


@dataclass(frozen=True)
class Limits:
    """Everything the page of limits shows. `together`: (room, kinds) of oxidizers, acids and bases."""

    containers: tuple[Row, ...]
    cabinets: tuple[Row, ...]
    rooms: tuple[Row, ...]
    own: tuple[Row, ...]
    together: tuple[tuple[str, tuple[str, ...]], ...]
    #: flammable liquids in containers of which nobody has said what they are made of
    unsaid: int

    @property
    def over(self) -> list[Row]:
        rows = (*self.containers, *self.cabinets, *self.rooms, *self.own)
        return [row for row in rows if row.share > 1]


class _Places:
    """The cabinet and the room that each place belongs to."""

    def __init__(self):
        self.rows = {row.pk: row for row in Location.objects.all()}

    def up(self, pk: int, level: str) -> Location | None:
        row = self.rows.get(pk)
        while row is not None and row.level != level:
            row = self.rows.get(row.parent_id)
        return row

    def name(self, subject: str) -> str:
        return self.rows[int(subject)].path if subject.isdecimal() else subject


def read() -> Limits:
    """Everything against every limit. A fixed number of queries."""
    places = _Places()
    rows = Container.objects.present().select_related("reagent")
    containers = {row.pk: row for row in rows}
    items = [item for item in items_of(Container.objects.all()) if item.id in containers]
    kept = [Kept(item, containers[item.id].reagent.measure, _room(places, item)) for item in items]
    bottles = [bottle for item in items if (bottle := _bottle(item, containers[item.id], places))]
    large = limits.container_findings(bottles)
    return Limits(
        tuple(_container_row(load, containers) for load in large),
        _rows(limits.cabinet_loads(bottles), places),
        _rows(limits.room_loads(bottles), places),
        _own_rows(kept, places),
        tuple(
            (places.name(str(pk)), tuple(_KINDS.get(kind, kind) for kind in kinds))
            for pk, kinds in limits.oxidisers_acids_bases(kept)
        ),
        sum(not containers[bottle.id].material for bottle in bottles),
    )


def _room(places: _Places, item) -> int | None:
    room = places.up(item.location_id, Location.Level.ROOM)
    return room.pk if room else None


def _microlitres(amount: int, container: Container) -> int | None:
    """The volume of an amount; None for what is counted by the piece."""
    reagent = container.reagent
    if reagent.measure == VOLUME:
        return amount
    if reagent.measure == MASS:
        return int(amount / (Fraction(reagent.density or LIGHT) * 1000))
    return None


def _bottle(item, container: Container, places: _Places) -> Bottle | None:
    """The container as the rules for flammable liquids see it; None where it holds none."""
    if container.reagent.kind in _SOLIDS:
        return None
    category = limits.flammable_category(item)
    size, amount = _microlitres(container.pack_amount, container), _microlitres(container.balance, container)
    if category is None or size is None:
        return None
    place = places.up(item.location_id, Location.Level.CABINET) or places.rows[item.location_id]
    needed = container.material == Container.Material.GLASS_NEEDED
    return Bottle(
        id=item.id,
        name=item.name,
        category=category,
        size_ul=size,
        amount_ul=amount,
        place_id=place.pk,
        place_kind=place.storage_kind,
        room_id=_room(places, item),
        material="glass" if needed or not container.material else container.material,
        spoilt_by_metal=needed,
    )


def _text(load: Load, measure: str, where: str, what: str, pk: int | None = None) -> Row:
    have, most = (format_amount(n, measure, figures=3) for n in (load.have, load.most))
    return Row(where, what, have, most, load.share, load.source, pk)


def _container_row(load: Load, containers: dict[int, Container]) -> Row:
    container = containers[load.ids[0]]
    return _text(load, VOLUME, str(container), load.why, container.pk)


def _rows(loads: Iterable[Load], places: _Places) -> tuple[Row, ...]:
    found = [_text(load, VOLUME, places.name(load.subject), load.why) for load in loads]
    return tuple(sorted(found, key=lambda row: (-row.share, row.where)))


def _own_rows(kept: Sequence[Kept], places: _Places) -> tuple[Row, ...]:
    found = []
    for limit in DepartmentLimit.objects.filter(retired_on=None):
        asked = limits.DepartmentLimit(
            limit.name,
            limit.scope,
            limit.most,
            frozenset(limit.groups),
            frozenset(limit.hazards),
            limit.measure,
        )
        found += [
            _text(load, limit.measure, places.name(load.subject), limit.name)
            for load in limits.department_loads(kept, [asked])
        ]
    return tuple(sorted(found, key=lambda row: (-row.share, row.where)))
