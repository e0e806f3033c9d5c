"""29 CFR 1910.106: container sizes (Table H-12), storage cabinets and amounts outside cabinets.

Source: Code of Federal Regulations, title 29, section 1910.106(d)(2)(iii), (d)(3)(i) and (e)(2)(ii)(b), with
the GHS categories of 2012; from memory. One US gallon is 231 cubic inches, 3.785411784 L (NIST Handbook 44,
App. C).
"""

import pytest

from stockroom.safety.limits import (
    Bottle,
    cabinet_loads,
    container_findings,
    largest_container,
    room_loads,
)

PINT, QUART, GALLON = 473_176, 946_352, 3_785_411  # microlitres, rounded down
TABLE_H_12 = [
    ("glass", {1: PINT, 2: QUART, 3: GALLON, 4: GALLON}),
    ("metal", {1: GALLON, 2: 18_927_058, 3: 18_927_058, 4: 18_927_058}),  # 1, 5, 5, 5 gallons
    ("safety can", {1: 7_570_823, 2: 18_927_058, 3: 18_927_058, 4: 18_927_058}),  # 2, 5, 5, 5 gallons
    ("drum", {1: 227_124_707, 2: 227_124_707, 3: 227_124_707, 4: 227_124_707}),  # 60 gallons
]


@pytest.mark.parametrize(("material", "sizes"), TABLE_H_12)
@pytest.mark.parametrize("category", [1, 2, 3, 4])
def test_table_h_12(material, sizes, category):
    assert largest_container(category, material) == sizes[category]


@pytest.mark.parametrize(("category", "size"), [(1, GALLON), (2, GALLON), (3, GALLON)])
def test_glass_up_to_a_gallon_where_metal_would_spoil_it(category, size):
    """(d)(2)(iii)(a): glass or plastic of no more than 1-gallon capacity for category 1 or 2 ..."""
    assert largest_container(category, "glass", spoilt_by_metal=True) == size


def bottle(category, litres, number=1, kind="flammables", **more):
    size = round(litres * 1e6)
    return Bottle(number, f"bottle {number}", category, size, size, "cabinet 1", kind, "room 1", **more)


@pytest.mark.parametrize(
    ("category", "litres", "over"),
    [(2, 0.94, False), (2, 1.0, True), (1, 0.5, True), (3, 2.5, False), (3, 5, True)],
)
def test_a_glass_bottle(category, litres, over):
    assert bool(container_findings([bottle(category, litres)])) == over


def test_a_liquid_without_category_counts_as_the_worst():
    """Own rule: what is not known is not safe."""
    (found,) = container_findings([bottle(None, 0.5)])
    assert found.most == PINT


@pytest.mark.parametrize(("litres", "over"), [(227, False), (228, True)])
def test_a_cabinet_holds_60_gallons_of_category_1_to_3(litres, over):
    """(d)(3)(i): not more than 60 gallons of Category 1, 2, or 3 flammable liquids."""
    shelves = [bottle(category, litres / 3, category, material="drum") for category in (1, 2, 3)]
    assert any(load.over for load in cabinet_loads(shelves)) == over


@pytest.mark.parametrize(("litres", "over"), [(454, False), (455, True)])
def test_a_cabinet_holds_120_gallons_of_category_4(litres, over):
    """(d)(3)(i): nor more than 120 gallons of Category 4 flammable liquids."""
    assert any(load.over for load in cabinet_loads([bottle(4, litres, material="drum")])) == over


@pytest.mark.parametrize(
    ("category", "litres", "over"), [(1, 94, False), (1, 95, True), (2, 454, False), (2, 455, True)]
)
def test_outside_cabinets_25_gallons_of_category_1_and_120_of_the_others(category, litres, over):
    """(e)(2)(ii)(b)(1) and (2), in any one fire area of a building: a room is taken for one."""
    assert any(load.over for load in room_loads([bottle(category, litres, kind="general")])) == over
    assert not any(load.over for load in room_loads([bottle(category, litres)]))
