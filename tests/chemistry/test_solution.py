"""Making up solutions: the amounts, the order of working, the warnings and the limits."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.chemistry.concentration import Strength, parse_strength
from stockroom.chemistry.formula import molar_mass
from stockroom.chemistry.quantity import QuantityError
from stockroom.chemistry.solution import (
    Solid,
    SolutionError,
    Stock,
    blend,
    dilute,
    make_from_solid,
)

LITRE = 1_000_000
BLUE = Solid("copper(II) sulfate pentahydrate", "CuSO4·5H2O", active="CuSO4")
OIL = Stock("sulfuric acid 96 %", "H2SO4", parse_strength("96 % w/w"))
MILD = Stock("hydrochloric acid 2 mol/L", "HCl", parse_strength("2 mol/L"))


def made(strength="0.1 mol/L", volume=LITRE, solid=BLUE, **options):
    return make_from_solid("the solution", solid, parse_strength(strength), volume, **options)


def thinned(strength="1 mol/L", volume=LITRE, stock=OIL, **options):
    return dilute("the acid", stock, parse_strength(strength), volume, **options)


def place(steps, words):
    return next(number for number, step in enumerate(steps) if words in step)


def test_a_hydrate_is_weighed_for_the_salt_in_it():
    assert made().takes[0].shown == "24.97 g"
    assert made("15.96 g/L").takes[0].shown == "24.97 g"
    assert made(solid=Solid("copper(II) sulfate", "CuSO4")).takes[0].shown == "15.96 g"


def test_an_impure_solid_is_weighed_more():
    pure, impure = made(solid=Solid("salt", "NaCl")), made(solid=Solid("salt", "NaCl", Decimal("0.98")))
    assert impure.takes[0].exact == pytest.approx(pure.takes[0].exact / 0.98, abs=1)


def test_the_volume_is_rounded_up_to_a_flask_that_exists():
    assert made(volume=600_000).vessel.name == "1 L volumetric flask"
    assert made(volume=600_000, round_up=False).volume == 600_000
    assert made(volume=3 * LITRE).vessel.name == "5 L marked bottle"


def test_beyond_the_largest_bottle_it_is_done_several_times():
    large = made(volume=45 * LITRE)
    assert (large.volume, large.vessel.times) == (60 * LITRE, 3)
    assert any("3 times" in step for step in large.steps)


def test_a_solid_is_dissolved_in_less_than_the_final_volume_and_made_up_to_the_mark():
    steps = made().steps
    assert place(steps, "Weigh") < place(steps, "700 mL") < place(steps, "Add the solid")
    assert place(steps, "Add the solid") < place(steps, "make up to the mark") < place(steps, "label")


def test_acid_goes_into_water_after_the_warning():
    steps = thinned().steps
    assert place(steps, "into a beaker") < place(steps, "Gets warm") < place(steps, "acid into water")
    assert place(steps, "acid into water") < place(steps, "room temperature") < place(steps, "to the mark")


def test_there_is_room_for_the_acid_in_the_water_put_out_first():
    assert "840 mL" in thinned().steps[0]


def test_strong_sulfuric_acid_could_boil():
    strong = thinned("9 mol/L")
    assert strong.heat.rise > 70
    assert "ice bath" in strong.steps[1]
    assert any("Could boil" in warning for warning in strong.warnings)


def test_a_salt_that_cools_says_so():
    cold = made("2 mol/L", solid=Solid("ammonium nitrate", "NH4NO3"))
    assert cold.heat.rise < -10
    assert any("Gets cold" in step for step in cold.steps)


def test_sodium_hydroxide_is_added_a_little_at_a_time():
    steps = made("1 mol/L", solid=Solid("sodium hydroxide", "NaOH")).steps
    assert "a little at a time" in steps[place(steps, "Add the solid")]


def test_fuming_stock_goes_to_the_fume_cupboard():
    fuming = Stock("hydrochloric acid 37 %", "HCl", parse_strength("37 % w/w"))
    assert any("fume cupboard" in warning for warning in thinned(stock=fuming).warnings)
    assert not any("fume cupboard" in warning for warning in thinned("0.1 mol/L", stock=MILD).warnings)


def test_an_acid_whose_heat_is_not_tabled_is_poured_slowly_all_the_same():
    acid = Stock("phosphoric acid 85 %", "H3PO4", parse_strength("85 % w/w"))
    assert any("not tabled" in warning for warning in thinned(stock=acid).warnings)


def test_too_little_to_measure_well_is_said_so():
    tiny = thinned("0.0001 mol/L", 100_000)
    assert any("cannot be measured well" in warning for warning in tiny.warnings)
    assert tiny.error_percent > 5
    assert not any("measured well" in warning for warning in thinned().warnings)


def test_what_is_reached_follows_from_the_rounded_amount():
    acid = thinned()
    take = acid.takes[0]
    assert (take.shown, take.tool) == ("56 mL", "100 mL measuring cylinder")
    assert acid.reached.value == pytest.approx(Decimal(take.amount) / take.exact)
    assert take.rounding_percent == pytest.approx(Decimal("0.609"), abs=Decimal("0.001"))
    assert acid.error_percent > take.rounding_percent


@pytest.mark.parametrize(
    ("change", "hint"),
    [
        ({"strength": "0 mol/L"}, "above nought"),
        ({"volume": 0}, "above nought"),
        ({"volume": 10**17}, "what can be kept"),
        ({"strength": "5 mol/L"}, "will not dissolve"),
        ({"solid": Solid("x", "NaCl", Decimal("1.2"))}, "purity"),
        ({"solid": Solid("x", "NaCl", Decimal(0))}, "purity"),
        ({"solid": Solid("x", "salt")}, "not a formula"),
        ({"solid": Solid("x", "KI"), "strength": "5 % w/w"}, "density of the reagent"),
        ({"solid": Solid("x", "KI"), "strength": "1 mol/L", "solubility_g_l": 100}, "will not dissolve"),
    ],
)
def test_a_solution_that_cannot_be_made_from_a_solid(change, hint):
    with pytest.raises(ValueError, match=hint):
        made(**change)


@pytest.mark.parametrize(
    ("change", "hint"),
    [
        ({"strength": "18.5 mol/L"}, "take a stronger stock"),
        ({"strength": "96 % w/w"}, "take a stronger stock"),
        ({"strength": "0 mol/L"}, "above nought"),
        ({"stock": Stock("x", "KI", parse_strength("5 % w/w"))}, "density of the reagent"),
        ({"volume": -5}, "above nought"),
    ],
)
def test_a_dilution_that_cannot_be_made(change, hint):
    with pytest.raises(QuantityError, match=hint):
        thinned(**change)


def test_two_strengths_make_one_between():
    weak = Stock("hydrochloric acid 0.1 mol/L", "HCl", parse_strength("0.1 mol/L"))
    between = blend("hydrochloric acid 1 mol/L", MILD, weak, parse_strength("1 mol/L"), 500_000)
    assert [take.exact for take in between.takes] == [236_842, 263_158]
    assert between.reached.value == pytest.approx(Decimal(1), rel=Decimal("0.01"))
    with pytest.raises(SolutionError, match="does not lie between"):
        blend("x", MILD, weak, parse_strength("3 mol/L"), 500_000)
    with pytest.raises(SolutionError, match="of one chemical"):
        blend("x", MILD, OIL, parse_strength("1 mol/L"), 500_000)


strengths = st.decimals("0.05", "17", places=3)
volumes = st.integers(50_000, 20 * LITRE)


@given(strengths, volumes)
def test_moles_and_mass_are_conserved_through_a_dilution(mol_l, volume):
    acid = dilute("acid", OIL, Strength(mol_l, "mol/L"), volume)
    taken = acid.takes[0].exact
    one_microlitre = OIL.mol_l
    assert abs(OIL.mol_l * taken - mol_l * acid.volume) <= one_microlitre
    stock_g = Decimal(taken) / 1000 * Decimal("1.8355")
    solute_g = mol_l * acid.volume / LITRE * Decimal(str(molar_mass("H2SO4")))
    assert abs(solute_g - stock_g * Decimal("0.96")) <= Decimal("0.002")
    assert acid.water_g >= stock_g * Decimal("0.04") - Decimal("0.002")  # water is added, never taken away


@given(st.decimals("0.001", "1", places=3), volumes)
def test_the_salt_weighed_is_the_salt_in_the_flask(mol_l, volume):
    blue = make_from_solid("blue", BLUE, Strength(mol_l, "mol/L"), volume)
    grams = Decimal(blue.takes[0].exact) / LITRE
    assert grams / Decimal(str(molar_mass("CuSO4·5H2O"))) == pytest.approx(
        mol_l * blue.volume / LITRE, rel=Decimal("1e-4")
    )
    assert blue.volume >= volume
