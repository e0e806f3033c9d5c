"""Sheets of sticky labels: where each label lies, and fitting text into it.

Sizes are in millimeters, as they stand on the packet; points only when drawing.
"""

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph

from stockroom.paper import fonts, kit


@dataclass(frozen=True)
class Layout:
    """How labels lie on a sheet. Gaps are between neighboring labels; margins go to the first one."""

    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    gap_x: float = 0.0
    gap_y: float = 0.0

    @property
    def per_sheet(self) -> int:
        return self.columns * self.rows

    def check(self, paper: str) -> None:
        """Raise ValueError, saying what to change, unless the labels fit on `paper`."""
        if paper not in kit.PAPERS:
            raise ValueError(f"No paper called {paper!r}: choose A4 or Letter.")
        if not (1 <= self.columns <= 20 and 1 <= self.rows <= 50):
            raise ValueError("Columns must be from 1 to 20 and rows from 1 to 50.")
        if self.width < 20 or self.height < 12:
            raise ValueError("A label must be at least 20 mm wide and 12 mm high to carry what it must say.")
        if min(self.left, self.top, self.gap_x, self.gap_y) < 0:
            raise ValueError("Margins and gaps cannot be negative.")
        across = self.left + self.columns * self.width + (self.columns - 1) * self.gap_x
        down = self.top + self.rows * self.height + (self.rows - 1) * self.gap_y
        room_x, room_y = (side / mm for side in kit.PAPERS[paper])
        for need, room, which, count in ((across, room_x, "wide", "columns"), (down, room_y, "high", "rows")):
            if need > room + 0.3:
                raise ValueError(
                    f"These labels need {need:.1f} mm but {paper} is {room:.1f} mm {which}: "
                    f"make the {count}, the label, the gap or the margin smaller."
                )

    def place(self, position: int, paper: str) -> tuple[float, float]:
        """Lower left corner, in points, of the label at `position` (from 0, along rows)."""
        row, column = divmod(position, self.columns)
        x = self.left + column * (self.width + self.gap_x)
        y = self.top + (row + 1) * self.height + row * self.gap_y
        return x * mm, kit.PAPERS[paper][1] - y * mm


# By plain size, as sold by many makers: common practice, no source.
PRESETS: dict[str, dict[str, Layout]] = {
    "A4": {
        "38 x 21 mm, 65 a sheet": Layout(5, 13, 38.1, 21.2, 4.7, 10.7, 2.5, 0),
        "64 x 38 mm, 21 a sheet": Layout(3, 7, 63.5, 38.1, 7.2, 15.1, 2.5, 0),
        "70 x 37 mm, 24 a sheet": Layout(3, 8, 70, 37.1, 0, 0, 0, 0),
        "64 x 72 mm, 12 a sheet": Layout(3, 4, 63.5, 72, 7.2, 4.5, 2.5, 0),
        "99 x 68 mm, 8 a sheet": Layout(2, 4, 99.1, 67.7, 4.7, 13.1, 2.5, 0),
        "105 x 74 mm, 8 a sheet": Layout(2, 4, 105, 74.2, 0, 0, 0, 0),
        "200 x 144 mm, 2 a sheet": Layout(1, 2, 199.6, 143.5, 5.2, 5, 0, 0),
    },
    "Letter": {
        "1.75 x 0.5 in, 80 a sheet": Layout(4, 20, 44.45, 12.7, 7.6, 12.7, 7.6, 0),
        "2.63 x 1 in, 30 a sheet": Layout(3, 10, 66.7, 25.4, 4.8, 12.7, 3.1, 0),
        "4 x 2 in, 10 a sheet": Layout(2, 5, 101.6, 50.8, 4, 12.7, 4.7, 0),
        "4 x 3.33 in, 6 a sheet": Layout(2, 3, 101.6, 84.6, 4, 12.7, 4.7, 0),
        "8.5 x 5.5 in, 2 a sheet": Layout(1, 2, 215.9, 139.7, 0, 0, 0, 0),
    },
}

# Label size by what the vessel holds, in milliliters. From 3 L up: Regulation (EC) No 1272/2008 (CLP),
# Annex I, 1.2.1.4, Table 1.3 (from memory). Below: what fits on the bottle (common practice, no source);
# a label that a supplier puts on goods for sale has to be at least 52 x 74 mm "if possible".
SIZE_BY_VOLUME = ((60, (38.0, 21.0)), (300, (63.5, 37.0)), (3_000, (74.0, 52.0)), (50_000, (105.0, 74.0)))
LARGEST = (148.0, 105.0)
#: millimeters that a label may fall short: paper by the inch has 50.8 where 52 are asked for
SHORT_OF = 1.5


def preset_for(volume_ml: float, paper: str) -> str:
    """The name of the smallest preset on `paper` that is large enough for a vessel of this volume."""
    wanted = next((size for limit, size in SIZE_BY_VOLUME if volume_ml <= limit), LARGEST)
    long, short = (side - SHORT_OF for side in wanted)
    presets = sorted(PRESETS[paper].items(), key=lambda item: item[1].width * item[1].height)
    fits = (
        name
        for name, layout in presets
        if (layout.width >= long and layout.height >= short)
        or (layout.width >= short and layout.height >= long)
    )
    return next(fits, presets[-1][0])


@dataclass(frozen=True)
class Box:
    """A rectangle in points, lower left corner first."""

    x: float
    y: float
    width: float
    height: float

    def inset(self, by: float) -> "Box":
        return Box(self.x + by, self.y + by, self.width - 2 * by, self.height - 2 * by)


def print_labels(
    head: kit.Head,
    labels: Sequence[object],
    draw: Callable[[Canvas, Box, object], None],
    layout: Layout,
    paper: str,
    start: int = 1,
    outline: bool = False,
) -> bytes:
    """Labels on as many sheets as they need, the first at position `start` (from 1, along the rows).

    Raises ValueError, saying what to change, where the layout, the start or the list of labels will not do.
    """
    layout.check(paper)
    if not labels:
        raise ValueError("Choose at least one label to print.")
    if not 1 <= start <= layout.per_sheet:
        raise ValueError(f"The first label must be from 1 to {layout.per_sheet}, the labels on one sheet.")
    fonts.register()
    buffer = io.BytesIO()
    canvas = Canvas(buffer, kit.PAPERS[paper], lang=head.language, initialFontName=fonts.REGULAR)
    kit.describe(canvas, head)
    for number, label in enumerate(labels, start=start - 1):
        position = number % layout.per_sheet
        if position == 0 and number > start - 1:
            canvas.showPage()
        x, y = layout.place(position, paper)
        box = Box(x, y, layout.width * mm, layout.height * mm)
        if outline:
            canvas.setStrokeColor(kit.RULE)
            canvas.setLineWidth(0.4)
            canvas.roundRect(box.x, box.y, box.width, box.height, 4)
        draw(canvas, box, label)
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def write(
    canvas: Canvas, value: object, box: Box, sizes: Sequence[float], bold: bool = False, most: float = 1.0
) -> float:
    """Write at the top of `box`, in the largest of `sizes` that fits; cut if even the last does not.

    Takes at most the share `most` of the box's height; returns the height used, in points.
    """
    room = box.height * most
    if room <= 0 or not value:
        return 0.0
    for size in sizes:
        look = kit.style("label", size, size * 1.15, fontName=fonts.BOLD if bold else fonts.REGULAR)
        paragraph = Paragraph(kit.text(value), look)
        height = paragraph.wrap(box.width, room)[1]
        if height <= room and not _breaks_a_word(value, look, box.width):
            break
    else:
        paragraph, _ = kit.clipped(value, look, box.width, max(room, look.leading))
        height = paragraph.wrap(box.width, room)[1]
    paragraph.drawOn(canvas, box.x, box.y + box.height - height)
    return height


def _breaks_a_word(value: object, look, width: float) -> bool:
    """Whether the longest word is wider than the line, so that it would be broken in two."""
    words = kit.plain(value).split()
    longest = max(words, key=len, default="")
    return Paragraph(kit.text(longest), look).minWidth() > width
