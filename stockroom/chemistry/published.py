"""Reads the tables that lie beside the chemistry: the one place in the package that opens a file."""

import csv
import io
from pathlib import Path

_TABLES = Path(__file__).parent / "tables"


def text(name: str) -> str:
    """A file of `tables/` as text. Raises FileNotFoundError for a name that is not there."""
    return (_TABLES / name).read_text(encoding="utf-8")


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a table by the words of its heading; `name` with its ending, "ions.csv"."""
    return list(csv.DictReader(io.StringIO(text(name))))


def table(name: str) -> list[list[str]]:
    """The rows of a table as cells in their order, heading left out."""
    return list(csv.reader(io.StringIO(text(name))))[1:]
