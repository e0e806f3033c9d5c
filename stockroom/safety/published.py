"""Reads the published tables that lie beside the safety rules."""

import csv
from functools import cache
from pathlib import Path

TABLES = Path(__file__).parent / "tables"


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of `tables/<name>.csv`, every cell stripped of surrounding blanks.

    Raises FileNotFoundError for a name that is not there.
    """
    with (TABLES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple({key: value.strip() for key, value in row.items()} for row in csv.DictReader(file))


def words(cell: str) -> tuple[str, ...]:
    """The words of a cell that lists several, divided by blanks."""
    return tuple(cell.split())
