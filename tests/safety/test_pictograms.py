"""The pictograms: one drawing for paper and page, inside its frame, named for those who do not see it."""

import xml.etree.ElementTree as ElementTree
from io import BytesIO

import pytest
from django.template import Context, Template
from pypdf import PdfReader
from reportlab.graphics.shapes import Drawing
from reportlab.pdfgen.canvas import Canvas

from stockroom.paper.pictograms import pictogram, pictogram_svg
from stockroom.safety.label import HAZARD_CLASSES, PICTOGRAM_NAMES
from stockroom.templatetags.drawings import drawn

CODES = sorted(PICTOGRAM_NAMES)


def parsed(svg):
    return ElementTree.fromstring(str(drawn(svg)))  # noqa: S314 - our own drawing


def points(element):
    """The end points of an SVG path's steps."""
    words = element.get("d").replace("Z", " ")
    for letter in "MLC":
        words = words.replace(letter, f" {letter} ")
    step, numbers = "", []
    for word in [*words.split(), "M"]:
        if word in "MLC":
            if numbers:
                yield tuple(numbers[-2:])
            step, numbers = word, []
        else:
            numbers.append(float(word))
    assert step


def test_every_pictogram_of_the_class_table_is_drawn():
    used = {code for row in HAZARD_CLASSES.values() for code in row.pictograms}
    assert used == set(CODES)


@pytest.mark.parametrize("code", CODES)
def test_the_symbol_stays_inside_its_frame(code):
    root = parsed(pictogram_svg(code))
    paths = root.findall("path")
    frame, ground, *symbol = paths
    assert frame.get("fill") == "#d20a11"
    assert ground.get("fill") == "#ffffff"
    inner = max(abs(x - 50) + abs(y - 50) for x, y in points(ground))
    black = [shape for shape in symbol if shape.get("fill") == "#000000"]
    assert black
    for shape in black:
        for x, y in points(shape):
            assert abs(x - 50) + abs(y - 50) < inner, (code, x, y)


@pytest.mark.parametrize("code", CODES)
def test_the_frame_is_a_square_on_its_point_and_clearly_visible(code):
    root = parsed(pictogram_svg(code))
    frame, ground = root.findall("path")[:2]
    assert set(points(frame)) == {(50, 0), (100, 50), (50, 100), (0, 50)}
    width = (50 - max(abs(x - 50) for x, _ in points(ground))) / 2**0.5
    assert 4 < width < 8


@pytest.mark.parametrize("code", CODES)
def test_paper_and_page_show_the_same_outlines(code):
    drawing = pictogram(code, 100)
    assert isinstance(drawing, Drawing)
    paths = parsed(pictogram_svg(code)).findall("path")
    assert len(drawing.contents) == len(paths)
    for one, shown in zip(drawing.contents, paths, strict=True):
        x, y = next(points(shown))
        assert one.points[:2] == pytest.approx([x, 100 - y], abs=0.01)
        assert one.fillColor.hexval()[2:] == shown.get("fill")[1:]


def test_all_nine_go_on_paper():
    page = BytesIO()
    canvas = Canvas(page, pagesize=(500, 60))
    for place, code in enumerate(CODES):
        pictogram(code, 45).drawOn(canvas, place * 50, 5)
    canvas.save()
    assert len(PdfReader(page).pages) == 1


def test_no_two_are_alike():
    assert len({drawn(pictogram_svg(code, title="")) for code in CODES}) == len(CODES) == 9


def test_unknown_pictogram_says_what_to_use():
    with pytest.raises(ValueError, match="GHS01 to GHS09"):
        pictogram("GHS10", 40)


def test_a_screen_reader_hears_the_name():
    root = parsed(pictogram_svg("GHS06"))
    assert root.get("role") == "img"
    assert root.get("aria-label") == root.find("title").text == "Skull and crossbones"
    beside_words = parsed(pictogram_svg("GHS06", title=""))
    assert beside_words.get("aria-hidden") == "true"
    assert beside_words.find("title") is None


def test_title_and_size_are_escaped():
    shown = pictogram_svg("GHS02", size='1em" onload="x', title="<b>&</b>")
    root = parsed(shown)
    assert root.get("aria-label") == "<b>&</b>"
    assert root.get("onload") is None


def test_in_a_template():
    text = '{% load hazards %}{% pictogram "GHS05" "2em" %}{{ "GHS05"|pictogram_name }}{% pictogram code %}'
    shown = Template(text).render(Context({"code": "<i>"}))
    assert shown.startswith("<svg")
    assert 'width="2em"' in shown
    assert "Corrosion" in shown
    assert shown.endswith("<span>&lt;i&gt;</span>")
