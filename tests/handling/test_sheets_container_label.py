"""Container labels."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.lib.units import mm

from stockroom.handling.sheets.container_label import Label, LabelSheet, render
from stockroom.paper.kit import PAPERS, arrange
from stockroom.paper.label_paper import PRESETS, Layout, preset_for
from tests.paper.sheet_reading import HOSTILE, UNBROKEN, head, letters, pages, reader, squeezed

ACID = Label(
    "Sulfuric acid",
    "0127",
    "https://stock.hollinbank.example/containers/127/",
    "1 mol/L",
    "H2SO4",
    by="I. Okafor",
    on=date(2026, 11, 27),
    expires=date(2027, 11, 27),
    signal_word="Danger",
    pictograms=("GHS05",),
    statements=("Causes severe skin burns and eye damage", "May be corrosive to metals"),
    is_classified=True,
    is_checked=True,
)
EVERY_PRESET = [(paper, name) for paper, presets in PRESETS.items() for name in presets]


def sheet(*labels, layout=PRESETS["A4"]["64 x 38 mm, 21 a sheet"], **changes):
    return LabelSheet(head("Container labels"), labels or (ACID,), layout, **changes)


@pytest.mark.parametrize(("paper", "name"), EVERY_PRESET)
def test_every_preset_fits_its_paper_and_carries_what_a_label_must_say(paper, name):
    pdf = render(sheet(layout=PRESETS[paper][name]), paper)
    document = reader(pdf)
    assert document.metadata.title == "Container labels"
    assert document.trailer["/Root"]["/Lang"] == "en-GB"
    words = pages(pdf)[0].replace("\u00a0", " ")
    for part in (
        "Sulfuric acid",
        "1 mol/L",
        "27 Nov 2026 by I. Okafor",
        "Expires 27 Nov 2027",
        "No. 0127",
        "DANGER",
    ):
        assert part in words, part
    assert "severe skin burns" in words or "See data sheet." in words


def test_a_small_label_that_cannot_say_everything_says_where_to_look():
    many = replace(ACID, statements=tuple(f"Statement number {i} of a long row of them" for i in range(12)))
    words = pages(render(sheet(many, layout=PRESETS["A4"]["38 x 21 mm, 65 a sheet"])))[0]
    assert "See data sheet." in words
    assert "Statement number 11" not in words
    large = pages(render(sheet(many, layout=PRESETS["A4"]["200 x 144 mm, 2 a sheet"])))[0]
    assert "Statement number 11" in large
    assert "See data sheet." not in large


def test_an_unclassified_container_never_looks_safe():
    words = pages(render(sheet(Label("Mystery", "0131", ""))))[0]
    assert "Not classified yet: treat as hazardous." in words
    assert "See data sheet." in words


def test_unchecked_hazard_data_says_so():
    assert "Hazard data not verified against SDS." in pages(render(sheet(replace(ACID, is_checked=False))))[0]


def test_printing_starts_at_the_first_free_label_and_goes_on_to_the_next_sheet():
    labels = tuple(replace(ACID, number=f"n{i:02d}x") for i in range(24))
    texts = pages(render(sheet(*labels, start=20)))
    assert len(texts) == 3
    assert "n00x" in texts[0] and "n01x" in texts[0] and "n02x" not in texts[0]
    assert "n22x" in texts[1] and "n23x" in texts[2]


def test_the_first_label_lies_where_the_layout_says():
    layout = Layout(2, 2, 90, 60, 10, 20, 5, 8)
    assert layout.place(0, "A4") == pytest.approx((10 * mm, PAPERS["A4"][1] - 80 * mm))
    assert layout.place(3, "A4") == pytest.approx((105 * mm, PAPERS["A4"][1] - 148 * mm))


@pytest.mark.parametrize(
    ("layout", "says"),
    [
        (Layout(3, 7, 80, 38, 7, 15), "need 247.0 mm but A4 is 210.0 mm wide"),
        (Layout(3, 9, 63, 38, 7, 15), "mm high"),
        (Layout(0, 7, 63, 38, 7, 15), "Columns must be from 1"),
        (Layout(3, 7, 5, 38, 7, 15), "at least 20 mm wide"),
        (Layout(3, 7, 63, 38, -7, 15), "cannot be negative"),
    ],
)
def test_a_layout_that_does_not_fit_says_what_to_change(layout, says):
    with pytest.raises(ValueError, match=says):
        render(sheet(layout=layout))


def test_a_start_off_the_sheet_and_an_empty_list_are_refused():
    with pytest.raises(ValueError, match="from 1 to 21"):
        render(sheet(start=22))
    with pytest.raises(ValueError, match="at least one label"):
        render(LabelSheet(head(), (), PRESETS["A4"]["64 x 38 mm, 21 a sheet"]))


def test_hostile_and_unbroken_words_print_literally():
    layout = PRESETS["A4"]["200 x 144 mm, 2 a sheet"]
    pdf = render(
        sheet(replace(ACID, name=HOSTILE, strength=HOSTILE, by=HOSTILE, statements=(HOSTILE,)), layout=layout)
    )
    assert letters(pdf).count(squeezed(HOSTILE)) == 4
    for small in PRESETS["A4"].values():
        assert "Hexa" in letters(render(sheet(replace(ACID, name=UNBROKEN, strength=UNBROKEN), layout=small)))


@given(count=st.integers(1, 9), width=st.floats(5, 200), height=st.floats(5, 200))
def test_pictograms_share_their_corner_without_leaving_it(count, width, height):
    side, columns = arrange(count, width, height)
    rows = -(-count // columns)
    assert side > 0
    assert columns * side <= width * 1.0001 and rows * side <= height * 1.0001


@given(volume=st.floats(1, 200_000), paper=st.sampled_from(["A4", "Letter"]))
def test_a_larger_vessel_never_gets_a_smaller_label(volume, paper):
    here, larger = (PRESETS[paper][preset_for(v, paper)] for v in (volume, volume * 2))
    assert larger.width * larger.height >= here.width * here.height
