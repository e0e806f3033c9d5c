"""What bringing a sheet in would make of each of its rows. Pure over rows: nothing is written, no database
is asked.

A row is "ready" only where substance, strength, form, amount and date leave nothing to ask; everything
else is a
"question" with the reason and what it may be, or "left_out" with the reason: a heading, a total, an empty
line.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from stockroom.bringing.cells import (
    DAY_FIRST,
    MONTH_FIRST,
    UNSURE,
    Amount,
    CellError,
    order_of_dates,
    read_amount,
    read_count,
    read_date,
    read_unit,
)
from stockroom.bringing.columns import (
    AMOUNT,
    CAS_RN,
    COUNT,
    FORM,
    FORMULA,
    LOT,
    NAME,
    OPENED,
    PLACE,
    PRICE,
    RECEIVED,
    STRENGTH,
    SUPPLIER,
    UNIT,
    Layout,
    layout_of,
)
from stockroom.bringing.reading import Sheet, SheetError
from stockroom.catalogue.label_text import CRYSTALS, FORMS, WATERS, plain_words, read_label
from stockroom.catalogue.loader import load
from stockroom.catalogue.matching import SURE, UNKNOWN, Candidate, Match, match
from stockroom.catalogue.naming import base_of, understand
from stockroom.chemistry.quantity import COUNT as PIECES
from stockroom.chemistry.quantity import VOLUME

READY, QUESTION, LEFT_OUT = "ready", "question", "left_out"
_DITTO = {
    '"',
    "''",
    "″",
    "〃",
    "ditto",
    "do.",
    "do",
    '-"-',
    "”",
    "“",
    "as above",
    "same",
    "idem",
    "“ ”",
    ",,",
}
_NOTHING = {"-", "--", "?", "n/a", "na", "none", "unknown", "tbc", "x", "."}
_PLACE_WORDS = re.compile(
    r"\b(cabinet|cupboard|shelf|shelves|room|fridge|refrigerator|freezer|store|storeroom|stockroom|drawer|bay|rack|lab|"
    r"laboratory|prep|tray|bench|locker|safe|bin|hood|building|location|rm|cab|trolley|basement|closet)\b",
    re.IGNORECASE,
)
_TOTAL = re.compile(
    r"^\W*(?:grand\s+|sub\s*-?\s*)?(?:totals?|sum|count|number of (?:items|bottles|chemicals))\b",
    re.IGNORECASE,
)
_REMARK = re.compile(
    r"^\W*(?:notes?\b|checked\b|counted by|last (?:up|stock|count|rev)|updated|printed|page \d|"
    r"see |\*|end of|signed|prepared|"
    r"stock ?(?:take|list)|inventory|chemical (?:inventory|list|stock)|continued|date:|revised|"
    r"generated|exported)",
    re.IGNORECASE,
)
_OF_LIST = re.compile(r"\b(?:inventory|list|stock|register|record)\b", re.IGNORECASE)
_IN_NAME = re.compile(
    r"(?<![A-Za-z0-9.,])((?:\d{1,3}\s*[x×*]\s*)?\d+(?:[.,]\d+)?\s*(?:kg|g|gm|mg|l|ltr|litres?|liters?|ml|lbs?|oz|gal))\b(?!\s*/)",
    re.IGNORECASE,
)
_MOLAR_HEADING = re.compile(r"\bmolar|\bmol\b|mol\s*/|\(\s*M\s*\)")


@dataclass(frozen=True)
class Line:
    """One row of the file. `row` counts from 1 in its sheet; `why` is a sentence; `suggestions` name
    reagents.

    `reagent_key`: of the catalog, "" for a new reagent. `received` and `opened`: None where not written.
    """

    row: int
    state: str
    why: str
    sheet: str = ""
    written: str = ""
    reagent: str = ""
    reagent_key: str = ""
    cas_rn: tuple[str, ...] = ()
    containers: int = 0
    amount: str = ""
    place: str = ""
    received: date | None = None
    opened: date | None = None
    supplier: str = ""
    price: str = ""
    lot: str = ""
    suggestions: tuple[str, ...] = ()


@dataclass
class _Reader:
    """One pass over a sheet: what stood above (places, dittos) and how its dates are written."""

    sheet: Sheet
    layout: Layout
    today: date
    orders: dict[int, str]
    titled: bool
    section_place: str = ""
    section: str = ""
    above: tuple = field(default=())

    def cell(self, row: tuple, kind: str) -> object:
        """The value in the first column of a kind; "" where there is none."""
        for at in self.layout.of(kind):
            if at < len(row) and str(row[at]).strip() not in _NOTHING:
                return row[at]
        return ""

    def text(self, row: tuple, kind: str) -> str:
        value = self.cell(row, kind)
        if isinstance(value, float):
            return f"{value:.10g}"
        return str(value).strip()


def preview(sheets: Iterable[Sheet], today: date) -> tuple[Line, ...]:
    """A line for each row of each sheet. Raises SheetError where no sheet has a list in it."""
    sheets = tuple(sheets)
    layouts = [layout_of(sheet.rows) for sheet in sheets]
    if not any(layouts):
        raise SheetError(
            "No column of names was found: give the columns a heading such as Name, Amount, Place."
        )
    lines: list[Line] = []
    for sheet, layout in zip(sheets, layouts, strict=True):
        if layout is None:
            lines += [_out(sheet, at, "No list of bottles on this sheet.") for at in range(len(sheet.rows))]
        else:
            reader = _Reader(sheet, layout, today, _date_orders(sheet, layout), sum(map(bool, layouts)) > 1)
            lines += _lines(reader)
    return tuple(lines)


def _lines(reader: _Reader) -> list[Line]:
    if reader.titled and _PLACE_WORDS.search(reader.sheet.title):
        reader.section_place = reader.sheet.title
    lines = []
    for at, row in enumerate(reader.sheet.rows):
        if at <= reader.layout.header:
            lines.append(_before(reader, at, row))
            continue
        why = _left_out(reader, row)
        if why:
            lines.append(_out(reader.sheet, at, why))
            continue
        row = _without_dittos(row, reader.above)
        reader.above = row
        lines.append(_line(reader, at, row))
    return lines


def _out(sheet: Sheet, at: int, why: str) -> Line:
    return Line(at + 1, LEFT_OUT, why, sheet.title)


def _before(reader: _Reader, at: int, row: tuple) -> Line:
    filled = _filled(row)
    if (
        at < reader.layout.header
        and len(filled) == 1
        and _is_place(filled[0])
        and not _OF_LIST.search(filled[0])
    ):
        reader.section_place = _heading_text(filled[0])
    return _out(
        reader.sheet, at, "The heading of the columns." if at == reader.layout.header else "Above the list."
    )


def _filled(row: tuple) -> list[str]:
    """What stands in a row, the same text across merged cells once."""
    return list(dict.fromkeys(str(cell).strip() for cell in row if str(cell).strip()))


def _is_place(text: str) -> bool:
    return bool(_PLACE_WORDS.search(text)) and len(text) <= 60 and not _REMARK.search(text)


def _heading_text(text: str) -> str:
    text = re.sub(r"^(?:location|place|stored in|storage)\s*[:=-]\s*", "", text.strip(), flags=re.IGNORECASE)
    return re.sub(r"\s*\((?:cont\.?|continued|contd)\)", "", text, flags=re.IGNORECASE).strip(" :-*=#")


def _left_out(reader: _Reader, row: tuple) -> str:
    """Why a row is no bottle; "" where it is one. A section heading is kept as the place of what follows."""
    filled = _filled(row)
    if not filled or all(re.fullmatch(r"\W*", cell) and cell not in _DITTO for cell in filled):
        return "Empty."
    if reader.layout.header >= 0 and _repeats_header(reader, row):
        return "The heading of the columns again."
    if any(_TOTAL.search(cell) for cell in filled[:2]) and not reader.text(row, CAS_RN):
        return "A total."
    name = reader.text(row, NAME)
    if len(filled) <= 2 and _REMARK.search(filled[0]):
        return "A remark."
    if len(filled) == 1:
        return _heading(reader, filled[0], name)
    if len(filled) == 2 and not name and not reader.text(row, AMOUNT) and _is_place(filled[0]):
        return _heading(reader, filled[0], "")
    return ""


def _heading(reader: _Reader, text: str, name: str) -> str:
    if re.fullmatch(r"[\d\W]+", text):
        return "Only a number."
    if len(text) > 70:
        return "A remark."
    if name and (_IN_NAME.search(name) or re.search(r"\d\s*(?:pcs|pieces|off)\b", name)):
        return ""
    known = name and understand(read_label(name))
    if known and not text.isupper() and not text.endswith(":") and not _is_place(text):
        return ""
    if _is_place(text):
        reader.section_place, reader.section = _heading_text(text), ""
    else:
        reader.section = _heading_text(text)
        # "Cabinet 3 (acids)" ends where "Salts" begin; a bare "Cabinet 3" may hold both
        if len(re.findall("[A-Za-z]{3,}", _PLACE_WORDS.sub(" ", reader.section_place))) > 0:
            reader.section_place = ""
    return "A section heading."


def _repeats_header(reader: _Reader, row: tuple) -> bool:
    header = reader.sheet.rows[reader.layout.header]
    same = [
        str(one).strip().casefold() == str(two).strip().casefold()
        for one, two in zip(header, row, strict=False)
        if str(one).strip()
    ]
    return len(same) > 1 and sum(same) * 3 >= len(same) * 2


def _without_dittos(row: tuple, above: tuple) -> tuple:
    return tuple(
        above[at] if str(cell).strip().casefold() in _DITTO and at < len(above) else cell
        for at, cell in enumerate(row)
    )


# --- one bottle's row


def _line(reader: _Reader, at: int, row: tuple) -> Line:
    doubts: list[str] = []
    name = reader.text(row, NAME)
    amount = _amount(reader, row, name, doubts)
    found = _match(reader, row, name, amount)
    best = found.best
    if found.mark != SURE:
        doubts.insert(0, found.why)
    else:
        doubts += _unlike(best, amount)
    line = Line(
        row=at + 1,
        state=QUESTION if doubts else READY,
        why=" ".join(doubts) or f"{found.why}.",
        sheet=reader.sheet.title,
        written=name,
        reagent=best.name if best and found.mark != UNKNOWN else "",
        reagent_key=best.reagent if best and found.mark != UNKNOWN else "",
        cas_rn=best.cas_rn if best and found.mark != UNKNOWN else (),
        containers=_containers(reader, row, amount, doubts),
        amount=amount.text if amount else "",
        place=_place(reader, row),
        received=_date(reader, row, RECEIVED, doubts),
        opened=_date(reader, row, OPENED, doubts),
        supplier=reader.text(row, SUPPLIER),
        price=reader.text(row, PRICE),
        lot=reader.text(row, LOT),
        suggestions=tuple(one.name for one in found.candidates[:5]),
    )
    return line if not doubts else _asked(line, doubts)


def _asked(line: Line, doubts: list[str]) -> Line:
    return Line(**{**line.__dict__, "state": QUESTION, "why": " ".join(dict.fromkeys(doubts))})


def _match(reader: _Reader, row: tuple, name: str, amount: Amount | None) -> Match:
    formula = reader.text(row, FORMULA)
    cas = reader.cell(row, CAS_RN)
    if isinstance(cas, date):
        return Match(UNKNOWN, (), "The spreadsheet has turned the CAS RN into a date.")
    if not name and not formula:
        return _unnamed(str(cas).strip())
    text = _with_form(reader, row, name or formula)
    if name and formula:
        text, doubt = _with_formula(text, name, formula)
        if doubt:
            return _doubted(match(text, cas=str(cas).strip()), doubt)
    return match(
        text,
        strength=_strength(reader, row),
        cas=str(cas).strip(),
        measure=amount.measure if amount else "",
        bought=bool(reader.text(row, LOT) or reader.text(row, SUPPLIER)),
    )


def _unnamed(cas: str) -> Match:
    found = match(cas, cas=cas) if cas else Match(UNKNOWN, (), "")
    return _doubted(found, "No name is written.")


def _doubted(found: Match, doubt: str) -> Match:
    return Match(UNKNOWN if found.mark == UNKNOWN else "choose", found.candidates, doubt)


def _with_form(reader: _Reader, row: tuple, text: str) -> str:
    """The name with what a column of its own says of form, where that is a form."""
    words = plain_words(reader.text(row, FORM))
    liquid = {"aq": "solution", "solution": "solution", "soln": "solution", "anhydrous": "anhydrous"}
    said = [word for word in words if word in FORMS or word in CRYSTALS or word in liquid]
    return f"{text} {' '.join(liquid.get(word, word) for word in said)}" if said else text


def _with_formula(text: str, name: str, formula: str) -> tuple[str, str]:
    """The name with the crystal water that the formula says, and the doubt where the two are different
    substances."""
    by_name, by_formula = understand(read_label(name)), understand(read_label(formula))
    if by_name and by_formula and by_name.chemical and by_formula.chemical:
        options = {base_of(by_formula.chemical), *(base_of(key) for key in by_formula.others)}
        if base_of(by_name.chemical) not in options:
            return (
                text,
                f"The formula {formula[:30]} is not that of {load().chemicals[by_name.chemical].name}.",
            )
    waters = read_label(formula).waters
    if waters is None or read_label(name).waters is not None:
        return text, ""
    prefix = {count: word for word, count in WATERS.items()}.get(waters)
    return (f"{text} {prefix}hydrate" if prefix else text), ""


def _strength(reader: _Reader, row: tuple) -> str:
    """The strength column's words, where they say a strength: grades are left aside."""
    text = reader.text(row, STRENGTH)
    if not text or re.fullmatch(r"(?:pure|neat|solid|100\s*%?|n/?a|-)", text, re.IGNORECASE):
        return ""
    words = set(plain_words(text))
    if not re.search(r"\d", text) and not words & {
        "conc",
        "concentrated",
        "dil",
        "dilute",
        "glacial",
        "saturated",
        "sat",
    }:
        return "anhydrous" if words & {"anhydrous", "anhyd"} else ""
    heading = (
        str(reader.sheet.rows[reader.layout.header][reader.layout.of(STRENGTH)[0]])
        if reader.layout.header >= 0
        else ""
    )
    if re.fullmatch(r"[\d.,]+", text):
        if _MOLAR_HEADING.search(heading):
            return f"{text} M"
        if "%" in heading and float(text.replace(",", ".") or 0) >= 1:
            return f"{text} %"
    return text


def _amount(reader: _Reader, row: tuple, name: str, doubts: list[str]) -> Amount | None:
    columns = reader.layout.of(AMOUNT)
    unit = read_unit(reader.text(row, UNIT)) if reader.text(row, UNIT) else ""
    unit = unit or next((reader.layout.units[at] for at in columns if at in reader.layout.units), "")
    value = reader.cell(row, AMOUNT)
    if value == "" and (inside := _IN_NAME.findall(name)):
        value = inside[-1]
    if value == "" and not columns and reader.layout.of(COUNT):
        value = reader.cell(row, COUNT)
    try:
        return read_amount(value, unit)
    except CellError as error:
        inside = _IN_NAME.findall(name)
        if inside and re.fullmatch(r"\d{1,2}", str(value)) and not reader.layout.of(COUNT):
            return read_amount(f"{value} x {inside[-1]}")
        doubts.append(str(error))
        return None


def _containers(reader: _Reader, row: tuple, amount: Amount | None, doubts: list[str]) -> int:
    times = amount.containers if amount else 1
    value = reader.cell(row, COUNT)
    if value == "" or not reader.layout.of(AMOUNT) and times > 1:
        return times
    try:
        count = read_count(value)
    except CellError as error:
        if reader.layout.of(AMOUNT):
            doubts.append(str(error))
        return times
    if times > 1 and count not in (1, times):
        doubts.append(f"{times} containers by the amount, {count} by their number: how many are there?")
    return max(times, count)


def _unlike(best: Candidate, amount: Amount | None) -> list[str]:
    """An amount in a measure that the reagent cannot have."""
    row = load().reagents.get(best.reagent)
    if not row or not amount:
        return []
    if amount.measure == VOLUME and row.kind in ("solid", "hydrate", "metal") and row.measure == "mass":
        return [f"{row.name} is a solid, the amount is a volume: is it a solution, and how strong?"]
    if amount.measure == PIECES and row.measure != PIECES:
        return [f"{row.name} is not kept by the piece: how much does one hold?"]
    return []


def _place(reader: _Reader, row: tuple) -> str:
    header = reader.sheet.rows[reader.layout.header] if reader.layout.header >= 0 else ()
    parts = []
    for at in reader.layout.of(PLACE):
        value = str(row[at]).strip() if at < len(row) else ""
        if not value or value.casefold() in _NOTHING:
            continue
        heading = str(header[at]).strip() if at < len(header) else ""
        named = _PLACE_WORDS.fullmatch(
            heading.casefold().removesuffix(" no").removesuffix(" number").strip(" .#")
        )
        short = re.fullmatch(r"\d{1,3}[A-Za-z]?|[A-Za-z]\d{0,2}", value)
        parts.append(f"{named[1].capitalize()} {value}" if named and short else value)
    own = ", ".join(parts)
    section = reader.section_place or ("" if own else reader.section)
    if section and section.casefold() not in own.casefold():
        return f"{section}, {own}" if own else section
    return own


def _date(reader: _Reader, row: tuple, kind: str, doubts: list[str]) -> date | None:
    for at in reader.layout.of(kind):
        value = row[at] if at < len(row) else ""
        if value == "":
            continue
        try:
            found = read_date(value, reader.orders[at], reader.today)
        except CellError as error:
            doubts.append(str(error))
            return None
        if found and (found > reader.today or found.year < 1900):
            doubts.append(f"{kind.capitalize()} on {found.isoformat()}: that day cannot be.")
            return None
        return found
    return None


def _date_orders(sheet: Sheet, layout: Layout) -> dict[int, str]:
    """How each column of dates is written; one that does not tell follows the others, then the file's
    English."""
    columns = [*layout.of(RECEIVED), *layout.of(OPENED)]
    below = sheet.rows[layout.header + 1 :]
    orders = {at: order_of_dates([row[at] for row in below if at < len(row)]) for at in columns}
    told = {order for order in orders.values() if order != UNSURE}
    shared = told.pop() if len(told) == 1 else _order_of_english(sheet)
    return {at: shared if order == UNSURE else order for at, order in orders.items()}


def _order_of_english(sheet: Sheet) -> str:
    text = " ".join(str(cell).casefold() for row in sheet.rows[:500] for cell in row if isinstance(cell, str))
    british = re.search(r"sulph|aluminium|colour|litre|£|fume cupboard|caesium", text)
    american = re.search(r"sulf|aluminum|liter\b|\$|\bgal\b|cesium", text)
    if bool(british) == bool(american):
        return DAY_FIRST if british and "sulph" in text and "aluminum" not in text else UNSURE
    return DAY_FIRST if british else MONTH_FIRST
