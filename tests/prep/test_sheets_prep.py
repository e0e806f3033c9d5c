"""The prep sheet."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from demos.prep.sheets.prep import BookingPrep, PrepSheet, SetOut, Take, render
from stockroom.preparation.sheets.make_up import MakeUp, Portion
from tests.paper.sheet_reading import HOSTILE, UNBROKEN, check_document, head, letters, pages, squeezed

MONDAY = date(2026, 11, 30)
STOCK = MakeUp(
    "Sodium hydroxide 1 mol/L",
    "1 L",
    MONDAY,
    (Portion("Sodium hydroxide pellets", "40.0 g", "Prep room > Bases > 2", "0127", "NaOH"),),
    ("Put about 600 mL of water in a 1 L beaker.", "Make up to the mark."),
    ("1 L volumetric flask",),
    ("Always add pellets to water.",),
    ("Phenolphthalein flip",),
    level=1,
    is_checked=False,
)
DILUTE = replace(STOCK, reagent="Sodium hydroxide 0.1 mol/L", amount="500 mL", level=2, is_checked=True)
BOOKING = BookingPrep(
    "Indicator rainbow",
    MONDAY,
    "P3",
    "Lab 2",
    "10B",
    "Ms Adeyemi",
    2,
    (SetOut("Hydrochloric acid 2 mol/L", "150 mL", "0144", False, "HCl", True, ("GHS05",)),),
    ("6 gas jars", "White tile"),
    4,
    "ready after making up",
    "Goggles",
    "Fume hood",
    "No flame within 2 m",
)


def sheet(**changes) -> PrepSheet:
    values = {"head": head("Prep sheet"), "make_ups": (DILUTE, STOCK), "bookings": (BOOKING,)}
    return PrepSheet(**values | changes)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_prep_sheet_says_what_to_make_fetch_and_set_out(paper):
    take = Take(
        "Sulfuric acid 96 %", "0100, lot A1", "Prep room > Acids", "25 mL", ("Rainbow",), MONDAY, "", "H2SO4"
    )
    pdf = render(sheet(takes=(take,), problems=("Bromine water cannot be ready.",)), paper)
    check_document(pdf, "Prep sheet", paper)
    words = " ".join(pages(pdf))
    for part in (
        "Bromine water cannot be ready.",
        "40.0 g",
        "0127, Prep room > Bases > 2",
        "1. Put about 600 mL of water",
        "Always add pellets to water.",
        "0100, lot A1",
        "Indicator rainbow",
        "2 showings · 4 groups · ready after making up",
        "6 gas jars",
        "Fume hood",
        "No flame within 2 m",
        "Left over",
        "not verified",
    ):
        assert part in words, part


def test_what_goes_into_another_make_up_is_made_first():
    words = " ".join(pages(render(sheet())))
    assert words.index("1. Sodium hydroxide 1 mol/L") < words.index("2. Sodium hydroxide 0.1 mol/L")


def test_a_large_week_loses_nothing():
    bookings = tuple(
        replace(BOOKING, demonstration=f"Demo no{i:03d}x", on=MONDAY + timedelta(days=i % 5))
        for i in range(30)
    )
    takes = tuple(Take(f"Reagent r{i:03d}x", f"c{i}", "Store", "1 g") for i in range(200))
    texts = pages(render(sheet(bookings=bookings, takes=takes)))
    whole = " ".join(texts)
    assert all(f"no{i:03d}x" in whole for i in range(30))
    assert all(f"r{i:03d}x" in whole for i in range(200))


def test_a_booking_that_fits_on_a_page_stays_on_one():
    bookings = tuple(
        replace(BOOKING, demonstration=f"Demo no{i:03d}x", room=f"room{i:03d}x") for i in range(30)
    )
    for words in pages(render(sheet(make_ups=(), bookings=bookings))):
        assert words.count("Demo no") == words.count("No flame within 2 m")


def test_hostile_and_unbroken_words_print_literally():
    booking = replace(
        BOOKING, demonstration=HOSTILE, notes=HOSTILE, equipment=(HOSTILE, UNBROKEN), teacher=HOSTILE
    )
    make_up = replace(STOCK, reagent=HOSTILE, steps=(HOSTILE,), warnings=(HOSTILE,))
    pdf = render(sheet(bookings=(booking,), make_ups=(make_up,)))
    assert letters(pdf).count(squeezed(HOSTILE)) == 7
    assert UNBROKEN in letters(pdf)


def test_an_empty_day_says_that_nothing_is_booked():
    words = pages(render(PrepSheet(head("Prep sheet"))))[0]
    assert "nothing to make up or set out" in words
