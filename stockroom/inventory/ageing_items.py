"""What a container ages by, as the plain data that `safety.ageing` judges."""

import datetime
from dataclasses import dataclass

from django.db.models import Q

from stockroom.common.department import Department
from stockroom.inventory.models import Component, Container, ContainerTest, Reagent
from stockroom.safety.ageing import (
    HANDS_OFF_WORDS,
    AgeingRule,
    Check,
    Due,
    Standing,
    ages_like,
    due,
    peroxide_formers,
    rules_for,
)

#: days ahead that the aging page and the technician's day look
AHEAD_DAYS, SOON_DAYS = 60, 7


def standing_of(container: Container) -> Standing:
    """Reads the `tests` of the container and the composition of its reagent."""
    reagent = container.reagent
    return Standing(
        container.received_on,
        container.opened_on,
        container.expires_on,
        reagent.shelf_life_sealed_days,
        reagent.shelf_life_opened_days,
        reagent.ageing_keys(),
        tuple(_check(test) for test in container.tests.all()),
    )


def _check(test: ContainerTest) -> Check:
    ppm = None if test.peroxide_ppm is None else float(test.peroxide_ppm)
    return Check(test.tested_on, test.passed, ppm)


def dues_of(container: Container, on: datetime.date) -> tuple[Due, ...]:
    """Tests and discard dates of a container, late ones first."""
    return due(standing_of(container), on)


def forbidding(container: Container, on: datetime.date) -> Due | None:
    """Why it must not be opened any more: a failed test, or a day of discarding that is past; None if not."""
    return next((one for one in dues_of(container, on) if is_forbidding(one)), None)


def is_forbidding(one: Due) -> bool:
    return one.overdue and one.rule.dangerous and one.kind != "test"


def untouchable(container: Container, on: datetime.date) -> Due | None:
    """Why nobody may open, move, test or discard it: only a disposal firm may; None if not."""
    if container.is_gone:
        return None
    return next((one for one in dues_of(container, on) if one.hands_off), None)


def untouchable_ids(on: datetime.date) -> set[int]:
    """The containers that nobody may touch. Four queries."""
    return {row.container.pk for row in aged(on, 0) if row.untouchable}


def hands_off_words() -> str:
    """What is said first, and whom to call."""
    return f"{HANDS_OFF_WORDS} Call: {Department.current().whom_to_call}."


@dataclass(frozen=True)
class Aged:
    """A container that ages, with what falls due for it, late things first."""

    container: Container
    dues: tuple[Due, ...]

    @property
    def dangerous(self) -> bool:
        """Whether anything late is dangerous: then it is not to be opened."""
        return any(is_forbidding(one) for one in self.dues)

    @property
    def untouchable(self) -> Due | None:
        """Why nobody may touch it; None if not."""
        return next((one for one in self.dues if one.hands_off), None)

    @property
    def is_pressing(self) -> bool:
        """Whether it belongs on today's list: something to test, or something dangerous to be rid of."""
        return any(one.kind == "test" or (one.overdue and one.rule.dangerous) for one in self.dues)


def rules_of(reagent: Reagent) -> tuple[AgeingRule, ...]:
    return rules_for(reagent.ageing_keys())


def aged(on: datetime.date, days: int = AHEAD_DAYS) -> list[Aged]:
    """Containers with something late or due within `days`, the most pressing first. Four queries."""
    watched = {*peroxide_formers(), *ages_like()}
    formers = Component.objects.filter(chemical__cas_rn__in=watched).values("reagent")
    rows = (
        Container.objects.present()
        .filter(~Q(reagent__ageing_class="") | Q(reagent__in=formers))
        .select_related("reagent", "location")
        .prefetch_related("tests", "reagent__components__chemical")
    )
    end = on + datetime.timedelta(days)
    found = []
    for container in rows:
        dues = tuple(one for one in dues_of(container, on) if one.overdue or one.on is None or one.on <= end)
        if dues:
            found.append(Aged(container, dues))
    return sorted(found, key=_pressing)


def _pressing(row: Aged) -> tuple:
    days = [one.on or datetime.date.min for one in row.dues]
    late = any(one.overdue for one in row.dues)
    return (
        row.untouchable is None,
        not row.dangerous,
        not late,
        not any(one.rule.dangerous for one in row.dues),
        min(days),
    )
