import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockroom.chemistry import published
from stockroom.chemistry.aqueous import Addition, BeakerError, Contents, Substance, settle
from stockroom.chemistry.formula import parse_formula
from stockroom.chemistry.reaction import (
    EquationError,
    balance,
    enthalpy_kj,
    formation_kj,
    imbalance,
    parse_equation,
    react,
    react_in_order,
    run_in,
    temperature_rise,
)

MAGNESIUM = parse_equation("Mg(s) + 2 HCl(aq) -> MgCl2(aq) + H2(g)")


@pytest.mark.parametrize(
    "text",
    [
        "2 H2 + O2 -> 2 H2O",
        "2H2+O2->2H2O",
        "2 H2(g) + O2(g) → 2 H2O(l)",
        "2 H₂ + O₂ = 2 H₂O",
        "2 H2 +O2 <=> 2 H2O",
        "H2 + 1/2 O2 --> H2O",
    ],
)
def test_reads_the_spellings_people_use(text):
    equation = parse_equation(text)
    assert [t.formula.hill for t in equation.reactants] == ["H2", "O2"]
    assert not imbalance(equation)


@pytest.mark.parametrize(
    ("text", "charges"),
    [
        ("Na++Cl- -> NaCl", [1, -1]),
        ("Ag+(aq) + Cl-(aq) -> AgCl(s)", [1, -1]),
        ("Fe3+ + SCN- -> FeSCN^2+", [3, -1]),
        ("Cu+2 + 2 OH- -> Cu(OH)2", [2, -1]),
        ("SO4^2- + Ba^2+ -> BaSO4", [-2, 2]),
    ],
)
def test_tells_a_charge_from_a_plus(text, charges):
    equation = parse_equation(text)
    assert [t.formula.charge for t in equation.reactants] == charges
    assert not imbalance(equation)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "write an equation"),
        ("Mg", "one arrow"),
        ("A -> B -> C", "one arrow"),
        ("Mg + -> MgO", "term is missing"),
        ("0 H2 -> H2", "more than 0"),
        ("Mg + Xx -> MgXx", "not an element"),
        ("H2 -> " + "H2 + " * 60 + "H2", "too many"),
        ("H" * 600, "too long"),
    ],
)
def test_says_what_is_wrong_with_the_text(text, says):
    with pytest.raises(EquationError, match=says):
        parse_equation(text)


def test_names_what_does_not_balance():
    unequal = imbalance(parse_equation("Fe3+ + I- -> Fe2+ + I2"))
    assert dict(unequal.atoms) == {"I": 1}
    assert unequal.charge == 0
    assert "1 I too many on the right" in str(unequal)
    assert "charge" in str(imbalance(parse_equation("Fe3+ -> Fe2+")))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Fe -> Au", "no coefficients"),
        ("H2 + O2 -> H2O + H2O2", "more than one way"),
        ("H2 + O2 + H2O -> H2O2 + H2O", "more than one way"),
        ("H2O + O2 -> H2", "wrong side"),
    ],
)
def test_refuses_what_cannot_be_balanced(text, says):
    with pytest.raises(EquationError, match=says):
        balance(parse_equation(text))


@given(st.floats(0, 2), st.floats(0, 2))
def test_mass_is_conserved_whatever_the_amounts(magnesium, acid):
    out = react(MAGNESIUM, {"Mg": magnesium, "HCl": acid})
    before = magnesium * parse_formula("Mg").molar_mass + acid * parse_formula("HCl").molar_mass
    after = sum(p.mass_g for p in out.products)
    after += sum(mol * parse_formula(key).molar_mass for key, mol in out.left)
    assert after == pytest.approx(before, rel=1e-9, abs=1e-9)
    assert min(mol for _, mol in out.left) == pytest.approx(0, abs=1e-9)


def test_both_limit_when_the_amounts_fit():
    assert react(MAGNESIUM, {"Mg": 0.1, "HCl": 0.2}).limiting == ("Mg", "HCl")


def test_a_hydrate_counts_as_its_salt():
    equation = parse_equation("CuSO4 + 2 NaOH -> Cu(OH)2(s) + Na2SO4")
    out = react(equation, {"CuSO4·5H2O": 0.02, "NaOH": 1.0})
    assert out.limiting == ("CuSO4",)
    assert out.extent == pytest.approx(0.02)


def test_the_air_does_not_limit():
    equation = parse_equation("CH4(g) + 2 O2(g) -> CO2(g) + 2 H2O(l)")
    assert react(equation, {"CH4": 0.01}).extent == 0
    assert react(equation, {"CH4": 0.01}, excess=frozenset({"O2"})).extent == pytest.approx(0.01)


def test_the_second_equation_takes_what_the_first_made():
    first = parse_equation("CaO(s) + H2O(l) -> Ca(OH)2(s)")
    second = parse_equation("Ca(OH)2(s) + CO2(g) -> CaCO3(s) + H2O(l)")
    made = react_in_order((first, second), {"CaO": 0.1, "CO2": 0.03}, excess=frozenset({"H2O"}))
    assert made[1].limiting == ("CO2",)
    assert dict(made[1].left)["Ca(OH)2"] == pytest.approx(0.07)


def test_an_unbalanced_equation_is_not_run():
    with pytest.raises(EquationError, match="does not balance"):
        react(parse_equation("Mg + HCl -> MgCl2 + H2"), {"Mg": 1, "HCl": 1})


def test_impossible_amounts_are_refused():
    with pytest.raises(EquationError, match="negative"):
        react(MAGNESIUM, {"Mg": -1, "HCl": 1})
    with pytest.raises(BeakerError, match="smaller amounts"):
        react(MAGNESIUM, {"Mg": 10, "HCl": 20})


def test_heat_needs_every_enthalpy_and_says_which_is_missing():
    heat, missing = enthalpy_kj(parse_equation("Mg + 2 HCl(aq) -> MgCl2(aq) + H2(g)"))
    assert heat is None
    assert missing == ("Mg",)
    # A weak acid in solution is not the sum of its ions.
    assert enthalpy_kj(parse_equation("H3PO4(aq) -> 3 H+ + PO4^3-"))[1] == ("H3PO4(aq)",)


def test_no_mass_no_temperature():
    with pytest.raises(EquationError, match="mass"):
        temperature_rise(1.0, 0)


@pytest.mark.parametrize(
    "text",
    [
        "Fe3+(aq) + SCN-(aq) <=> FeSCN^2+(aq)",
        "2 MnO4- + 16 H+ + 5 C2O4^2- -> 2 Mn2+ + 10 CO2(g) + 8 H2O",
        "CuSO4·5H2O(s) -> CuSO4(s) + 5 H2O(g)",
        "1/2 O2 + H2 ⇌ H2O",
    ],
)
def test_what_is_written_out_plainly_reads_the_same_again(text):
    once = parse_equation(text)
    again = parse_equation(once.plain())
    assert again.plain() == once.plain()
    assert again.reversible == once.reversible == ("<=>" in text or "⇌" in text)
    assert [term.coefficient for term in again.reactants] == [term.coefficient for term in once.reactants]
    assert [term.formula.charge for term in again.products] == [term.formula.charge for term in once.products]
    assert (" ⇌ " if once.reversible else " → ") in str(once)
    assert balance(once).reversible == once.reversible


def _held(contents, gases=()):
    """Atoms in mol and charge of all that is in a beaker and of what has left it, water poured left out."""
    total, charge = {}, 0.0
    held = [*contents.ions.items(), *((i.formula, mol) for i, mol, _ in contents.others)]
    for formula, mol in [*held, *((gas.formula, gas.mol) for gas in gases)]:
        parsed = parse_formula(formula)
        charge += parsed.charge * mol
        for symbol, count in parsed.atoms.items():
            total[symbol] = total.get(symbol, 0.0) + float(count) * mol
    return total, charge


@settings(max_examples=30, deadline=None)
@given(
    st.sampled_from(
        [
            ("2 MnO4- + 16 H+ + 5 C2O4^2- -> 2 Mn2+ + 10 CO2(g) + 8 H2O", "KMnO4", "H2SO4", "Na2C2O4"),
            ("Cu(s) + 2 Ag+(aq) -> Cu2+(aq) + 2 Ag(s)", "Cu", "HNO3", "AgNO3"),
            ("Mg(s) + 2 HCl(aq) -> MgCl2(aq) + H2(g)", "Mg", "HCl", "NaCl"),
            ("2 H2O2(aq) -> 2 H2O(l) + O2(g)", "H2O2", "HCl", "KI"),
            ("IO3- + 5 I- + 6 H+ -> 3 I2 + 3 H2O", "KIO3", "H2SO4", "KI"),
            ("CaCO3(s) + 2 HCl(aq) -> CaCl2(aq) + H2O(l) + CO2(g)", "CaCO3", "HCl", "NaCl"),
        ]
    ),
    st.tuples(st.floats(1e-4, 0.02), st.floats(1e-4, 0.05), st.floats(1e-4, 0.02)),
)
def test_atoms_and_charge_are_conserved_in_the_beaker(case, moles):
    text, *formulas = case
    poured = tuple(Substance("", f, "", mol) for f, mol in zip(formulas, moles, strict=True))
    contents = Contents().with_addition(Addition("all", poured, 100.0, 100.0))
    before, charge = _held(contents)
    assert charge == pytest.approx(0, abs=1e-9)
    run = run_in(contents, parse_equation(text))
    state = settle(run.contents)
    after, charge = _held(state.contents, (*run.gas, *state.gas))
    assert charge == pytest.approx(0, abs=1e-9)
    assert after == pytest.approx(before, abs=1e-7)


def test_keys_of_the_enthalpies_are_those_of_their_formulas():
    rows = published.table("enthalpies.csv")
    assert len({(key, state) for key, _, state, *_ in rows}) == len(rows)
    for key, formula, *_ in rows:
        parsed = parse_formula(formula)
        assert key == f"{parsed.hill}{parsed.charge:+d}"


def test_a_complex_is_not_the_sum_of_its_ions():
    assert formation_kj(parse_formula("Zn(OH)4-2(aq)")) is None
    assert formation_kj(parse_formula("ZnSO4(aq)")) == pytest.approx(-153.39 - 909.34)
