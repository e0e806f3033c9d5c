""""""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from demos.consumption import amounts
from demos.models import Alternative, Booking, Demonstration, Ingredient
from stockroom.inventory.models import Reagent


@dataclass(frozen=True)
class Take:
    """What one ingredient asks of the shelves for a booking, the chosen reagent in its place.

    `amount` is in the base unit of `reagent`. `replaces` is the usual reagent where another was chosen.
    """

    ingredient: Ingredient
    reagent: Reagent
    amount: int
    returns: bool
    replaces: Reagent | None = None


def ingredients_of(demonstration: Demonstration) -> list[Ingredient]:
    """Ingredients with their reagents and alternatives, in three queries."""
    return list(demonstration.ingredients.select_related("reagent").prefetch_related("alternatives__reagent"))


def takes(
    booking: Booking, ingredients: Iterable[Ingredient], chosen: Mapping[int, int] | None = None
) -> list[Take]:
    """What a booking, saved or not, takes. `chosen`: ingredient id -> reagent id used instead.

    Raises consumption.ConsumptionError where the numbers cannot be.
    """
    chosen = chosen or {}
    rows = []
    size = amounts.Booking(
        booking.showings, booking.groups, booking.scale, booking.demonstration.spill_percent
    )
    for row in ingredients:
        use = amounts.use_of(
            amounts.Ingredient(
                row.pk,
                row.reagent_id,
                row.reagent.measure,
                row.first_amount,
                row.repeat_amount,
                row.group_amount,
                row.returns,
            ),
            size,
        )
        reagent, amount, replaces = row.reagent, use.reserved, None
        if other := next((a for a in row.alternatives.all() if a.reagent_id == chosen.get(row.pk)), None):
            # Rounded up: a whole smallest unit more is nothing, one less would be short.
            reagent, replaces = other.reagent, row.reagent
            amount = -(-amount * other.amount // other.per_amount)
        if amount:
            rows.append(Take(row, reagent, amount, row.returns, replaces))
    return rows


def chosen_of(booking: Booking) -> dict[int, int]:
    return {choice.ingredient_id: choice.reagent_id for choice in booking.choices.all()}


def with_ingredients(rows: QuerySet[Demonstration], *prefetch: str) -> QuerySet[Demonstration]:
    """Ingredients and alternatives with their reagents; `prefetch` names what else of each reagent."""
    alternatives = Alternative.objects.select_related("reagent").prefetch_related(
        *(f"reagent__{name}" for name in prefetch)
    )
    ingredients = Ingredient.objects.select_related("reagent").prefetch_related(
        *(f"reagent__{name}" for name in prefetch), Prefetch("alternatives", alternatives)
    )
    return rows.prefetch_related(Prefetch("ingredients", ingredients))
