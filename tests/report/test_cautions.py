"""What must not be mixed is told apart from what one should beware of otherwise."""

import pytest

from demos.report.cautions import sort


@pytest.mark.parametrize(
    "sentence",
    [
        "Do not mix with bleach.",
        "Never mix it with ammonia: an explosive solid can form.",
        "Keep it away from acids.",
        "Keep acids and cyanides apart.",
        "Never add water to the acid.",
        "Never pour thiocyanate into a container of acids.",
        "The acid must not meet hypochlorite.",
        "No chloride in the cell: it would give chlorine.",
        "No ammonia near it.",
        "Never let sodium touch water.",
        "Bleach and acids must never be mixed!",
        "Incompatible with oxidizers.",
    ],
)
def test_what_must_not_come_together(sentence):
    assert sort(sentence) == (sentence, "")


@pytest.mark.parametrize(
    "sentence",
    [
        "Nobody tastes the suspension.",
        "Add the acid slowly: the mixture warms.",
        "Never pour it down the drain.",
        "Do not pour the metal solution into the sink.",
        "No flame near.",
        "Do not touch the acid.",
        "Keep students away from the bench.",
        "No stronger peroxide than written here.",
        "Never stopper the flask.",
        "Copper harms water life: nothing of this goes down the sink.",
        "Wash with water, not with solvent.",
        "Battery of 12 V at most.",
    ],
)
def test_what_is_no_mixing_stays_a_caution(sentence):
    assert sort(sentence) == ("", sentence)


def test_each_sentence_goes_its_own_way_and_none_is_lost():
    text = "Gloves on. Never mix it with bleach! The flask is hot.\nKeep it away from acids"
    apart, general = sort(text)
    assert apart == "Never mix it with bleach! Keep it away from acids"
    assert general == "Gloves on. The flask is hot."
    assert sort("") == ("", "")
