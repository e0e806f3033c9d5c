"""Hazardous waste generator categories, 40 CFR 260.10 and 262.13-262.17.

Source: Code of Federal Regulations, title 40, as of 2023: 100 and 1,000 kg a month, 1 kg acute and 1,000 kg
on site as summarised by the Iowa Waste Reduction Center (November 2017); 6,000 kg and the days from memory.
"""

from datetime import date, timedelta

import pytest

from stockroom.safety.generator import (
    KG,
    Collected,
    Generated,
    categories,
    category_of,
    mass_from_volume,
    month_of,
    outlook,
)

VERY_SMALL, SMALL, LARGE = categories()
TODAY = date(2026, 3, 10)


@pytest.mark.parametrize(
    ("kg", "acute_kg", "key"),
    [
        (0, 0, "very_small"),
        (100, 0, "very_small"),  # less than or equal to 100 kg
        (100.001, 0, "small"),  # greater than 100 kg
        (999.999, 0, "small"),  # less than 1,000 kg
        (1000, 0, "large"),  # greater than or equal to 1,000 kg
        (10, 1, "very_small"),  # acute: less than or equal to 1 kg
        (10, 1.001, "large"),  # acute: greater than 1 kg
    ],
)
def test_category_by_the_month(kg, acute_kg, key):
    assert category_of(round(kg * KG), round(acute_kg * KG)).key == key


def test_on_site_and_time_limits():
    assert VERY_SMALL.most_on_site == 1000 * KG  # 262.14(a)(4)
    assert SMALL.most_on_site == 6000 * KG and SMALL.most_days == 180  # 262.16(b)
    assert LARGE.most_days == 90  # 262.17(a)


def on(day, kg, acute=False):
    return Generated(TODAY + timedelta(days=day), kg * KG, acute)


def test_months_are_calendar_months():
    """262.13: the amount generated each calendar month."""
    entries = [Generated(date(2026, 2, 28), 60 * KG), Generated(date(2026, 3, 1), 60 * KG)]
    assert month_of(entries, 2026, 3).mass_ug == 60 * KG
    assert month_of(entries, 2026, 3).category == VERY_SMALL


def test_the_day_the_month_s_limit_is_passed():
    found = outlook(VERY_SMALL, [on(-5, 40)], [], [on(2, 60), on(4, 1), on(9, 50)], TODAY)
    assert found.month_limit_on == TODAY + timedelta(days=4)  # 40 + 60 = 100 kg is still within
    assert found.month.mass_ug == 151 * KG
    assert found.month.category == SMALL


def test_a_new_month_begins_at_nothing():
    found = outlook(VERY_SMALL, [on(0, 90)], [], [on(30, 90)], TODAY)
    assert found.month_limit_on is None


def test_one_kilogram_of_acute_waste_and_no_more():
    assert outlook(VERY_SMALL, [on(0, 1, acute=True)], [], [], TODAY).month_limit_on is None
    assert outlook(
        VERY_SMALL, [on(0, 1, acute=True)], [], [on(1, 1, True)], TODAY
    ).month_limit_on == TODAY + timedelta(1)


def test_the_day_there_is_too_much_in_the_house():
    made = [Generated(date(2026, 3 - n, 5), 90 * KG) for n in range(3)]
    made += [Generated(date(2025, n, 5), 90 * KG) for n in range(4, 12)]
    found = outlook(VERY_SMALL, made, [], [on(3, 9), on(5, 2)], TODAY)
    assert found.on_site_ug == 990 * KG
    assert found.on_site_limit_on == TODAY + timedelta(days=5)
    fewer = outlook(VERY_SMALL, made, [Collected(TODAY, 500 * KG)], [on(3, 9), on(5, 2)], TODAY)
    assert fewer.on_site_limit_on is None and fewer.on_site_ug == 490 * KG


def test_a_small_generator_has_180_days():
    found = outlook(SMALL, [], [], [], TODAY, oldest_started_on=date(2026, 1, 1))
    assert found.collect_by == date(2026, 6, 30)
    assert outlook(VERY_SMALL, [], [], [], TODAY, date(2026, 1, 1)).collect_by is None


def test_volume_to_mass():
    """A litre of water weighs a kilogram (SI, definition of the litre)."""
    assert mass_from_volume(1_000_000, 1.0) == KG
