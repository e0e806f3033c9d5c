"""A demonstration as the chemistry sees it: its steps as plain data, what they make, where it goes.

Reads what `PREFETCH` names and asks the database nothing more.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import ceil

from demos.models import Demonstration, Ingredient
from demos.simulation import outcome
from stockroom.chemistry.portion import Portion
from stockroom.chemistry.quantity import COUNT
from stockroom.chemistry.residue import Residue
from stockroom.inventory.models import Reagent
from stockroom.safety.sewer import Route, SewerPermission, propose_route
from stockroom.safety.streams import Stream, stream_for
from stockroom.safety.waste import Characterisation, Waste, WasteRules, characterise
from stockroom.waste import composition
from stockroom.wording.sentences import first_large

_REAGENT = ("solvent", "hazards", "components__chemical")
#: what a demonstration must have prefetched to be followed here
PREFETCH = (
    "steps",
    "reactions",
    *(f"ingredients__reagent__{name}" for name in _REAGENT),
    *(f"ingredients__alternatives__reagent__{name}" for name in _REAGENT),
)


@dataclass(frozen=True)
class Disposal:
    """What the waste rules say of the residue. `stream_why`: why it belongs to that stream.

    waste: as it joins a container. doubted: with what nobody has classified counted as not known, which opens
    no drain.
    """

    waste: Waste
    doubted: Waste
    character: Characterisation
    route: Route
    stream: Stream
    stream_why: str


@dataclass(frozen=True)
class Foreseen:
    """The outcome of one showing. outcome: None where `wrong` says why it cannot be worked out.

    gaps: what nobody wrote down, and what is therefore not in it. by_ingredients: the equations work
    with all that is set aside for one showing, since the steps do not put it all into one beaker.
    disposal: None where nothing is left to speak of.
    """

    steps: tuple[outcome.Step, ...]
    outcome: outcome.Outcome | None
    wrong: str
    gaps: tuple[str, ...]
    by_ingredients: bool = False
    disposal: Disposal | None = None


def taken(ingredient: Ingredient, chosen: Mapping[int, int]) -> tuple[Reagent, Fraction]:
    """(the reagent that is used, how much of it for each base unit of the usual one)."""
    for other in ingredient.alternatives.all():
        if other.reagent_id == chosen.get(ingredient.pk):
            return other.reagent, Fraction(other.amount, other.per_amount)
    return ingredient.reagent, Fraction(1)


def _portion(ingredient: Ingredient, amount: int, scale: Decimal, chosen: Mapping[int, int]) -> Portion:
    reagent, ratio = taken(ingredient, chosen)
    exact = amount * Fraction(scale) * ratio
    return composition.portion_of(reagent, ceil(exact) if reagent.measure == COUNT else round(exact))


def steps_of(
    demonstration: Demonstration, scale: Decimal = Decimal(1), chosen: Mapping[int, int] | None = None
) -> tuple[outcome.Step, ...]:
    """The steps of one showing. One that names no amount adds nothing: `gaps_of` says so."""
    by_key = {row.pk: row for row in demonstration.ingredients.all()}
    return tuple(
        outcome.Step(
            step.number,
            step.text,
            _portion(by_key[step.adds_id], step.adds_amount, scale, chosen or {})
            if step.adds_id and step.adds_amount
            else None,
            step.portions,
            None if step.temperature_c is None else float(step.temperature_c),
        )
        for step in demonstration.steps.all()
    )


def gaps_of(demonstration: Demonstration) -> tuple[str, ...]:
    """What the steps leave out of the beaker, in sentences."""
    by_key = {row.pk: row for row in demonstration.ingredients.all()}
    poured: dict[int, int] = {}
    gaps = []
    for step in demonstration.steps.all():
        if step.adds_id and not step.adds_amount:
            gaps.append(
                f"Step {step.number} adds {by_key[step.adds_id].reagent}, but not how much: it is left out."
            )
        elif step.adds_id:
            poured[step.adds_id] = poured.get(step.adds_id, 0) + step.adds_amount * step.portions
    rest = [str(row.reagent) for key, row in by_key.items() if key not in poured]
    if rest and poured:
        gaps.append(f"Not in this beaker, since no step adds it: {', '.join(rest)}.")
    for key, amount in poured.items():
        row = by_key[key]
        if amount > row.first_amount + row.group_amount:
            text_of = row.reagent.text_of
            gaps.append(
                f"The steps add {text_of(amount)} of {row.reagent}, and {text_of(row.first_amount)} is set "
                "aside for the first showing: change one of the two."
            )
    unclassified = [str(row.reagent) for row in by_key.values() if not row.reagent.is_classified]
    if unclassified:
        gaps.append(f"Not classified yet, to be treated as hazardous: {', '.join(unclassified)}.")
    return tuple(gaps)


def ingredient_portions(
    demonstration: Demonstration, scale: Decimal = Decimal(1), chosen: Mapping[int, int] | None = None
) -> tuple[Portion, ...]:
    """Everything set aside for the first showing."""
    return tuple(
        _portion(row, row.first_amount, scale, chosen or {})
        for row in demonstration.ingredients.all()
        if row.first_amount
    )


def foresee(
    demonstration: Demonstration,
    scale: Decimal = Decimal(1),
    chosen: Mapping[int, int] | None = None,
    rules: WasteRules | None = None,
    permission: SewerPermission | None = None,
    more: tuple[str, ...] = (),
) -> Foreseen:
    """What one showing of a demonstration does to its reagents, and where what is left goes.

    more: equations to follow beside those that are written down. permission: what the sewer authority allows
    on the day; without one it is collected.
    """
    steps, gaps = steps_of(demonstration, scale, chosen), gaps_of(demonstration)
    equations = (*(row.equation for row in demonstration.reactions.all()), *more)
    try:
        found = outcome.foresee(steps, equations)
        by_ingredients = _is_idle(found)
        if by_ingredients:
            portions = ingredient_portions(demonstration, scale, chosen)
            # No warming is told: the heat goes into several vessels, nobody says how much into which.
            reports = (replace(r, rise_c=None) for r in outcome.reckon(portions, equations))
            found = replace(found, reactions=tuple(reports))
            gaps += tuple(f"Not in the equations: {why}." for why in outcome.without_moles(portions))
    except outcome.OutcomeError as error:
        return Foreseen(steps, None, first_large(str(error)), gaps)
    disposal = _disposal(found, demonstration, chosen or {}, rules, permission)
    return Foreseen(steps, found, "", gaps, by_ingredients, disposal)


def _is_idle(found: outcome.Outcome) -> bool:
    """Whether some equation lacks a reactant in the beaker."""
    return any(row.outcome is not None and not row.outcome.extent for row in found.reactions)


def _disposal(
    found: outcome.Outcome,
    demonstration: Demonstration,
    chosen: Mapping[int, int],
    rules: WasteRules | None,
    permission: SewerPermission | None,
) -> Disposal | None:
    if found.residue is None:
        return None
    waste = Waste(found.residue)
    if found.residue.unknown:
        waste = as_it_went_in(found.residue, demonstration, chosen)
    stream, why = stream_for(waste, rules)
    doubted = _doubted(waste, demonstration, chosen)
    route = propose_route(doubted, permission, rules)
    return Disposal(waste, doubted, characterise(waste, rules), route, stream, why)


def as_it_went_in(residue: Residue, demonstration: Demonstration, chosen: Mapping[int, int]) -> Waste:
    """With the hazards of all its reagents, for what cannot be followed may still be there as it went in."""
    reagents = [taken(row, chosen)[0] for row in demonstration.ingredients.all()]
    groups = frozenset(group for row in reagents for group in row.groups)
    keys = frozenset(hazard.hazard_class for row in reagents for hazard in row.hazards.all())
    return Waste(residue, groups, keys)


def _doubted(waste: Waste, demonstration: Demonstration, chosen: Mapping[int, int]) -> Waste:
    """With what nobody has classified counted as not known: it opens no drain."""
    reagents = [taken(row, chosen)[0] for row in demonstration.ingredients.all()]
    names = [str(row) for row in reagents if not row.is_classified]
    unknown = tuple(f"{name}, not classified yet" for name in names)
    return replace(waste, residue=replace(waste.residue, unknown=(*waste.residue.unknown, *unknown)))
