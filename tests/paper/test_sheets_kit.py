"""The page that every sheet is made from."""

import pytest

from stockroom.paper import fonts, kit
from stockroom.paper.kit import Band, Column, Sheet
from tests.paper.sheet_reading import (
    HOSTILE,
    UNBROKEN,
    check_document,
    head,
    letters,
    pages,
    reader,
    squeezed,
)

COLUMNS = (Column("Reagent", 3), Column("Amount", points=70, align="right"), Column("Place", 2))


def one(paper="A4", **changes):
    return Sheet(head(**changes), paper)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_page_says_what_it_is_and_that_local_rules_come_first(paper):
    sheet = one(paper)
    sheet.table(COLUMNS, [(f"Reagent {i}", f"{i} g", "Store") for i in range(200)])
    pdf = sheet.pdf()
    check_document(pdf, "A sheet", paper)
    assert len(pages(pdf)) > 3


def test_no_row_of_two_hundred_is_lost_and_the_head_of_the_table_repeats():
    sheet = one()
    sheet.table(COLUMNS, [(f"Reagent no{i:03d}x", f"{i} g", "Store") for i in range(200)])
    texts = pages(sheet.pdf())
    whole = " ".join(texts)
    assert all(f"no{i:03d}x" in whole for i in range(200))
    assert all("Reagent Amount Place" in words for words in texts)


def test_rows_do_not_split_over_pages():
    sheet = one()
    tall = "line one\nline two\nline three\nline four\nEND"
    sheet.table(COLUMNS, [(f"START{i}x\n{tall}{i}x", "1 g", "") for i in range(40)])
    for words in pages(sheet.pdf()):
        starts = {i for i in range(40) if f"START{i}x" in words}
        ends = {i for i in range(40) if f"END{i}x" in words}
        assert starts == ends


def test_a_row_taller_than_a_page_is_continued_not_lost():
    sheet = one()
    words = " ".join(f"word{i}x" for i in range(4000))
    sheet.table(COLUMNS, [("before", "1 g", ""), (words, "2 g", "Store"), ("after", "3 g", "")])
    texts = pages(sheet.pdf())
    whole = " ".join(texts)
    assert len(texts) > 3
    assert all(f"word{i}x" in whole for i in range(4000))
    assert "after" in texts[-1]


def test_what_people_type_prints_literally():
    sheet = one(
        title=HOSTILE, department=HOSTILE, printed_by=HOSTILE, computed_from=HOSTILE, subtitle=HOSTILE
    )
    sheet.section(HOSTILE)
    sheet.item(HOSTILE)
    sheet.band(HOSTILE)
    sheet.paragraph(HOSTILE)
    sheet.bullets([HOSTILE])
    sheet.ticks([HOSTILE])
    sheet.facts([(HOSTILE, HOSTILE)])
    sheet.table([Column(HOSTILE), Column("b")], [(HOSTILE, kit.strong(HOSTILE)), Band(HOSTILE)])
    pdf = sheet.pdf()
    assert letters(pdf).count(squeezed(HOSTILE)) >= 14
    assert reader(pdf).metadata.title == HOSTILE


def test_a_word_without_a_break_is_broken_rather_than_cut_off():
    sheet = one(title=UNBROKEN)
    sheet.table(COLUMNS, [(UNBROKEN, UNBROKEN, UNBROKEN)])
    sheet.paragraph(UNBROKEN)
    assert letters(sheet.pdf()).count("Hexa") >= 4 * 120


@pytest.mark.parametrize(
    "name",
    ["Zoë Łukasz-Nuñez", "Ιωάννα", "Дмитро Їжак", "Nguyễn Ệ", "Şükrü İnan", "יעל כהן", "ნინო", "สมชาย"],
)
def test_names_in_many_alphabets_print_in_an_embedded_font(name):
    sheet = one()
    sheet.paragraph(name)
    document = reader(sheet.pdf())
    assert squeezed(name) in squeezed(document.pages[0].extract_text())
    used = document.pages[0]["/Resources"]["/Font"].values()
    for font in (entry.get_object() for entry in used):
        descriptor = font["/FontDescriptor"].get_object()
        assert "/FontFile2" in descriptor, font["/BaseFont"]


@pytest.mark.parametrize("name", ["田中", "さくら", "김민수"])
def test_east_asian_names_print_and_can_be_copied(name):
    sheet = one()
    sheet.paragraph(name)
    assert name in pages(sheet.pdf())[0]


def test_a_character_without_a_drawing_prints_its_code():
    sheet = one()
    sheet.paragraph("flask \U0001f9ea and \x00null\x07bell")
    words = pages(sheet.pdf())[0]
    assert "flask [U+1F9EA] and null bell" in words


def test_a_formula_has_real_subscripts_and_superscripts():
    assert "<sub" in kit.formula("H2SO4")
    assert kit.plain(kit.formula("CuSO4·5H2O")) == "CuSO4·5H2O"
    assert "<sup" in kit.formula("SO4^2-")
    assert kit.plain(kit.equation("Mg(s) + 2 H+(aq) -> Mg^2+(aq) + H2(g)")).startswith("Mg(s) + 2 H")
    assert kit.plain(kit.formula("<b>no formula</b>")) == "<b>no formula</b>"


def test_unchecked_data_is_marked_in_words_and_explained_once():
    sheet = one()
    sheet.table(
        COLUMNS, [(kit.checked("Bromine", False), "1 g", ""), (kit.checked("Iodine", True), "1 g", "")]
    )
    words = " ".join(pages(sheet.pdf()))
    assert "Bromine not verified" in words
    assert "Iodine not verified" not in words
    assert words.count("nobody has yet compared this") == 1
    plain = one()
    plain.paragraph(kit.checked("Iodine", True))
    assert "nobody has yet compared" not in " ".join(pages(plain.pdf()))


def test_an_empty_table_says_so():
    sheet = one()
    sheet.table(COLUMNS, [], empty="No container to fetch.")
    assert "No container to fetch." in pages(sheet.pdf())[0]


def test_a_band_stays_with_its_first_row():
    sheet = one()
    for _ in range(3):
        rows = [
            row
            for i in range(40)
            for row in (Band(f"band{i}x"), (f"first{i}x", "", ""), (f"more{i}x", "", ""))
        ]
        sheet.table(COLUMNS, rows)
    for words in pages(sheet.pdf()):
        for i in range(40):
            assert words.count(f"band{i}x") == words.count(f"first{i}x")


def test_a_paper_that_nobody_has_is_refused():
    with pytest.raises(ValueError, match="choose A4 or Letter"):
        Sheet(head(), "A3")


def test_money_and_dates_read_the_same_everywhere():
    assert kit.money(123450) == "£1,234.50"
    assert kit.money(-5, "$") == "−$0.05"
    assert kit.money(None) == "no price"
    assert kit.short_day(None) == "no date"
    assert kit.day(head().on) == "Fri 27 Nov 2026"


def test_clipping_keeps_the_beginning_and_shows_that_it_cut():
    fonts.register()
    paragraph, cut = kit.clipped("one two three four five " * 30, kit.NOTE, 100, 25)
    assert cut
    assert paragraph.text.startswith("one two")
    assert paragraph.text.endswith("…")
    assert kit.clipped("one", kit.NOTE, 100, 25)[1] is False


def test_a_reaction_that_goes_both_ways_prints_its_arrows():
    sheet = kit.Sheet(head("Arrows"), "A4")
    sheet.paragraph(kit.equation("Fe3+(aq) + SCN-(aq) <=> FeSCN^2+(aq)"))
    sheet.section(kit.equation("N2(g) + 3 H2(g) ⇌ 2 NH3(g)"))
    words = letters(sheet.pdf())
    assert words.count("⇌") == 2
    assert "<=>" not in words
