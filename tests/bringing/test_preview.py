"""Messy sheets, looked at row by row; files that are no sheets; the command."""

import io
import json
import zipfile
from datetime import date

import openpyxl
import pytest
from django.core.management import CommandError, call_command

from stockroom.bringing.cells import CellError, order_of_dates, read_amount, read_date
from stockroom.bringing.columns import kind_of_heading
from stockroom.bringing.preview import LEFT_OUT, preview
from stockroom.bringing.reading import SheetError, read_bytes
from tests.bringing.messy import SHEETS, uk_csv

TODAY = date(2026, 11, 27)


def lines_of(content: bytes):
    return preview(read_bytes(content), TODAY)


@pytest.mark.parametrize("title", SHEETS)
def test_each_row_of_a_messy_sheet_is_understood(title):
    make, wanted = SHEETS[title]
    lines = lines_of(make())
    assert len(lines) == len(wanted)
    for line in lines:
        state, cas, amount, containers, received = wanted.get(line.row) or wanted[line.sheet, line.row]
        assert line.state == state, line
        if state == LEFT_OUT:
            continue
        assert not cas or cas in line.cas_rn, line
        assert (line.amount, line.containers) == (amount, containers), line
        assert (line.received.isoformat() if line.received else "") == received, line
        assert line.why


def test_places_come_from_sections_columns_and_merged_cells():
    places = {line.row: line.place for line in lines_of(uk_csv())}
    assert places[6] == "CABINET 3 (ACIDS), Shelf 1"
    assert places[8] == "CABINET 3 (ACIDS), Shelf 1"  # a ditto mark
    assert places[13] == "Shelf 4"  # "SALTS" ends the cabinet of acids
    places = {line.row: line.place for line in lines_of(SHEETS["workbook with merged places"][0]())}
    assert places[9] == "Shelf A"
    places = {line.row: line.place for line in lines_of(SHEETS["US list with semicolons"][0]())}
    assert places[2] == "Room 214, Cabinet B, Shelf 1"


@pytest.mark.parametrize(
    ("heading", "kind"),
    [
        ("Chemical name", "name"),
        ("CAS No.", "cas"),
        ("Conc/Grade", "strength"),
        ("No. of bottles", "count"),
        ("Qty", "amount"),
        ("Container size", "amount"),
        ("Date purchased", "received"),
        ("Expiry date", "expires"),
        ("Storage location", "place"),
        ("Lot #", "lot"),
        ("Unit price", "price"),
        ("Unit", "unit"),
        ("Supplier", "supplier"),
    ],
)
def test_headings_say_what_they_hold(heading, kind):
    assert kind_of_heading(heading) == kind


@pytest.mark.parametrize(
    ("cell", "unit", "text", "containers"),
    [
        ("500 g", "", "500 g", 1),
        ("5 x 100 g", "", "100 g", 5),
        ("3 bottles of 500 mL", "", "500 mL", 3),
        ("2,5 L", "", "2.5 L", 1),
        ("100 g x 4", "", "100 g", 4),
        (250, "mL", "250 mL", 1),
        (2.5, "L", "2.5 L", 1),
        ("500ML", "", "500 mL", 1),
        ("1 lb", "", "1 lb", 1),
        ("approx. 50 g", "", "50 g", 1),
    ],
)
def test_amounts(cell, unit, text, containers):
    found = read_amount(cell, unit)
    assert (found.text, found.containers) == (text, containers)


@pytest.mark.parametrize("cell", ["", "500", "half full", "0 g", "100-200 g", date(2024, 1, 1), "500 M"])
def test_an_amount_that_is_none_is_said(cell):
    with pytest.raises(CellError):
        read_amount(cell)


@pytest.mark.parametrize(
    ("cell", "order", "day"),
    [
        ("2024-01-15", "unsure", date(2024, 1, 15)),
        ("15/01/2024", "unsure", date(2024, 1, 15)),
        ("1/15/24", "unsure", date(2024, 1, 15)),
        ("03/04/21", "day first", date(2021, 4, 3)),
        ("03/04/21", "month first", date(2021, 3, 4)),
        ("24.12.98", "day first", date(1998, 12, 24)),
        ("Jan-19", "unsure", date(2019, 1, 1)),
        ("3rd March 2020", "unsure", date(2020, 3, 3)),
        ("March 3, 2020", "unsure", date(2020, 3, 3)),
        ("15-Jan-24", "unsure", date(2024, 1, 15)),
        ("2017", "unsure", date(2017, 1, 1)),
        ("11/2019", "unsure", date(2019, 11, 1)),
        ("45306", "unsure", date(2024, 1, 15)),
        ("20240115", "unsure", date(2024, 1, 15)),
        ("unknown", "unsure", None),
    ],
)
def test_dates(cell, order, day):
    assert read_date(cell, order, TODAY) == day


@pytest.mark.parametrize("cell", ["03/04/2021", "31/02/2021", "soon", "13/13/2020"])
def test_a_date_that_cannot_be_told_is_said(cell):
    with pytest.raises(CellError):
        read_date(cell, "unsure", TODAY)


def test_one_clear_date_tells_the_order_of_its_column():
    assert order_of_dates(["03/04/2021", "25/12/2020"]) == "day first"
    assert order_of_dates(["03/04/2021", "12/25/2020"]) == "month first"
    assert order_of_dates(["03/04/2021"]) == "unsure"


# --- files that are no sheets


def _bomb() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", "<x/>")
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * (60 * 2**20))
    return out.getvalue()


def _far_cell() -> bytes:
    book = openpyxl.Workbook()
    book.active["A1"], book.active["XFD1048576"] = "Name", "far"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _workbook(rows) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"   \n",
        b"%PDF-1.7",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600,
        b"PK\x03\x04 and nothing more",
        b"PK\x03\x04" + b"\0" * 1000,
        _workbook([["Name", "Amount"], ["acetone", "1 L"]])[:2000],
        bytes(range(256)) * 20,
        b"\0\1\2\3" * 500,
        _bomb(),
        _far_cell(),
        b"hello",
        b"a," * 5000,
        b"name\n" + b"x\n" * 60_000,
    ],
    ids=lambda content: f"{content[:6]!r}, {len(content)}",
)
def test_a_file_that_is_no_list_gets_a_clear_answer(content):
    with pytest.raises(SheetError) as refused:
        lines_of(content)
    assert str(refused.value).endswith((".", "?"))


def test_a_formula_is_never_run_and_its_saved_value_is_missing():
    lines = lines_of(_workbook([["Name", "Amount", "Place"], ["acetone", '=CONCATENATE("1"," L")', "A"]]))
    assert lines[1].state == "question"


# --- the command


def _run(tmp_path, content: bytes, *options) -> str:
    path = tmp_path / "list.csv"
    path.write_bytes(content)
    out = io.StringIO()
    call_command("bring_stock", str(path), "--preview", *options, stdout=out)
    return out.getvalue()


def test_the_command_writes_the_stated_form_and_asks_no_database(tmp_path):
    # without the django_db mark any query fails
    rows = json.loads(_run(tmp_path, uk_csv(), "--json"))["rows"]
    assert [row["row"] for row in rows] == list(range(1, 24))
    assert rows[12]["cas_rn"] == ["7758-99-8"]
    assert (
        rows[12]
        | {
            "state": "ready",
            "containers": 2,
            "amount": "500 g",
            "place": "Shelf 4",
            "received": "2024-01-15",
        }
        == rows[12]
    )
    assert {row["state"] for row in rows} == {"ready", "question", "left_out"}


def test_the_command_tells_a_reader_what_would_happen(tmp_path):
    told = _run(tmp_path, uk_csv())
    assert "13 ready, 2 with a question, 8 left out. Nothing was changed." in told
    assert "belongs to sodium hypochlorite" in told


def test_the_command_says_what_is_wrong_with_a_file(tmp_path):
    with pytest.raises(CommandError, match="empty"):
        _run(tmp_path, b"")
