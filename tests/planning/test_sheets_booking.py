"""The sheets that go with a booking: safety reminder, booked demonstration, outcome."""

from dataclasses import replace
from datetime import date

import pytest

from demos.planning.sheets import booking
from demos.report.sheets import outcome, safety_reminder
from stockroom.hazards.statement import Statement
from stockroom.paper.charts import Curve, PathPoint
from tests.paper.sheet_reading import (
    HOSTILE,
    UNBROKEN,
    check_document,
    filled,
    head,
    letters,
    pages,
    squeezed,
    strings,
)

DAY = date(2026, 12, 1)
ACID = safety_reminder.Reagent(
    "Hydrochloric acid 2 mol/L",
    "150 mL",
    "HCl",
    "Warning",
    ("GHS05", "GHS07"),
    ("May be corrosive to metals", "Causes skin irritation"),
    True,
    True,
    "revised 2 Feb 2025",
)
SAID = (Statement("Goggles for all", "from memory"),)
REMINDER = safety_reminder.SafetyReminder(
    head("Safety reminder"),
    "Indicator rainbow",
    DAY,
    "P3",
    "Lab 2",
    "10B",
    "Ms Adeyemi",
    2,
    (ACID,),
    (
        ("Distance", (Statement("Students 2 m away", "department", True),)),
        *((title, SAID) for title in ("PPE", "Ventilation", "Ignition sources", "Do not mix", "First aid")),
        ("Spill", SAID),
        ("Cleanup", SAID),
    ),
    warnings=("Over the exposure limit without a fume hood.",),
)
BOOKED = booking.BookingSheet(
    head("Booked demonstration"),
    "Indicator rainbow",
    DAY,
    "P3",
    "Lab 2",
    "10B",
    "Ms Adeyemi",
    2,
    "Ready if ordered by Thu 26 Nov",
    ("Universal indicator: 30 mL short",),
    4,
    15,
    ("acids and bases",),
    "A column of colors",
    (
        booking.Ingredient(
            "Hydrochloric acid", "150 mL", "100 mL", "50 mL", "or nitric acid, 160 mL", True, "HCl"
        ),
    ),
    ("White tile",),
    ("Add the indicator.",),
    ("H+(aq) + OH-(aq) -> H2O(l)",),
    (("PPE", "Goggles"),),
    "Neutralize, then collect.",
)
RESULT = outcome.OutcomeSheet(
    head("Outcome"),
    "Blue curds",
    2,
    (
        outcome.Reaction(
            "Cu(OH)2(s) + 2 HNO3(aq) -> Cu(NO3)2(aq) + 2 H2O(l)",
            (outcome.Amount("Cu(OH)2", "taken", "0.0123 mol", "1.20 g", True),),
            ("Warms by 3 °C",),
        ),
    ),
    "universal indicator",
    (
        outcome.Addition("start", 7.2, "pale blue curds", "1.2 g Cu(OH)2", "#8fb84a", "green"),
        outcome.Addition("+ 4 mL acid", 5.9, "thinner curds", "1.0 g Cu(OH)2", "#e0c23a", "yellow"),
    ),
    ("The number stands still while solid is left.",),
    (Curve("warm", ((0, 2), (30, 6))), Curve("cold", ((0, 2), (30, 4)))),
    "k = 0.02 per s",
    (("Volume", "340 mL"),),
    ("Add 1.2 g sodium hydrogencarbonate.",),
    ("Red cabbage is not in the database.",),
    ("PHREEQC",),
    path=(
        PathPoint("start", 7.2, "#8fb84a", "green", "1", 0.0),
        PathPoint("+ 4 mL acid", 5.9, "#e0c23a", "yellow", "2", 4.0),
    ),
    path_title="mL of acid added",
)
SHEETS = {
    "Safety reminder": (
        safety_reminder.render,
        REMINDER,
        (
            "WARNING May be corrosive to metals. Causes skin irritation.",
            "revised 2 Feb 2025",
            "Students 2 m away (department)",
            "Goggles for all (from memory) not verified",
            "Over the exposure limit",
            "PPE",
            "Ventilation",
            "Ignition sources",
            "Do not mix",
            "First aid",
            "Spill",
            "Cleanup",
        ),
    ),
    "Booked demonstration": (
        booking.render,
        BOOKED,
        (
            "Tue 1 Dec 2026, P3",
            "Ready if ordered by Thu 26 Nov",
            "150 mL 100 mL 50 mL or nitric",
            "1. Add the indicator.",
            "Neutralize, then collect.",
            "How it went",
        ),
    ),
    "Outcome": (
        outcome.render,
        RESULT,
        (
            "limiting",
            "0.0123 mol",
            "universal indicator",
            "7.2",
            "green",
            "k = 0.02 per s",
            "340 mL",
            "PHREEQC",
        ),
    ),
}
EACH = pytest.mark.parametrize("name", SHEETS)


@EACH
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_sheet_says_what_it_must(name, paper):
    render, data, parts = SHEETS[name]
    pdf = render(data, paper)
    check_document(pdf, name, paper)
    words = " ".join(pages(pdf))
    for part in parts:
        assert part in words, part


@EACH
def test_what_people_type_prints_literally(name):
    render, data, _ = SHEETS[name]
    hostile = render(filled(data, HOSTILE))
    assert letters(hostile).count(squeezed(HOSTILE)) >= strings(data) * 0.75


@EACH
def test_words_without_a_break_are_wrapped_not_lost(name):
    render, data, _ = SHEETS[name]
    if name == "Outcome":
        data = replace(data, path=())  # a chart has no room to wrap
    body = replace(filled(data, UNBROKEN), head=data.head)  # each is 120 times Hexa
    assert letters(render(body)).count("Hexa") >= 120 * (strings(data) - strings(data.head)) * 0.75


def test_a_reagent_nobody_classified_is_called_hazardous_and_its_sheet_missing():
    mystery = safety_reminder.Reagent("Mystery", "3 g")
    words = pages(safety_reminder.render(replace(REMINDER, reagents=(mystery,))))[0]
    assert "Not classified yet: treat as hazardous." in words
    assert "missing" in words
    assert "no hazard class" not in words


def test_an_empty_section_sends_the_reader_to_the_suppliers_sheet():
    words = " ".join(pages(safety_reminder.render(replace(REMINDER, sections=(("Spill", ()),)))))
    assert "Spill Not mentioned. Look in the supplier's safety data sheet." in words


def test_twenty_additions_all_stand_in_the_table():
    many = tuple(replace(RESULT.additions[0], what=f"portion {i:02d}x") for i in range(60))
    texts = pages(outcome.render(replace(RESULT, additions=many)))
    assert all(f"portion {i:02d}x" in " ".join(texts) for i in range(60))


def test_a_booking_without_steps_or_ingredients_says_so():
    words = " ".join(pages(booking.render(replace(BOOKED, steps=(), ingredients=()))))
    assert "No step is written down." in words
    assert "No ingredient is written down." in words
