"""Charts for PDF and page."""

import xml.etree.ElementTree as ElementTree
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.paper import charts, kit
from stockroom.templatetags.drawings import drawn
from tests.paper.sheet_reading import HOSTILE, head, pages

START = date(2026, 11, 27)
DAYS = tuple((START + timedelta(n), 500.0 - 10 * n) for n in range(60))
BALANCE = charts.Balance(
    DAYS,
    "mL",
    150,
    (charts.Mark(START + timedelta(8)), charts.Mark(START + timedelta(20))),
    (charts.Mark(START + timedelta(30), "500 mL from Harrow"),),
)
PATH = (
    charts.PathPoint("start", 12.5, "#7b2fbf", "violet"),
    charts.PathPoint("+ 5 mL", 7.0, "#2fae4f", "green"),
    charts.PathPoint("+ 10 mL", 3.1, "#d0302f", "red"),
)
CURVES = (
    charts.Curve("warm", ((0, 2), (15, 5), (30, 6))),
    charts.Curve("cold", ((0, 2), (15, 3), (30, 4.5))),
)
DRAWN = {
    "balance": charts.balance(BALANCE),
    "path": charts.ph_path(PATH),
    "months": charts.by_month([("Sep", 23450), ("Oct", 0)]),
    "curves": charts.curves(CURVES, "seconds"),
}


def words(drawing) -> str:
    return " | ".join(node.text or "" for node in charts.svg(drawing, "title", "description").iter("text"))


def in_page(drawing, title: str, description: str = "") -> str:
    return str(drawn(charts.svg(drawing, title, description)))


@pytest.mark.parametrize("name", DRAWN)
def test_a_chart_is_one_image_with_a_name_in_the_colours_of_the_page(name):
    source = in_page(DRAWN[name], "Balance <of> acid", "Falls & rises")
    root = ElementTree.fromstring(source)  # noqa: S314 - our own text
    assert root.get("role") == "img"
    assert root[0].text == "Balance <of> acid"
    assert root[1].text == "Falls & rises"
    assert "var(--ink" in source
    assert "FiraGO" not in source
    assert "style=" not in source  # the Content-Security-Policy allows none
    assert " id=" not in source  # two charts on one page must not share an id


@pytest.mark.parametrize("name", DRAWN)
def test_the_same_drawing_goes_on_paper(name):
    sheet = kit.Sheet(head())
    sheet.add(DRAWN[name])
    first = words(DRAWN[name]).split(" | ")[-1]
    assert first in pages(sheet.pdf())[0]


def test_the_balance_says_when_it_runs_short_and_what_is_on_order():
    said = words(charts.balance(BALANCE))
    assert "short from 17 Jan" in said
    assert "500 mL from Harrow" in said
    assert "reorder point" in said
    assert "booking (2)" in said
    enough = charts.Balance(DAYS[:20], "mL")
    assert "short" not in words(charts.balance(enough))


def test_the_path_names_each_value_and_colour():
    said = words(charts.ph_path(PATH))
    for part in ("12.5", "7.0", "3.1", "violet", "green", "red", "start", "+ 10 mL", "neutral"):
        assert part in said


def test_a_titration_is_drawn_against_the_volume():
    points = [
        charts.PathPoint("acid", 1.2, mark="step 1", at=0.0, said="about 1.2"),
        *(
            charts.PathPoint("alkali", ph, mark=mark, at=at)
            for mark, at, ph in (("step 2", 10, 1.7), ("", 30, 12.4))
        ),
    ]
    drawing = charts.ph_path(points, x_title="mL of alkali added")
    said = words(drawing)
    for part in ("about 1.2", "12.4", "mL of alkali added", "10", "30", "step 1", "step 2"):
        assert part in said
    dots = [shape.cx for shape in drawing.contents if type(shape).__name__ == "Circle"]
    assert dots[2] - dots[1] == pytest.approx(2 * (dots[1] - dots[0]))


def test_letters_can_be_large_enough_for_a_telephone():
    drawing = charts.ph_path(PATH, 330, 270, 10.5, "mL of acid added")
    sizes = {shape.fontSize for shape in drawing.contents if type(shape).__name__ == "String"}
    assert sizes == {10.5}
    assert all(0 <= s.x <= 330 for s in drawing.contents if type(s).__name__ == "String")


def test_the_dots_have_the_colour_of_the_indicator():
    assert "rgb(48%,18%,74%)" in in_page(charts.ph_path(PATH), "t")


def test_a_colour_that_is_no_colour_is_white():
    assert charts.colour_of("url(javascript:1)") == charts.white
    assert charts.colour_of("") == charts.white


def test_months_carry_their_sum():
    assert "£234.50" in words(charts.by_month([("Sep", 23450), ("Oct", 0)]))


def test_curves_are_named_where_they_end():
    said = words(charts.curves(CURVES, "seconds"))
    assert "warm" in said and "cold" in said and "seconds" in said


def test_hostile_labels_stay_text():
    source = in_page(charts.by_month([(HOSTILE, 100)]), HOSTILE, HOSTILE)
    assert "<script" not in source and "&lt;script" in source
    assert "alert(1)" in words(charts.by_month([(HOSTILE, 100)]))


def test_charts_of_nothing_or_one_thing_still_draw():
    assert words(charts.balance(charts.Balance(((START, 0.0),), "g"))) != ""
    assert words(charts.by_month([])) != ""
    assert words(charts.ph_path([PATH[0]])) != ""
    assert words(charts.curves([charts.Curve("still", ((0, 7),))], "seconds")) != ""


@given(low=st.floats(-1e6, 1e6), span=st.floats(1e-6, 1e9))
def test_ticks_are_round_and_take_in_both_ends(low, span):
    ticks = charts.nice_ticks(low, low + span)
    step = ticks[1] - ticks[0]
    assert 2 <= len(ticks) <= 13
    assert ticks[0] <= low + step * 1e-6
    assert ticks[-1] >= low + span - step * 1e-6
