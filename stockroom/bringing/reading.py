"""A spreadsheet file as rows of plain values: XLSX, ODS or text (CSV, tabs, semicolons) in any usual
encoding.

What is larger, broken or not a spreadsheet is refused with a sentence that says what to do. Nothing in a
file is ever
run: formulas come as the value that was saved with them, macros are not looked at.
"""

import csv
import io
import re
import zipfile
from dataclasses import dataclass
from pathlib import Path

from python_calamine import CalamineError, CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum

MAX_BYTES = 50 * 1024 * 1024
MAX_UNPACKED = 400 * 1024 * 1024
MAX_RATIO = 200
MAX_ROWS = 50_000
MAX_COLUMNS = 200
MAX_CELL = 2_000
MAX_FILES = 2_000
_DELIMITERS = ",;\t|"
MAX_REPEAT = 1_000
#: a cell with content (an empty styled one ends at once), and one that is repeated with a value
_CELL = re.compile(rb'<c r="([A-Z]{1,3})([0-9]{1,7})"[^>/]*>')
_FILLED = re.compile(
    rb'number-(?:columns|rows)-repeated="([0-9]+)"[^>]*office:value|office:value[^>]*-repeated="([0-9]+)"'
)
_ZIP, _OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"


class SheetError(ValueError):
    """A file that cannot be read; the message says what to do."""


@dataclass(frozen=True)
class Sheet:
    """`rows`: values (str, int, float, bool, date, datetime, time; "" where empty), the file's first row
    first.

    `title`: of the sheet in a workbook, "" for a text file.
    """

    title: str
    rows: tuple[tuple, ...]


def read_file(path: Path) -> tuple[Sheet, ...]:
    """The visible sheets of a file. Raises SheetError."""
    try:
        if path.stat().st_size > MAX_BYTES:
            raise SheetError(f"The file is larger than {MAX_BYTES // 2**20} MB: save only the list itself.")
        content = path.read_bytes()
    except OSError as error:
        raise SheetError(f"{path.name} cannot be opened: {error.strerror}.") from None
    return read_bytes(content)


def read_bytes(content: bytes) -> tuple[Sheet, ...]:
    """The visible sheets of a file's content. Raises SheetError."""
    if len(content) > MAX_BYTES:
        raise SheetError(f"The file is larger than {MAX_BYTES // 2**20} MB: save only the list itself.")
    if not content.strip():
        raise SheetError("The file is empty.")
    if content.startswith(_ZIP):
        return _workbook(content)
    if content.startswith(_OLE):
        raise SheetError(
            "This is an old or a protected workbook: save it as .xlsx without a password, .ods or .csv."
        )
    if content.startswith((b"%PDF", b"\x89PNG", b"\xff\xd8\xff", b"GIF8", b"{\\rtf")):
        raise SheetError("This is not a spreadsheet: save the list as .xlsx, .ods or .csv.")
    return (_text(content),)


def _workbook(content: bytes) -> tuple[Sheet, ...]:
    _guard_archive(content)
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(content))
        visible = [
            sheet.name
            for sheet in book.sheets_metadata
            if sheet.typ == SheetTypeEnum.WorkSheet and sheet.visible == SheetVisibleEnum.Visible
        ]
        sheets = tuple(_sheet(book, name) for name in visible)
    except (CalamineError, ValueError, OSError, RuntimeError) as error:
        if isinstance(error, SheetError):
            raise
        raise SheetError(
            "The workbook is damaged or not complete: open it, save it again and send that."
        ) from None
    if not any(sheet.rows for sheet in sheets):
        raise SheetError("The workbook has no filled sheet.")
    return tuple(sheet for sheet in sheets if sheet.rows)


def _guard_archive(content: bytes) -> None:
    """Refuse what would unpack to far more than it is. The sizes are what unpacking yields, not what is
    claimed."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = archive.infolist()
            if len(parts) > MAX_FILES:
                raise SheetError("The workbook has too many parts: save only the list itself.")
            if sum(part.file_size for part in parts) > MAX_UNPACKED:
                raise SheetError(
                    "The workbook unpacks to far more than a list of bottles: save only the list itself."
                )
            names = {part.filename for part in parts}
            if not names & {"xl/workbook.xml", "content.xml", "xl/workbook.bin"}:
                raise SheetError("This is not a spreadsheet: save the list as .xlsx, .ods or .csv.")
            total = 0
            for part in parts:
                total += _unpacked(archive, part, MAX_UNPACKED - total)
    except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError, OSError) as error:
        raise SheetError(
            "The workbook is damaged or has a password: open it, save it again and send that."
        ) from error
    except Exception as error:
        if isinstance(error, SheetError):
            raise
        raise SheetError("The workbook is damaged: open it, save it again and send that.") from error


def _unpacked(archive: zipfile.ZipFile, part: zipfile.ZipInfo, most: int) -> int:
    size = 0
    with archive.open(part) as stream:
        while piece := stream.read(1 << 20):
            size += len(piece)
            _guard_extent(part.filename, piece)
            if size > most or (size > 1 << 22 and size > MAX_RATIO * max(part.compress_size, 1)):
                raise SheetError("The workbook unpacks to far more than it is: save only the list itself.")
    return size


def _guard_extent(name: str, piece: bytes) -> None:
    """Refuse cells far outside of any list: a reader would make room for everything before them."""
    if name.startswith("xl/worksheets/"):
        far = any(len(column) > 2 or int(row) > 2 * MAX_ROWS for column, row in _CELL.findall(piece))
    else:
        far = name == "content.xml" and any(
            int(first or last) > MAX_REPEAT for first, last in _FILLED.findall(piece)
        )
    if far:
        raise SheetError(
            f"A filled cell stands beyond row {MAX_ROWS} or column {MAX_COLUMNS}: delete what is there."
        )


def _sheet(book: CalamineWorkbook, name: str) -> Sheet:
    sheet = book.get_sheet_by_name(name)
    if sheet.total_height > MAX_ROWS:
        raise SheetError(
            f"“{name}” has more than {MAX_ROWS} rows: delete the empty ones or cut the list in parts."
        )
    if sheet.total_width > MAX_COLUMNS:
        raise SheetError(f"“{name}” has more than {MAX_COLUMNS} columns: delete the empty ones.")
    rows = [[_value(cell) for cell in row] for row in sheet.to_python(skip_empty_area=False)]
    for (top, left), (bottom, right) in sheet.merged_cell_ranges or ():
        if left == right and bottom < len(rows) and left < len(rows[top]):
            for at in range(top + 1, bottom + 1):
                if left < len(rows[at]) and rows[at][left] == "":
                    rows[at][left] = rows[top][left]
    return Sheet(name, tuple(tuple(row) for row in rows))


def _value(cell):
    if isinstance(cell, str):
        return cell.strip()[:MAX_CELL]
    if isinstance(cell, float) and cell.is_integer():
        return int(cell)
    return cell


def _text(content: bytes) -> Sheet:
    text = _decoded(content)
    sample = [line for line in text.splitlines()[:200] if line.strip()]
    if text.startswith("sep=") and len(text) > 4:
        delimiter = text[4]
    else:
        delimiter = max(_DELIMITERS, key=lambda mark: _steadiness(sample, mark))
    rows = []
    csv.field_size_limit(1 << 20)
    try:
        for row in _records(text, delimiter):
            if len(row) > MAX_COLUMNS:
                raise SheetError(f"A row has more than {MAX_COLUMNS} columns: is this a list of bottles?")
            rows.append(tuple(cell.strip()[:MAX_CELL] for cell in row))
            if len(rows) > MAX_ROWS:
                raise SheetError(f"The file has more than {MAX_ROWS} rows: cut it in parts.")
    except csv.Error:
        raise SheetError("The file is no readable table: is a quotation mark not closed?") from None
    return Sheet("", tuple(rows))


def _records(text: str, delimiter: str) -> list[list[str]]:
    """The rows; where a lone quotation mark (a ditto, an inch) swallows lines, each line is read by
    itself."""
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    if not any("\n" in cell and cell.count(delimiter) > 2 for row in rows for cell in row):
        return rows
    return [
        line.split(delimiter) if line.count('"') % 2 else next(csv.reader([line], delimiter=delimiter), [])
        for line in text.splitlines()
    ]


def _steadiness(lines: list[str], mark: str) -> tuple[float, int]:
    """How many lines have the same number of this mark, and how many that is."""
    counts = []
    for line in lines:
        try:
            counts.append(len(next(csv.reader([line], delimiter=mark), ())) - 1)
        except csv.Error:
            counts.append(0)
    used = [count for count in counts if count]
    if not used:
        return 0, 0
    usual = max(set(used), key=used.count)
    return used.count(usual) * min(usual, 4), usual


def _decoded(content: bytes) -> str:
    for mark, encoding in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig")):
        if content.startswith(mark):
            return _decode(content, encoding)
    if content[:200].count(0) > len(content[:200]) // 4:
        return _decode(content, "utf-16-le" if content[1:2] == b"\0" else "utf-16-be")
    if b"\0" in content:
        raise SheetError("This is not a text file: save the list as .xlsx, .ods or .csv.")
    for encoding in ("utf-8", "cp1252"):
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    return _decode(content, "latin-1")


def _decode(content: bytes, encoding: str) -> str:
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        raise SheetError(
            "The letters of the file cannot be read: save it as CSV UTF-8 or as .xlsx."
        ) from None
    if sum(not char.isprintable() and char not in "\r\n\t\ufeff" for char in text[:4000]) > 40:
        raise SheetError("This is not a text file: save the list as .xlsx, .ods or .csv.")
    return text
