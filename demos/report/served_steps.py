"""What a booking really takes, in the words of its steps: its alternatives and its scale put in."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

from demos.models import Demonstration, Ingredient, Step
from demos.report import beaker
from demos.simulation import restated_steps
from demos.simulation.restated_steps import Use
from stockroom.inventory.models import Reagent


def use_of(ingredient: Ingredient, scale: Decimal, chosen: Mapping[int, int]) -> Use:
    """`ingredient` as a booking takes it. `chosen`: ingredient id -> reagent id."""
    usual = ingredient.reagent
    reagent, ratio = beaker.taken(ingredient, chosen)
    factor = ratio * Fraction(scale)
    if reagent == usual:
        return Use(usual.name, usual.measure, factor)
    return Use(usual.name, usual.measure, factor, reagent.name, reagent.measure)


def note_of(ingredient: Ingredient, reagent: Reagent) -> str:
    """What changes with an alternative, as written down; "" where nothing is."""
    return next((row.note for row in ingredient.alternatives.all() if row.reagent_id == reagent.pk), "")


def steps(demonstration: Demonstration, scale: Decimal, chosen: Mapping[int, int]) -> tuple[str, ...]:
    """Every step with the reagents and portions that the booking takes. Prefetch beaker.PREFETCH."""
    uses = {row.pk: use_of(row, scale, chosen) for row in demonstration.ingredients.all()}
    return tuple(_step(step, uses) for step in demonstration.steps.all())


def _step(step: Step, uses: Mapping[int, Use]) -> str:
    use = uses.get(step.adds_id)
    portion = step.adds_amount or 0
    text = restated_steps.restate(step.text, list(uses.values()), use, (portion, portion * step.portions))
    act = step.act_with(use.taken, use.amount(portion)) if use else step.act_with("", "")
    return f"{text} {act}".strip()


def instead(demonstration: Demonstration, scale: Decimal, chosen: Mapping[int, int]) -> tuple[str, ...]:
    """What is taken in place of what is usual and in which portions, a sentence for each."""
    found = []
    for row in demonstration.ingredients.all():
        use = use_of(row, scale, chosen)
        if not use.instead:
            continue
        said = [
            f"{use.amount(step.adds_amount)}{f', {step.portions} times,' if step.portions > 1 else ''} "
            f"in step {step.number}"
            for step in demonstration.steps.all()
            if step.adds_id == row.pk and step.adds_amount
        ]
        said = said or [f"{use.amount(row.first_amount)} for the first showing"]
        note = note_of(row, beaker.taken(row, chosen)[0])
        found.append(f"{use.instead} instead of {use.name}: {'; '.join(said)}. {note}".strip())
    return tuple(f"{words[:1].upper()}{words[1:]}" for words in found)
