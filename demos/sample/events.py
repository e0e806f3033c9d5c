"""What the history of the invented school is told with: the nouns by their keys, and one event."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass, field

from demos.sample.read import Calendar
from demos.sample.shelves import Reagents
from stockroom.inventory.models import Container, Location, Supplier, WasteContainer


@dataclass
class School:
    """The nouns by their keys in the data."""

    calendar: Calendar
    people: dict
    places: dict[str, Location]
    suppliers: dict[str, Supplier]
    reagents: Reagents
    #: containers by the line of the data they come from, and the first of each reagent by its key
    containers: dict = field(default_factory=dict)
    waste: dict[str, WasteContainer] = field(default_factory=dict)

    @property
    def technicians(self) -> tuple:
        return self.people["fenwick"], self.people["brandt"]

    def keep(self, container: Container, line: tuple) -> None:
        self.containers[line] = container
        self.containers.setdefault(line[0], container)


@dataclass(frozen=True)
class Event:
    """One thing on one day. Of two on a day, the lower rank comes first: what is taken must be there.

    `act` is called with the day.
    """

    on: datetime.date
    rank: int
    act: Callable[[datetime.date], object]


#: ranks in the order of a day
ARRIVE, MAKE, DRAW, CLASS, PUT_AWAY, COUNT, WASTE, COLLECT = range(8)
