"""Will another reagent do instead of an ingredient, and how much? By moles, and by end point."""

import datetime
from dataclasses import dataclass, replace
from decimal import ROUND_UP, Context, Decimal

from django.db import transaction

from demos.models import Alternative, Demonstration, Ingredient
from demos.planning.booking import reserve_again
from demos.simulation import outcome
from stockroom.chemistry.aqueous import Addition, BeakerError, Contents
from stockroom.chemistry.equivalent import (
    Equivalent,
    EquivalentError,
    SafetyDifference,
    by_moles,
    by_ph,
    safety_difference,
)
from stockroom.chemistry.neutralise import NeutraliseError
from stockroom.chemistry.portion import PortionError, addition_of
from stockroom.chemistry.quantity import COUNT, MASS, MAX_BASE_UNITS
from stockroom.inventory.models import Reagent
from stockroom.waste import composition
from stockroom.wording.sentences import first_large, sentence

MOLES, END_POINT = "moles", "ph"
#: base units of the substitute that the ratio is worked out with: 10 g, 10 mL, 1 piece
_SOME = {MASS: 10_000_000, COUNT: 1}
_SOME_VOLUME = 10_000


@dataclass(frozen=True)
class Answer:
    """One way of being equal. amount: base units of the substitute in place of `per_amount` of the usual one.

    wrong: why this way gives no answer, "" where it does. ph: of both beakers, None where not asked.
    """

    key: str
    title: str
    amount: int = 0
    per_amount: int = 0
    basis: str = ""
    ph: tuple[float, float] | None = None
    differences: tuple[str, ...] = ()
    wrong: str = ""


@dataclass(frozen=True)
class Comparison:
    """Both ways, and the hazard classes that go and come; `unclassified` names what nobody classified."""

    ingredient: Ingredient
    substitute: Reagent
    answers: tuple[Answer, ...]
    safety: SafetyDifference
    unclassified: tuple[str, ...]


def compare(
    demonstration: Demonstration,
    steps: tuple[outcome.Step, ...],
    ingredient: Ingredient,
    substitute: Reagent,
    amount: int,
) -> Comparison:
    """Compare for `amount` base units of the ingredient. Prefetch hazards and composition of both.

    steps: of the showing, as beaker.steps_of gives them.
    """
    usual = ingredient.reagent
    keys = [[hazard.hazard_class for hazard in row.hazards.all()] for row in (usual, substitute)]
    unknown = [str(r) for r in (usual, substitute) if not r.is_classified]
    some = _SOME.get(substitute.measure, _SOME_VOLUME)
    try:
        one = addition_of(composition.portion_of(substitute, some))
        whole = addition_of(composition.portion_of(usual, amount))
    except PortionError as error:
        text = sentence(error)
        answers = tuple(Answer(key, title, wrong=text) for key, title in _TITLES.items())
    else:
        answers = (
            _answer(MOLES, by_moles, (whole, one), some, amount),
            _by_end_point(steps, usual, amount, one, some),
        )
    return Comparison(ingredient, substitute, answers, safety_difference(*keys), tuple(unknown))


_TITLES = {MOLES: "By moles of what does the work", END_POINT: "By the same pH in the end"}


def _answer(key, how, arguments, some: int, amount: int) -> Answer:
    try:
        found: Equivalent = how(*arguments)
    except (EquivalentError, NeutraliseError, BeakerError) as error:
        return Answer(key, _TITLES[key], wrong=sentence(error))
    taken = _rounded_up(Decimal(found.factor) * some)
    if not 0 < taken <= MAX_BASE_UNITS:
        return Answer(key, _TITLES[key], wrong="It would take an amount that nobody can measure.")
    ph = None if found.ph_original is None else (found.ph_original, found.ph_substitute)
    return Answer(key, _TITLES[key], taken, amount, found.basis, ph, found.differences)


def _rounded_up(exact: Decimal) -> int:
    """Three figures, upwards: a little too much does the work, a little too little does not."""
    return int(Context(prec=3, rounding=ROUND_UP).plus(exact).to_integral_value(ROUND_UP))


def _by_end_point(steps, usual: Reagent, amount: int, one: Addition, some: int) -> Answer:
    """The beaker of the steps without the ingredient, then with it, then with the substitute."""
    contents, poured = Contents(), None
    try:
        for step in steps:
            if step.portion is None:
                if step.temperature_c is not None:
                    contents = contents.brought_to(step.temperature_c)
                continue
            addition = outcome.pour(step).times(step.portions)
            if step.portion.reagent != usual.name:
                contents = contents.with_addition(addition)
            elif poured is None:
                poured = (addition, step.portion.amount * step.portions)
            else:
                poured = (_sum(poured[0], addition), poured[1] + step.portion.amount * step.portions)
    except (PortionError, BeakerError) as error:
        return Answer(END_POINT, _TITLES[END_POINT], wrong=sentence(error))
    if poured is None:
        wrong = "No step puts a stated amount of it into a beaker, so there is no end point to compare."
        return Answer(END_POINT, _TITLES[END_POINT], wrong=wrong)
    found = _answer(END_POINT, by_ph, (contents, poured[0], one), some, poured[1])
    if found.wrong:
        return found
    return replace(found, amount=_rounded_up(Decimal(found.amount) * amount / poured[1]), per_amount=amount)


def _sum(first: Addition, second: Addition) -> Addition:
    return replace(
        first,
        substances=(*first.substances, *second.substances),
        water_g=first.water_g + second.water_g,
        volume_ml=first.volume_ml + second.volume_ml,
    )


@transaction.atomic
def keep(comparison: Comparison, answer: Answer, today: datetime.date) -> Alternative:
    """Write the answer down as an alternative of the ingredient, in place of one for the same reagent.

    Bookings to come that take it reserve by the new ratio. Raises ConsumptionError where one cannot.
    """
    words = "; ".join((answer.basis, *answer.differences))
    note = words if len(words) <= 200 else f"{words[:199]}…"
    alternative, _ = Alternative.objects.update_or_create(
        ingredient=comparison.ingredient,
        reagent=comparison.substitute,
        defaults={
            "amount": answer.amount,
            "per_amount": answer.per_amount,
            "note": first_large(note),
        },
    )
    reserve_again(comparison.ingredient.demonstration, today)
    return alternative
