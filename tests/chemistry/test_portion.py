from decimal import Decimal

import pytest

from stockroom.catalogue.loader import load
from stockroom.chemistry import species
from stockroom.chemistry.portion import Part, Portion, PortionError, addition_of


def part(name, formula, value, unit):
    return Part(name, formula, "", None if value is None else Decimal(str(value)), unit)


def mol(addition):
    return {s.name: s.mol for s in addition.substances}


def test_a_dilute_solution_by_volume():
    acid = Portion(
        "acid", "volume", 50_000, (part("hydrogen chloride", "HCl", 1, "mol/L"),), "water", Decimal("1.016")
    )
    poured = addition_of(acid)
    assert mol(poured)["hydrogen chloride"] == pytest.approx(0.05, rel=1e-4)
    assert poured.volume_ml == pytest.approx(50)
    assert poured.water_g == pytest.approx(50 * 1.016 - 0.05 * 36.46, rel=1e-3)


def test_a_concentrated_acid_by_volume():
    strong = Portion(
        "acid 37 %",
        "volume",
        10_000,
        (part("hydrogen chloride", "HCl", 37, "% w/w"),),
        "water",
        Decimal("1.18"),
    )
    assert mol(addition_of(strong))["hydrogen chloride"] == pytest.approx(0.12, rel=0.01)


def test_a_solid_by_mass():
    salt = Portion("salt", "mass", 5_844_000, (part("sodium chloride", "NaCl", None, "pure"),), "")
    assert mol(addition_of(salt))["sodium chloride"] == pytest.approx(0.1, rel=1e-3)
    assert addition_of(salt).water_g == 0


def test_a_solution_by_mass_needs_its_density_only_where_told_by_volume():
    paste = Portion("paste", "mass", 10_000_000, (part("calcium hydroxide", "Ca(OH)2", 30, "% w/w"),))
    assert addition_of(paste).water_g == pytest.approx(7)
    molar = Portion("acid", "mass", 10_000_000, (part("hydrogen chloride", "HCl", 1, "mol/L"),))
    with pytest.raises(PortionError, match="density"):
        addition_of(molar)


def test_an_indicator_in_spirit():
    drops = Portion(
        "bromothymol blue",
        "volume",
        1000,
        (part("bromothymol blue", "C27H28Br2O5S", "0.04", "% w/v"), part("ethanol", "C2H5OH", 20, "% v/v")),
        "water",
        Decimal("0.975"),
    )
    poured = addition_of(drops)
    assert mol(poured)["bromothymol blue"] == pytest.approx(6.4e-7, rel=0.01)
    assert poured.water_g == pytest.approx(0.82, abs=0.03)


def test_pieces_need_the_mass_of_one():
    ribbon = Portion("ribbon", "count", 2, (part("magnesium", "Mg", None, "pure"),), "")
    with pytest.raises(PortionError, match="mass of one piece"):
        addition_of(ribbon)
    heavy = Portion("ribbon", "count", 2, (part("magnesium", "Mg", None, "pure"),), "", piece_g=0.1)
    assert mol(addition_of(heavy))["magnesium"] == pytest.approx(0.2 / 24.305, rel=1e-3)


@pytest.mark.parametrize(
    ("portion", "says"),
    [
        (Portion("x", "volume", -1, (part("a", "HCl", 1, "mol/L"),)), "negative"),
        (Portion("x", "volume", 1, ()), "composition"),
        (Portion("x", "volume", 1, (part("acetic acid", "CH3COOH", None, "pure"),), ""), "density"),
        (Portion("x", "volume", 1, (part("a", "nonsense", 1, "g/L"),)), "not a formula"),
        (Portion("x", "volume", 1, (part("a", "", 1, "mol/L"),)), "molar mass"),
        (Portion("x", "volume", 1, (part("a", "HCl", 120, "% w/w"),)), "more than there can be"),
    ],
)
def test_names_what_is_missing(portion, says):
    with pytest.raises(PortionError, match=says):
        addition_of(portion)


def test_the_whole_catalogue_is_told_in_moles_or_says_why_not():
    catalogue, amounts = load(), {"volume": 10_000, "mass": 500_000, "count": 1}
    followed = 0
    for reagent in catalogue.reagents.values():
        parts = []
        for component in reagent.components:
            chemical = catalogue.chemicals[component.chemical]
            parts.append(Part(chemical.name, chemical.formula, chemical.cas, component.value, component.unit))
        portion = Portion(
            reagent.name,
            reagent.measure,
            amounts[reagent.measure],
            tuple(parts),
            reagent.solvent,
            reagent.density,
        )
        try:
            poured = addition_of(portion)
        except PortionError as error:
            assert reagent.name in str(error)
            continue
        kinds = {species.identify(s.formula, s.name, s.cas).kind for s in poured.substances}
        followed += species.UNKNOWN not in kinds
    assert followed > 0.85 * len(catalogue.reagents)
