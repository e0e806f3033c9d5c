import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.chemistry.indicator import IndicatorError, along, colour_at, find, indicators


def test_there_are_enough_and_each_names_its_source():
    dyes = [i for i in indicators().values() if i.changes]
    assert len(dyes) >= 15
    assert any(i.scale for i in indicators().values())
    assert all(i.source for i in indicators().values())


def test_ranges_are_in_order():
    for indicator in indicators().values():
        for change in indicator.changes:
            assert 0 <= change.low_ph < change.high_ph <= 14, indicator
        assert [ph for ph, _ in indicator.scale] == sorted(ph for ph, _ in indicator.scale)


@pytest.mark.parametrize(
    ("key", "ph", "words"),
    [
        ("phenolphthalein", 7.0, "colourless"),
        ("phenolphthalein", 9.0, "pale pink"),
        ("phenolphthalein", 10.5, "pink"),
        ("bromothymol_blue", 5.0, "yellow"),
        ("bromothymol_blue", 6.8, "green"),
        ("bromothymol_blue", 9.0, "blue"),
        ("thymol_blue", 0.5, "red"),
        ("thymol_blue", 5.0, "yellow"),
        ("thymol_blue", 11.0, "blue"),
        ("methyl_orange", 2.0, "red"),
        ("universal_indicator", 1.0, "red"),
        ("universal_indicator", 7.1, "green"),
        ("universal_indicator", 12.0, "violet"),
    ],
)
def test_colours_in_words(key, ph, words):
    assert colour_at(key, ph).words == words


@given(st.sampled_from(sorted(indicators())), st.floats(-2, 16))
def test_every_colour_is_a_screen_colour(key, ph):
    assert re.fullmatch("#[0-9a-f]{6}", colour_at(key, ph).srgb)


def test_the_ends_of_a_dye_are_its_own_colours():
    change = indicators()["methyl_red"].changes[0]
    assert colour_at("methyl_red", -1).srgb == change.acid.srgb
    assert colour_at("methyl_red", 14).srgb == change.base.srgb
    assert colour_at("methyl_red", change.midpoint).srgb == change.middle.srgb


def test_the_colour_moves_with_the_ph():
    shares = [indicators()["litmus"].changes[0].share_of_base(ph) for ph in range(15)]
    assert shares == sorted(shares)


def test_is_found_by_name_or_number():
    assert find("bromothymol blue 0.04 % (w/v)").key == "bromothymol_blue"
    assert find(cas="77-09-8").key == "phenolphthalein"
    assert find("red cabbage pigments").key == "red_cabbage_extract"
    assert find("copper sulfate") is None
    assert find() is None


def test_no_ph_no_colour():
    assert along("litmus", [2.0, None]) == (colour_at("litmus", 2.0), None)
    with pytest.raises(IndicatorError, match="choose one"):
        colour_at("beetroot", 7)
    with pytest.raises(IndicatorError, match="cannot be"):
        colour_at("litmus", float("nan"))
