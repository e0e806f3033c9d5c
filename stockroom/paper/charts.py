"""Charts, drawn once for PDF (a reportlab `Drawing`) and page (`svg`).

Each takes plain numbers and returns a drawing of the width and height asked for, in points. Color never
says anything alone: what is marked is also written.
"""

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from xml.etree.ElementTree import Element, SubElement, fromstring

from reportlab.graphics import renderSVG
from reportlab.graphics.shapes import Circle, Drawing, Line, Polygon, PolyLine, Rect, String
from reportlab.lib.colors import Color, HexColor, white
from reportlab.pdfbase.pdfmetrics import stringWidth

from stockroom.paper import fonts
from stockroom.paper.kit import ACCENT, INK, MUTED, RULE, WARNING, WASH, money

LETTERS = 7.5
# The page's own colors, so that a chart follows light and dark.
ON_PAGE = {
    INK: "--ink",
    MUTED: "--soft",
    RULE: "--line",
    WASH: "--accent-wash",
    ACCENT: "--accent",
    WARNING: "--bad",
}


@dataclass(frozen=True)
class Mark:
    """Something that happens on a day: a booking, or a delivery that is on order."""

    on: date
    label: str = ""


@dataclass(frozen=True)
class Balance:
    """What will be on the shelf at the end of each day, in `unit`; days in order, at least one."""

    days: tuple[tuple[date, float], ...]
    unit: str
    reorder_point: float | None = None
    bookings: tuple[Mark, ...] = ()
    orders: tuple[Mark, ...] = ()


@dataclass(frozen=True)
class PathPoint:
    """The beaker after one addition: pH and the color of the indicator in it.

    mark: a short label for the axis, where many additions leave no room for `label`, or where a step begins
    on a titration curve. at: mL of titrant added so far, None where the path goes by step. said: the pH as
    the table beside it says it.
    """

    label: str  # "start", "+ 5 mL HCl"
    ph: float
    colour: str = "#ffffff"  # "#rrggbb"
    colour_name: str = ""  # "pink"
    mark: str = ""
    at: float | None = None
    said: str = ""


@dataclass(frozen=True)
class Curve:
    """One line of `curves`: points in order of x."""

    name: str
    points: tuple[tuple[float, float], ...]


class _Plot:
    """A drawing with a left and a lower axis, and room for words around them in letters of one size."""

    def __init__(self, width: float, height: float, left=38, right=14, top=20, bottom=26, letters=LETTERS):
        fonts.register()
        self.letters = letters
        self.drawing = Drawing(width, height)
        self.x0, self.x1, self.y0, self.y1 = left, width - right, bottom, height - top

    def scale(self, x_range: tuple[float, float], y_range: tuple[float, float]) -> None:
        self.x_range, self.y_range = x_range, y_range

    def x(self, value: float) -> float:
        low, high = self.x_range
        return self.x0 + (value - low) / ((high - low) or 1) * (self.x1 - self.x0)

    def y(self, value: float) -> float:
        low, high = self.y_range
        return self.y0 + (value - low) / ((high - low) or 1) * (self.y1 - self.y0)

    def write(self, x, y, words, anchor="start", colour=MUTED, bold=False) -> None:
        face, size = fonts.BOLD if bold else fonts.REGULAR, self.letters
        words = _one_line(words, self.drawing.width, size)
        at = {"start": 0, "middle": 0.5, "end": 1}[anchor] * stringWidth(words, face, size)
        x = min(max(x - at, 0), max(self.drawing.width - stringWidth(words, face, size), 0))
        self.drawing.add(String(x, y, words, fontName=face, fontSize=size, fillColor=colour))

    def line(self, x0, y0, x1, y1, colour=RULE, width=0.5, dash=None) -> None:
        self.drawing.add(Line(x0, y0, x1, y1, strokeColor=colour, strokeWidth=width, strokeDashArray=dash))

    def y_axis(self, ticks: Sequence[float], title: str, say: Callable[[float], str]) -> None:
        for tick in ticks:
            self.line(self.x0, self.y(tick), self.x1, self.y(tick))
            self.write(self.x0 - 4, self.y(tick) - self.letters * 0.35, say(tick), "end")
        self.write(0, self.y1 + 7, title, colour=INK, bold=True)

    def x_ticks(self, ticks: Sequence[tuple[float, str]]) -> None:
        last, room = -1e9, (self.x1 - self.x0) / max(min(len(ticks), 8), 1)
        for value, label in ticks:
            words = _one_line(label, room, self.letters)
            width = stringWidth(words, fonts.REGULAR, self.letters)
            self.line(self.x(value), self.y0, self.x(value), self.y0 - 3, MUTED)
            if self.x(value) - width / 2 >= last + 4:
                self.write(self.x(value), self.y0 - self.letters - 3.5, words, "middle")
                last = self.x(value) + width / 2

    def polyline(self, points: Sequence[tuple[float, float]], colour=ACCENT, width=1.4, dash=None) -> None:
        flat = [number for point in points for number in point]
        self.drawing.add(PolyLine(flat, strokeColor=colour, strokeWidth=width, strokeDashArray=dash))


def balance(data: Balance, width: float = 480, height: float = 190) -> Drawing:
    """A reagent's projected balance over the term, with bookings, orders and the reorder point marked."""
    plot = _Plot(width, height, left=46, top=20, bottom=40)
    start, end = data.days[0][0], max(data.days[-1][0], data.days[0][0] + timedelta(days=1))
    amounts = [amount for _, amount in data.days] + [data.reorder_point or 0, 0]
    ticks = nice_ticks(min(amounts), max(amounts))
    plot.scale((start.toordinal(), end.toordinal()), (ticks[0], ticks[-1]))
    plot.y_axis(ticks, f"On the shelf, {data.unit}", _number)
    plot.x_ticks([(day.toordinal(), f"{day.day} {day:%b}") for day in _week_starts(start, end)])
    steps = _steps(plot, data.days)
    ground = plot.y(0)
    area = [steps[0][0], ground, *(n for p in steps for n in p), steps[-1][0], ground]
    plot.drawing.add(Polygon(area, fillColor=WASH, strokeColor=None))
    plot.line(plot.x0, ground, plot.x1, ground, INK, 0.8)
    if data.reorder_point is not None:
        level = plot.y(data.reorder_point)
        plot.line(plot.x0, level, plot.x1, level, MUTED, 0.9, (4, 2))
        plot.write(plot.x1, level + 2, "reorder point", "end")
    plot.polyline(steps)
    _short_spell(plot, data)
    for mark in data.bookings:
        if start <= mark.on <= end:
            x = plot.x(mark.on.toordinal())
            plot.drawing.add(Polygon([x - 3, 15, x + 3, 15, x, 21], fillColor=INK, strokeColor=None))
    for mark in data.orders:
        if start <= mark.on <= end:
            x = plot.x(mark.on.toordinal())
            plot.line(x, plot.y0, x, plot.y1, ACCENT, 0.8, (1.5, 1.5))
            plot.write(x + 2, plot.y1 - 7, mark.label or "delivery", colour=ACCENT)
    plot.write(
        plot.x0, 3, f"▲ booking ({len(data.bookings)}), dotted line: delivery on order ({len(data.orders)})"
    )
    return plot.drawing


def _short_spell(plot: _Plot, data: Balance) -> None:
    """The first day that ends below nothing, said in words."""
    short = next(((day, amount) for day, amount in data.days if amount < 0), None)
    if short:
        x = plot.x(short[0].toordinal())
        plot.line(x, plot.y0, x, plot.y1, WARNING, 0.9)
        words = f"short from {short[0].day} {short[0]:%b}"
        beside, anchor = (x - 3, "end") if x > (plot.x0 + plot.x1) / 2 else (x + 3, "start")
        plot.write(beside, plot.y1 - 16, words, anchor, WARNING, bold=True)


def ph_path(
    points: Sequence[PathPoint],
    width: float = 480,
    height: float = 220,
    letters: float = LETTERS,
    x_title: str = "",
) -> Drawing:
    """pH after each addition, the dots in the indicator's color and the colors' names along the foot.

    Against the volume added where every point has one (a titration curve), else one step beside the other.
    letters: their size in points. x_title: under the axis.
    """
    size = letters / LETTERS
    foot = (12 if x_title else 0) + (48 if any(point.colour_name for point in points) else 22)
    plot = _Plot(width, height, 26 * size, 14, 20 * size, foot * size, letters)
    least, most = _ph_range(points)
    by_volume = all(point.at is not None for point in points)
    places = [point.at if by_volume else float(i) for i, point in enumerate(points)]
    margin = max(places[-1], 1) * 0.05 if by_volume else 0.3
    plot.scale((-margin, max(places[-1], 1) + margin), (least, most))
    plot.y_axis([n for n in range(int(least), int(most) + 1) if n % 2 == 0], "pH", _number)
    plot.line(plot.x0, plot.y(7), plot.x1, plot.y(7), MUTED, 0.7, (3, 2))
    if abs(points[-1].ph - 7) < abs(points[0].ph - 7):  # where the path leaves room for the word
        plot.write(plot.x0 + 2, plot.y(7) + 2, "neutral")
    else:
        plot.write(plot.x1, plot.y(7) + 2, "neutral", "end")
    plot.polyline([(plot.x(x), plot.y(point.ph)) for x, point in zip(places, points, strict=True)], MUTED, 1)
    _path_dots(plot, places, points)
    if by_volume:
        _path_steps(plot, places, points)
    plot.x_ticks(_volume_ticks(places[-1]) if by_volume else _step_ticks(points))
    if x_title:
        plot.write((plot.x0 + plot.x1) / 2, plot.y0 - 2.1 * letters - 6, x_title, "middle", INK)
    _colour_strip(plot, places, points)
    return plot.drawing


def _ph_range(points: Sequence[PathPoint]) -> tuple[float, float]:
    """From 0 to 14, or as far beyond as a point lies."""
    least = min([0.0, *(math.floor(point.ph) for point in points)])
    return least, max([14.0, *(math.ceil(point.ph) for point in points)])


def _volume_ticks(most: float) -> list[tuple[float, str]]:
    return [(tick, _number(tick)) for tick in nice_ticks(0, most) if tick <= most]


def _step_ticks(points: Sequence[PathPoint]) -> list[tuple[float, str]]:
    """Each point's label where they are few and short, else its mark."""
    few = len(points) <= 8 and all(len(point.label) <= 16 for point in points)
    return [(i, point.label if few else point.mark or str(i)) for i, point in enumerate(points)]


def _path_steps(plot: _Plot, places: Sequence[float], points: Sequence[PathPoint]) -> None:
    """A dotted line where each step begins, with its mark at the foot."""
    free = -1e9
    for place, point in zip(places, points, strict=True):
        if not point.mark:
            continue
        x = plot.x(place)
        plot.line(x, plot.y0, x, plot.y(point.ph), MUTED, 0.6, (1.5, 1.5))
        if x >= free:
            plot.write(x + 2, plot.y0 + 2, point.mark)
            free = x + stringWidth(point.mark, fonts.REGULAR, plot.letters) + 6


def _path_dots(plot: _Plot, places: Sequence[float], points: Sequence[PathPoint]) -> None:
    """A dot a point; the pH and the step's mark are written where there is room."""
    free = -1e9
    for place, point in zip(places, points, strict=True):
        x, y = plot.x(place), plot.y(point.ph)
        plot.drawing.add(Circle(x, y, 5, fillColor=colour_of(point.colour), strokeColor=INK, strokeWidth=0.8))
        said = point.said or f"{point.ph:.1f}"
        wide = stringWidth(said, fonts.REGULAR, plot.letters)
        if x - wide / 2 >= free:
            above = y < plot.y1 - 2 * plot.letters
            plot.write(x, y + 8 if above else y - 6.5 - plot.letters, said, "middle", INK)
            free = x + wide / 2 + 2


def _colour_strip(plot: _Plot, places: Sequence[float], points: Sequence[PathPoint]) -> None:
    """A band of the colors below the axis, if there are any; each is named where it begins."""
    if not any(point.colour_name for point in points):
        return
    size = plot.letters / LETTERS
    foot, height = 10.5 + 7.5 * size, 10
    middles = [(plot.x(a) + plot.x(b)) / 2 for a, b in zip(places, places[1:], strict=False)]
    edges = [plot.x0, *middles, plot.x1]
    last, free = None, -1e9
    for i, point in enumerate(points):
        colour = colour_of(point.colour)
        wide = edges[i + 1] - edges[i]
        plot.drawing.add(Rect(edges[i], foot, wide, height, fillColor=colour, strokeColor=None))
        if point.colour_name and point.colour_name != last and edges[i] >= free:
            plot.write(edges[i], foot - 10 * size, point.colour_name, colour=INK)
            name = _one_line(point.colour_name, size=plot.letters)
            free = edges[i] + stringWidth(name, fonts.REGULAR, plot.letters) + 6
            last = point.colour_name
    plot.drawing.add(
        Rect(plot.x0, foot, plot.x1 - plot.x0, height, fillColor=None, strokeColor=MUTED, strokeWidth=0.5)
    )


def by_month(
    months: Sequence[tuple[str, int]], currency: str = "£", width: float = 480, height: float = 170
) -> Drawing:
    """Cost by month: `(name, hundredths of the currency)` in order; each bar carries its sum."""
    plot = _Plot(width, height, left=46, top=20)
    ticks = nice_ticks(0, max((cost for _, cost in months), default=0) / 100)
    plot.scale((-0.5, max(len(months), 1) - 0.5), (ticks[0], ticks[-1]))
    plot.y_axis(ticks, f"Cost, {currency}", _number)
    wide = (plot.x1 - plot.x0) / max(len(months), 1) * 0.62
    for i, (_, cost) in enumerate(months):
        top = plot.y(cost / 100)
        if cost > 0:
            plot.drawing.add(
                Rect(plot.x(i) - wide / 2, plot.y0, wide, top - plot.y0, fillColor=ACCENT, strokeColor=None)
            )
        if cost > 0 and wide >= 22:
            plot.write(plot.x(i), top + 2, money(cost, currency).removesuffix(".00"), "middle", INK)
    plot.line(plot.x0, plot.y0, plot.x1, plot.y0, INK, 0.8)
    plot.x_ticks([(i, name) for i, (name, _) in enumerate(months)])
    return plot.drawing


def curves(
    lines: Sequence[Curve],
    x_title: str,
    y_title: str = "pH",
    width: float = 480,
    height: float = 210,
    letters: float = LETTERS,
) -> Drawing:
    """Up to three curves over one axis, told apart by dashes and by their names at the end."""
    size = letters / LETTERS
    names = max((stringWidth(_one_line(c.name), fonts.REGULAR, letters) for c in lines), default=0)
    plot = _Plot(width, height, 32 * size, min(names + 12, width / 3), 20 * size, 36 * size, letters)
    xs = [x for curve in lines for x, _ in curve.points] or [0, 1]
    ys = [y for curve in lines for _, y in curve.points] or [0, 1]
    ticks, across = nice_ticks(min(ys), max(ys)), nice_ticks(min(xs), max(xs))
    plot.scale((min(xs), max(xs)), (ticks[0], ticks[-1]))
    plot.y_axis(ticks, y_title, _number)
    plot.line(plot.x0, plot.y0, plot.x1, plot.y0, INK, 0.8)
    plot.x_ticks([(tick, _number(tick)) for tick in across if min(xs) <= tick <= max(xs)])
    plot.write((plot.x0 + plot.x1) / 2, 8 * size, x_title, "middle", INK)
    looks = ((ACCENT, None), (WARNING, (5, 2)), (INK, (1.5, 1.5)))
    taken: list[float] = []
    for curve, (colour, dash) in zip(lines, looks, strict=False):
        plot.polyline([(plot.x(x), plot.y(y)) for x, y in curve.points], colour, 1.5, dash)
        y = plot.y(curve.points[-1][1]) - 3
        while any(abs(y - other) < letters for other in taken):
            y -= letters
        taken.append(y)
        plot.write(plot.x1 + 5, y, curve.name, colour=colour)
    return plot.drawing


def svg(drawing: Drawing, title: str, description: str = "", look: str = "chart") -> Element:
    """The drawing as an `<svg>` element: scales to its column, takes the page's colors and letters.

    `title` is what a screen reader says first; `description` should say what the chart shows. look: its class
    in the style sheet.
    """
    width, height = f"{drawing.width:g}", f"{drawing.height:g}"
    root = Element("svg", {"viewBox": f"0 0 {width} {height}", "role": "img", "class": look})
    SubElement(root, "title").text = title
    SubElement(root, "desc").text = description
    turned = SubElement(root, "g", {"transform": f"scale(1,-1) translate(0,-{height})"})
    raw = renderSVG.drawToString(drawing)
    body = fromstring(raw[raw.index('<g transform=""') : raw.rindex("</g>")])  # noqa: S314  our own drawing
    turned.append(body)
    for element in body.iter():
        _restyle(element)
    return root


def _restyle(element: Element) -> None:
    """Its looks as attributes of its own: a page takes no style that stands in an element."""
    for rule in element.attrib.pop("style", "").split(";"):
        name, _, value = (part.strip() for part in rule.partition(":"))
        if name == "font-family":
            value = "inherit"
        if name:
            element.set(name, _ON_PAGE.get(value, value.replace("None", "none")))
    # A line there and back hides its own dashes.
    if "d" in element.attrib:
        element.set("d", re.sub(r"^(M [^ML]+ L [^ML]+) Z$", r"\1", element.get("d")))


def colour_of(value: str) -> Color:
    """A color written `#rrggbb`; white where it is written any other way."""
    return HexColor(value) if re.fullmatch(r"#[0-9a-fA-F]{6}", value or "") else white


def nice_ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Round numbers, 1, 2 or 5 times a power of ten apart, from at or below `low` to at or above `high`."""
    if not high > low:
        high = low + 1
    raw = (high - low) / about
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(factor * power for factor in (1, 2, 5, 10) if factor * power >= raw * 0.999)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [n * step for n in range(first, last + 1)]


def _steps(plot: _Plot, days: Sequence[tuple[date, float]]) -> list[tuple[float, float]]:
    """The line goes level until the day on which the balance changes."""
    points: list[tuple[float, float]] = []
    for day, amount in days:
        x, y = plot.x(day.toordinal()), plot.y(amount)
        if points:
            points.append((x, points[-1][1]))
        points.append((x, y))
    return points


def _week_starts(start: date, end: date) -> list[date]:
    first = start + timedelta(days=-start.weekday() % 7)
    return [first + timedelta(weeks=n) for n in range((end - first).days // 7 + 1)] or [start]


def _number(value: float) -> str:
    return f"{value:,.10g}".replace("-", "−")


def _one_line(words: str, room: float = 1e9, size: float = LETTERS) -> str:
    """What the letters can draw of it in `room` points; a chart has no place for the rest."""
    line = "".join(piece for family, piece in fonts.runs(words) if family == fonts.FAMILY).replace("\n", " ")
    if stringWidth(line, fonts.REGULAR, size) <= room:
        return line
    while line and stringWidth(line + "…", fonts.REGULAR, size) > room:
        line = line[:-1]
    return line + "…"


def _hex(colour: Color) -> str:
    return "#" + colour.hexval()[2:]


def _written(colour: Color) -> str:
    """As reportlab's SVG writes it."""
    return f"rgb({int(colour.red * 100)}%,{int(colour.green * 100)}%,{int(colour.blue * 100)}%)"


#: color as reportlab's SVG writes it -> the page's own
_ON_PAGE = {_written(colour): f"var({variable}, {_hex(colour)})" for colour, variable in ON_PAGE.items()}
