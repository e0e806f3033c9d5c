from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.safety.published import rows
from stockroom.safety.storage import (
    SEVERITIES,
    Item,
    Place,
    conflicts,
    conflicts_of,
    findings,
    mixing_conflicts,
    reactivity_groups,
    safe_places,
    signature,
)

SHELF = Place("s", "Shelf 1")
ACIDS = Place("a", "Acids cabinet", "acids")


def bottle(number, reagent, *groups, place="s", **more):
    return Item(number, reagent, reagent, groups=frozenset(groups), location_id=place, **more)


def acid(number, place="s", **more):
    return bottle(number, "hydrochloric acid", "acid_strong", place=place, storage_kind="acids", **more)


def bleach(number, place="s", **more):
    return bottle(number, "bleach", "hypochlorite", place=place, **more)


def test_a_conflict_says_what_happens_and_by_which_rule():
    (found,) = conflicts([acid(1), bleach(2)], [SHELF])
    assert {found.item_a.id, found.item_b.id} == {1, 2}
    assert found.place == SHELF
    assert found.severity == "severe"
    assert "chlorine" in " ".join([found.consequence, *(also.consequence for also in found.also)])
    assert found.source and all(also.source for also in found.also)


def test_one_conflict_for_two_reagents_however_many_bottles():
    (found,) = conflicts([acid(1), acid(2), bleach(3), bleach(4), bleach(5)], [SHELF])
    assert sorted((found.ids_a, found.ids_b)) == [(1, 2), (3, 4, 5)]


def test_other_places_do_not_matter():
    assert conflicts([acid(1, place="a"), bleach(2)], [SHELF, ACIDS]) == ()
    assert conflicts([acid(1, place=None), bleach(2, place=None)]) == ()


def test_two_bottles_of_one_reagent_never_conflict():
    odd = [bottle(n, "odd", "acid_strong", "base_strong", "cyanide") for n in (1, 2)]
    assert conflicts(odd) == ()


def test_worst_first():
    found = conflicts([acid(1), bleach(2), bottle(3, "sodium carbonate", "base_dilute")], [SHELF])
    assert [SEVERITIES.index(one.severity) for one in found] == sorted(
        SEVERITIES.index(one.severity) for one in found
    )
    assert found[0].severity == "severe" and found[-1].severity == "caution"


def test_nothing_known_conflicts_with_everything_hazardous():
    unknown = bottle(1, "grey powder")
    (found,) = conflicts([unknown, bottle(2, "ethanol", "alcohol")])
    assert found.rule == "not classified yet"
    assert conflicts([unknown, bottle(2, "sand", "inert", classified=True)]) == ()


def test_an_unknown_word_is_not_known_either():
    assert not signature(bottle(1, "x", "no such word")).known


@pytest.mark.parametrize("words", [("solid",), ("aqueous",), ("solid", "aqueous")])
def test_the_state_of_a_thing_says_nothing_of_its_hazards(words):
    (found,) = conflicts([acid(1), bottle(2, "white powder", *words)], [SHELF])
    assert found.rule == "not classified yet"


def test_a_liquid_fatal_if_inhaled_counts_as_zone_a_until_its_class_is_written_down():
    vapour = bottle(1, "some liquid", "toxic", hazard_keys=frozenset({"acute_tox_inhalation_1"}))
    alcohol = bottle(2, "alcohol", "alcohol", transport_class="3", classified=True)
    assert "transport classes 3 and 6.1A: X" in {found.rule for found in findings(vapour, alcohol)}
    solid = bottle(3, "some solid", "toxic", "solid", hazard_keys=frozenset({"acute_tox_inhalation_1"}))
    assert not findings(solid, alcohol)


def test_classes_missing_are_taken_for_the_worst_the_group_allows():
    nitrate, acetone = (
        bottle(1, "nitrate", "nitrate"),
        bottle(2, "acetone", transport_class="3", classified=True),
    )
    assert signature(nitrate).transport == {"5.1"}
    assert conflicts([nitrate, acetone])
    known = bottle(1, "nitrate", "nitrate", transport_class="none")
    assert signature(known).transport == frozenset()


def test_hazard_classes_bring_their_groups():
    corrosive = Item(1, "cleaner", "cleaner", hazard_keys=frozenset({"skin_corr_1b"}))
    assert {"acid_strong", "base_strong"} <= signature(corrosive).groups
    named = Item(1, "cleaner", "cleaner", frozenset({"skin_corr_1b"}), frozenset({"base_strong"}))
    assert "acid_strong" not in signature(named).groups
    assert "oxidiser" in signature(Item(1, "x", "x", frozenset({"ox_sol_2"}))).groups
    chlorine = Item(1, "gas", "gas", frozenset({"press_gas_liquefied", "acute_tox_inhalation_2"}))
    assert "2.3A" in signature(chlorine).transport


def test_dilute_acid_and_dilute_base_may_share_a_shelf_and_heat_from_1_5_mol_per_litre():
    weak_acid = bottle(1, "HCl 0.1 mol/L", "acid_dilute", "aqueous", classified=True)
    weak_base = bottle(2, "NaOH 0.1 mol/L", "base_dilute", "aqueous", classified=True)
    assert findings(weak_acid, weak_base) == ()
    assert not mixing_conflicts([weak_acid, weak_base]).unmeant
    acid = bottle(1, "HCl 2 mol/L", "acid_dilute", "acid_molar", "aqueous", classified=True)
    base = bottle(2, "NaOH 2 mol/L", "base_strong", "base_molar", "aqueous", classified=True)
    assert [one.consequence for one in mixing_conflicts([acid, base]).unmeant] == ["Heat"]


def test_meant_reactions_apart_from_unmeant():
    permanganate = bottle(1, "permanganate", "permanganate")
    glycerol = bottle(2, "glycerol", "glycerol", "organic")
    found = mixing_conflicts([permanganate, glycerol, acid(3)], [frozenset({"permanganate", "glycerol"})])
    assert [{one.item_a.id, one.item_b.id} for one in found.meant] == [{1, 2}]
    assert {1, 3} in [{one.item_a.id, one.item_b.id} for one in found.unmeant]


def test_safe_places_come_first_and_the_others_say_why_not():
    new = acid(9, place=None)
    full = Place("f", "Full acids cabinet", "acids", capacity=1)
    places = [SHELF, ACIDS, full, Place("b", "Acids with bleach", "acids")]
    stand = [bleach(1), acid(2, place="a"), acid(3, place="f"), bleach(4, place="b")]
    advice = safe_places(new, places, stand)
    assert advice[0].place == ACIDS and advice[0].safe
    assert sum(one.safe for one in advice) == 1
    by_name = {one.place.id: one for one in advice}
    assert not by_name["f"].has_room
    assert not by_name["s"].kind_suits
    assert by_name["b"].conflicts[0].severity == "severe"


# --- the cabinet around a shelf

TRAYS = [Place(f"t{n}", f"Cabinet › Tray {n}", "general", None, "c") for n in (1, 2)]
CABINET_PLACE = Place("c", "Cabinet", "general", 0, "c")


def pair(*, a=(), b=(), **more):
    """Two bottles on the two trays of one cabinet."""
    return [bottle(1, "a", *a, place="t1", **more), bottle(2, "b", *b, place="t2", **more)]


@pytest.mark.parametrize(
    ("a", "b"),
    [
        (("hypochlorite", "aqueous"), ("ammonia", "aqueous")),
        (("hypochlorite", "aqueous"), ("acid_dilute", "aqueous")),
        (("hypochlorite", "solid"), ("acid_dilute", "solid")),
        (("acid_oxidising",), ("acid_organic", "flammable")),
        (("acid_oxidising",), ("flammable", "solvent")),
        (("acid_oxidising",), ("organic", "solid")),
        (("peroxide_former", "flammable"), ("peroxide", "aqueous")),
        (("peroxide_former", "flammable"), ("acid_oxidising",)),
        (("metal_active", "water_reactive", "solid"), ("aqueous", "inert")),
        (("metal_active", "solid"), ("acid_strong", "aqueous")),
        (("cyanide", "solid"), ("acid_dilute", "aqueous")),
        (("sulfide", "solid"), ("acid_strong", "aqueous")),
        (("permanganate", "solid"), ("glycerol", "organic")),
        (("azide", "solid"), ("metal_heavy", "solid")),
        (("acid_strong", "aqueous"), ("base_strong", "aqueous")),
    ],
)
def test_gas_and_fire_reach_across_the_trays_of_a_cabinet(a, b):
    (found,) = conflicts(pair(a=a, b=b), [*TRAYS, CABINET_PLACE])
    assert found.place == CABINET_PLACE and found.reach == "cabinet"
    assert found.apart == "Never in one cabinet, whatever the tray"
    assert found.source and found.rule
    assert conflicts(pair(a=a, b=b), [replace(tray, cabinet=tray.id) for tray in TRAYS]) == ()


@pytest.mark.parametrize(
    ("a", "b"),
    [
        (("base_dilute", "aqueous"), ("acid_strong", "aqueous")),
        (("metal_active", "solid"), ("acid_dilute", "aqueous")),
        (("nitrate", "solid"), ("organic", "solid")),
        (("metal_oxide", "solid"), ("metal_powder", "solid")),
    ],
)
def test_milder_pairs_may_share_a_cabinet_on_separate_trays_but_not_one_tray(a, b):
    items = pair(a=a, b=b, transport_class="none")
    assert conflicts(items, TRAYS) == ()
    (found,) = conflicts([replace(item, location_id="t1") for item in items], TRAYS)
    assert (found.reach, found.place) == ("shelf", TRAYS[0])
    assert "separate trays" in found.apart


def test_a_gas_is_held_by_no_tray_and_a_leak_by_one():
    def reach(one, other):
        a, b = pair(a=("inert",), b=("inert",), classified=True)
        return findings(replace(a, transport_class=one), replace(b, transport_class=other))[0].reach

    assert reach("5.1", "3") == "shelf"
    assert reach("2.3B", "3") == "cabinet"
    assert reach("6.1A", "3") == "cabinet"
    assert reach("8", "5.1") == "cabinet"


def test_nothing_known_keeps_a_cabinet_to_itself():
    (found,) = conflicts(pair(b=("alcohol",)), [*TRAYS, CABINET_PLACE])
    assert (found.rule, found.reach) == ("not classified yet", "cabinet")


def test_an_open_room_is_no_cabinet():
    room = [Place("t1", "Room 1"), Place("t2", "Room 1 › Rack")]
    assert conflicts(pair(a=("hypochlorite",), b=("ammonia",)), room) == ()


def test_no_tray_of_the_cabinet_is_safe_beside_what_must_not_share_it():
    new = bleach(9, place=None)
    stand = [bottle(1, "ammonia", "ammonia", place="t1")]
    advice = safe_places(new, [*TRAYS, Place("z", "Elsewhere")], stand)
    assert [one.place.id for one in advice if one.safe] == ["z"]
    assert {one.conflicts[0].place.id for one in advice[1:]} == {"t1", "c"}


@given(
    st.lists(
        st.builds(
            bottle,
            st.integers(0, 10**6),
            st.sampled_from("pqrstuv"),
            st.sampled_from(sorted(reactivity_groups())),
            st.sampled_from(["solid", "aqueous", "organic"]),
            place=st.sampled_from([0, 1, 2, 3]),
        ),
        max_size=12,
        unique_by=lambda item: item.id,
    )
)
def test_cabinets_agree_with_looking_at_every_two_bottles(stand):
    places = [Place(n, str(n), cabinet="c" if n < 2 else None) for n in range(4)]

    def clash(a, b):
        if a.reagent_key == b.reagent_key:
            return False
        found = findings(a, b)
        near = a.location_id < 2 and b.location_id < 2
        return bool(found) and (a.location_id == b.location_id or (near and found[0].reach == "cabinet"))

    slow = {frozenset((a.id, b.id)) for a in stand for b in stand if clash(a, b)}
    fast = {frozenset((a, b)) for one in conflicts(stand, places) for a in one.ids_a for b in one.ids_b}
    assert fast == slow
    for item in stand:
        others = [other for other in stand if other.id != item.id]
        here = next(place for place in places if place.id == item.location_id)
        told = {pk for one in conflicts_of(item, others, here, places) for pk in one.ids_b}
        assert told == {other.id for other in others if clash(item, other)}


def test_an_item_is_not_in_its_own_way():
    assert safe_places(acid(1, place="a"), [Place("a", "Acids", "acids", capacity=1)], [acid(1, place="a")])[
        0
    ].safe


def test_every_word_of_the_tables_is_in_the_vocabulary():
    known = reactivity_groups().keys()
    for table, columns in (
        ("appendix_v", "ab"),
        ("named_pairs", "ab"),
        ("hazard_groups", ("groups", "unless")),
    ):
        for row in rows(table):
            used = {word for column in columns for word in row[column].split() if not word[0].isdigit()}
            assert used <= known, (table, row)


def test_every_rule_has_severity_consequence_and_source():
    sources = {row["key"] for row in rows("sources")}
    for row in rows("named_pairs"):
        assert (
            row["severity"] in SEVERITIES and row["consequence"] and row["where"] in ("both", "mix", "store")
        )
        assert row["source"] in sources or "CFR" in row["source"]
    assert all(row["severity"] in SEVERITIES for row in rows("appendix_v"))


groups = st.frozensets(st.sampled_from(sorted(reactivity_groups())), max_size=4)
items = st.builds(
    Item,
    id=st.integers(0, 10**6),
    name=st.sampled_from("abc"),
    reagent_key=st.sampled_from("pqrstuv"),
    groups=groups,
    transport_class=st.sampled_from([None, "3", "5.1", "8", "none"]),
    location_id=st.sampled_from([1, 2]),
)


@given(items, items)
def test_findings_do_not_depend_on_the_order(a, b):
    assert set(findings(a, b)) == set(findings(b, a))


@given(items, items, st.sampled_from(["cyanide", "oxidiser", "acid_strong"]))
def test_more_groups_never_make_a_pair_safer(a, b, word):
    more = replace(a, groups=a.groups | {word})
    if signature(a).known:
        assert set(findings(more, b)) >= {f for f in findings(a, b) if not f.rule.startswith("transport")}


@given(st.lists(items, max_size=12, unique_by=lambda item: item.id))
def test_agrees_with_looking_at_every_two_bottles(stand):
    slow = {
        frozenset((a.id, b.id))
        for a in stand
        for b in stand
        if a.location_id == b.location_id and a.reagent_key != b.reagent_key and findings(a, b)
    }
    fast = {frozenset((a, b)) for one in conflicts(stand) for a in one.ids_a for b in one.ids_b}
    assert fast == slow
