from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.chemistry.formula import check_cas
from stockroom.safety.ageing import Check, Standing, add_months, ageing_rules, due, expiry, rules_for
from stockroom.safety.published import rows

CAME, TODAY = date(2026, 1, 10), date(2026, 6, 1)
ETHER = ("peroxide_former_b",)


@pytest.mark.parametrize(
    ("day", "months", "then"),
    [
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2027, 12, 15), 2, date(2028, 2, 15)),
        (date(2027, 8, 31), 6, date(2028, 2, 29)),
        (date(2026, 5, 5), 0, date(2026, 5, 5)),
    ],
)
def test_months_on(day, months, then):
    assert add_months(day, months) == then


def test_the_earliest_date_wins_and_says_why():
    bottle = Standing(CAME, date(2026, 2, 1), date(2027, 1, 1), 100, 60)
    assert expiry(bottle).on == date(2026, 4, 2)
    assert expiry(bottle).why == "shelf life after opening"
    assert expiry(Standing(CAME, marked_expiry=date(2027, 1, 1), sealed_days=100)).on == date(2027, 1, 1)
    assert expiry(Standing(CAME, sealed_days=100)).why == "shelf life sealed"
    assert expiry(Standing(CAME)).on is None


def test_ageing_shortens_the_marked_date():
    bottle = Standing(CAME, marked_expiry=date(2030, 1, 1), ageing=ETHER)
    assert expiry(bottle).on == date(2027, 1, 10)
    assert expiry(bottle).why == ageing_rules()["peroxide_former_b"].name


def kinds(bottle, today=TODAY):
    return [(one.kind, one.on, one.overdue) for one in due(bottle, today)]


def test_an_opened_ether_is_tested_and_then_discarded():
    bottle = Standing(CAME, CAME, ageing=ETHER)
    assert kinds(bottle) == [("test", date(2026, 7, 10), False), ("discard", date(2027, 1, 10), False)]
    assert kinds(bottle, date(2026, 8, 1))[0] == ("test", date(2026, 7, 10), True)


def test_a_passed_test_moves_the_next_one_but_not_the_last_day():
    bottle = Standing(CAME, CAME, ageing=ETHER, checks=(Check(date(2026, 6, 1), True, 2.0),))
    assert kinds(bottle) == [("test", date(2026, 12, 1), False), ("discard", date(2027, 1, 10), False)]


def test_a_late_sealed_bottle_is_not_saved_by_opening_it():
    bottle = Standing(date(2024, 1, 1), date(2026, 5, 1), ageing=ETHER)
    assert ("discard", date(2025, 1, 1), True) in kinds(bottle)


@pytest.mark.parametrize(
    ("ppm", "kind"), [(24, "test"), (25, "discard"), (99, "discard"), (100, "stop"), (400, "stop")]
)
def test_peroxide_found(ppm, kind):
    bottle = Standing(CAME, CAME, ageing=ETHER, checks=(Check(date(2026, 5, 1), True, ppm),))
    first = due(bottle, TODAY)[0]
    assert first.kind == kind
    if kind == "stop":
        assert first.hands_off and first.overdue


def test_once_far_too_high_a_later_good_test_does_not_excuse_it():
    checks = (Check(date(2026, 3, 1), False, 250.0), Check(date(2026, 5, 1), True, 0.0))
    assert due(Standing(CAME, CAME, ageing=ETHER, checks=checks), TODAY)[0].kind == "stop"


def test_the_last_other_test_decides():
    failed, passed = Check(date(2026, 3, 1), False), Check(date(2026, 5, 1), True)
    assert due(Standing(CAME, CAME, ageing=("picric_wet",), checks=(passed, failed)), TODAY)[0].kind == "test"
    assert due(Standing(CAME, CAME, ageing=("picric_wet",), checks=(failed,)), TODAY)[0].kind == "stop"


def test_an_age_nobody_knows_is_overdue_where_it_matters():
    assert kinds(Standing(None, ageing=ETHER)) == [("discard", None, True)]
    assert due(Standing(None, ageing=("hygroscopic",)), TODAY) == ()


def test_due_today_is_not_late_yet():
    assert not due(Standing(CAME, CAME, ageing=ETHER), date(2026, 7, 10))[0].overdue


def test_registry_number_brings_the_class():
    assert [rule.key for rule in rules_for((), ["109-99-9"])] == ["peroxide_former_b"]
    assert [rule.key for rule in rules_for(["light_sensitive", "picric_wet"])] == [
        "picric_wet",
        "light_sensitive",
    ]
    with pytest.raises(ValueError, match="no_such"):
        rules_for(["no_such"])


@pytest.mark.parametrize(("cas", "key"), [("88-89-1", "picric_wet"), ("7775-09-9", "chlorate")])
def test_what_grows_dangerous_needs_nobody_to_say_so(cas, key):
    """Picric acid found in a cupboard and added by its number only is watched from that day."""
    assert [rule.key for rule in rules_for((), (cas,))] == [key] and rules_for((), (cas,))[0].dangerous


def test_every_number_that_brings_an_ageing_class_is_real():
    for row in rows("ages_like"):
        check_cas(row["cas"])
        assert row["key"] in ageing_rules() and row["source"] in {one["key"] for one in rows("sources")}


def test_every_row_has_source_and_advice():
    for rule in ageing_rules().values():
        assert rule.source and rule.advice and rule.what_happens
        assert not rule.dangerous or rule.sealed_discard_months is not None
    assert {row["overdue"] for row in rows("ageing")} == {row["key"] for row in rows("ageing_advice")}


days = st.dates(date(2020, 1, 1), date(2026, 12, 31))


@given(days, st.none() | days, st.none() | days, st.sampled_from(sorted(ageing_rules())))
def test_an_ageing_class_never_lengthens_life(received, opened, marked, key):
    plain = expiry(Standing(received, opened, marked, 400, 100)).on
    aged = expiry(Standing(received, opened, marked, 400, 100, (key,))).on
    assert aged <= plain
