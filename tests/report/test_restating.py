"""The printed steps name the reagent and the portions that a booking really takes."""

from decimal import Decimal
from fractions import Fraction

import pytest

from demos.simulation.restated_steps import Use, restate
from stockroom.chemistry.quantity import MASS, VOLUME

WATER = Use("water, purified", VOLUME)
PLAIN = Use("citric acid 1 mol/L", VOLUME)
OTHER = Use("citric acid 1 mol/L", VOLUME, Fraction(3, 2), "sulfuric acid 1 mol/L", VOLUME)
DRY = Use("citric acid 1 mol/L", VOLUME, Fraction(192), "citric acid, anhydrous", MASS)


@pytest.mark.parametrize(
    ("text", "use", "says"),
    [
        ("Add 30 mL of citric acid.", OTHER, "Add 45 mL of sulfuric acid 1 mol/L."),
        ("Add citric acid solution, 2 mL at a time.", OTHER, "Add sulfuric acid 1 mol/L, 3 mL at a time."),
        ("Citric acid comes last.", OTHER, "Sulfuric acid 1 mol/L comes last."),
        ("All 14 mL of it.", OTHER, "All 21 mL of it."),
        ("Add 30 mL of citric acid.", DRY, "Add 5.76 g of citric acid, anhydrous."),
        ("Add 0.2 mL of the citric acid.", OTHER, "Add 0.3 mL of the sulfuric acid 1 mol/L."),
        ("Add 90 mL of water and wait 2 min.", OTHER, "Add 90 mL of water and wait 2 min."),
        ("Add 7 mL from the jug.", OTHER, "Add 7 mL from the jug."),
        ("A test tube of 50 mL.", OTHER, "A test tube of 50 mL."),
        ("Add 30 mL of citric acid.", PLAIN, "Add 30 mL of citric acid."),
    ],
)
def test_names_and_portions_are_put_in(text, use, says):
    assert restate(text, [WATER, use], use, (2_000, 14_000)) == says


def test_a_name_that_two_ingredients_share_is_left():
    weak, strong = (
        Use("hydrogen peroxide 3 % (w/w)", VOLUME, Fraction(1, 2), "hydrogen peroxide 6 % (w/w)", VOLUME),
        Use("hydrogen peroxide 30 % (w/w)", VOLUME),
    )
    assert restate("Add hydrogen peroxide.", [weak, strong]) == "Add hydrogen peroxide."


def test_a_scale_changes_the_amounts_only():
    twice = Use("citric acid 1 mol/L", VOLUME, Fraction(Decimal("2")))
    assert restate("Add 30 mL of citric acid.", [twice]) == "Add 60 mL of citric acid."
