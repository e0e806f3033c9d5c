"""The days of the week on which somebody is there to order, make up and take in.

Rule of thumb: common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

DAY = timedelta(days=1)


@dataclass(frozen=True)
class WorkWeek:
    """Weekdays worked, Monday being 0. Raises ValueError where there is none, or one that is no weekday."""

    days: frozenset[int]

    def __post_init__(self):
        if not self.days or not self.days <= frozenset(range(7)):
            raise ValueError("Name at least one working day, as numbers from 0 (Monday) to 6 (Sunday).")

    @classmethod
    def of(cls, days: Iterable[int]) -> "WorkWeek":
        return cls(frozenset(days))

    def works(self, on: date) -> bool:
        return on.weekday() in self.days

    @property
    def longest_rest(self) -> int:
        """The most days off in a row, so how far `back` may move a day."""
        rest = longest = 0
        for day in range(14):
            rest = 0 if day % 7 in self.days else rest + 1
            longest = max(longest, rest)
        return longest

    def back(self, on: date, not_before: date | None = None) -> date:
        """The last working day up to `on`.

        Where there is none from `not_before` on, `on` itself: a last chance on a day off beats a day that
        is over.
        """
        found = on
        while not self.works(found):
            found -= DAY
        return on if not_before and found < not_before <= on else found

    def forward(self, on: date) -> date:
        """The first working day from `on` on."""
        while not self.works(on):
            on += DAY
        return on


EVERY_DAY = WorkWeek.of(range(7))
