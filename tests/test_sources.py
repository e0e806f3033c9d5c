"""Every row of every table says where it comes from, or the whole table does."""

import csv
from pathlib import Path

import pytest

from tests.house import ROOT

FOLDERS = ("stockroom/chemistry/tables", "stockroom/safety/tables", "stockroom/catalogue/data")
#: says itself where others come from
SOURCES_THEMSELVES = {
    "stockroom/safety/tables/sources.csv",
    *(f"stockroom/{room}/tables/whole_tables.csv" for room in ("chemistry", "safety")),
}
#: whatever is not written in its row is computed by the app from rows that have a source
COMPUTED = {"stockroom/catalogue/data/disposal.csv": "catalogue/disposing.py"}
#: tables of which a row has several: a datum that is there has its own
BESIDE = {"density_source": "density"}

#: a row that says nothing has nothing to give a source for
NOTHING_SAID = "not known"


def tables() -> list[str]:
    return [
        str(path.relative_to(ROOT)) for folder in FOLDERS for path in sorted((ROOT / folder).glob("*.csv"))
    ]


def rows_of(name: str) -> list[dict[str, str]]:
    with (ROOT / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def without_source(rows: list[dict[str, str]]) -> list[int]:
    """Numbers of the rows that lack a source, the heading being 1; [1] where there is no column for it."""
    columns = [name for name in (rows[0] if rows else {}) if name == "source" or name.endswith("_source")]
    if not columns:
        return [1]
    lacking = []
    for number, row in enumerate(rows, start=2):
        if NOTHING_SAID in row.values():
            continue
        wanted = [name for name in columns if name not in BESIDE or row[BESIDE[name]]]
        if not all((row[name] or "").strip() for name in wanted):
            lacking.append(number)
    return lacking


def whole_tables(folder: Path) -> dict[str, str]:
    path = folder / "whole_tables.csv"
    return (
        {row["table"]: row["source"] for row in rows_of(str(path.relative_to(ROOT)))} if path.exists() else {}
    )


@pytest.mark.parametrize("name", tables())
def test_every_row_has_a_source(name):
    path = ROOT / name
    if name in SOURCES_THEMSELVES:
        assert all(all(row.values()) for row in rows_of(name))
    elif name not in COMPUTED and not whole_tables(path.parent).get(path.name):
        assert not without_source(rows_of(name)), f"{name}, rows {without_source(rows_of(name))[:10]}"


def test_the_names_of_whole_tables_are_files_without_a_column_for_it():
    for folder in FOLDERS:
        for table in whole_tables(ROOT / folder):
            assert without_source(rows_of(f"{folder}/{table}")) == [1], table


def test_a_row_without_a_source_is_found():
    assert without_source([{"a": "1", "source": "CRC"}, {"a": "2", "source": " "}]) == [3]
    assert without_source([{"a": "1"}]) == [1]
    assert without_source([{"density": "", "density_source": "", "source": "x"}]) == []
    assert without_source([{"density": "1.2", "density_source": "", "source": "x"}]) == [2]
