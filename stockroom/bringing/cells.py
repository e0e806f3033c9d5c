"""Amounts, numbers of containers and dates as people write them in a cell."""

import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache

from stockroom.chemistry.quantity import QuantityError, parse, parse_unit, unit_symbol

_DAY_ZERO = date(1899, 12, 30)
_SERIALS = range(20_000, 60_000)
_MONTHS = {
    name: at
    for at, names in enumerate(
        (
            "jan january januar",
            "feb february februar",
            "mar march marz",
            "apr april",
            "may mai",
            "jun june juni",
            "jul july juli",
            "aug august",
            "sep sept september",
            "oct october okt oktober",
            "nov november",
            "dec december dez dezember",
        ),  # fmt: skip
        start=1,
    )
    for name in names.split()
}
_TIMES = re.compile(
    r"^\s*(\d{1,4})\s*(?:[x×*@]|(?:bottles?|btls?|containers?|tubs?|jars?|packs?|tins?)\s*(?:of|x|@|,|à)?)\s*(.+)$",
    re.I,
)
_TIMES_AFTER = re.compile(
    r"^\s*(.+?[a-z].*?)\s*(?:[x×*]|,)\s*(\d{1,3})(?:\s*(?:bottles?|btls?|containers?|pcs))?\s*$", re.I
)
_NOT_AMOUNT = re.compile(
    r"\b(?:each|ea|per bottle|bottle|btl|approx|left|remaining|full|new|sealed|jar|tub|plastic|glass)\b\.?",
    re.I,
)
DAY_FIRST, MONTH_FIRST, UNSURE = "day first", "month first", "unsure"


class CellError(ValueError):
    """A cell that cannot be read; the message says why."""


@dataclass(frozen=True)
class Amount:
    """What each of `containers` holds: `text` as shown ("500 g"), `measure` of quantity.py."""

    text: str
    measure: str
    containers: int


@lru_cache(maxsize=20_000, typed=True)
def read_amount(cell, unit: str = "") -> Amount:
    """One cell, with the unit of a column of its own where there is one. Raises CellError."""
    text = _number_text(cell).strip()
    if not text:
        raise CellError("No amount is written.")
    times = 1
    if (match := _TIMES.match(text)) and re.search(r"\d", match[2]):
        times, text = int(match[1]), match[2]
    elif (match := _TIMES_AFTER.match(text)) and re.match(r"[\d.,]", match[1]):
        times, text = int(match[2]), match[1]
    text = _NOT_AMOUNT.sub(" ", text).strip(" ,;()")
    if re.fullmatch(r"[\d.,/ ]+", text):
        if not unit:
            raise CellError(f"“{text}” has no unit.")
        text = f"{text} {unit}"
    try:
        parsed = parse(text)
    except QuantityError as error:
        raise CellError(str(error)) from None
    if parsed.quantity.magnitude <= 0 or times < 1:
        raise CellError("Nothing is left of it: leave the line out, or write what is there.")
    if parsed.low != parsed.high:
        raise CellError(f"“{text}” is a range: how much is it?")
    return Amount(_shown(parsed.quantity), parsed.measure, times)


def _shown(quantity) -> str:
    return f"{quantity.magnitude.normalize():f} {unit_symbol(quantity.units)}"


def _number_text(cell) -> str:
    if isinstance(cell, (bool, date | datetime)):
        raise CellError("The amount is a date: the spreadsheet has changed what was typed.")
    if isinstance(cell, float):
        return f"{cell:.10g}"
    return str(cell)


@lru_cache(maxsize=2_000)
def read_unit(cell) -> str:
    """The unit's symbol, or "" where the cell holds none."""
    try:
        return unit_symbol(parse_unit(str(cell).strip()))
    except QuantityError:
        return ""


def read_count(cell) -> int:
    """How many containers. Raises CellError."""
    text = _number_text(cell).strip()
    match = re.fullmatch(
        r"(?:x\s*)?(\d{1,4})(?:\.0+)?\s*(?:x|bottles?|btls?|containers?|pcs?|pieces|ea|tubs?|jars?|off|no\.?)?",
        text,
        re.I,
    )
    if not match or not 1 <= int(match[1]) <= 500:
        raise CellError(f"“{text[:20]}” is not a number of containers.")
    return int(match[1])


def order_of_dates(cells) -> str:
    """Whether day or month stands first in a column, from the dates that can be read in one way only."""
    first = second = 0
    for cell in cells:
        match = re.fullmatch(r"(\d{1,2})[./-](\d{1,2})[./-](\d{2}|\d{4})", str(cell).strip())
        if match:
            first += int(match[1]) > 12
            second += int(match[2]) > 12
    if first and not second:
        return DAY_FIRST
    if second and not first:
        return MONTH_FIRST
    if any(re.fullmatch(r"\d{1,2}\.\d{1,2}\.\d{2,4}", str(cell).strip()) for cell in cells):
        return DAY_FIRST
    return UNSURE


def read_date(cell, order: str, today: date) -> date | None:
    """The day; the first of the month or year where no more is written; None where the cell says nothing.

    Raises CellError for what cannot be read, for 3/4/19 where nothing tells which is the month, and for
    the future.
    """
    if isinstance(cell, datetime):
        return cell.date()
    if isinstance(cell, date):
        return cell
    text = str(cell).strip().strip("'").rstrip(".")
    text = re.sub(r"(?<=\d)(?:st|nd|rd|th)\b", "", text, flags=re.IGNORECASE)
    text = re.sub(r"[T ]\d{1,2}:\d{2}(?::\d{2})?.*$", "", text)
    text = re.sub(r"^(?:approx\.?|ca\.?|c\.|about|before|pre|~|<)\s*", "", text, flags=re.IGNORECASE)
    if not text or text.casefold() in {
        "?",
        "-",
        "--",
        "n/a",
        "na",
        "unknown",
        "none",
        "unk",
        "not known",
        "tbc",
    }:
        return None
    try:
        return _numeric_date(text, order, today) or _worded_date(text, today)
    except ValueError as error:
        if isinstance(error, CellError):
            raise
        raise CellError(f"“{text[:20]}” is not a date.") from None


def _numeric_date(text: str, order: str, today: date) -> date | None:
    if match := re.fullmatch(r"(\d{4})[-/. ](\d{1,2})[-/. ](\d{1,2})", text):
        return date(*map(int, match.groups()))
    if match := re.fullmatch(r"(\d{4})(\d{2})(\d{2})", text):
        return date(*map(int, match.groups()))
    if match := re.fullmatch(r"(\d{1,2})\s*[./-]\s*(\d{1,2})\s*[./-]\s*(\d{4}|\d{2})", text):
        one, two, year = int(match[1]), int(match[2]), _year(match[3], today)
        if one > 12 or (order == DAY_FIRST and two <= 12) or one == two:
            return date(year, two, one)
        if two > 12 or order == MONTH_FIRST:
            return date(year, one, two)
        raise CellError(f"“{text}”: is that the {one}. of month {two} or the {two}. of month {one}?")
    if match := re.fullmatch(r"(\d{1,2})[./-](\d{4}|\d{2})", text):
        return date(_year(match[2], today), int(match[1]), 1)
    if match := re.fullmatch(r"(\d{4})[./-](\d{1,2})", text):
        return date(int(match[1]), int(match[2]), 1)
    if re.fullmatch(r"(?:19|20)\d{2}", text):
        return date(int(text), 1, 1)
    if re.fullmatch(r"\d{5}(?:\.0*)?", text) and int(float(text)) in _SERIALS:
        return _DAY_ZERO + timedelta(days=int(float(text)))
    return None


def _worded_date(text: str, today: date) -> date:
    words = re.findall(r"[a-z]+|\d+", text.casefold().replace("ä", "a"))
    months = [_MONTHS[word] for word in words if word in _MONTHS]
    numbers = [word for word in words if word.isdecimal()]
    if len(months) != 1 or not 1 <= len(numbers) <= 2 or len(words) > 3:
        raise CellError(f"“{text[:20]}” is not a date.")
    if len(numbers) == 1:
        return date(_year(numbers[0], today), months[0], 1)
    day, year = (numbers[1], numbers[0]) if len(numbers[0]) == 4 else numbers
    return date(_year(year, today), months[0], int(day))


def _year(text: str, today: date) -> int:
    """Two digits are the latest such year that is not past next year."""
    year = int(text)
    if len(text) == 4:
        return year
    return 2000 + year if 2000 + year <= today.year + 1 else 1900 + year
