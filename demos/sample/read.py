"""Reads the data files of the invented school, and the words in them."""

import csv
import datetime
import tomllib
from dataclasses import dataclass
from pathlib import Path

from stockroom.chemistry.quantity import COUNT, parse_amount

DATA = Path(__file__).parent / "data"


def table(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def toml(name: str) -> dict:
    return tomllib.loads((DATA / name).read_text(encoding="utf-8"))


def amount(text: str, measure: str) -> int:
    """ "25 g" as micrograms; pieces are written as a bare number, and nothing at all as 0."""
    number = text.split()[0]
    if float(number) == 0:
        return 0
    return int(number) if measure == COUNT and number == text else parse_amount(text, measure)


def as_written(number: int) -> int:
    """Two figures of it: nobody writes down that 13.86 mL were used."""
    step = 10 ** max(len(str(number)) - 2, 0)
    return round(number / step) * step


@dataclass(frozen=True)
class Calendar:
    """Days relative to the day of loading; nobody works on Saturday or Sunday."""

    today: datetime.date

    def ago(self, days: int) -> datetime.date:
        """So many days before today (after, where negative), on the working day before that."""
        on = self.today - datetime.timedelta(days)
        return on - datetime.timedelta(max(0, on.weekday() - 4))

    def school_day(self, number: int) -> datetime.date:
        """The working day `number` working days from today; 0 is today, or the next one at a weekend."""
        on = self.today
        while on.weekday() > 4:
            on += datetime.timedelta(1)
        step = datetime.timedelta(1 if number > 0 else -1)
        for _ in range(abs(number)):
            on += step
            while on.weekday() > 4:
                on += step
        return on
