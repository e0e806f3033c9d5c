import pytest

from stockroom.safety.limits import (
    DepartmentLimit,
    Kept,
    department_loads,
    flammable_category,
    largest_container,
    oxidisers_acids_bases,
)
from stockroom.safety.storage import Item


def item(number, *groups, amount=0, hazards=(), place="p", classified=True):
    keys, words = frozenset(hazards), frozenset(groups)
    return Item(
        number,
        f"i{number}",
        f"r{number}",
        keys,
        words,
        "none",
        frozenset(),
        place,
        "general",
        amount,
        classified,
    )


def kept(number, *groups, room="r", measure="volume", **more):
    return Kept(item(number, *groups, **more), measure, room)


def over(stock, limits) -> tuple:
    return tuple(load for load in department_loads(stock, limits) if load.over)


ACIDS = DepartmentLimit("Concentrated acids", "room", 5_000_000, frozenset({"acid_strong", "acid_oxidising"}))


def test_a_limit_of_the_head_over_a_room():
    stock = [kept(1, "acid_strong", amount=3_000_000), kept(2, "acid_oxidising", amount=2_500_000, place="q")]
    (found,) = over(stock, [ACIDS])
    assert (found.have, found.most, found.ids) == (5_500_000, 5_000_000, (1, 2))
    assert found.subject == "r" and "Concentrated acids" in found.why


def test_exactly_the_limit_is_within_and_rooms_are_apart():
    stock = [kept(1, "acid_strong", amount=5_000_000), kept(2, "acid_strong", amount=5_000_000, room="s")]
    assert over(stock, [ACIDS]) == ()


def test_scope_and_measure():
    limit = DepartmentLimit("Oxidisers", "department", 10, frozenset({"nitrate"}), measure="mass")
    stock = [
        kept(1, "nitrate", amount=6, measure="mass"),
        kept(2, "nitrate", amount=6, measure="mass", room="s"),
    ]
    assert over(stock, [limit])[0].subject == "the department"
    assert over([*stock[:1], kept(3, "nitrate", amount=99)], [limit]) == ()


def test_by_hazard_class():
    limit = DepartmentLimit("Flammables", "place", 10, hazards=frozenset({"flam_liq"}))
    assert over([kept(1, "inert", amount=11, hazards=["flam_liq_2"])], [limit])
    assert not over([kept(1, "inert", amount=11, hazards=["skin_irrit_2"])], [limit])


def test_what_is_not_known_counts_towards_every_limit():
    assert over([kept(1, amount=6_000_000, classified=False)], [ACIDS])
    assert over([kept(1, "solid", amount=6_000_000, classified=False)], [ACIDS])


def test_what_has_no_classes_counts_towards_every_limit_that_is_set_by_class():
    limit = DepartmentLimit("Flammables", "place", 10, hazards=frozenset({"flam_liq"}))
    assert over([kept(1, "solvent", amount=11, classified=False)], [limit])
    assert not over([kept(1, "solvent", amount=11)], [limit])
    assert not over([kept(1, "solvent", amount=6_000_000, classified=False)], [ACIDS])


@pytest.mark.parametrize(
    ("thing", "category"),
    [
        (item(1, hazards=["flam_liq_2"]), 2),
        (item(1, "alcohol"), None),
        (item(1, "alcohol", classified=False), 1),
        (item(1, "inert"), None),
        (item(1, "aldehyde", classified=False), 1),
        (item(1, "peroxide_former", classified=False), 1),
        (item(1, "acid_strong", classified=False), None),
        (item(1, classified=False), 1),
        (item(1, "aqueous", classified=False), 1),
        (item(1, "solid", classified=False), None),
    ],
)
def test_category_of_a_liquid(thing, category):
    assert flammable_category(thing) == category


def test_a_material_that_is_not_in_the_table():
    with pytest.raises(ValueError, match="paper"):
        largest_container(1, "paper")


def test_families_in_one_room():
    stock = [
        kept(1, "nitrate"),
        kept(2, "acid_strong"),
        kept(3, "base_strong", room="s"),
        kept(4, "acid_dilute", room="s"),
    ]
    assert oxidisers_acids_bases(stock) == (("r", ("acids", "oxidisers")),)


def test_what_is_not_known_may_be_any_of_the_families():
    stock = [kept(1, "nitrate"), kept(2, classified=False), kept(3, classified=False, room="s")]
    assert oxidisers_acids_bases(stock) == (("r", ("not classified yet", "oxidisers")),)
