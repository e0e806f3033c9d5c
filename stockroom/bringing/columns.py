"""Which row is the heading of a list, and what each column holds: read from the words and from what stands
below."""

import re
from dataclasses import dataclass
from datetime import date, datetime

from stockroom.catalogue.label_text import CAS, plain_words

NAME, FORMULA, CAS_RN, STRENGTH, AMOUNT, UNIT, COUNT, PLACE = (
    "name", "formula", "cas", "strength", "amount", "unit", "count", "place",
)  # fmt: skip
RECEIVED, OPENED, EXPIRES, SUPPLIER, PRICE, LOT, NOTE, FORM, NUMBER = (
    "received", "opened", "expires", "supplier", "price", "lot", "note", "form", "number",
)  # fmt: skip
DATES = (RECEIVED, OPENED, EXPIRES)
_SEARCHED_ROWS = 40

#: Words of a heading, the most telling first: a heading is the first kind of which it holds all words of a
#: phrase.
_HEADINGS = (
    (CAS_RN, "cas|casrn|casno|casnumber|casnr|registry"),
    (LOT, "lot|batch|lotno|charge|serial"),
    (PRICE, "price|cost|value|usd|eur|gbp|paid|preis"),
    (EXPIRES, "expiry|expires|expiration|exp date|use by|best before|expire|exp|shelf life|discard|haltbar"),
    (OPENED, "opened|date opened|open date|geoffnet"),
    (
        RECEIVED,
        "received|date received|purchased|bought|date in|acquired|purchase date|delivery|"
        "delivered|rcvd|recd|arrived|"
        "date|year|purch|datum|eingang|obtained|entered",
    ),
    (
        SUPPLIER,
        "supplier|vendor|manufacturer|maker|brand|source|company|mfr|mfg|distributor|lieferant|hersteller",
    ),
    (FORMULA, "formula|formel|symbol|chemical formula"),
    (
        STRENGTH,
        "strength|concentration|conc|molarity|grade strength|purity|assay|conc or grade|konzentration|grade",
    ),
    (FORM, "form|state|physical state|physical form"),
    (
        COUNT,
        "containers|bottles|no of containers|number of containers|count|no of bottles|number of "
        "bottles|how many|"
        "no bottles|pcs|units|packs|bottle count|container count|of bottles|anzahl|nr of|tubs|jars",
    ),
    (UNIT, "unit|uom|unit of measure|units of measure|einheit"),
    (
        PLACE,
        "location|place|room|cabinet|shelf|cupboard|storage|store|stored|bay|drawer|where|rack|bin|site|building|"
        "position|area|lagerort|tray|fridge|lab|shelving|kept",
    ),
    (
        AMOUNT,
        "amount|quantity|qty|size|container size|bottle size|volume|mass|weight|pack|pack size|"
        "capacity|contents|"
        "how much|amt|menge|net|vol|wt|remaining|stock|left|on hand",
    ),
    (
        NUMBER,
        "id|barcode|sr|serial no|item no|ref|no|nr|catalog|catalogue|cat|code|sku|index|line|"
        "row|order|article",
    ),
    (
        NOTE,
        "mol wt|molecular weight|molar mass|un number|un no|ec number|storage class|hazard "
        "class|storage code|mw|note|notes|comment|comments|remarks|hazard|hazards|ghs|class|sds|"
        "msds|checked|initials|by|signal|risk",
    ),
    (
        NAME,
        "name|chemical|chemical name|substance|reagent|item|description|material|product|"
        "compound|contents|chemicals|"
        "label|what|bezeichnung|solution|as written",
    ),
)
_KINDS = tuple((kind, tuple(phrase.split() for phrase in words.split("|"))) for kind, words in _HEADINGS)
_UNIT_IN_HEADING = re.compile(
    r"[(\[/,]?\s*\b(kg|g|mg|ml|l|litres?|liters?|grams?|lb|oz)\b\s*[)\]]?\s*$", re.IGNORECASE
)


@dataclass(frozen=True)
class Layout:
    """`header`: index of the heading row, -1 where there is none. `kinds`: column index -> kind.

    `units`: column index -> unit that its heading names ("Amount (g)").
    """

    header: int
    kinds: dict[int, str]
    units: dict[int, str]

    def of(self, kind: str) -> tuple[int, ...]:
        """The columns of one kind, from the left."""
        return tuple(sorted(at for at, found in self.kinds.items() if found == kind))


def kind_of_heading(text) -> str:
    """What a heading promises; "" where it says nothing known."""
    if not isinstance(text, str) or not text or len(text) > 60:
        return ""
    words = list(plain_words(re.sub(r"[#№]", " number ", text)))
    if words in (["number"], ["no"], ["nr"]):
        return COUNT if text.strip().casefold() in ("number", "#") else NUMBER
    if words[:1] == ["cas"] or words[-1:] == ["cas"]:
        return CAS_RN
    best, best_weight = "", (False, False)
    for kind, phrases in _KINDS:
        for phrase in phrases:
            weight = (list(phrase) == words, len(phrase) > 1)
            if set(phrase) <= set(words) and (not best or weight > best_weight):
                best, best_weight = kind, weight
    return best


def layout_of(rows) -> Layout | None:
    """The heading row and the kinds of the columns; None where no column of names is found."""
    best, best_score = None, 0.0
    for at, row in enumerate(rows[:_SEARCHED_ROWS]):
        kinds = [kind_of_heading(cell) for cell in row]
        known = {kind for kind in kinds if kind}
        filled = [cell for cell in row if cell != ""]
        if len(known) < 2 or any(isinstance(cell, int | float | date) for cell in filled):
            continue
        if any(isinstance(cell, str) and (CAS.search(cell) or len(cell) > 60) for cell in filled):
            continue
        score = (
            len(known)
            + (NAME in known) * 1.5
            + (AMOUNT in known)
            - 0.3 * (len(filled) - sum(map(bool, kinds)))
        )
        if score > best_score:
            best, best_score = at, score
    if best is None:
        return _without_heading(rows)
    below = rows[best + 1 :]
    # A heading of two rows: words of the second one count where the first says nothing.
    kinds = {column: kind for column, cell in enumerate(rows[best]) if (kind := kind_of_heading(cell))}
    units = {
        column: match[1]
        for column, cell in enumerate(rows[best])
        if isinstance(cell, str)
        and kinds.get(column) in (AMOUNT, COUNT)
        and (match := _UNIT_IN_HEADING.search(cell))
    }
    kinds.update(dict.fromkeys(units, AMOUNT))
    _by_content(kinds, below)
    _one_of_each(kinds, rows[best], below)
    return Layout(best, kinds, units) if NAME in kinds.values() or FORMULA in kinds.values() else None


def _cells(below, column: int, most: int = 300) -> list:
    return [row[column] for row in below[:most] if column < len(row) and row[column] != ""]


def _share(cells: list, test) -> float:
    return sum(bool(test(cell)) for cell in cells) / len(cells) if cells else 0.0


def _is_cas(cell) -> bool:
    return isinstance(cell, str) and bool(CAS.search(cell)) and len(cell) < 40


_AMOUNT = re.compile(
    r"(?:\d+\s*[x×*]\s*)?[\d.,/ ]+\s*(?:kg|g|gm|gms|mg|l|ml|cl|lt|ltr|litres?|liters?|grams?|oz|"
    r"lbs?|cm3|dm3|gal)\.?",
    re.IGNORECASE,
)


def _is_amount(cell) -> bool:
    return isinstance(cell, str) and bool(_AMOUNT.fullmatch(cell))


def _is_wordy(cell) -> bool:
    return isinstance(cell, str) and len(re.findall("[A-Za-z]", cell)) > 3 and not _is_amount(cell)


def _by_content(kinds: dict[int, str], below) -> None:
    """Columns that their heading says nothing of, or the wrong thing: CAS RNs, dates and amounts show
    themselves."""
    width = max(map(len, below), default=0)
    for column in range(width):
        cells = _cells(below, column)
        if _share(cells, _is_cas) > 0.5 and kinds.get(column) != NAME:
            kinds[column] = CAS_RN
        elif kinds.get(column) in DATES:
            continue
        elif _share(cells, lambda cell: isinstance(cell, date | datetime)) > 0.6:
            kinds[column] = RECEIVED
        elif (
            column not in kinds
            and _share(cells, _is_amount) > 0.6
            or kinds.get(column) == COUNT
            and _share(cells, _is_amount) > 0.4
            or kinds.get(column) == STRENGTH
            and _share(cells, _is_amount) > 0.6
        ):
            kinds[column] = AMOUNT
    _numbered(kinds, below)
    if NAME not in kinds.values():
        free = [at for at in range(width) if at not in kinds and _share(_cells(below, at), _is_wordy) > 0.6]
        if free:
            kinds[free[0]] = NAME


def _numbered(kinds: dict[int, str], below) -> None:
    """A column that counts its own rows (1, 2, 3 ...) is no number of bottles."""
    for column in [at for at, kind in kinds.items() if kind == COUNT]:
        numbers = [int(float(cell)) for cell in _cells(below, column) if _is_whole(cell)]
        steps = [later - earlier for earlier, later in zip(numbers, numbers[1:], strict=False)]
        if len(steps) > 1 and steps.count(1) > 0.7 * len(steps):
            kinds[column] = NUMBER


def _is_whole(cell) -> bool:
    try:
        return float(cell) == int(float(cell))
    except (TypeError, ValueError, OverflowError):
        return False


def _one_of_each(kinds: dict[int, str], header, below) -> None:
    """Where two columns seem to be the same, the fuller one is it; sizes and numbers of bottles are told
    apart."""
    names = [at for at, kind in kinds.items() if kind == NAME]
    if len(names) > 1:
        kept = max(names, key=lambda at: (_share(_cells(below, at), _is_wordy) * len(_cells(below, at)), -at))
        for at in names:
            if at != kept:
                kinds[at] = NOTE
    amounts = [at for at, kind in kinds.items() if kind == AMOUNT]
    if len(amounts) > 1:
        _tell_amounts_apart(kinds, amounts, header, below)
    elif amounts and COUNT in kinds.values():
        pass
    for kind in (CAS_RN, UNIT, COUNT, STRENGTH, FORMULA, *DATES):
        for at in sorted(at for at, found in kinds.items() if found == kind)[1:]:
            kinds[at] = NOTE


def _tell_amounts_apart(kinds: dict[int, str], amounts: list[int], header, below) -> None:
    """ "Size" with units and "Qty" of small whole numbers: the second is how many bottles."""
    with_unit = [at for at in amounts if _share(_cells(below, at), _is_amount) > 0.4]
    bare = [at for at in amounts if _share(_cells(below, at), _is_small_number) > 0.7]
    sizes = [
        at for at in amounts if re.search(r"size|pack|capacity|volume|mass|weight", str(header[at]), re.I)
    ]
    main = (with_unit or sizes or amounts)[0]
    for at in amounts:
        if at == main:
            continue
        counts = at in bare and COUNT not in kinds.values()
        kinds[at] = COUNT if counts else NOTE


def _is_small_number(cell) -> bool:
    return _is_whole(cell) and 0 < float(cell) <= 60


def _without_heading(rows) -> Layout | None:
    """A bare list: what stands in the columns says what they are."""
    kinds: dict[int, str] = {}
    _by_content(kinds, rows)
    known = set(kinds.values())
    if NAME not in known or not known & {AMOUNT, CAS_RN}:
        return None
    return Layout(-1, kinds, {})
