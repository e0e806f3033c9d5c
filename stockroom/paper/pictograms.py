"""The nine GHS pictograms, drawn once as outlines, for paper (reportlab) and for the page (SVG).

Black symbol on white in a red frame, a square set on its point: UN GHS 1.4.10.4 and Annex 1, 29 CFR 1910.1200
App. C.2.3. The outlines are our own drawing of the standard symbols. A symbol is a list of shapes (color,
outline) on a square of 100 by 100, y downwards; an outline uses M, L, C and Z with absolute coordinates, and
"O x y rx ry" for an ellipse.
"""

from collections.abc import Iterator
from xml.etree.ElementTree import Element, SubElement

from reportlab.graphics.shapes import Drawing, Path
from reportlab.lib.colors import HexColor

from stockroom.safety.label import PICTOGRAM_NAMES

_HEX = {"black": "#000000", "white": "#ffffff", "red": "#d20a11"}
_KAPPA = 0.5523  # an ellipse as four Bezier curves

_FRAME = (
    ("red", "M50 0 L100 50 L50 100 L0 50 Z"),
    ("white", "M50 8.4 L91.6 50 L50 91.6 L8.4 50 Z"),
)
_SYMBOLS = {
    "GHS01": (
        ("black", "O46.7 61.1 16 16"),
        ("white", "M43.4 40.2 L46.7 53.4 L40.1 58.9 L48.9 63.3 L45.6 71 L55.5 62.2 L50 57.8 L55.5 43.5 "
                  "Z"),
        ("black", "M45.6 38 L43.4 29.2 L48.9 34.7 L50 14.9 L53.3 33.6 L61 23.7 L58.8 36.9 L73.5 33 "
                  "L63.2 42.4 L80.8 46.8 L64.3 50.1 L73.1 58.9 L61 54.5 L58.8 46.8 L54.4 41.3 L48.9 "
                  "42.4 Z"),
        ("black", "M32.4 30.3 L39 38 L34.6 41.3 L29.1 35.8 Z"),
        ("black", "M20.3 45.7 L29.1 47.9 L28 52.3 L20.3 51.2 Z"),
        ("black", "M38.6 22.2 L42.3 22.6 L41.2 30.3 L36.8 27 Z"),
        ("black", "M66.5 62.2 L72.6 66.6 L68.6 70 L64.3 66.6 Z"),
        ("black", "M21.4 57.8 L26.9 58.9 L25.8 63.3 L22.5 62.2 Z"),
    ),
    "GHS02": (
        ("black", "M40 65 C29 59 27 49 33 39 C34 43 36 45 38 46 C36 35 41 27 48 15 C48 25 55 29 56 38 "
                  "C57 35 57 32 56 29 C63 35 65 41 64 48 C66 46 67 43 67 40 C74 50 71 60 60 65 Z"),
        ("white", "M46 65 C40 60 42 53 47 47 C47 52 50 53 50.5 57 C52 55 52.5 52 52 49 C58 54 59 61 54 65 Z"),
        ("black", "M33.5 69 L66.5 69 L66.5 73.6 L33.5 73.6 Z"),
    ),
    "GHS03": (
        ("black", "M42 46 C33 41 32 34 37 26 C38 29 39 30 41 31 C40 24 43 19 48.5 12 C48.5 18 53 21 54 27 "
                  "C55 25 55 23 54 20 C59 25 61 29 60 33 C61 32 62 30 62 28 C68 35 66 42 58 46 Z"),
        ("white", "M47 44 C43 41 44 36 48 32 C48 35 50 36 50.3 38 C51 37 51.5 35 51 33 "
                  "C56 37 56.5 41 53 44 Z"),
        ("black", "O50 56 14 14"),
        ("white", "O50 56 8.2 8.2"),
        ("black", "M36 72.5 L64 72.5 L64 76.5 L36 76.5 Z"),
    ),
    "GHS04": (
        ("black", "M28.2 56.3 L52.5 37.3 C56.6 34.1 61.9 37.4 63.6 36.1 L66.1 34.1 L64.4 32 L67.8 29.4 "
                  "L74.3 37.8 L71 40.4 L69.3 38.3 L66.8 40.2 C65.2 41.5 67.1 47.4 62.9 50.7 L38.7 69.6 "
                  "C36.2 71.6 33.9 71.3 32.3 69.2 L27.1 62.5 C25.5 60.5 25.7 58.2 28.2 56.3 Z"),
        ("white", "M32 57.6 L52.9 41.3 L54.7 43.7 L33.8 60 Z"),
    ),
    "GHS05": (
        ("black", "M24.7 37.9 L38.5 26.3 C44.7 21.2 52.4 30.4 46.2 35.5 L32.5 47.1 Z"),
        ("black", "M21.6 37.9 L24.7 35.3 L35 47.6 L31.9 50.2 Z"),
        ("white", "M29.6 37.5 L40.3 28.5 C41.9 27.2 43.4 27.5 44.3 28.5 L32.9 41.5 Z"),
        ("black", "M75.3 37.9 L61.5 26.3 C55.3 21.2 47.6 30.4 53.8 35.5 L67.5 47.1 Z"),
        ("black", "M78.4 37.9 L75.3 35.3 L65 47.6 L68.1 50.2 Z"),
        ("white", "M70.4 37.5 L59.7 28.5 C58.1 27.2 56.6 27.5 55.7 28.5 L67.1 41.5 Z"),
        ("black", "M34 51.2 C35 53.8 36.6 54.8 36.6 56.6 C36.6 59.8 31.4 59.8 31.4 56.6 C31.4 54.8 33 "
                  "53.8 34 51.2 Z"),
        ("black", "M66 51.2 C67 53.8 68.6 54.8 68.6 56.6 C68.6 59.8 63.4 59.8 63.4 56.6 C63.4 54.8 65 "
                  "53.8 66 51.2 Z"),
        ("black", "M21.5 61 L48 61 L48 69.5 L30 69.5 Z"),
        ("white", "M27.5 60 L40.5 60 L37.4 62.6 L36.6 65.6 L33.4 64.2 L31 66 L29 62.6 Z"),
        ("black", "M79 60 L64 60 C60 60 56.5 61.5 52 64.5 C50.2 66 51.6 68 53.8 67.3 L58.5 65.9 L54.8 "
                  "69.3 C53.4 70.9 55.4 72.7 57.2 71.5 L62 68.2 L60.4 70.6 C59.4 72.4 61.4 73.6 62.9 "
                  "72.3 L67.5 68 L71.5 67.5 L75.5 64.5 Z"),
        ("white", "M60.5 59.5 L73.5 59.5 L71.6 62 L70.4 64.8 L67.4 63 L65.2 64.8 L63.2 62 Z"),
    ),
    "GHS06": (
        ("black", "M50 17 C40 17 33 24 33 33.5 C33 38.5 35 42.5 39 45 C40.5 46 41 47.5 41 49.5 L41 "
                  "53.5 L59 53.5 L59 49.5 C59 47.5 59.5 46 61 45 C65 42.5 67 38.5 67 33.5 C67 24 60 17 "
                  "50 17 Z"),
        ("white", "O42.5 35.5 4.8 5"),
        ("white", "O57.5 35.5 4.8 5"),
        ("white", "M50 39.5 L53 45.5 L47 45.5 Z"),
        ("white", "M44.6 49.5 L45.9 49.5 L45.9 53.5 L44.6 53.5 Z"),
        ("white", "M49.3 49.5 L50.7 49.5 L50.7 53.5 L49.3 53.5 Z"),
        ("white", "M54.1 49.5 L55.4 49.5 L55.4 53.5 L54.1 53.5 Z"),
        ("black", "M35.7 57 L65.8 67.9 L64.3 72 L34.2 61.1 Z"),
        ("black", "M34.2 67.9 L64.3 57 L65.8 61.1 L35.7 72 Z"),
        ("black", "O35.4 56.9 2.8 2.8"),
        ("black", "O33.9 61 2.8 2.8"),
        ("black", "O66.1 68 2.8 2.8"),
        ("black", "O64.6 72.1 2.8 2.8"),
        ("black", "O33.9 68 2.8 2.8"),
        ("black", "O35.4 72.1 2.8 2.8"),
        ("black", "O64.6 56.9 2.8 2.8"),
        ("black", "O66.1 61 2.8 2.8"),
    ),
    "GHS07": (
        ("black", "M42 29 C42 18 58 18 58 29 C58 38 55 52 54 60 L46 60 C45 52 42 38 42 29 Z"),
        ("black", "O50 71 7 7"),
    ),
    "GHS08": (
        ("black", "O50 25 8 10"),
        ("black", "M45 33 L55 33 L55 37.5 C64 39.5 70 44 71.5 50 L66 66 L61 75 L39 75 L34 66 L28.5 50 "
                  "C30 44 36 39.5 45 37.5 Z"),
        ("white", "M50 41 L53 50.5 L62 46.5 L57.5 55 L67 58 L57.5 61 L61 69.5 L52.8 65 L50 74.5 L47.2 65 "
                  "L39 69.5 L42.5 61 L33 58 L42.5 55 L38 46.5 L47 50.5 Z"),
    ),
    "GHS09": (
        ("black", "M35.5 66 C37 58 37.2 50 37.6 44 L28 36 L29.2 34.6 L37.8 40 L38.6 23 L40.6 22 L40.8 "
                  "34 L47.5 27 L49 28.3 L41 38.6 L41.4 45 L51 39.5 L51.9 41 L42 49.6 C42.6 56 43.6 61 "
                  "46 66 Z"),
        ("black", "M39 30.5 L34.2 26.4 L35.2 25.2 L39.5 28 Z"),
        ("black", "M38 52 L30.6 48.2 L31.4 46.8 L38 49 Z"),
        ("black", "M20.4 60.5 C29 57.5 42 58.6 48 65 C44.5 69 40 71.8 33.4 72.6 L31.4 71.2 Z"),
        ("black", "M47.5 62.5 C53 54 66 52.5 72.5 59.5 L79 55 L76.5 60.4 L76.8 63.2 L72.2 62 C66 68.6 "
                  "54 69 47.5 62.5 Z"),
        ("black", "M57 57 L61 51.6 L66 56.8 Z"),
        ("white", "M51.2 60.3 L52.2 59.4 L53.3 60.5 L54.4 59.4 L55.4 60.3 L54.3 61.4 L55.4 62.5 L54.4 "
                  "63.5 L53.3 62.4 L52.2 63.5 L51.2 62.5 L52.3 61.4 Z"),
        ("white", "M58.3 57.3 C60.3 60 60.3 63 58.3 65.8 L57.3 65.6 C59 63 59 60 57.3 57.6 Z"),
        ("black", "M44 72.5 C48 70.5 50 74 54 72 C57 70.7 59.5 72.4 62 71.2 L66 72.2 L63.5 75 C60 73.6 "
                  "57.5 74.4 54.6 75 C50.5 76 47 74 42 76 L38.5 74.6 Z"),
    ),
}  # fmt: skip


def _steps(outline: str) -> Iterator[tuple[str, list[float]]]:
    """The commands of an outline with their numbers, ellipses turned into curves."""
    words = outline.replace("M", " M ").replace("L", " L ").replace("C", " C ").replace("O", " O ").split()
    command, numbers = "", []
    for word in (*words, "Z"):
        if word in "MLCOZ":
            if command == "O":
                yield from _ellipse(*numbers)
            elif command and command != "Z":
                yield command, numbers
            if word == "Z" and command not in ("O", "Z"):
                yield "Z", []
            command, numbers = word, []
        else:
            numbers.append(float(word))


def _ellipse(x: float, y: float, rx: float, ry: float) -> Iterator[tuple[str, list[float]]]:
    kx, ky = rx * _KAPPA, ry * _KAPPA
    yield "M", [x + rx, y]
    yield "C", [x + rx, y + ky, x + kx, y + ry, x, y + ry]
    yield "C", [x - kx, y + ry, x - rx, y + ky, x - rx, y]
    yield "C", [x - rx, y - ky, x - kx, y - ry, x, y - ry]
    yield "C", [x + kx, y - ry, x + rx, y - ky, x + rx, y]
    yield "Z", []


def _shapes(code: str) -> tuple[tuple[str, str], ...]:
    try:
        return (*_FRAME, *_SYMBOLS[code])
    except KeyError:
        raise ValueError(f'No pictogram "{code}". Use GHS01 to GHS09.') from None


def pictogram(code: str, size: float) -> Drawing:
    """The pictogram as a reportlab drawing of ``size`` by ``size`` points. ValueError for an unknown code."""
    drawing = Drawing(size, size)
    scale = size / 100
    for colour, outline in _shapes(code):
        path = Path(fillColor=HexColor(_HEX[colour]), strokeColor=None, strokeWidth=0)
        for command, numbers in _steps(outline):
            points = [
                (value if place % 2 == 0 else 100 - value) * scale for place, value in enumerate(numbers)
            ]
            {"M": path.moveTo, "L": path.lineTo, "C": path.curveTo, "Z": path.closePath}[command](*points)
        drawing.add(path)
    return drawing


def pictogram_svg(code: str, size: str = "1.5em", title: str | None = None) -> Element:
    """The pictogram as an SVG element for a page. ValueError for an unknown code.

    size: CSS length of its side. title: what a screen reader says; None takes the pictogram's name, ""
    hides it from screen readers where the name stands beside it in words.
    """
    words = PICTOGRAM_NAMES.get(code, "") if title is None else title
    named = {"role": "img", "aria-label": words} if words else {"aria-hidden": "true"}
    root = Element(
        "svg", {"class": "pictogram", "viewBox": "0 0 100 100", "width": size, "height": size, **named}
    )
    if words:
        SubElement(root, "title").text = words
    for colour, outline in _shapes(code):
        SubElement(root, "path", {"fill": _HEX[colour], "d": _svg_path(outline)})
    return root


def _svg_path(outline: str) -> str:
    return "".join(
        command + " ".join(f"{round(value, 2):g}" for value in numbers)
        for command, numbers in _steps(outline)
    )
