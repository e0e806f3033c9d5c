"""Hazardous waste a month against the generator categories, and the day a limit would be reached.

40 CFR 260.10 and 262.13-262.17. Masses are integers in micrograms. Outside the US: guidance, with limits of
the department's own.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

from stockroom.safety.published import rows

KG = 1_000_000_000  # micrograms


@dataclass(frozen=True)
class Category:
    """One generator category. None where there is no limit. `most_month` itself is out for "small"."""

    key: str
    name: str
    most_month: int | None
    most_acute_month: int | None
    most_on_site: int | None
    most_days: int | None
    source: str


@dataclass(frozen=True)
class Generated:
    """Hazardous waste made on a day: micrograms, whether acutely hazardous, and where it comes from."""

    on: date
    mass_ug: int
    acute: bool = False
    ref: str = ""


@dataclass(frozen=True)
class Collected:
    """Hazardous waste taken away on a day, the acutely hazardous apart."""

    on: date
    mass_ug: int
    acute: bool = False


@dataclass(frozen=True)
class Month:
    """One calendar month: what was made, and the category it puts the department in."""

    year: int
    month: int
    mass_ug: int
    acute_ug: int
    category: Category


@dataclass(frozen=True)
class Outlook:
    """How a department stands in a category.

    `month` is the month of `today` with all that is planned in it. `month_limit_on` is the first day from
    today on which a month's limit is passed, `on_site_limit_on` the first day with too much in the house,
    `collect_by` the last day for the oldest container; each None if not in what is known and planned.
    """

    category: Category
    month: Month
    on_site_ug: int
    month_limit_on: date | None
    on_site_limit_on: date | None
    collect_by: date | None


@cache
def categories() -> tuple[Category, ...]:
    """The categories of tables/generator_limits.csv, smallest first."""

    def mass(text: str) -> int | None:
        return int(float(text) * KG) if text else None

    return tuple(
        Category(
            row["category"],
            row["name"],
            mass(row["most_kg_month"]),
            mass(row["most_acute_kg_month"]),
            mass(row["most_on_site_kg"]),
            int(row["most_days"]) if row["most_days"] else None,
            row["source"],
        )
        for row in rows("generator_limits")
    )


def within_month(category: Category, mass_ug: int, acute_ug: int) -> bool:
    """Whether a month's waste keeps within a category.

    At most 100 kg is very small; more than that and less than 1,000 kg is small (40 CFR 260.10).
    """
    most, acute = category.most_month, category.most_acute_month
    ordinary = most is None or (mass_ug < most if category.key == "small" else mass_ug <= most)
    return ordinary and (acute is None or acute_ug <= acute)


def category_of(mass_ug: int, acute_ug: int = 0, known: tuple[Category, ...] | None = None) -> Category:
    """The smallest category whose limits a month's waste keeps within; acute waste is counted apart."""
    return next(one for one in known or categories() if within_month(one, mass_ug, acute_ug))


def month_of(
    entries: Iterable[Generated], year: int, month: int, known: tuple[Category, ...] | None = None
) -> Month:
    """The total of a calendar month; `known` replaces the published categories."""
    here = [entry for entry in entries if (entry.on.year, entry.on.month) == (year, month)]
    ordinary = sum(entry.mass_ug for entry in here if not entry.acute)
    acute = sum(entry.mass_ug for entry in here if entry.acute)
    return Month(year, month, ordinary, acute, category_of(ordinary, acute, known))


def mass_from_volume(volume_ul: int, density_kg_l: float) -> int:
    """Micrograms of a volume at a density: that of the stream where nobody weighed it."""
    return round(volume_ul * density_kg_l * 1000)


def outlook(
    category: Category,
    made: Iterable[Generated],
    collected: Iterable[Collected],
    planned: Iterable[Generated],
    today: date,
    oldest_started_on: date | None = None,
) -> Outlook:
    """Where the month's total and the amount in the house stand in `category`, and when a limit is passed.

    `planned` is what bookings will make, from today on; what is planned earlier is left out.
    """
    past = [entry for entry in made if entry.on <= today]
    all_of_it = past + [entry for entry in planned if entry.on >= today]
    taken = list(collected)
    days = sorted({entry.on for entry in all_of_it if entry.on >= today} | {today})
    month_limit_on = next((day for day in days if not _month_holds(category, all_of_it, day)), None)
    on_site_limit_on = next((day for day in days if not _house_holds(category, all_of_it, taken, day)), None)
    collect_by = None
    if oldest_started_on and category.most_days is not None:
        collect_by = oldest_started_on + timedelta(days=category.most_days)
    return Outlook(
        category,
        month_of(all_of_it, today.year, today.month),
        _on_site(past, taken, today),
        month_limit_on,
        on_site_limit_on,
        collect_by,
    )


def _month_holds(category: Category, entries: list[Generated], day: date) -> bool:
    until = month_of([entry for entry in entries if entry.on <= day], day.year, day.month)
    return within_month(category, until.mass_ug, until.acute_ug)


def _house_holds(category: Category, entries: list[Generated], taken: list[Collected], day: date) -> bool:
    """262.14(a)(3) and (4): a very small generator keeps no more acute waste than it may make in a month."""
    most = category.most_on_site
    if most is not None and _on_site(entries, taken, day) > most:
        return False
    if category.key != "very_small" or category.most_acute_month is None:
        return True
    acute = [one for one in entries if one.acute], [one for one in taken if one.acute]
    return _on_site(*acute, day) <= category.most_acute_month


def _on_site(entries: list[Generated], taken: list[Collected], day: date) -> int:
    return sum(one.mass_ug for one in entries if one.on <= day) - sum(
        one.mass_ug for one in taken if one.on <= day
    )
