"""So much of a reagent of the starter catalog, as plain data that the chemistry and the rules read."""

from stockroom.catalogue.loader import Reagent, load
from stockroom.chemistry.portion import Part, Portion


def portion_of(row: Reagent, amount: int) -> Portion:
    """`amount` in the base unit of the reagent's measure. Raises KeyError where a chemical is missing."""
    chemicals = load().chemicals
    parts = tuple(
        Part(chemical.name, chemical.formula, chemical.cas, part.value, part.unit)
        for part in row.components
        for chemical in [chemicals[part.chemical]]
    )
    solvent = chemicals[row.solvent].name if row.solvent else ""
    return Portion(row.name, row.measure, amount, parts, solvent, row.density)
