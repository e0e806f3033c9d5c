"""Units against NIST Special Publication 811 (2008), "Guide for the Use of the International System of
Units", Appendix B.8, "Factors for units listed alphabetically", and SP 330 for the litre (from memory; the
factors are fixed by definition)."""

from decimal import Decimal

import pytest

from stockroom.chemistry.quantity import MASS, VOLUME, parse_amount


@pytest.mark.parametrize(
    ("text", "cubic_metres"),
    [
        ("1 L", "1e-3"),  # SP 330: 1 L = 1 dm3
        ("1 cc", "1e-6"),
        ("1 pt", "4.731765e-4"),  # pint (US liquid)
        ("1 qt", "9.463529e-4"),  # quart (US liquid)
        ("1 gal", "3.785412e-3"),  # gallon (US)
        ("1 fl oz", "2.957353e-5"),  # fluid ounce (US)
        ("1 cup", "2.365882e-4"),  # cup (US)
        ("1 tbsp", "1.478676e-5"),  # tablespoon
        ("1 tsp", "4.928922e-6"),  # teaspoon
        ("1 imp gal", "4.54609e-3"),  # gallon [Canadian and UK (Imperial)]
        ("1 imp pt", "5.682613e-4"),  # one eighth of it
        ("1 imp fl oz", "2.841306e-5"),  # fluid ounce (UK)
    ],
)
def test_volumes(text, cubic_metres):
    assert abs(parse_amount(text, VOLUME) - Decimal(cubic_metres) * 10**9) <= Decimal("0.6")


@pytest.mark.parametrize(
    ("text", "kilograms"),
    [
        ("1 lb", "4.535924e-1"),  # pound (avoirdupois)
        ("1 oz", "2.834952e-2"),  # ounce (avoirdupois)
        ("1 g", "1e-3"),
        ("1 mg", "1e-6"),
        ("1 µg", "1e-9"),
    ],
)
def test_masses(text, kilograms):
    stored, expected = parse_amount(text, MASS), Decimal(kilograms) * 10**9
    assert abs(stored - expected) <= expected * Decimal("2e-7")


def test_the_drop():
    # common practice, no source: 20 drops of water from a dropper make a millilitre.
    assert parse_amount("20 drops", VOLUME) == parse_amount("1 mL", VOLUME)
