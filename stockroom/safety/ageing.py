"""What becomes dangerous or useless while it stands: last day of use, tests, and what to do when late.

Intervals in tables/ageing.csv, peroxide formers in tables/peroxide_formers.csv, each row with its source.
A date that is not known counts as long ago for anything that becomes dangerous.
"""

import calendar
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

from stockroom.safety.published import rows

#: peroxide content in mg/L (ppm): from the first on treat or get rid of it, from the second on keep hands off
PEROXIDE_CAREFUL_PPM = 25
PEROXIDE_STOP_PPM = 100
#: said first and alone of what nobody may touch; whom to call comes after it
HANDS_OFF_WORDS = "DO NOT TOUCH. Leave it where it is. Keep people away."
#: of a test that is late; only of a bottle that is not past its day
TEST_ADVICE = (
    "Do not use it before it is tested. Look first, without touching: where there are crystals or a crust, "
    "leave it and call for help."
)
PEROXIDE_SOURCE = "Kelly, Chem. Health Saf. 3(5), 1996, 28-36; Prudent Practices (2011), ch. 6; from memory"


@dataclass(frozen=True)
class AgeingRule:
    """One way of ageing. Months may be None: no such date. `dangerous`: not merely useless.

    `hands_off`: once past its day, or once it has failed a test, nobody may touch it.
    """

    key: str
    name: str
    dangerous: bool
    opened_test_months: int | None
    opened_discard_months: int | None
    sealed_discard_months: int | None
    test: str
    what_happens: str
    advice: str
    source: str
    hands_off: bool = False


@dataclass(frozen=True)
class Check:
    """One entry of a test log. `peroxide_ppm` where it was measured; `passed` as the tester saw it."""

    on: date
    passed: bool
    peroxide_ppm: float | None = None


@dataclass(frozen=True)
class Standing:
    """A container as it stands. `ageing` are keys of the ageing table, shelf lives in days."""

    received: date | None
    opened: date | None = None
    marked_expiry: date | None = None
    sealed_days: int | None = None
    opened_days: int | None = None
    ageing: tuple[str, ...] = ()
    checks: tuple[Check, ...] = ()


@dataclass(frozen=True)
class Expiry:
    """The last day of use and why; `on` None where nothing sets one."""

    on: date | None
    why: str


@dataclass(frozen=True)
class Due:
    """A test or a discarding that falls on a day. `on` None: the date it counts from is not known, so now.

    `kind`: "test", "discard" or "stop" (a test has failed). `advice` says what to do if it is late, after
    `HANDS_OFF_WORDS` where `hands_off`: then nobody opens, moves, tests or discards it.
    """

    kind: str
    on: date | None
    rule: AgeingRule
    why: str
    overdue: bool
    advice: str
    hands_off: bool = False


def add_months(day: date, months: int) -> date:
    """The same day so many months on, or the last of that month.

    >>> add_months(date(2026, 8, 31), 6)
    datetime.date(2027, 2, 28)
    """
    month = day.month - 1 + months
    year, month = day.year + month // 12, month % 12 + 1
    return date(year, month, min(day.day, calendar.monthrange(year, month)[1]))


@cache
def _advice() -> dict[str, str]:
    return {row["key"]: row["advice"] for row in rows("ageing_advice")}


@cache
def ageing_rules() -> dict[str, AgeingRule]:
    """The rows of tables/ageing.csv by key."""
    advice = _advice()
    sources = {row["key"]: row["text"] for row in rows("sources")}

    def months(text: str) -> int | None:
        return int(text) if text else None

    return {
        row["key"]: AgeingRule(
            row["key"],
            row["name"],
            row["danger"] == "yes",
            months(row["opened_test_months"]),
            months(row["opened_discard_months"]),
            months(row["sealed_discard_months"]),
            row["test"],
            row["what_happens"],
            advice[row["overdue"]],
            sources[row["source"]],
            row["overdue"] == "stop",
        )
        for row in rows("ageing")
    }


@cache
def peroxide_formers() -> frozenset[str]:
    """The CAS RNs in the list of peroxide formers."""
    return frozenset(row["cas"] for row in rows("peroxide_formers"))


def peroxide_class(cas: str) -> str | None:
    """The ageing key of a peroxide former ("peroxide_former_b"), None for what is not in the list."""
    return next(
        (f"peroxide_former_{row['class']}" for row in rows("peroxide_formers") if row["cas"] == cas), None
    )


@cache
def ages_like() -> dict[str, str]:
    """CAS RN -> ageing key of what grows dangerous with time, whether or not anyone has written that down."""
    return {row["cas"]: row["key"] for row in rows("ages_like")}


def rules_for(keys: Iterable[str], cas: Iterable[str] = ()) -> tuple[AgeingRule, ...]:
    """The rules of an ageing class, or of registry numbers that bring one, dangerous ones first.

    Raises ValueError naming a key that is not in the table.
    """
    cas = tuple(cas)
    brought = [*map(peroxide_class, cas), *map(ages_like().get, cas)]
    wanted = dict.fromkeys([*keys, *filter(None, brought)])
    unknown = [key for key in wanted if key not in ageing_rules()]
    if unknown:
        raise ValueError(f"Not an ageing class: {', '.join(unknown)}. Choose from the list.")
    return tuple(sorted((ageing_rules()[key] for key in wanted), key=lambda rule: not rule.dangerous))


def expiry(standing: Standing) -> Expiry:
    """The earliest of the marked date, the shelf life sealed or opened, and the discard dates of its ageing.

    The shelf life sealed counts only where no date is marked, as for `Container.usable_until`.
    """
    days = [(standing.marked_expiry, "marked on the bottle")]
    if standing.received and standing.sealed_days is not None and standing.marked_expiry is None:
        days.append((standing.received + timedelta(standing.sealed_days), "shelf life sealed"))
    if standing.opened and standing.opened_days is not None:
        days.append((standing.opened + timedelta(standing.opened_days), "shelf life after opening"))
    days += [(_discard_on(standing, rule), rule.name) for rule in rules_for(standing.ageing)]
    known = [(day, why) for day, why in days if day]
    return Expiry(*min(known, default=(None, "no date set")))


def dangerous_after(standing: Standing) -> date | None:
    """The last day before its age makes it dangerous, whatever is marked on it; None: no such day known."""
    days = [_discard_on(standing, rule) for rule in rules_for(standing.ageing) if rule.dangerous]
    return min((day for day in days if day), default=None)


def _discard_on(standing: Standing, rule: AgeingRule) -> date | None:
    """The opened limit counts from opening, but only for what was opened within its sealed limit."""
    sealed = opened = None
    if standing.received and rule.sealed_discard_months is not None:
        sealed = add_months(standing.received, rule.sealed_discard_months)
    if standing.opened and rule.opened_discard_months is not None:
        opened = add_months(standing.opened, rule.opened_discard_months)
    if opened is None or (sealed is not None and standing.opened > sealed):
        return sealed
    return opened


def due(standing: Standing, today: date) -> tuple[Due, ...]:
    """What falls due for a container, late things first: failed tests, tests to make, days to discard it."""
    found = []
    for rule in rules_for(standing.ageing):
        found += _failed(standing, rule)
        found += _dates(standing, rule, today)
    return tuple(sorted(found, key=_gravest_first))


def _gravest_first(one: Due) -> tuple:
    return (not one.hands_off, one.kind != "stop", not one.overdue, one.on or date.min)


def _failed(standing: Standing, rule: AgeingRule) -> list[Due]:
    """The last test decides, unless one before it found so much peroxide that it should not have stayed."""
    checks = sorted(standing.checks, key=lambda check: check.on)
    high = [check for check in checks if (check.peroxide_ppm or 0) >= PEROXIDE_STOP_PPM]
    last = high[-1] if high else (checks[-1] if checks else None)
    if last is None or not rule.dangerous:
        return []
    if rule.key.startswith("peroxide_former") and last.peroxide_ppm is not None:
        if last.peroxide_ppm >= PEROXIDE_STOP_PPM:
            why = f"{last.peroxide_ppm:g} ppm peroxide on {last.on}, limit {PEROXIDE_STOP_PPM}"
            return [_stop(last, rule, why)]
        if last.peroxide_ppm >= PEROXIDE_CAREFUL_PPM:
            why = f"{last.peroxide_ppm:g} ppm peroxide on {last.on}"
            advice = "Do not distil or evaporate it. Have the peroxide removed or the bottle collected now."
            return [Due("discard", last.on, rule, why, True, advice)]
    if not last.passed:
        return [_stop(last, rule, f"failed its test on {last.on}")]
    return []


def _stop(check: Check, rule: AgeingRule, why: str) -> Due:
    return Due("stop", check.on, rule, why, True, _advice()["stop"], True)


def _dates(standing: Standing, rule: AgeingRule, today: date) -> list[Due]:
    found = []
    limited = rule.opened_discard_months is not None or rule.sealed_discard_months is not None
    discard = _discard_on(standing, rule)
    if discard:
        why = "since it was opened" if standing.opened else "since it came"
        late = discard < today
        found.append(Due("discard", discard, rule, why, late, rule.advice, late and rule.hands_off))
    elif limited and rule.dangerous:
        why = "nobody knows how old it is"
        found.append(Due("discard", None, rule, why, True, rule.advice, rule.hands_off))
    if rule.opened_test_months and standing.opened:
        passed = [check.on for check in standing.checks if check.passed and check.on >= standing.opened]
        test = add_months(max(passed, default=standing.opened), rule.opened_test_months)
        if discard is None or test < discard:
            why = "since the last test" if passed else "since it was opened"
            found.append(Due("test", test, rule, why, test < today, TEST_ADVICE))
    return found
