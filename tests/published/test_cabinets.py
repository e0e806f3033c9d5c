"""How far apart things must stand, against what published guides say of cabinets, trays and refrigerators.

- NIOSH and CPSC, School Chemistry Laboratory Safety Guide, DHHS (NIOSH) 2007-107 (2006), "How Should
  Chemicals Be Stored?": acids in a cabinet of their own; nitric acid alone; water-sensitive things apart.
- Lawrence Berkeley National Laboratory, "ABC's of Storing Chemicals" (November 2017): the least segregation.
- PHMSA, interpretation 99-0300 (2000), of 49 CFR 177.848(e)(3): where a barrier keeps a leak from mingling,
  materials marked O may go together; Class 8 liquids never above nor beside Class 4.
- NRC, Prudent Practices in the Laboratory (1995), 4.E.2: no flammable liquid in a refrigerator that is not
  approved for it.
All read on 27 November 2026.
"""

import pytest

from stockroom.safety.storage import CABINET, SHELF, Item, Place, cabinet_findings, findings, refusal

KINDS = {
    "acid": {"acid_strong", "aqueous"},
    "organic acid": {"acid_organic", "flammable"},
    "oxidizing acid": {"acid_oxidising", "aqueous"},
    "base": {"base_strong", "aqueous"},
    "magnesium": {"metal_active", "solid"},
    "sodium": {"metal_active", "water_reactive", "solid"},
    "water": {"aqueous", "inert"},
    "flammable": {"flammable", "solvent"},
    "combustible solid": {"organic", "solid"},
    "oxidizer": {"oxidiser", "solid"},
    "peroxide": {"peroxide", "aqueous"},
    "cyanide": {"cyanide", "solid"},
    "sulfide": {"sulfide", "solid"},
    "hypochlorite": {"hypochlorite", "aqueous"},
    "ammonia": {"ammonia", "aqueous"},
}


def bottle(name):
    return Item(name, name, name, groups=frozenset(KINDS[name]))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        *(("acid", "base"), ("organic acid", "base"), ("oxidizing acid", "base")),
        *(("acid", "magnesium"), ("organic acid", "magnesium"), ("acid", "sodium")),
        *(("oxidizing acid", "organic acid"), ("oxidizing acid", "acid")),
        *(("oxidizing acid", "flammable"), ("oxidizer", "flammable"), ("peroxide", "flammable")),
        *(("oxidizing acid", "combustible solid"), ("peroxide", "combustible solid")),
        *(("acid", "cyanide"), ("acid", "sulfide"), ("acid", "hypochlorite")),
    ],
)
def test_what_a_national_laboratory_keeps_segregated_does_not_share_a_cabinet(one, other):
    """LBNL 2017: each of these is one of its least segregations."""
    assert cabinet_findings(bottle(one), bottle(other)), (one, other)


@pytest.mark.parametrize("other", ["acid", "organic acid", "flammable", "combustible solid", "magnesium"])
def test_nitric_acid_stands_alone(other):
    """NIOSH 2007-107: alone, unless the cabinet has a compartment for it."""
    assert cabinet_findings(bottle("oxidizing acid"), bottle(other))


@pytest.mark.parametrize("other", ["water", "acid", "base", "ammonia", "hypochlorite", "peroxide"])
def test_what_reacts_with_water_stands_apart_from_all_that_is_wet(other):
    """NIOSH 2007-107: in a watertight cabinet, apart from all other chemicals."""
    assert cabinet_findings(bottle("sodium"), bottle(other))


def transported(name, class_):
    return Item(name, name, name, groups=frozenset({"inert"}), transport_class=class_, classified=True)


def test_a_barrier_serves_where_the_table_says_o_but_not_for_a_corrosive_beside_a_flammable_solid():
    """PHMSA 99-0300."""
    oxidizer, flammable = transported("a", "5.1"), transported("b", "3")
    (found,) = findings(oxidizer, flammable)
    assert found.rule.endswith(": O") and found.reach == SHELF
    (found,) = findings(transported("c", "8"), transported("d", "4.1"))
    assert found.rule.endswith(": O") and found.reach == CABINET


def test_no_flammable_liquid_in_a_refrigerator_that_is_not_rated_for_it():
    """NRC 1995, 4.E.2."""
    cold, rated = Place(1, "Refrigerator", "cold"), Place(2, "Refrigerator", "cold_flam")
    assert refusal(bottle("flammable"), cold).severity == "severe"
    assert refusal(bottle("flammable"), rated) is None
    assert refusal(bottle("acid"), cold) is None
