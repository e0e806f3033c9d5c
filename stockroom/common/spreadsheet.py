"""Tables as spreadsheet files, safe to open."""

from collections.abc import Iterable, Sequence

import tablib

FORMATS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")
#: what XML, and so .xlsx, cannot hold
_CONTROL = {code: None for code in range(32) if chr(code) not in "\t\r\n"}


def guarded(cell: object) -> str:
    """A text that no spreadsheet takes for a formula: what begins like one gets an apostrophe before it."""
    text = str(cell).translate(_CONTROL)
    # Spreadsheets skip leading spaces before they look for a formula.
    return f"'{text}" if text.lstrip(" ").startswith(_FORMULA_STARTS) else text


def export(headers: Sequence[str], rows: Iterable[Sequence[object]], form: str, title: str) -> bytes:
    """The file. Raises KeyError for a format that is not in `FORMATS`."""
    FORMATS[form]
    data = tablib.Dataset(headers=list(headers), title=title[:31])
    for row in rows:
        data.append([guarded(cell) for cell in row])
    written = data.export(form)
    # The mark tells spreadsheets that the text is UTF-8.
    return written if isinstance(written, bytes) else written.encode("utf-8-sig")
