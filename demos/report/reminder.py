"""What someone must know before a demonstration: hazards of each reagent, and what must not come together."""

from collections.abc import Iterable
from dataclasses import dataclass

from demos.models import Demonstration
from stockroom.chemistry.formula import FormulaError, parse_formula
from stockroom.chemistry.reaction import Equation, EquationError, parse_equation, same_substance
from stockroom.chemistry.species import identify
from stockroom.hazards.reactivity import item_of
from stockroom.inventory.models import Reagent
from stockroom.safety.label import LabelElements, label_elements
from stockroom.safety.storage import UNKNOWN_RULE, Conflict, Item, mixing_conflicts, signature

#: what a reagent must have prefetched to be spoken of here
PREFETCH = ("hazards", "components__chemical", "solvent", "sheets")


@dataclass(frozen=True)
class Hazards:
    """One reagent's label elements. `unchecked`: nobody has compared all of it with the supplier's sheet."""

    reagent: Reagent
    label: LabelElements
    unchecked: bool


@dataclass(frozen=True)
class Reminder:
    """The short form for a booking: all reagents taken together."""

    label: LabelElements
    unclassified: tuple[Reagent, ...]
    unchecked: tuple[Reagent, ...]
    without_sheet: tuple[Reagent, ...]


@dataclass(frozen=True)
class Meeting:
    """What happens where the ingredients of a demonstration meet.

    `meant`: reactions that one of its equations shows. `unmeant`: those nobody wants. `unknown`: names of
    reagents of which too little is written down to say.
    """

    meant: tuple[Conflict, ...]
    unmeant: tuple[Conflict, ...]
    unknown: tuple[str, ...]


def _keys(reagent: Reagent) -> list[str] | None:
    if reagent.hazard_state == Reagent.HazardState.UNKNOWN:
        return None
    return [row.hazard_class for row in reagent.hazards.all()]


def hazards_of(reagent: Reagent) -> Hazards:
    """No query where PREFETCH was done."""
    rows = reagent.hazards.all()
    unchecked = any(row.checked_on is None for row in rows) if rows else reagent.checked_on is None
    return Hazards(reagent, label_elements(_keys(reagent)), unchecked)


def remind(reagents: Iterable[Reagent]) -> Reminder:
    """Label elements of everything that is set out. What is not classified is named, never left out."""
    reagents = list(dict.fromkeys(reagents))
    unclassified = tuple(row for row in reagents if _keys(row) is None)
    known = [key for row in reagents for key in _keys(row) or ()]
    if unclassified and not known:
        label = label_elements(None)
    else:
        label = label_elements(known, complete=not unclassified)
    unchecked = tuple(row for row in reagents if row not in unclassified and hazards_of(row).unchecked)
    without_sheet = tuple(row for row in reagents if not row.sheets.all())
    return Reminder(label, unclassified, unchecked, without_sheet)


def as_item(reagent: Reagent) -> Item:
    """The reagent as the mixing rules see it. PREFETCH first."""
    return item_of(reagent, reagent.pk)


def mixing(demonstration: Demonstration, taken: Iterable[Reagent] | None = None) -> Meeting:
    """What happens where its ingredients meet, sorted out by its equations.

    `taken`: what a booking takes, with the alternatives it has chosen; None for the ingredients as written.
    No query where `reactions` and `ingredients__reagent` with PREFETCH were prefetched.
    """
    equations = []
    for row in demonstration.reactions.all():
        try:
            equations.append(parse_equation(row.equation))
        except EquationError:
            continue
    written = (row.reagent for row in demonstration.ingredients.all())
    reagents = list(dict.fromkeys(written if taken is None else taken))
    meant = set()
    for equation in equations:
        part = [row for row in reagents if _takes_part(row, equation)]
        meant |= {frozenset((str(a.pk), str(b.pk))) for a in part for b in part if a.pk != b.pk}
    found = mixing_conflicts([as_item(row) for row in reagents], meant)
    unknown = {
        item.name
        for conflict in (*found.meant, *found.unmeant)
        if conflict.rule == UNKNOWN_RULE
        for item in (conflict.item_a, conflict.item_b)
        if not signature(item).known
    }
    meant, unmeant = (
        tuple(row for row in rows if row.rule != UNKNOWN_RULE) for rows in (found.meant, found.unmeant)
    )
    return Meeting(meant, unmeant, tuple(sorted(unknown)))


def _takes_part(reagent: Reagent, equation: Equation) -> bool:
    """Whether one of the reagent's chemicals, or an ion of it, stands on the left of the equation."""
    for component in reagent.components.all():
        chemical = component.chemical
        try:
            formula = parse_formula(chemical.formula)
        except FormulaError:
            continue
        ions = {ion for ion, _ in identify(chemical.formula, chemical.name, chemical.cas_rn or "").ions}
        for term in equation.reactants:
            wanted = {ion for ion, _ in identify(term.key).ions} - {"H2O"}
            if wanted == {"H+", "OH-"}:  # H3O+ is written for the hydrogen ion
                wanted = {"H+"}
            if same_substance(formula, term.formula) or (term.formula.charge and wanted and wanted <= ions):
                return True
    return False
