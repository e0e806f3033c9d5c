"""The page every sheet is made from: paper, letters, colors, head and foot, tables that never lose a row.

A sheet makes a `Sheet`, adds to it from top to bottom, and asks for `pdf()`. Plain strings are always
printed literally; only what the functions below return as `Markup` is styled.
"""

import html
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import segno
from reportlab.graphics.shapes import Drawing
from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_CENTER, TA_LEFT, TA_RIGHT
from reportlab.lib.pagesizes import A4, LETTER, landscape
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepInFrame,
    KeepTogether,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
)

from stockroom.chemistry.formula import markup as formula_markup
from stockroom.paper import fonts
from stockroom.paper.pictograms import pictogram
from stockroom.wording.days import day_text, weekday_text

INK = HexColor("#1d2426")
MUTED = HexColor("#566064")
RULE = HexColor("#c3cacb")
WASH = HexColor("#eef3f3")
ACCENT = HexColor("#0b5a5e")
WARNING = HexColor("#8a2b12")


def _hex(colour) -> str:
    return colour.hexval().replace("0x", "#")


PAPERS = {"A4": A4, "Letter": LETTER}
SIDE = 15 * mm
FIRST_LINE = "Local rules and the supplier's safety data sheet come first."
UNCHECKED_MEANS = (
    "“not verified”: nobody has yet compared this with the supplier's safety data sheet in hand. "
    "Do that before use."
)


@dataclass(frozen=True)
class Head:
    """What is printed at the head and foot of every page, and in the document's properties."""

    title: str
    department: str
    on: date  # the day the sheet is made for; "today" as the caller sees it
    printed_by: str
    printed_at: datetime  # in the department's own time zone
    computed_from: str  # "the ledger and the bookings as they stood at 08:10"
    subtitle: str = ""  # "Monday 30 Nov to Friday 4 Dec 2026"
    subject: str = ""  # document property; the title when empty
    language: str = "en-GB"  # BCP 47, for the catalog's /Lang


@dataclass(frozen=True)
class Column:
    """A column of a table: `points` wide, or a `share` of what the other columns leave."""

    title: str
    share: float = 1.0
    points: float | None = None
    align: str = "left"  # left, right, center


class Markup(str):
    """Text that is already styled. Only this module makes it; everything else is printed literally."""

    __slots__ = ()


@dataclass(frozen=True)
class Band:
    """A row across a whole table that names the group of rows below it."""

    text: str


# --- words


def text(value: object) -> Markup:
    """`value` as literal text: nothing in it is read as markup; each character in a font that has it."""
    if isinstance(value, Markup):
        return value
    out = []
    for family, piece in fonts.runs("" if value is None else str(value)):
        safe = html.escape(piece, quote=False).replace("\n", "<br/>")
        out.append(safe if family == fonts.FAMILY else f'<font face="{family}">{safe}</font>')
    return Markup("".join(out))


def plain(value: object) -> str:
    """The letters alone, without styling."""
    return html.unescape(re.sub(r"<[^>]+>", "", text(value).replace("<br/>", "\n")))


def join(parts: Iterable[object], between: str = ", ") -> Markup:
    """Parts that are not empty, with `between` between them."""
    return Markup(text(between).join(text(part) for part in parts if part))


def sentences(parts: Sequence[object]) -> Markup:
    """Statements one after the other, each closed with a full stop."""
    return join(
        (text(p) if plain(p).endswith((".", "!", "?")) else Markup(f"{text(p)}.") for p in parts if p), " "
    )


def strong(value: object) -> Markup:
    return Markup(f"<b>{text(value)}</b>")


def small(value: object) -> Markup:
    return Markup(f'<font size="7" color="{_hex(MUTED)}">{text(value)}</font>')


def muted(value: object) -> Markup:
    return Markup(f'<font color="{_hex(MUTED)}">{text(value)}</font>')


def named(name: str, written: str = "") -> Markup:
    """A reagent's name with its formula, if any, behind it."""
    return join((name, muted(formula(written)) if written else ""), "  ")


def warning(value: object) -> Markup:
    return Markup(f'<font color="{_hex(WARNING)}"><b>{text(value)}</b></font>')


def formula(value: str) -> Markup:
    """A chemical formula or equation with real subscripts and superscripts."""
    out = []
    for piece in re.split(r"(</?su[bp]>)", str(formula_markup(value))) if value else ():
        out.append(piece if re.fullmatch(r"</?su[bp]>", piece) else text(html.unescape(piece)))
    return Markup(
        "".join(out).replace("<sub>", '<sub rise="2" size="70%">').replace("<sup>", '<sup size="70%">')
    )


def equation(value: str) -> Markup:
    """A chemical equation, `2 H2 + O2 -> 2 H2O`, each formula in it with real subscripts."""
    out = []
    for word in re.split(r"(\s+)", value.replace("<=>", "⇌").replace("->", "→")):
        state = re.search(r"\((?:aq|s|l|g)\)$", word)
        body = word[: state.start()] if state else word
        out.append(formula(body) if re.search(r"[A-Za-z]", body) else text(body))
        out.append(small(state.group()) if state else Markup(""))
    return Markup("".join(out))


UNCHECKED = Markup(f'<font size="7" color="{_hex(WARNING)}"><i>not verified</i></font>')


def checked(value: object, is_checked: bool) -> Markup:
    """`value`, marked in words where nobody has checked it against the supplier's sheet."""
    return text(value) if is_checked else Markup(f"{text(value)} {UNCHECKED}")


def day(value: date | None, missing: str = "no date") -> str:
    """A date that reads the same on both sides of the Atlantic: `Mon 30 Nov 2026`."""
    return missing if value is None else weekday_text(value)


def short_day(value: date | None, missing: str = "no date") -> str:
    """`30 Nov 2026`."""
    return missing if value is None else day_text(value)


def money(minor: int | None, currency: str = "£", missing: str = "no price") -> str:
    """Hundredths of a currency as it is written: `£1,234.50`, or `USD 1,234.50` for a code."""
    if minor is None:
        return missing
    sign = "−" if minor < 0 else ""
    gap = "\N{NO-BREAK SPACE}" if currency.isalpha() else ""
    return f"{sign}{currency}{gap}{abs(minor) // 100:,}.{abs(minor) % 100:02d}"


def count(number: int, one: str, many: str | None = None) -> str:
    """`1 container`, `2 containers`."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


# --- styles


def style(name: str, size: float = 9, leading: float | None = None, **options) -> ParagraphStyle:
    """A paragraph style in the sheets' letters; long unbroken words are broken rather than cut off."""
    options = {"textColor": INK, "splitLongWords": 1, "fontName": fonts.REGULAR, **options}
    return ParagraphStyle(name, fontSize=size, leading=leading or size * 1.28, **options)


ALIGN = {"left": TA_LEFT, "right": TA_RIGHT, "centre": TA_CENTER}
BODY = style("body", spaceAfter=4)
NOTE = style("note", 8, textColor=MUTED, spaceAfter=4)
SECTION = style("section", 11.5, fontName=fonts.BOLD, textColor=ACCENT, spaceBefore=11, spaceAfter=4)
ITEM = style("item", 10, fontName=fonts.BOLD, spaceBefore=7, spaceAfter=2)
BULLET = style(
    "bullet", leftIndent=10, bulletIndent=1, spaceAfter=1.5, bulletFontName=fonts.REGULAR, bulletFontSize=9
)
GAP = {"left": 0, "right": 5, "centre": 0}  # numbers keep their distance from the words to their right
CELL = {
    key: style(f"cell-{key}", 8.5, 10.8, alignment=value, rightIndent=GAP[key])
    for key, value in ALIGN.items()
}
COLUMN_HEAD = {
    key: style(
        f"column-{key}", 7.5, 9.5, fontName=fonts.BOLD, textColor=MUTED, alignment=value, rightIndent=GAP[key]
    )
    for key, value in ALIGN.items()
}
BAND = style("band", 8.5, 10.8, fontName=fonts.BOLD, textColor=ACCENT)
BAND_LOOK = [
    ("BACKGROUND", (0, 0), (-1, -1), WASH),
    ("LEFTPADDING", (0, 0), (-1, -1), 5),
    ("TOPPADDING", (0, 0), (-1, -1), 2),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 3.5),
]


# --- small drawn things


class TickBox(Flowable):
    """A square to tick with a pen."""

    def __init__(self, size: float = 8.5):
        super().__init__()
        self.width = self.height = size

    def draw(self):
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(0.7)
        self.canv.rect(0.3, 0.3, self.width - 0.6, self.height - 0.6)


class WriteLine(Flowable):
    """A line to write on, as wide as it is given room."""

    def __init__(self, height: float = 11):
        super().__init__()
        self.height = height

    def wrap(self, available_width, available_height):
        self.width = available_width
        return available_width, self.height

    def draw(self):
        self.canv.setStrokeColor(MUTED)
        self.canv.setLineWidth(0.5)
        self.canv.line(0, 1, self.width, 1)


class Row(Flowable):
    """Drawings side by side, wrapping to further lines where they do not fit."""

    def __init__(self, drawings: Sequence[Drawing], gap: float = 3):
        super().__init__()
        self.drawings, self.gap = list(drawings), gap

    def wrap(self, available_width, available_height):
        self.places, x, y, tallest = [], 0.0, 0.0, 0.0
        for drawing in self.drawings:
            if x and x + drawing.width > available_width:
                x, y, tallest = 0.0, y + tallest + self.gap, 0.0
            self.places.append((x, y))
            x, tallest = x + drawing.width + self.gap, max(tallest, drawing.height)
        self.width, self.height = available_width, y + tallest
        return self.width, self.height

    def draw(self):
        for drawing, (x, y) in zip(self.drawings, self.places, strict=True):
            drawing.drawOn(self.canv, x, self.height - y - drawing.height)


def hazards(codes: Sequence[str], size: float = 15) -> Row | str:
    """The GHS pictograms of these codes side by side; an empty cell where there are none."""
    return Row([pictogram(code, size) for code in codes], 1.5) if codes else ""


def draw_pictograms(
    canvas: Canvas, codes: Sequence[str], x: float, y: float, width: float, height: float
) -> float:
    """The pictograms as large as they fit, from the upper right corner of a box; the side of one."""
    side, columns = arrange(len(codes), width, height)
    for index, code in enumerate(codes):
        row, column = divmod(index, columns)
        left, low = x + width - (columns - column) * side, y + height - (row + 1) * side
        pictogram(code, side * 0.97).drawOn(canvas, left, low)


def arrange(count: int, width: float, height: float) -> tuple[float, int]:
    """The largest square that `count` of will fit in a box, and how many stand in a row."""
    best = (0.0, 1)
    for columns in range(1, count + 1):
        best = max(best, (min(width / columns, height / -(-count // columns)), columns))
    return best


class QrCode(Flowable):
    """A QR code (ISO/IEC 18004) as vectors, `size` points square, quiet zone included.

    Level M, which bears scuffs; level L below 10 mm, where larger modules matter more.
    """

    def __init__(self, content: str, size: float):
        super().__init__()
        self.width = self.height = size
        code = segno.make(content, error="m" if size >= 10 * mm else "l", micro=False, boost_error=False)
        self.rows = [bytes(row) for row in code.matrix_iter(border=2)]

    def draw(self):
        # One path of horizontal bars: small in the file, sharp at any size. A hair of overlap keeps viewers
        # from showing light lines between the rows.
        module = self.width / len(self.rows)
        path = self.canv.beginPath()
        for y, row in enumerate(self.rows, start=1):
            for dark in re.finditer(rb"\x01+", row):
                bar = dark.end() - dark.start()
                path.rect(dark.start() * module, self.height - y * module, bar * module, module * 1.04)
        self.canv.setFillColor(INK)
        self.canv.drawPath(path, stroke=0, fill=1)


def clipped(
    value: object, paragraph_style: ParagraphStyle, width: float, height: float
) -> tuple[Paragraph, bool]:
    """`value` cut, at a word or letter, to what fits in `width` x `height`; and whether it was cut."""
    whole = text(value)
    paragraph = Paragraph(whole, paragraph_style)
    if paragraph.wrap(width, height)[1] <= height:
        return paragraph, False
    letters = plain(value) if isinstance(value, Markup) else str(value)
    low, high = 0, len(letters)
    while low < high:
        middle = (low + high + 1) // 2
        trial = Paragraph(text(letters[:middle].rstrip() + "…"), paragraph_style)
        low, high = (middle, high) if trial.wrap(width, height)[1] <= height else (low, middle - 1)
    return Paragraph(text(letters[:low].rstrip() + "…"), paragraph_style), True


# --- the sheet


class Sheet:
    """One printed document. Add from top to bottom, then `pdf()`.

    `paper` is "A4" or "Letter" (ValueError otherwise); `sideways` turns it.
    """

    def __init__(self, head: Head, paper: str = "A4", sideways: bool = False):
        if paper not in PAPERS:
            raise ValueError(f"No paper called {paper!r}: choose A4 or Letter.")
        fonts.register()
        self.head = head
        self.page = landscape(PAPERS[paper]) if sideways else PAPERS[paper]
        self.width = self.page[0] - 2 * SIDE
        self._head = _head_block(head, self.width)
        self._foot = _foot_block(head, self.width)
        self.top = 12 * mm + self._head.height + 4 * mm
        self.bottom = 9 * mm + self._foot.height + 3 * mm
        self.height = self.page[1] - self.top - self.bottom
        self._story: list[Flowable] = []
        self._unchecked = False
        self.pages = 0  # of the finished document

    def section(self, title: object, note: object = "", room: float = 140) -> None:
        """A heading that stays with what follows it: on a new page where `room` is not left."""
        self._lead(self._paragraph(title, SECTION), room)
        if note:
            self._lead(self._paragraph(note, NOTE), 0)

    def band(self, title: object) -> None:
        """A title across the page on a tinted ground: a day, a room, a supplier."""
        bar = Table(
            [[self._paragraph(title, BAND)]], [self.width], style=BAND_LOOK, spaceBefore=6, spaceAfter=2
        )
        self._lead(bar, 110)

    def item(self, title: object) -> None:
        """A heading of the second order."""
        self._lead(self._paragraph(title, ITEM), 60)

    def _lead(self, heading: Flowable, room: float) -> None:
        """Add a heading, on a new page where less than `room` is left for it and what it heads."""
        lead = [CondPageBreak(room), heading] if room else [heading]
        for part in lead:
            part.heads_what_follows = True
        self._story.extend(lead)

    def paragraph(self, value: object, muted: bool = False) -> None:
        self._story.append(self._paragraph(value, NOTE if muted else BODY))

    def bullets(self, items: Iterable[object], numbered: bool = False) -> None:
        for number, item in enumerate(items, start=1):
            mark = f"{number}." if numbered else "•"
            look = ParagraphStyle("numbered", parent=BULLET, leftIndent=16) if numbered else BULLET
            self._story.append(self._paragraph(item, look, bulletText=mark))

    def facts(self, pairs: Iterable[tuple[str, object]], columns: int = 1) -> None:
        """Label and value, side by side; pairs without a value are left out."""
        pairs = [(label, value) for label, value in pairs if value]
        widest = max((len(label) for label, _ in pairs), default=0)
        label_width = min(self.width / columns * 0.4, 14 + widest * 4.6)
        rows = [pairs[i : i + columns] for i in range(0, len(pairs), columns)]
        cells = [
            [
                cell
                for label, value in row + [("", "")] * (columns - len(row))
                for cell in (muted(label) if label else "", value)
            ]
            for row in rows
        ]
        layout = [Column("", points=label_width), Column("")] * columns
        self.table(layout, cells, lines=False, headed=False)

    def _closing(self, foot: Sequence[object], columns: Sequence[Column]) -> list[list[Flowable]]:
        """The cells of the last row, which sums up."""
        pairs = zip(foot, columns, strict=False)
        return [self._cell(strong(cell) if cell else "", column) for cell, column in pairs]

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Sequence[object] | Band],
        foot: Sequence[object] | None = None,
        empty: str = "Nothing to list.",
        lines: bool = True,
        headed: bool = True,
        tall: float = 0,
    ) -> None:
        """A table whose head repeats on every page and whose rows do not split.

        A cell is text, `Markup`, a flowable, or a list of these. A row taller than a page is the one
        exception: it is continued in a row of its own. `tall` is the least height of a row, in points.
        """
        if not rows and not foot:
            self._story.append(self._paragraph(empty, NOTE))
            return
        widths = _widths(columns, self.width)
        top = [[Paragraph(text(c.title), COLUMN_HEAD[c.align])] for c in columns] if headed else []
        closing = self._closing(foot or (), columns)
        limit = self.height - _row_height(top, widths) - _row_height(closing, widths) - 20
        limit -= _band_height(rows)
        body: list[list[list[Flowable]]] = [top] if headed else []
        commands = list(_table_commands(lines, headed))
        for row in rows:
            if isinstance(row, Band):
                commands += _band_commands(len(body))
                body.append([[self._band(row.text)]] + [[] for _ in columns[1:]])
            else:
                body.extend(self._row(row, columns, widths, limit))
        if foot:
            at = len(body)
            body.append(closing)
            commands += [("LINEABOVE", (0, at), (-1, at), 0.9, ACCENT), ("NOSPLIT", (0, at - 1), (-1, at))]
        heights = _row_heights(body, widths, tall, int(headed)) if tall else None
        self._story.append(
            Table(
                body,
                widths,
                heights,
                repeatRows=int(headed),
                style=commands,
                hAlign="LEFT",
                spaceBefore=2,
                spaceAfter=6,
            )
        )

    def ticks(self, items: Sequence[object], columns: int = 2) -> None:
        """Things to tick off, in columns."""
        rows = [list(items[i : i + columns]) for i in range(0, len(items), columns)]
        cells = [
            [cell for item in row + [None] * (columns - len(row)) for cell in _ticked(item)] for row in rows
        ]
        self.table([Column("", points=15), Column("")] * columns, cells, lines=False, headed=False)

    def add(self, *flowables: Flowable) -> None:
        """Anything else, a chart for example."""
        self._story.extend(flowables)

    def space(self, points: float = 6) -> None:
        self._story.append(Spacer(1, points))

    def need(self, points: float) -> None:
        """Start a new page unless this much is left of the present one."""
        self._story.append(CondPageBreak(min(points, self.height)))

    def together(self, start: int) -> None:
        """Keep what was added since `mark()`, and the heading above it, on one page if it fits on one."""
        while start and getattr(self._story[start - 1], "heads_what_follows", False):
            start -= 1
        kept, self._story[start:] = self._story[start:], []
        if kept:
            self._story.append(KeepTogether(kept))

    def mark(self) -> int:
        return len(self._story)

    def signatures(self, labels: Sequence[str]) -> None:
        """Lines to sign on, with room for name and date."""
        start = self.mark()
        self.space(14)
        rows = [[_low(label), WriteLine(19), _low("Date"), WriteLine(19)] for label in labels]
        layout = [Column("", points=120), Column(""), Column("", points=28), Column("", points=90)]
        self.table(layout, rows, lines=False, headed=False)
        self.together(start)

    def pdf(self) -> bytes:
        """The finished document."""
        if self._unchecked:
            # At the foot of every page: pages get parted, and a line more must not begin a page of its own.
            taller = _foot_block(self.head, self.width, UNCHECKED_MEANS)
            self.bottom += taller.height - self._foot.height
            self.height -= taller.height - self._foot.height
            self._foot = taller
        buffer = io.BytesIO()
        head = self.head
        document = BaseDocTemplate(
            buffer,
            pagesize=self.page,
            title=_property(head.title),
            author=_property(head.department),
            subject=_property(head.subject or head.title),
            creator="Stockroom",
            lang=head.language,
            displayDocTitle=True,
        )
        frame = Frame(SIDE, self.bottom, self.width, self.height, 0, 0, 0, 0)
        document.addPageTemplates(PageTemplate("page", [frame], onPage=self._draw_page))
        document.build(self._story or [Spacer(1, 1)], canvasmaker=_NumberedCanvas)
        self.pages = document.page
        return buffer.getvalue()

    def _draw_page(self, canvas: Canvas, document) -> None:
        canvas.saveState()
        self._head.draw(canvas, SIDE, self.page[1] - 12 * mm)
        self._foot.draw(canvas, SIDE, 9 * mm + self._foot.height)
        canvas.page_number_at = (self.page[0] - SIDE, 9 * mm + self._foot.height - 9.5)
        canvas.restoreState()

    def _paragraph(self, value: object, look: ParagraphStyle, **options) -> Paragraph:
        markup = text(value)
        self._unchecked = self._unchecked or UNCHECKED in markup
        return Paragraph(markup, look, **options)

    def _cell(self, value: object, column: Column) -> list[Flowable]:
        parts = value if isinstance(value, list | tuple) else [value]
        return [
            part if isinstance(part, Flowable | Drawing) else self._paragraph(part, CELL[column.align])
            for part in parts
            if part is not None and part != ""
        ]

    def _foot_row(self, foot: Sequence[object], columns) -> list[list[Flowable]]:
        return [self._cell(strong(cell) if cell else "", c) for cell, c in zip(foot, columns, strict=True)]

    def _band(self, title: object) -> Paragraph:
        return clipped(title, BAND, self.width - 2 * PAD, BAND_LINES * BAND.leading)[0]

    def _row(self, row: Sequence[object], columns, widths, limit: float) -> list[list[list[Flowable]]]:
        """The row, or several where it would be taller than `limit`."""
        cells = [self._cell(value, column) for value, column in zip(row, columns, strict=True)]
        out = []
        while any(cells):
            cut = [_cut(cell, width - 2 * PAD, limit) for cell, width in zip(cells, widths, strict=True)]
            out.append([first for first, _ in cut])
            cells = [rest for _, rest in cut]
        return out or [cells]


PAD = 3.0
BAND_LINES = 6  # a longer name of a place or a supplier is cut, and shows that it was


def _widths(columns: Sequence[Column], width: float) -> list[float]:
    fixed = sum(c.points or 0 for c in columns)
    shares = sum(c.share for c in columns if c.points is None) or 1
    return [c.points if c.points is not None else (width - fixed) * c.share / shares for c in columns]


def _table_commands(lines: bool, headed: bool):
    if headed:
        yield ("LINEBELOW", (0, 0), (-1, 0), 0.9, ACCENT)
    yield ("VALIGN", (0, 0), (-1, -1), "TOP")
    yield ("LEFTPADDING", (0, 0), (-1, -1), PAD)
    yield ("RIGHTPADDING", (0, 0), (-1, -1), PAD)
    yield ("TOPPADDING", (0, 0), (-1, -1), 2.6 if lines else 1)
    yield ("BOTTOMPADDING", (0, 0), (-1, -1), 3.2 if lines else 1.5)
    if lines:
        yield ("LINEBELOW", (0, int(headed)), (-1, -1), 0.4, RULE)
    if headed:
        yield ("VALIGN", (0, 0), (-1, 0), "BOTTOM")


def _band_height(rows: Sequence[Sequence[object] | Band]) -> float:
    """Room that a band above a row takes, where the table has any."""
    return BAND_LINES * BAND.leading + 2 * PAD if any(isinstance(row, Band) for row in rows) else 0


def _band_commands(at: int):
    """Across the table, on a tinted ground, on the same page as the row below."""
    yield ("SPAN", (0, at), (-1, at))
    yield ("BACKGROUND", (0, at), (-1, at), WASH)
    yield ("NOSPLIT", (0, at), (-1, at + 1))


def _row_heights(body, widths, tall: float, skip: int) -> list[float | None]:
    """The least height asked for, where the contents need no more."""
    return [
        tall if index >= skip and _row_height(row, widths) <= tall else None for index, row in enumerate(body)
    ]


def _row_height(row: Sequence[Sequence[Flowable]], widths: Sequence[float]) -> float:
    """What the row needs, with its padding."""
    return max((_height(cell, w - 2 * PAD) for cell, w in zip(row, widths, strict=False)), default=0) + 6


def _height(cell: Sequence[Flowable], width: float) -> float:
    return sum(part.wrap(width, 1e6)[1] for part in cell)


def _cut(cell: list[Flowable], width: float, limit: float) -> tuple[list[Flowable], list[Flowable]]:
    """The part of a cell that is at most `limit` high, and the rest."""
    first: list[Flowable] = []
    left = limit
    for index, part in enumerate(cell):
        height = part.wrap(width, 1e6)[1]
        if height <= left:
            first.append(part)
            left -= height
            continue
        pieces = part.split(width, left) if isinstance(part, Paragraph | Table) else []
        if len(pieces) == 2:
            return [*first, pieces[0]], [pieces[1], *cell[index + 1 :]]
        if not first:  # a single thing taller than the page: shrink it rather than lose it
            return [KeepInFrame(width, limit, [part], mode="shrink")], cell[index + 1 :]
        return first, cell[index:]
    return first, []


def _ticked(item: object) -> tuple[object, object]:
    return ("", "") if item is None else (TickBox(), item)


def describe(canvas: Canvas, head: Head) -> None:
    """The document's properties, for sheets that draw on a canvas of their own."""
    canvas.setTitle(_property(head.title))
    canvas.setAuthor(_property(head.department))
    canvas.setSubject(_property(head.subject or head.title))
    canvas.setCreator("Stockroom")
    canvas.setViewerPreference("DisplayDocTitle", "true")


def _low(label: str) -> list[Flowable | Markup]:
    """A label that stands beside the line to write on, not above it."""
    return [Spacer(1, 10), small(label)]


def _property(value: str) -> str:
    """Document properties are one line of plain text."""
    return " ".join(str(value).split())[:300]


# --- head and foot


class _Block:
    """Paragraphs at fixed places, drawn on every page."""

    def __init__(self, width: float):
        self.width, self.height, self.parts = width, 0.0, []

    def put(self, value: object, look: ParagraphStyle, x: float, y: float, width: float, lines: int) -> float:
        """Place at most `lines` lines of text; the height it took."""
        paragraph, _ = clipped(value, look, width, look.leading * lines + 0.1)
        height = paragraph.wrap(width, 1e6)[1]
        self.parts.append((paragraph, x, y, height))
        self.height = max(self.height, y + height)
        return height

    def draw(self, canvas: Canvas, x: float, top: float) -> None:
        for paragraph, dx, dy, height in self.parts:
            paragraph.drawOn(canvas, x + dx, top - dy - height)


class _HeadBlock(_Block):
    def draw(self, canvas: Canvas, x: float, top: float) -> None:
        super().draw(canvas, x, top)
        canvas.setStrokeColor(ACCENT)
        canvas.setLineWidth(1.4)
        canvas.line(x, top - self.height - 4, x + self.width, top - self.height - 4)


class _FootBlock(_Block):
    def draw(self, canvas: Canvas, x: float, top: float) -> None:
        super().draw(canvas, x, top)
        canvas.setStrokeColor(RULE)
        canvas.setLineWidth(0.6)
        canvas.line(x, top + 3, x + self.width, top + 3)


def _head_block(head: Head, width: float) -> _Block:
    block = _HeadBlock(width)
    right = width * 0.4
    left = width - right - 10
    title = style("title", 16, 19, fontName=fonts.BOLD)
    used = block.put(head.title, title, 0, 0, left, 3)
    if head.subtitle:
        block.put(head.subtitle, style("subtitle", 10, 13, textColor=ACCENT), 0, used + 1, left, 3)
    who = style("who", 9, 11.5, fontName=fonts.BOLD, alignment=TA_RIGHT)
    used = block.put(head.department, who, left + 10, 4, right, 3)
    when = style("when", 9, 11.5, textColor=MUTED, alignment=TA_RIGHT)
    block.put(day(head.on), when, left + 10, 4 + used, right, 1)
    return block


def _foot_block(head: Head, width: float, note: str = "") -> _Block:
    block = _FootBlock(width)
    used = block.put(strong(FIRST_LINE), style("first", 7.8, 10), 0, 0, width - 70, 2)
    made = f"Printed by {head.printed_by}, {short_day(head.printed_at.date())} {head.printed_at:%H:%M}."
    if head.computed_from:
        made += f" Computed from {head.computed_from}."
    small_print = style("made", 7.2, 9, textColor=MUTED)
    used += block.put(made, small_print, 0, used, width - 70, 3)
    if note:
        block.put(note, small_print, 0, used, width - 70, 2)
    return block


class _NumberedCanvas(Canvas):
    """Holds pages back until their number is known, then prints "Page x of y" on each."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs | {"initialFontName": fonts.REGULAR})
        self._held: list[dict] = []
        self.page_number_at = (0.0, 0.0)

    def showPage(self):  # noqa: N802 - reportlab's name
        self._held.append(dict(self.__dict__))
        self._startPage()

    def save(self):
        for number, state in enumerate(self._held, start=1):
            self.__dict__.update(state)
            self.setFont(fonts.REGULAR, 8)
            self.setFillColor(MUTED)
            self.drawRightString(*self.page_number_at, f"Page {number} of {len(self._held)}")
            super().showPage()
        super().save()
