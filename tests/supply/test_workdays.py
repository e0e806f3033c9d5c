"""The last day to order or to make up is one on which somebody is there."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.supply.allocation import Lot
from stockroom.supply.requirements import Need, Recipe, explode, verdict
from stockroom.supply.workdays import EVERY_DAY, WorkWeek

SCHOOL = WorkWeek.of(range(5))
TUESDAY = datetime.date(2031, 3, 4)
weeks = st.frozensets(st.integers(0, 6), min_size=1).map(WorkWeek)
dates = st.dates(datetime.date(2020, 1, 1), datetime.date(2040, 1, 1))


def march(day):
    return datetime.date(2031, 3, day)


def test_a_saturday_and_a_sunday_go_back_to_friday():
    assert SCHOOL.back(march(8)) == SCHOOL.back(march(9)) == SCHOOL.back(march(7)) == march(7)
    assert SCHOOL.forward(march(8)) == march(10)
    assert WorkWeek.of([6, 0, 1, 2, 3]).back(march(8)) == march(6), "a week from Sunday to Thursday"


def test_a_last_chance_on_a_day_off_is_not_moved_into_the_past():
    assert SCHOOL.back(march(9), not_before=march(8)) == march(9)
    assert SCHOOL.back(march(9), not_before=march(7)) == march(7)


@pytest.mark.parametrize("days", [[], [7], [-1]])
def test_a_week_without_a_working_day_is_refused(days):
    with pytest.raises(ValueError, match="at least one working day"):
        WorkWeek.of(days)


@given(weeks, dates)
def test_back_is_the_last_working_day_and_no_farther_than_the_longest_rest(week, on):
    found = week.back(on)
    assert week.works(found)
    assert 0 <= (on - found).days <= week.longest_rest
    assert not any(week.works(found + datetime.timedelta(n)) for n in range(1, (on - found).days + 1))


DILUTE = Recipe("dilute", 1000, (("stock", 200),), shelf_life_days=90, lead_days=1)
FRESH = Recipe("dilute", 1000, (("stock", 200),), shelf_life_days=1, lead_days=1)


def planned(recipe, week, today=TUESDAY):
    """For Monday 17 March, of something that must stand a day; its part takes three days to come."""
    needs = [Need("dilute", march(17), 500, "class")]
    made = explode(needs, [recipe], {"stock": [Lot(1, 10)]}, {}, {"stock": 3}, today, week=week)
    return made.make_ups[0], made.purchases[0], verdict(needs, made)


def test_it_is_made_up_on_friday_and_its_part_ordered_for_friday():
    make_up, purchase, found = planned(DILUTE, SCHOOL)
    assert make_up.latest == march(14)
    assert (purchase.needed_on, purchase.order_by) == (march(14), march(11))
    assert found.by == march(11)
    make_up, purchase, _ = planned(DILUTE, EVERY_DAY)
    assert (make_up.latest, purchase.order_by) == (march(16), march(13))


def test_an_order_by_on_a_sunday_goes_back_to_friday():
    needs = [Need("salt", march(12), 5, "class")]
    made = explode(needs, [], {}, {}, {"salt": 3}, TUESDAY, week=SCHOOL)
    assert made.purchases[0].order_by == march(7)


def test_what_keeps_for_a_day_is_not_made_up_too_early():
    make_up, purchase, _ = planned(FRESH, SCHOOL)
    assert make_up.latest == march(16), "made up on Friday it would not keep until Monday"
    assert purchase.order_by == march(13)


def test_what_could_only_be_made_up_on_a_day_off_cannot_be_ready():
    needs = [Need("dilute", march(17), 500, "class")]
    for week, missing in ((EVERY_DAY, 0), (SCHOOL, 1)):
        made = explode(needs, [DILUTE], {}, {}, {"stock": 3}, march(13), week=week)
        assert len(verdict(needs, made).shortfalls) == missing


def test_the_first_day_to_make_up_is_a_working_day_too():
    make_up, _, _ = planned(Recipe("dilute", 1000, (("stock", 200),), shelf_life_days=9), SCHOOL)
    assert (make_up.earliest, make_up.latest) == (march(10), march(17)), "not Saturday 8 March"
