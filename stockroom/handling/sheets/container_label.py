"""Labels for containers: what is in it, how strong, since when, until when, and what it does to you.

What a container that is filled in the workplace must carry: 29 CFR 1910.1200(f)(6). What does not fit
on a small label is left out from the end and the label then says "see data sheet".
"""

import re
from dataclasses import dataclass
from datetime import date

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph

from stockroom.paper import kit
from stockroom.paper.label_paper import Box, Layout, print_labels, write

SEE_SHEET = "See data sheet."
#: points; smaller cannot be read on a bottle
LEAST_LETTERS = 4.4
NOT_CLASSIFIED = "Not classified yet: treat as hazardous."


@dataclass(frozen=True)
class Label:
    """One container. Statements come most serious first; `statements` before `precautions`."""

    name: str
    number: str  # the container's number, as printed on it
    url: str  # the page of the container, for the QR code; "" leaves the code out
    strength: str = ""
    formula: str = ""
    filled: str = "Made"  # what was done on the day: "Made", "Received", "Opened"
    by: str = ""
    on: date | None = None
    expires: date | None = None
    lot: str = ""
    signal_word: str = ""  # Danger, Warning or nothing
    pictograms: tuple[str, ...] = ()  # "GHS05"
    statements: tuple[str, ...] = ()
    precautions: tuple[str, ...] = ()
    is_classified: bool = False  # whoever fills this in has to say so
    is_checked: bool = False


@dataclass(frozen=True)
class LabelSheet:
    """Labels in printing order; `start` is the first free position on a partly used sheet, from 1."""

    head: kit.Head
    labels: tuple[Label, ...]
    layout: Layout
    start: int = 1
    outline: bool = False  # draw the edges, to try a layout on plain paper


def render(data: LabelSheet, paper: str = "A4") -> bytes:
    """The labels as PDF. Raises ValueError, saying what to change, if they do not fit the paper."""
    return print_labels(data.head, data.labels, draw, data.layout, paper, data.start, data.outline)


def draw(canvas: Canvas, box: Box, label: Label) -> None:
    """One label: words on the left; pictograms and the code on the right."""
    inner = box.inset(min(2.6 * mm, box.height * 0.055))
    side = _side(canvas, inner, label)
    words = Box(inner.x, inner.y, inner.width - side, inner.height)
    size = min(9.0, max(4.6, box.height / mm * 0.115))
    foot = _foot(canvas, words, label, size)
    used = _name(canvas, Box(words.x, words.y + foot, words.width, words.height - foot), label)
    rest = Box(words.x, words.y + foot, words.width, words.height - foot - used)
    _hazards(canvas, rest, label, size)


def _name(canvas: Canvas, box: Box, label: Label) -> float:
    largest = max(6.0, min(20.0, box.height * 0.2))
    sizes = [largest * step / 10 for step in range(10, 4, -1) if largest * step / 10 >= 5] or [5.0]
    used = write(canvas, _unbroken(label.name), box, sizes, bold=True, most=0.45)
    strength = kit.join((label.strength, kit.formula(label.formula) if label.formula else ""), "  ")
    below = Box(box.x, box.y, box.width, box.height - used)
    smaller = [max(4.4, largest * step / 20) for step in range(14, 6, -1)]
    return used + write(canvas, strength, below, smaller, most=0.34)


def _unbroken(name: str) -> str:
    """A strength stays with its unit: "0.1 mol/L", "96 % (w/w)"."""
    return re.sub(r"(?<=\d) (?=mol/|g/|mg/|%)|(?<=%) (?=\()", "\N{NO-BREAK SPACE}", name)


def _foot(canvas: Canvas, box: Box, label: Label, size: float) -> float:
    """Dates, maker and number at the bottom; the height they take."""
    made = " ".join(
        part for part in (label.filled, kit.short_day(label.on, ""), label.by and f"by {label.by}") if part
    )
    lines = [made if label.on or label.by else ""]
    lines.append(
        kit.strong(f"Expires {kit.short_day(label.expires)}".replace(" ", "\u00a0")) if label.expires else ""
    )
    numbers = (
        f"No.\u00a0{label.number}" if label.number else "",
        f"lot\u00a0{label.lot}" if label.lot else "",
    )
    lines.append(", ".join(part for part in numbers if part))
    look = kit.style("foot", size, size * 1.15)
    # Each stays whole where it can; together they take at most two fifths of a small label.
    content = kit.join(lines, " · ")
    paragraph, _ = kit.clipped(content, look, box.width, max(box.height * 0.4, look.leading))
    height = paragraph.wrap(box.width, box.height)[1]
    paragraph.drawOn(canvas, box.x, box.y)
    return height + 1


def _hazards(canvas: Canvas, box: Box, label: Label, size: float) -> None:
    """Signal word and statements, as large as they fit; at the smallest size cut from the end."""
    head = kit.strong(label.signal_word.upper()) if label.signal_word else ""
    said = [] if label.is_classified else [NOT_CLASSIFIED]
    said += [kit.sentences([s]) for s in (*label.statements, *label.precautions)]
    warn = [] if label.is_checked or not label.is_classified else ["Hazard data not verified against SDS."]
    whole = kit.join((head, *said, *warn, "" if label.is_classified else SEE_SHEET), " ")
    if not whole:
        return
    smallest = max(LEAST_LETTERS, size * 0.8)
    attempts = [(whole, scale * size) for scale in (1.8, 1.6, 1.4, 1.2, 1.0)] + [(whole, smallest)]
    briefly = ["Not verified."] if warn else []
    for kept in range(len(said) - 1, -1, -1):
        attempts.append((kit.join((head, *said[:kept], *briefly, SEE_SHEET), " "), smallest))
    for markup, letters in attempts:
        paragraph = Paragraph(markup, kit.style("hazards", letters, letters * 1.15))
        height = paragraph.wrap(box.width, 1e6)[1]
        if height <= box.height:
            paragraph.drawOn(canvas, box.x, box.y + box.height - height - min(1.5, box.height - height))
            return
    write(canvas, kit.join((head, SEE_SHEET), " "), box, [size, size * 0.85, 4.4])


def _side(canvas: Canvas, box: Box, label: Label) -> float:
    """The right-hand column; its width with the gap to the words."""
    gap = 1.2 * mm
    count = len(label.pictograms)
    if not count and not label.url:
        return 0.0
    for share in (0.24, 0.28, 0.33, 0.38):
        width = min(box.width * share, 34 * mm)
        code = min(width, box.height * 0.46, 24 * mm) if label.url else 0.0
        side, _ = kit.arrange(count, width, box.height - (code + gap if code else 0))
        if not count or side >= min(10 * mm, box.height * 0.3):
            break
    x = box.x + box.width - width
    taken = code + gap if code else 0.0
    if code:
        kit.QrCode(label.url, code).drawOn(canvas, x + width - code, box.y)
    kit.draw_pictograms(canvas, label.pictograms, x, box.y + taken, width, box.height - taken)
    return width + gap
