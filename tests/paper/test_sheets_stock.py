"""The sheets of the stockroom: disposal, count, data sheets, reviews, summary, moves, make-up."""

from dataclasses import replace
from datetime import date

import pytest

from stockroom.hazards.sheets import datasheet_list, reagent_summary
from stockroom.hazards.statement import Statement
from stockroom.inspection.known_fault import KnownFault
from stockroom.inspection.sheets import annual_walk, stock_review
from stockroom.inventory.sheets import count
from stockroom.paper.label_paper import PRESETS
from stockroom.preparation.sheets import make_up
from stockroom.storage.sheets import move_plan
from stockroom.waste.sheets import disposal, waste_label
from tests.paper.sheet_reading import (
    HOSTILE,
    UNBROKEN,
    check_document,
    filled,
    head,
    letters,
    pages,
    reader,
    squeezed,
    strings,
)

LATE, LATER = date(2026, 9, 3), date(2027, 9, 3)
ETHER = disposal.Item(
    "expired",
    "Diethyl ether",
    "0042",
    "180 mL",
    "Store > Flammables",
    "peroxide test overdue",
    "Isolate.",
    formula="(C2H5)2O",
    hazard="Extremely flammable",
    pictograms=("GHS02",),
    source="peroxide formers: every 6 months",
    do_not_open=True,
)
LEAD = replace(
    ETHER, kind="retired", what="Lead(II) nitrate", number="0011", do_not_open=False, is_checked=True
)
WASTE = disposal.Item("waste", "Acids, no metals", "W3", "3.2 L", "Waste", "80 % full", "Keep closed.")
LINE = count.CountSheetLine("0127", "Sulfuric acid 96 %", "mL", "1200 mL", "A3", LATE, "H2SO4")
SDS = datasheet_list.DataSheetLine(
    "missing", "Bromine water", "Northmoor", None, "", None, "Store", "Danger", "ask again"
)
REVIEWED = stock_review.ReviewLine(
    "Ethanol 96 %", "1.8 L", 3, "350 mL", "2.1 L", "500 mL", LATER, LATE, ("expired container",), "C2H5OH"
)
SAID = Statement("Rinse with water", "from memory")
SUMMARY = reagent_summary.ReagentSummary(
    head("Reagent summary"),
    "Sulfuric acid 96 %",
    "H2SO4",
    "7664-93-9",
    "18.0 mol/L",
    "Danger",
    ("GHS05",),
    (Statement("Causes severe skin burns", "29 CFR 1910.1200 App. C", True),),
    True,
    (("Density", Statement("1.84 g/mL", "handbook", True)),),
    (("First aid", (SAID,)), ("Spill", ())),
    (reagent_summary.Container("0127", "1.2 L", "Prep room", LATER, "opened"),),
    "revised 2 Feb 2025",
)
MOVE = move_plan.Move(
    "0042",
    "Potassium permanganate",
    "250 g",
    "General",
    "Oxidizers",
    "beside glycerol",
    "row 14",
    "two people",
    "KMnO4",
)
STUCK = move_plan.Unsolved("Ammonia", "Cabinet", "gas", "a cabinet")
SHELF = annual_walk.Shelf(
    "Store > Acids",
    "acids",
    (("0127", "Sulfuric acid", "1.2 L", LATE, "no sheet"),),
    (KnownFault("0127 expired", "dispose of it", "shelf life"),),
)
MAKE = make_up.MakeUp(
    "Sodium hydroxide 1 mol/L",
    "1 L",
    LATER,
    (make_up.Portion("Sodium hydroxide", "40.0 g", "Bases", "0127", "NaOH"),),
    ("Make up to the mark.",),
    ("1 L flask",),
    ("Add pellets to water.",),
    ("Rainbow",),
    sources=("density table",),
)
SHEETS = {
    "Disposal sheet": (
        disposal.render,
        disposal.DisposalSheet(
            head("Disposal sheet"), (WASTE, LEAD, ETHER), "Vale Waste", ("4 kg this month",)
        ),
        (
            "Do not open or move",
            "Diethyl ether",
            "Collect",
            "Not classified: treat as hazardous",
            "not verified",
        ),
    ),
    "Count sheet": (
        count.render,
        count.CountSheet(head("Count sheet"), (count.Place("Prep room > Acids", (LINE,)),)),
        ("Prep room > Acids (1 container)", "0127", "Expected", "1200 mL", "Counted", "not listed"),
    ),
    "Data sheets": (
        datasheet_list.render,
        datasheet_list.SdsList(
            head("Data sheets"), (SDS, replace(SDS, state="due", revision=LATE)), 64, "3 years"
        ),
        ("missing: 1", "due for review: 1", "Missing (1)", "Northmoor, ask again", "3 Sep 2026"),
    ),
    "Stock review": (
        stock_review.render,
        stock_review.StockReview(
            head("Stock review"),
            (stock_review.ReviewGroup("Flammables", (REVIEWED,)),),
            (("Expired", 4),),
            (("Sep", 23450), ("Oct", 0)),
        ),
        ("Expired 4", "£234.50", "Flammables (1 reagent)", "1.8 L", "expired container", "New point"),
    ),
    "Reagent summary": (
        reagent_summary.render,
        SUMMARY,
        (
            "7664-93-9",
            "DANGER",
            "(29 CFR 1910.1200 App. C)",
            "Rinse with water (from memory) not verified",
            "0127",
        ),
    ),
    "Move plan": (
        move_plan.render,
        move_plan.MovePlan(
            head("Move plan"),
            (MOVE,),
            2,
            (STUCK,),
        ),
        (
            "1 move for 2 conflicts",
            "Oxidizers",
            "beside glycerol",
            "two people",
            "No safe place found",
            "a cabinet",
        ),
    ),
    "Annual review": (
        annual_walk.render,
        annual_walk.AnnualReview(head("Annual review"), (SHELF,), (("Conflicts", 2),), LATE),
        ("Conflicts 2", "Store > Acids", "0127 expired", "Department head", "Thu 3 Sep 2026", "no sheet"),
    ),
    "Make up": (
        make_up.render,
        make_up.MakeUpSheet(head("Make up"), (MAKE,)),
        ("40.0 g", "0127, Bases", "1. Make up to the mark.", "Made by", "not verified", "density table"),
    ),
}
EACH = pytest.mark.parametrize("name", SHEETS)


@EACH
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_sheet_says_what_it_must(name, paper):
    render, data, parts = SHEETS[name]
    pdf = render(data, paper)
    words = " ".join(pages(pdf))
    for part in parts:
        assert part in words, part
    document = reader(pdf)
    turned = float(document.pages[0].mediabox.width) > float(document.pages[0].mediabox.height)
    if turned:
        assert name in {"Disposal sheet", "Stock review", "Data sheets"}
    else:
        check_document(pdf, name, paper)


@EACH
def test_what_people_type_prints_literally(name):
    render, data, _ = SHEETS[name]
    plain, hostile = render(data), render(filled(data, HOSTILE))
    assert letters(plain).count(squeezed(HOSTILE)) == 0
    assert letters(hostile).count(squeezed(HOSTILE)) >= strings(data) * 0.8


@EACH
def test_words_without_a_break_are_wrapped_not_lost(name):
    render, data, _ = SHEETS[name]
    body = replace(filled(data, UNBROKEN), head=data.head)  # each is 120 times Hexa
    assert letters(render(body)).count("Hexa") >= 120 * (strings(data) - strings(data.head)) * 0.8


@pytest.mark.parametrize(
    ("render", "data", "says"),
    [
        (disposal.render, disposal.DisposalSheet(head(), ()), "Nothing is waiting"),
        (count.render, count.CountSheet(head(), ()), "No shelf to count"),
        (datasheet_list.render, datasheet_list.SdsList(head(), (), 5), "Every reagent in stock has a sheet"),
        (stock_review.render, stock_review.StockReview(head(), ()), "No reagent is in stock"),
        (move_plan.render, move_plan.MovePlan(head(), ()), "no move is needed"),
        (annual_walk.render, annual_walk.AnnualReview(head(), ()), "No shelf is set up yet"),
        (make_up.render, make_up.MakeUpSheet(head(), ()), "Nothing to make up"),
    ],
)
def test_an_empty_sheet_says_why_it_is_empty(render, data, says):
    assert says in pages(render(data))[0]


def test_two_hundred_disposals_all_print_and_the_untouchable_come_first():
    items = tuple(replace(LEAD, number=f"no{i:03d}x") for i in range(200))
    texts = pages(disposal.render(disposal.DisposalSheet(head(), (*items, ETHER))))
    whole = " ".join(texts)
    assert all(f"no{i:03d}x" in whole for i in range(200))
    assert whole.index("0042") < whole.index("no000x")
    assert all("How much" in words for words in texts if "no" in words and "x " in words)


def test_a_drain_is_never_the_default():
    assert disposal.Item("waste", "a", "1", "1 L", "b", "c", "d").route == "Collect"


def test_a_blind_count_shows_no_expected_amount():
    place = count.Place("Acids", (replace(LINE, expected=""),))
    words = pages(count.render(count.CountSheet(head(), (place,))))[0]
    assert "Expected" not in words
    assert "Counted" in words


def test_three_hundred_containers_are_counted_on_sheets_with_heads():
    places = tuple(
        count.Place(f"Shelf {s:02d}", tuple(replace(LINE, number=f"n{s:02d}-{i:02d}x") for i in range(20)))
        for s in range(15)
    )
    texts = pages(count.render(count.CountSheet(head(), places)))
    whole = " ".join(texts)
    assert all(f"n{s:02d}-{i:02d}x" in whole for s in range(15) for i in range(20))
    assert all("Number Reagent Lot Expires Expected Counted" in words for words in texts[:-1])


def test_a_reagent_with_every_hazard_and_many_containers_is_one_page():
    """The summary is to be read at a glance: containers give way, words do not."""
    worst = tuple(Statement(f"Class {n}: may harm in a long way of saying so") for n in range(14))
    handling = tuple(
        (title, (Statement("Rinse with water, call for help, keep people away. " * 4),))
        for title in ("First aid", "PPE", "Keep away from", "Spill", "Disposal")
    )
    bottles = tuple(reagent_summary.Container(f"C-{n:06}", "1 L", "Prep room > Acids") for n in range(40))
    full = reagent_summary.ReagentSummary(
        head(), "Dichromate", pictograms=("GHS05",), hazards=worst, sections=handling, containers=bottles
    )
    for paper in ("A4", "Letter"):
        (words,) = pages(reagent_summary.render(full, paper))
        assert "Class 13" in words and "C-000000" in words and "more, on the page of the reagent" in words
        assert words.count("call for help") == 20


def test_a_reagent_nobody_classified_is_called_hazardous():
    words = pages(reagent_summary.render(reagent_summary.ReagentSummary(head(), "Mystery")))[0]
    assert "Not classified yet: treat as hazardous." in words
    assert "missing: ask the supplier for it" in words


def test_a_signed_review_says_by_whom():
    signed = annual_walk.AnnualReview(head(), (SHELF,), signed="Dr Lindqvist, 27 Nov 2026")
    words = " ".join(pages(annual_walk.render(signed)))
    assert "Reviewed and signed by Dr Lindqvist, 27 Nov 2026" in words


BIN = waste_label.WasteLabel(
    "W3",
    "Acids, no metals",
    ("hydrochloric acid 2 %",),
    "https://stock.hollinbank.example/waste/3/",
    hazards=("corrosive",),
    codes=("D002",),
    pictograms=("GHS05",),
    started=LATE,
    generator="Hollin Bank School",
)


@pytest.mark.parametrize("preset", PRESETS["A4"])
def test_a_waste_label_of_any_size_carries_the_required_words(preset):
    """40 CFR 262.16(b)(6)(i): the words, the hazards, the date (from memory)."""
    layout = PRESETS["A4"][preset]
    words = pages(waste_label.render(waste_label.WasteLabels(head("Waste labels"), (BIN,), layout)))[0]
    for part in ("HAZARDOUS WASTE", "corrosive", "Started 3 Sep 2026"):
        assert part in words.replace("\u00a0", " "), part


def test_a_waste_label_without_hazards_says_to_treat_it_as_hazardous():
    layout = PRESETS["A4"]["99 x 68 mm, 8 a sheet"]
    bare = replace(BIN, hazards=(), contents=())
    words = pages(waste_label.render(waste_label.WasteLabels(head(), (bare,), layout)))[0]
    assert "Hazards not stated: treat as hazardous" in words
    assert "nothing recorded yet" in words


def test_the_hazards_on_a_waste_label_are_not_read_as_what_the_stream_is():
    """“By itself: Toxic” said that the waste is toxic by itself."""
    layout = PRESETS["A4"]["99 x 68 mm, 8 a sheet"]
    alone = replace(BIN, stream="By itself", hazards=("Toxic",), codes=("D011",))
    words = " ".join(pages(waste_label.render(waste_label.WasteLabels(head(), (alone,), layout)))[0].split())
    assert "By itself. Hazards: Toxic (D011)" in words and "By itself:" not in words


def test_contents_that_do_not_fit_are_counted():
    layout = PRESETS["A4"]["64 x 38 mm, 21 a sheet"]
    full = replace(BIN, contents=tuple(f"ingredient number {i}" for i in range(60)))
    words = pages(waste_label.render(waste_label.WasteLabels(head(), (full,), layout)))[0]
    kept = words.count("ingredient number")
    assert f"and {60 - kept} more, see the waste log" in words


def test_hostile_words_on_a_waste_label_print_literally():
    layout = PRESETS["A4"]["200 x 144 mm, 2 a sheet"]
    label = replace(filled(BIN, HOSTILE), words="Hazardous Waste", number="1")
    pdf = waste_label.render(waste_label.WasteLabels(head(), (label,), layout))
    assert letters(pdf).count(squeezed(HOSTILE)) >= 5
