"""What a container ages by, as the plain data that `safety.ageing` judges."""

import datetime

from stockroom.models import Container, ContainerTest, Reagent
from stockroom.safety.ageing import Check, Due, Standing, ageing_rules, due, rules_for


def ageing_keys(reagent: Reagent) -> tuple[str, ...]:
    """Its own ageing classes, and those its registry numbers bring. Reads `components__chemical`."""
    own = [key for key in reagent.ageing_class.split() if key in ageing_rules()]
    cas = [part.chemical.cas_rn for part in reagent.components.all() if part.chemical.cas_rn]
    return tuple(rule.key for rule in rules_for(own, cas))


def standing_of(container: Container) -> Standing:
    """Reads the `tests` of the container and the composition of its reagent."""
    reagent = container.reagent
    return Standing(
        container.received_on,
        container.opened_on,
        container.expires_on,
        reagent.shelf_life_sealed_days,
        reagent.shelf_life_opened_days,
        ageing_keys(reagent),
        tuple(_check(test) for test in container.tests.all()),
    )


def _check(test: ContainerTest) -> Check:
    ppm = None if test.peroxide_ppm is None else float(test.peroxide_ppm)
    return Check(test.tested_on, test.passed, ppm)


def dues_of(container: Container, on: datetime.date) -> tuple[Due, ...]:
    """Tests and discard dates of a container, late ones first."""
    return due(standing_of(container), on)
