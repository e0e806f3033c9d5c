"""What may react by electron transfer: that it is said, what it says, and that plain beakers say nothing."""

import csv
from itertools import combinations
from pathlib import Path

import pytest

from stockroom.chemistry import electron_transfer as electrons
from stockroom.chemistry import species
from stockroom.chemistry.aqueous import Addition, Contents, Substance, settle
from stockroom.chemistry.electron_transfer import DANGER, NOTE, WARN, combined, couples, specials, transfers
from stockroom.chemistry.reaction import enthalpy_kj, imbalance, parse_equation, run_in


def beaker(*parts, water=1000.0, celsius=20.0):
    """(formula, mol) or (formula, mol, name) in so much water, at rest."""
    substances = tuple(Substance((*rest, "")[0], formula, "", mol) for formula, mol, *rest in parts)
    return settle(Contents().with_addition(Addition("all", substances, water, water, celsius)))


def words(*parts):
    return " ".join(one.words for one in transfers(beaker(*parts)))


def test_every_half_reaction_balances_and_has_a_source():
    assert len({one.half for one in couples()}) >= 80
    for one in couples():
        assert not imbalance(parse_equation(one.half)), one.half
        assert one.source and one.low_ph < one.high_ph
        left, right, count = electrons._sides(one.half)
        assert count > 0
        kept = {name for t in (*left, *right) for name in (t.key, electrons._total_of(t.key))}
        for key in (*one.oxidants, one.reductant):
            assert key in kept or key == "Mn+2", f"{one.half}: {key}"


def test_every_special_row_balances():
    for row in specials():
        assert row.level in electrons.LEVELS and row.words and row.source
        if row.equation:
            assert not imbalance(parse_equation(row.equation)), row.equation


def test_every_pair_that_may_ever_react_gives_a_balanced_equation():
    count = 0
    for oxidant in couples():
        for reductant in couples():
            if oxidant.half != reductant.half and electrons._pace(oxidant, reductant) is not None:
                for ph in (1, 12):
                    assert not imbalance(combined(oxidant.half, reductant.half, ph))
                    count += 1
    assert count > 1000


def test_the_equation_is_in_smallest_whole_numbers_with_states():
    (one,) = transfers(beaker(("KMnO4", 0.02), ("FeSO4", 0.1), ("H2SO4", 0.3)))
    assert one.equation == "MnO4-(aq) + 5 Fe+2(aq) + 8 H+(aq) -> Mn+2(aq) + 5 Fe+3(aq) + 4 H2O(l)"
    assert enthalpy_kj(parse_equation(one.equation))[0] is not None


@pytest.mark.parametrize(
    ("parts", "level"),
    [
        ((("KMnO4", 0.02), ("HCl", 6)), DANGER),
        ((("NaClO", 0.1), ("NH3", 0.1)), DANGER),
        ((("KClO3", 0.1), ("HCl", 6)), DANGER),
        ((("H2O2", 0.5), ("MnO2", 0.1)), WARN),
        ((("Zn", 0.1), ("HCl", 1)), WARN),
        ((("CuSO4", 0.1), ("Zn", 0.1)), NOTE),
        ((("KMnO4", 0.02), ("FeSO4", 0.1), ("H2SO4", 0.3)), NOTE),
    ],
)
def test_how_loud_it_is_goes_by_what_it_does(parts, level):
    assert transfers(beaker(*parts))[0].level == level


@pytest.mark.parametrize(
    ("parts", "gas"),
    [
        ((("KMnO4", 0.02), ("HCl", 6)), "Cl2"),
        ((("NaClO", 0.1), ("NaCl", 0.1), ("HCl", 0.3)), "Cl2"),
        ((("NaClO", 0.3), ("H2O2", 0.3)), "O2"),
        ((("NaNO2", 0.1), ("HCl", 0.2)), "NO"),
        ((("NaNO2", 0.1), ("NH4Cl", 0.1)), "N2"),
        ((("K2Cr2O7", 0.1), ("H2O2", 0.3), ("H2SO4", 0.5)), "O2"),
        ((("Cu", 0.1), ("HNO3", 10)), "NO2"),
    ],
)
def test_the_gas_it_warns_of_is_in_its_amounts(parts, gas):
    state = beaker(*parts)
    went = [electrons.course(state, one) for one in transfers(state)]
    assert gas in {one.formula for course in went if course for one in course.gas}


def test_following_it_would_warm_the_beaker():
    """Thermit-like displacement: 0.1 mol of copper by zinc gives 21.9 kJ (enthalpies of CODATA) to 1 kg."""
    state = beaker(("CuSO4", 0.1), ("Zn", 0.2))
    (one,) = transfers(state)
    assert electrons.course(state, one).warmer_c == pytest.approx(21.9 / 4.18, rel=0.03)


def test_following_the_equation_uses_up_what_reacts():
    state = beaker(("FeCl3", 0.05), ("KI", 0.1), ("HCl", 0.1))
    (one,) = transfers(state)
    after = settle(run_in(state.contents, parse_equation(one.equation)).contents)
    assert transfers(after) == ()
    assert after.contents.ions["I2"] == pytest.approx(0.025)


PLAIN = (
    *("LiCl", "NaCl", "KCl", "NH4Cl", "MgCl2", "CaCl2", "SrCl2", "BaCl2", "AlCl3", "CrCl3", "MnCl2", "FeCl3"),
    *("CoCl2", "NiCl2", "CuCl2", "ZnCl2", "CuSO4", "ZnSO4", "NaNO3", "KNO3", "Na2SO4", "NaF", "NaBr", "HCl"),
    *("HNO3", "H2SO4", "Na2CO3", "NaHCO3", "Na3PO4", "Na2HPO4", "K2CrO4", "KSCN", "K4Fe(CN)6", "Na2C2O4"),
    *("Pb(NO3)2", "AgNO3", "Cd(NO3)2", "KClO3", "KBrO3", "KIO3", "H3BO3", "Na2SiO3"),
)
#: pairs of PLAIN that do react by electron transfer
REACT = {
    ("NaBr", "KBrO3"): "only in acid",
    ("CuCl2", "KSCN"): "black copper(II) thiocyanate",
    ("CuSO4", "KSCN"): "black copper(II) thiocyanate",
}


def test_plain_precipitation_and_acids_with_bases_say_nothing():
    """Salts of a school at 0.1 mol/L, two by two: sulfate, nitrate, chloride with iron(III) and the like."""
    alarms = {
        (a, b): words((a, 0.1), (b, 0.1))
        for a, b in combinations(PLAIN, 2)
        if (a, b) not in REACT and words((a, 0.1), (b, 0.1))
    }
    air = "oxygen of the air"
    assert {pair: said for pair, said in alarms.items() if not said.startswith(air)} == {}


@pytest.mark.parametrize(
    "parts",
    [
        (("AgNO3", 0.05), ("KI", 0.05)),
        (("AgNO3", 0.05), ("Na2S", 0.025)),
        (("FeCl3", 0.02), ("K4Fe(CN)6", 0.015)),
        (("FeSO4", 0.02), ("K3Fe(CN)6", 0.015)),
        (("FeCl3", 0.1), ("KSCN", 0.1)),
        (("Pb(NO3)2", 0.01), ("KI", 0.02)),
        (("CuSO4", 0.1), ("Na2S", 0.1)),
        (("Cu", 0.1), ("HCl", 1)),
        (("Cu", 0.1), ("ZnSO4", 0.1)),
        (("Ag", 0.1), ("CuSO4", 0.1)),
        (("Zn", 0.1), ("MgSO4", 0.1)),
        (("Fe", 0.1), ("ZnSO4", 0.1)),
        (("KI", 0.1), ("H2SO4", 0.1)),
        (("KI", 0.1), ("KNO3", 0.1)),
        (("KIO3", 0.1), ("KI", 0.1)),
        (("FeCl3", 0.1), ("Na2C2O4", 0.1)),
        (("FeCl3", 0.1), ("NaBr", 0.1)),
        (("FeSO4", 0.1), ("HNO3", 0.1)),
        (("KI", 0.1), ("HNO3", 0.1)),
        (("H2O2", 0.1),),
        (("NaClO", 0.1),),
        (("KMnO4", 0.02), ("H2SO4", 0.5)),
        (("K2Cr2O7", 0.05), ("HCl", 0.1)),
        (("NH4Cl", 0.1), ("NaNO3", 0.1)),
        (("Zn", 0.1),),
        (("Fe", 0.1), ("NaOH", 1)),
    ],
)
def test_what_leaves_each_other_alone(parts):
    assert words(*parts) == ""


@pytest.mark.parametrize(
    "parts",
    [
        (("K2Cr2O7", 0.02), ("H2C2O4", 0.05, "oxalic acid"), ("H2SO4", 0.2)),
        (("NH4Cl", 1), ("NaNO2", 1)),
        (("KClO4", 0.1), ("KI", 0.1)),
        (("Pb", 0.1), ("HCl", 1)),
        (("K2S2O8", 0.05), ("KI", 0.1)),
        (("H2O2", 0.5), ("NaOH", 0.5)),
        (("Mg", 0.1),),
        (("FeSO4", 0.1), ("NaOH", 0.2)),
    ],
)
def test_known_slow_ones_are_called_slow(parts):
    found = transfers(beaker(*parts))
    assert found and found[0].slow
    assert "slow" in found[0].words or "air" in found[0].words


def test_a_reagent_that_equilibrium_cannot_follow_still_reacts():
    state = beaker(("Br2", 0.05), ("KI", 0.1))
    assert state.ph is None
    found = transfers(state)
    assert any("bromine" in one.words.lower() and "iodine" in one.words for one in found)
    run = run_in(state.contents, parse_equation("Br2(aq) + 2 I-(aq) -> 2 Br-(aq) + I2(aq)"))
    after = settle(run.contents)
    assert after.ph is not None and after.contents.ions["I2"] == pytest.approx(0.05)


def test_without_a_ph_it_still_warns():
    state = beaker(("KMnO4", 0.1), ("H2SO4", 20))
    assert state.ph is None
    assert any("explodes" in one.words for one in transfers(state))


def test_reads_no_formula_where_nothing_reacts(monkeypatch):
    """The first answer of a process must not parse the table."""
    state = beaker(("Mg(OH)2", 0.02), ("HCl", 0.01))
    monkeypatch.setattr(electrons, "parse_equation", None)
    electrons._sides.cache_clear()
    assert transfers(state) == ()


def test_the_tables_are_as_their_readers_take_them():
    folder = Path(species.__file__).parent / "tables"
    for name, wide in (("potentials.csv", 11), ("transfers.csv", 10)):
        with (folder / name).open(newline="", encoding="utf-8") as lines:
            assert {len(row) for row in csv.reader(lines)} == {wide}
