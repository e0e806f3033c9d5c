"""The reorder list."""

from dataclasses import replace
from datetime import date

import pytest

from stockroom.purchasing.sheets.reorder import ReorderLine, ReorderList, Supplier, Unmet, render
from tests.paper.sheet_reading import HOSTILE, check_document, head, letters, pages, squeezed

ACID = ReorderLine(
    "Sulfuric acid 96 %", "2.5 L", 2, 2345, date(2026, 12, 3), "short from 9 Dec", "SA-25", "H2SO4"
)
IODIDE = ReorderLine("Potassium iodide", "250 g", 1, None, date(2026, 11, 20))
HARROW = Supplier("Harrow & Pike", (ACID, IODIDE), "Account 20118", 695, "5 working days")


def reorder(**changes) -> ReorderList:
    return ReorderList(**{"head": head("Reorder list"), "suppliers": (HARROW,), "budget": 20000} | changes)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_list_adds_up_and_has_a_line_to_sign(paper):
    pdf = render(reorder(unmet=(Unmet("Barium hydroxide", "12 g", date(2027, 1, 12)),)), paper)
    check_document(pdf, "Reorder list", paper)
    words = " ".join(pages(pdf))
    for part in (
        "£23.45 £46.90",
        "Subtotal £53.85",
        "Total £53.85 and 1 line without a price",
        "£200.00, £146.15 left after this list",
        "20 Nov 2026 (past)",
        "First to order by Fri 20 Nov 2026",
        "Barium hydroxide 12 g Tue 12 Jan 2027",
        "Approved by department head",
    ):
        assert part in words, part


def test_a_list_over_budget_says_by_how_much():
    words = " ".join(pages(render(reorder(budget=5000))))
    assert "over by £3.85" in words


def test_an_approved_list_says_who_approved_it_instead_of_asking():
    words = " ".join(pages(render(reorder(approved="Approved by Dr Lindqvist on 27 Nov 2026"))))
    assert "Approved by Dr Lindqvist on 27 Nov 2026" in words
    assert "Approved by department head" not in words


def test_two_hundred_lines_all_print_under_a_repeated_head():
    lines = tuple(replace(ACID, reagent=f"Reagent no{i:03d}x") for i in range(200))
    texts = pages(render(reorder(suppliers=(replace(HARROW, lines=lines),))))
    assert all(f"no{i:03d}x" in " ".join(texts) for i in range(200))
    assert all("Order by" in words for words in texts[:-1])


def test_hostile_words_print_literally():
    line = replace(ACID, reagent=HOSTILE, why=HOSTILE, number=HOSTILE)
    pdf = render(reorder(suppliers=(replace(HARROW, name=HOSTILE, contact=HOSTILE, lines=(line,)),)))
    assert letters(pdf).count(squeezed(HOSTILE)) == 5


def test_nothing_to_order_says_so():
    assert "Nothing needs ordering" in pages(render(reorder(suppliers=())))[0]
