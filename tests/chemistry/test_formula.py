"""Formulas and CAS numbers as people write them."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.platypus import Paragraph

from stockroom.chemistry.formula import (
    FormulaError,
    anhydrous,
    check_cas,
    markup,
    molar_mass,
    parse_formula,
    plain_markup,
)


@pytest.mark.parametrize(
    "text",
    [
        "CuSO4·5H2O",
        "CuSO4.5H2O",
        "CuSO4*5H2O",
        "CuSO4 · 5 H2O",
        "CuSO4 x 5 H2O",
        "CuSO₄·5H₂O",
        " CuSO4•5H2O ",
    ],
)
def test_a_hydrate_is_the_same_however_written(text):
    formula = parse_formula(text)
    assert formula.atoms == {"Cu": 1, "S": 1, "O": 9, "H": 10}
    assert formula.water == 5
    assert anhydrous(text).atoms == {"Cu": 1, "S": 1, "O": 4}


@pytest.mark.parametrize(
    ("text", "atoms"),
    [
        ("K4[Fe(CN)6]·3H2O", {"K": 4, "Fe": 1, "C": 6, "N": 6, "H": 6, "O": 3}),
        ("Fe(NH4)2(SO4)2·6H2O", {"Fe": 1, "N": 2, "H": 20, "S": 2, "O": 14}),
        ("[Cu(NH3)4]SO4", {"Cu": 1, "N": 4, "H": 12, "S": 1, "O": 4}),
        ("CaSO4·0.5H2O", {"Ca": 1, "S": 1, "O": Fraction(9, 2), "H": 1}),
        ("MgCO3·Mg(OH)2", {"Mg": 2, "C": 1, "O": 5, "H": 2}),
    ],
)
def test_brackets_and_dots_are_counted(text, atoms):
    assert parse_formula(text).atoms == atoms


@pytest.mark.parametrize(
    ("text", "hill", "charge"),
    [
        ("SO4^2-", "O4S", -2),
        ("SO42-", "O4S", -2),
        ("SO4 2-", "O4S", -2),
        ("SO₄²⁻", "O4S", -2),
        ("SO4--", "O4S", -2),
        ("Fe3+", "Fe", 3),
        ("Fe+3", "Fe", 3),
        ("Fe(3+)", "Fe", 3),
        ("Fe^{3+}", "Fe", 3),
        ("NH4+", "H4N", 1),
        ("MnO4-", "MnO4", -1),
        ("Cr2O72-", "Cr2O7", -2),
        ("Hg22+", "Hg2", 2),
        ("I3-", "I3", -1),
        ("H3O+", "H3O", 1),
        ("[Fe(CN)6]3-", "C6FeN6", -3),
        ("C10H15O10-", "C10H15O10", -1),
        ("e-", "", -1),
    ],
)
def test_charges_are_read(text, hill, charge):
    formula = parse_formula(text)
    assert (formula.hill, formula.charge) == (hill, charge)


def test_states_are_read():
    assert parse_formula("Na+(aq)").state == "aq"
    assert parse_formula("CO2↑").state == "g"
    assert parse_formula("BaSO4 (s)").state == "s"
    assert parse_formula("H2O").state == ""


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("", "Write a formula"),
        (None, "Write a formula"),
        ("co2", "capital first"),
        ("NACL", "not an element"),
        ("Fe(III)", "oxidation number"),
        ("2H2O", "number in front"),
        ("H(", "not closed"),
        ("H)", "does not belong"),
        ("()", "empty"),
        ("CuSO4·xH2O", "instead of x"),
        ("N3-", "azide"),
        ("H" * 100_000, "too long"),
        ("(" * 20 + "H" + ")" * 20, "nested too deep"),
        ("C99999999", "counts run"),
        ("H0", "counts run"),
        ("CuSO4·1000H2O", "up to 100"),
        ("CuSO4·1/0H2O", "up to 100"),
        ("CuSO4·", "missing"),
        ("+", "missing"),
    ],
)
def test_a_refusal_says_what_to_change(text, hint):
    with pytest.raises(FormulaError, match=hint):
        parse_formula(text)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_and_drawn_safely(text):
    drawn = markup(text)
    bare = drawn
    for tag in ("<sub>", "</sub>", "<sup>", "</sup>"):
        bare = bare.replace(tag, "")
    assert "<" not in bare
    assert ">" not in bare
    assert isinstance(plain_markup(text), str)


def test_is_drawn_with_subscripts():
    assert markup("CuSO4.5H2O") == "CuSO<sub>4</sub>·5H<sub>2</sub>O"
    assert markup("SO4 2-") == "SO<sub>4</sub><sup>2–</sup>"
    assert markup("<script>") == "&lt;script&gt;"
    assert plain_markup("SO4 2-") == "SO₄²⁻"
    assert plain_markup("not one") == "not one"


def test_reportlab_draws_the_markup():
    paragraph = Paragraph(markup("Cr2O72-"), getSampleStyleSheet()["Normal"])
    rises = [(fragment.text, fragment.rise) for fragment in paragraph.frags]
    assert [rise < 0 for text, rise in rises if text in ("2", "7")] == [True, True]
    assert [rise > 0 for text, rise in rises if text == "2–"] == [True]


@given(st.integers(1, 20), st.integers(1, 20), st.integers(1, 12))
def test_mass_of_a_hydrate_is_salt_plus_water(a, b, n):
    salt = f"Ca{a}Cl{b}"
    assert molar_mass(f"{salt}·{n}H2O") == pytest.approx(molar_mass(salt) + n * molar_mass("H2O"))


@pytest.mark.parametrize(
    "text", ["7732-18-5", "7732185", "CAS 7732-18-5", "CAS RN: 7732–18–5", " 7732 18 5 ", "007732-18-5"]
)
def test_a_cas_number_is_brought_to_its_usual_form(text):
    assert check_cas(text) == "7732-18-5"


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("7732-18-4", "slip"),
        ("water", "write it such as"),
        ("", "write it such as"),
        ("1" * 10**6, "as on the"),
    ],
)
def test_a_wrong_cas_number_is_refused(text, hint):
    with pytest.raises(FormulaError, match=hint):
        check_cas(text)
