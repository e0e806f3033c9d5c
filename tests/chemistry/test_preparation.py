"""Scaling a preparation to what is needed."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.catalogue.loader import load
from stockroom.chemistry.concentration import Strength
from stockroom.chemistry.preparation import Part, Preparation, scale
from stockroom.chemistry.quantity import parse_amount
from stockroom.chemistry.solution import SolutionError, Stock, dilute

LITRE = 1_000_000


def place(steps, words):
    return next(number for number, step in enumerate(steps) if words in step)


INDICATOR = Preparation(
    "bromothymol blue 0.04 %",
    "volume",
    500_000,
    (
        Part("bromothymol blue", "mass", 200_000),
        Part("ethanol 96 %", "volume", 104_000, "C2H5OH"),
        Part("purified water", "volume", 396_000, "H2O"),
    ),
    ("Dissolve the solid in about 100 mL of the ethanol.", "Make up to 500 mL with 2 mol/L nothing."),
)


def test_a_preparation_is_scaled_up_to_glassware():
    batch = scale(INDICATOR, 700_000)
    assert (batch.amount, batch.factor, batch.vessel.name) == (LITRE, 2, "1 L volumetric flask")
    assert [take.exact for take in batch.takes] == [400_000, 208_000, 792_000]
    assert batch.steps[0] == "Weigh 400 mg of bromothymol blue (balance reading 0.001 g)."
    assert "Have about 790 mL of purified water ready." in batch.steps


def test_the_amounts_in_a_method_follow_and_strengths_do_not():
    steps = scale(INDICATOR, 700_000).steps
    assert "Dissolve the solid in about 200 mL of the ethanol." in steps
    assert "Make up to 1 L with 2 mol/L nothing." in steps
    assert "Make up to 500 mL with 2 mol/L nothing." in scale(INDICATOR, 400_000).steps


def test_without_a_method_the_usual_order_is_written():
    acid = Preparation(
        "acid mixture",
        "volume",
        LITRE,
        (Part("iron(II) sulfate", "mass", 10_000_000), Part("sulfuric acid", "volume", 50_000, "H2SO4")),
    )
    steps = scale(acid, LITRE).steps
    assert place(steps, "dissolve the solids") < place(steps, "never water into acid") < place(steps, "mark")


def test_solids_and_pieces_are_scaled_to_round_numbers():
    powder = Preparation("mixture", "mass", 100_000_000, (Part("salt", "mass", 50_000_000),))
    assert scale(powder, 123_456_789).amount == 130_000_000
    papers = Preparation("papers", "count", 20, (Part("filter paper", "count", 2),))
    batch = scale(papers, 21)
    assert (batch.amount, batch.takes[0].amount) == (40, 4)


@pytest.mark.parametrize("needed", [0, -1, 1.5, 10**16])
def test_an_absurd_need_is_refused(needed):
    with pytest.raises(SolutionError):
        scale(INDICATOR, needed)


def test_a_preparation_without_parts_or_yield_is_refused():
    for preparation in (Preparation("x", "volume", 1000, ()), Preparation("x", "volume", 0, INDICATOR.parts)):
        with pytest.raises(SolutionError):
            scale(preparation, 1000)


@given(
    st.integers(1, 60 * LITRE),
    st.integers(1000, 10 * LITRE),
    st.lists(st.integers(1, 10**8), min_size=1, max_size=4),
)
def test_a_batch_is_enough_and_keeps_its_proportions(needed, yields, amounts):
    parts = tuple(Part(f"part {n}", "mass", amount) for n, amount in enumerate(amounts))
    batch = scale(Preparation("x", "volume", yields, parts), needed)
    assert batch.amount >= needed
    assert batch.factor == Fraction(batch.amount, yields)
    for part, take in zip(parts, batch.takes, strict=True):
        assert part.amount * batch.factor <= take.exact < part.amount * batch.factor + 1


def test_every_preparation_of_the_catalogue_can_be_scaled():
    catalogue = load()
    for preparation in catalogue.preparations.values():
        reagent = catalogue.reagents[preparation.reagent]
        parts = tuple(
            Part(used.name, used.measure, parse_amount(part.amount, used.measure))
            for part in preparation.parts
            for used in [catalogue.reagents[part.reagent]]
        )
        yields = parse_amount(preparation.yields, reagent.measure)
        lines = tuple(preparation.method.strip().splitlines())
        batch = scale(Preparation(reagent.name, reagent.measure, yields, parts, lines), 3 * yields)
        assert batch.amount >= 3 * yields, reagent.name
        assert len(batch.steps) >= len(parts) + len(lines)


def test_a_part_that_warms_the_water_is_warned_of_before_it_is_poured():
    """18 mol/L acid to 3 mol/L: the rise is that of the dilution in solution.dilute, whatever the scale."""
    acid = Part("sulfuric acid 96 %", "volume", 167_000, "H2SO4", Strength(Decimal(96), "% w/w"))
    made = Preparation(
        "sulfuric acid 3 mol/L", "volume", LITRE, (acid,), ("Pour 167 mL of acid into the water.",)
    )
    batch = scale(made, 2 * LITRE)
    (warning,) = batch.warnings
    assert warning.startswith("sulfuric acid 96 %: gets hot")
    assert place(batch.steps, "gets hot") < place(batch.steps, "Pour")
    alone = dilute("x", Stock("y", "H2SO4", acid.strength), Strength(Decimal(3), "mol/L"), LITRE)
    assert alone.heat.warning[1:] in warning
    assert scale(made, LITRE).warnings == batch.warnings


@pytest.mark.parametrize(
    ("part", "said"),
    [
        (Part("sodium hydroxide", "mass", 80_000_000, "NaOH", Strength(None, "pure")), "gets"),
        (Part("ammonium nitrate", "mass", 200_000_000, "NH4NO3", Strength(None, "pure")), "gets cold"),
        (Part("sodium chloride", "mass", 58_000_000, "NaCl", Strength(None, "pure")), ""),
        (Part("sulfuric acid 1 mol/L", "volume", 100_000, "H2SO4", Strength(Decimal(1), "mol/L")), ""),
        (Part("sulfuric acid of some strength", "volume", 500_000, "H2SO4"), ""),
        (Part("something", "volume", 500_000, "", Strength(Decimal(50), "% w/w")), ""),
    ],
    ids=["alkali", "cold", "salt", "dilute", "no strength", "no formula"],
)
def test_only_what_warms_or_cools_much_is_warned_of(part, said):
    warnings = scale(Preparation("x", "volume", LITRE, (part,)), LITRE).warnings
    assert [said in warning for warning in warnings] == ([True] if said else [])
