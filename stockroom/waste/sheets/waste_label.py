"""Labels for waste containers: the required words, what is in it, what it does, since when.

In the United States a container must carry the words "Hazardous Waste" and an indication of its hazards
from the first drop, and a date once it starts to count: 40 CFR 262.15(a)(5), 262.16(b)(6), 262.17(a)(5).
"""

from dataclasses import dataclass
from datetime import date

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph

from stockroom.paper import kit
from stockroom.paper.label_paper import Box, Layout, print_labels, write


@dataclass(frozen=True)
class WasteLabel:
    """One waste container."""

    number: str
    stream: str  # "acids, no metals"
    contents: tuple[str, ...]  # "hydrochloric acid, 2 %"
    url: str = ""
    words: str = "Hazardous Waste"
    hazards: tuple[str, ...] = ()  # "corrosive", "toxic: silver"
    codes: tuple[str, ...] = ()  # "D002"
    pictograms: tuple[str, ...] = ()
    started: date | None = None
    remove_by: date | None = None
    generator: str = ""  # department, address, telephone
    route: str = "to be collected"


@dataclass(frozen=True)
class WasteLabels:
    """Labels in printing order on `layout`, the first at position `start` (from 1)."""

    head: kit.Head
    labels: tuple[WasteLabel, ...]
    layout: Layout
    start: int = 1
    outline: bool = False


def render(data: WasteLabels, paper: str = "A4") -> bytes:
    """The labels as PDF. Raises ValueError, saying what to change, if they do not fit the paper."""
    return print_labels(data.head, data.labels, draw, data.layout, paper, data.start, data.outline)


def draw(canvas: Canvas, box: Box, label: WasteLabel) -> None:
    """One label: the required words across the top, contents and hazards left, pictograms and code right."""
    inner = box.inset(min(3 * mm, box.height * 0.06))
    size = min(11.0, max(4.8, box.height / mm * 0.1))
    side = min(inner.width * 0.26, inner.height * 0.42, 40 * mm)
    head = write(
        canvas, label.words.upper(), inner, [size * step / 10 for step in range(22, 9, -1)], True, 0.24
    )
    canvas.setStrokeColor(kit.WARNING)
    canvas.setLineWidth(1.2)
    canvas.line(
        inner.x, inner.y + inner.height - head - 2, inner.x + inner.width, inner.y + inner.height - head - 2
    )
    body = Box(inner.x, inner.y, inner.width - side - 4, inner.height - head - 5)
    foot = _foot(canvas, body, label, size)
    _said(canvas, Box(body.x, body.y + foot, body.width, body.height - foot), label, size)
    _side(canvas, Box(inner.x + inner.width - side, inner.y, side, inner.height - head - 6), label)


def _said(canvas: Canvas, box: Box, label: WasteLabel, size: float) -> None:
    stated = kit.join(label.hazards)
    hazards = kit.join(("Hazards", stated), ": ") if stated else "Hazards not stated: treat as hazardous"
    codes = f"({', '.join(label.codes)})" if label.codes else ""
    contents = list(label.contents) or ["nothing recorded yet"]
    attempts = [(scale * size, len(contents)) for scale in (2.0, 1.7, 1.4, 1.2, 1.0)]
    attempts += [(size, kept) for kept in range(len(contents) - 1, -1, -1)]
    for letters, kept in attempts:
        more = f" and {len(contents) - kept} more, see the waste log" if kept < len(contents) else ""
        markup = kit.join(
            (
                kit.join((kit.strong(label.stream), kit.strong(kit.join((hazards, codes), " "))), ". "),
                kit.join((kit.join(contents[:kept]), more), ""),
            ),
            kit.Markup("<br/>"),
        )
        paragraph = Paragraph(markup, kit.style("said", letters, letters * 1.2))
        height = paragraph.wrap(box.width, 1e6)[1]
        if height <= box.height:
            paragraph.drawOn(canvas, box.x, box.y + box.height - height)
            return
    write(canvas, kit.join((label.stream, hazards), ". "), box, [size, size * 0.8, 4.4])


def _foot(canvas: Canvas, box: Box, label: WasteLabel, size: float) -> float:
    dates = (
        f"Started {kit.short_day(label.started)}",
        f"remove by {kit.short_day(label.remove_by)}" if label.remove_by else "",
        f"No.\u00a0{label.number}",
        label.route,
    )
    content = kit.join((kit.strong(kit.join(dates, " · ")), label.generator), kit.Markup("<br/>"))
    look = kit.style("foot", size, size * 1.15)
    paragraph, _ = kit.clipped(content, look, box.width, max(box.height * 0.45, look.leading))
    height = paragraph.wrap(box.width, box.height)[1]
    paragraph.drawOn(canvas, box.x, box.y)
    return height + 2


def _side(canvas: Canvas, box: Box, label: WasteLabel) -> None:
    code = min(box.width, box.height * 0.5) if label.url else 0.0
    if code:
        kit.QrCode(label.url, code).drawOn(canvas, box.x + box.width - code, box.y)
    kit.draw_pictograms(canvas, label.pictograms, box.x, box.y + code, box.width, box.height - code)
