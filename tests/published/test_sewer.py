"""Specific prohibitions of the sewer, 40 CFR 403.5(b).

Source: Code of Federal Regulations, title 40, part 403, as of 2023; from memory.
"""

from datetime import date

import pytest

from stockroom.chemistry.residue import Dissolved, Organic, Residue, Solid
from stockroom.safety.sewer import SewerPermission, propose_route, sewer_barriers
from stockroom.safety.waste import Waste, WasteRules

ALLOWED = SewerPermission(True, "letter of the water company", "K. Lind", date(2026, 1, 5))


def salt_water(ph=7.0, *more, **fields):
    parts = (Dissolved("sodium ion", "Na+", "", 0.1), Dissolved("chloride ion", "Cl-", "", 0.1), *more)
    return Waste(Residue(10**6, ph, components=parts, **fields))


def keys(waste, rules=None):
    return {barrier.key for barrier in sewer_barriers(waste, rules)}


def sources(waste):
    return {barrier.source for barrier in sewer_barriers(waste)}


@pytest.mark.parametrize(("ph", "barred"), [(4.9, True), (5.0, False), (7.0, False)])
def test_nothing_below_ph_5(ph, barred):
    """403.5(b)(2): in no case discharges with pH lower than 5.0."""
    assert ("acid" in keys(salt_water(ph))) == barred


@pytest.mark.parametrize(("flash", "barred"), [(59, True), (60, False)])
def test_nothing_with_a_flash_point_below_60(flash, barred):
    """403.5(b)(1): closed cup flashpoint of less than 140 degF or 60 degC."""
    waste = Waste(Residue(10**6, 7.0, organics=(Organic("ethanol", "64-17-5", 4),)), flash_point_c=flash)
    assert ("fire" in keys(waste)) == barred


def test_the_alcohol_exclusion_does_not_open_the_drain():
    """403.5(b)(1) has no exclusion for aqueous alcohol: 15 % ethanol flashes near 42 degC (from memory)."""
    waste = Waste(Residue(10**6, 7.0, organics=(Organic("ethanol", "64-17-5", 15),)))
    assert "fire" in keys(waste)
    assert "40 CFR 403.5(b)(1)" in sources(waste)


def test_no_solids():
    """403.5(b)(3): solid or viscous pollutants in amounts which will cause obstruction."""
    assert "solids" in keys(salt_water(undissolved=(Solid("calcium carbonate", "CaCO3", "471-34-1", 0.1),)))


@pytest.mark.parametrize(("celsius", "barred"), [(39, False), (41, True)])
def test_no_heat(celsius, barred):
    """403.5(b)(5): the plant's limit is 40 degC (104 degF), taken here at the sink."""
    assert ("heat" in keys(salt_water(temperature_c=celsius))) == barred


@pytest.mark.parametrize("formula", ["CN-", "S-2", "HSO3-", "ClO-", "NO2-"])
def test_no_poisonous_gases(formula):
    """403.5(b)(7): pollutants which result in toxic gases, vapors, or fumes."""
    waste = salt_water(8.0, Dissolved("it", formula, "", 0.01))
    assert "40 CFR 403.5(b)(7)" in sources(waste)


@pytest.mark.parametrize(
    "formula", ["Cu+2", "Zn+2", "Ni+2", "Ag+", "Pb+2", "Cr+3", "Cd+2", "Hg+2", "AsO4-3", "MoO4-2"]
)
def test_the_metals_that_local_limits_restrict(formula):
    """EPA, Local Limits Development Guidance (EPA 833-R-04-002A, 2004), from memory."""
    assert "element" in keys(salt_water(7.0, Dissolved("metal", formula, "", 1e-3)))


def test_hazardous_waste_is_collected_even_with_leave():
    route = propose_route(salt_water(7.0, Dissolved("lead ion", "Pb+2", "", 0.01)), ALLOWED)
    assert route.way == "collect"


def test_by_default_it_is_collected():
    """Own rule: no leave written down, no drain; even for salt water."""
    assert propose_route(salt_water()).way == "collect"
    assert propose_route(salt_water(), SewerPermission(False)).way == "collect"
    assert propose_route(salt_water(), ALLOWED).way == "drain"


def test_acid_is_neutralised_first_where_the_drain_is_allowed():
    """40 CFR 264.1(g)(6), elementary neutralisation of waste hazardous only because it is corrosive."""
    route = propose_route(salt_water(1.0), ALLOWED)
    assert route.way == "neutralise"
    assert "covers" in route.steps[0] and "Neutralise" in route.steps[1] and "drain" in route.steps[-1]
    assert propose_route(salt_water(1.0)).way == "collect"


def test_elsewhere_the_note_says_guidance_and_the_limits_are_the_department_s():
    rules = WasteRules("NL", sewer_ph_low=6.5)
    assert "acid" in keys(salt_water(6.0), rules)
    assert "guidance" in propose_route(salt_water(), ALLOWED, rules).note


@pytest.mark.parametrize(
    "residue",
    [
        Residue(10**6, 7.0, unknown=("something",)),
        Residue(10**6, 7.0, components=(Dissolved("phenol", "C6H5OH", "108-95-2", 0.01),)),
        Residue(10**6, 7.0, organics=(Organic("toluene", "108-88-3", 0.5),)),
        Residue(10**6, 7.0, components=(Dissolved("permanganate ion", "MnO4-", "", 0.001),)),
        Residue(10**6, 7.0, components=(Dissolved("odd", "Xx9", "", 0.001),)),
        Residue(10**6, None, components=(Dissolved("sodium ion", "Na+", "", 0.001),)),
    ],
    ids=["unknown", "phenol", "toluene", "permanganate", "unreadable", "no pH"],
)
def test_in_doubt_it_is_collected(residue):
    assert propose_route(Waste(residue), ALLOWED).way == "collect"


@pytest.mark.parametrize(("mol", "way"), [(0.05, "drain"), (2.0, "collect")])
def test_vinegar_and_soda(mol, way):
    """NRC, Prudent Practices in the Laboratory (2011), ch. 8: dilute acetates may go to the sewer; from
    memory. What is strong is collected: own rule."""
    acetate = Dissolved("acetate ion", "C2H3O2-", "", mol)
    assert propose_route(salt_water(8.0, acetate), ALLOWED).way == way
