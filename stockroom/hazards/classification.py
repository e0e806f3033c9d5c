"""Reads what a reagent holds and asks safety/ which hazard classes follow from it."""

from stockroom.chemistry.concentration import PURE, W_W, Strength
from stockroom.chemistry.quantity import QuantityError
from stockroom.hazards.restricted import strengths_of
from stockroom.inventory.models import Chemical, Component, Reagent
from stockroom.safety.classify import WATER, Classification, Constituent
from stockroom.safety.composition import Ingredient, classify_reagent
from stockroom.safety.mixture import MixtureError
from stockroom.safety.supplement import Supplement, supplemental

_STATES = {
    Reagent.Kind.SOLID: "solid",
    Reagent.Kind.HYDRATE: "solid",
    Reagent.Kind.METAL: "solid",
    Reagent.Kind.GAS: "gas",
}
_UNDILUTED = 101  # above every percentage


def classification_of(reagent: Reagent, ph: float | None = None) -> Classification | None:
    """Hazard classes that follow from what a reagent holds; None where no composition is written down.

    Each chemical counts with the classes of its strongest form on file, with or without water of
    crystallization; one without such a form is not classified. ph: as measured, None to have it worked out.
    Raises MixtureError or QuantityError where the composition cannot be.
    """
    components = list(reagent.components.select_related("chemical"))
    if not components:
        return None
    chemicals = [row.chemical for row in components] + ([reagent.solvent] if reagent.solvent else [])
    forms = _strongest_forms(chemicals)
    ingredients = tuple(_ingredient(row, forms) for row in components)
    return classify_reagent(
        ingredients,
        solvent=_solvent(reagent.solvent, forms),
        density_g_ml=reagent.density,
        state=_STATES.get(reagent.kind, "liquid"),
        ph=ph,
    )


def reckoned(reagent: Reagent) -> Classification | None:
    """What follows for a reagent that nobody has classified; None where it is classified or cannot be had."""
    if reagent.is_classified:
        return None
    try:
        return classification_of(reagent)
    except (MixtureError, QuantityError):
        return None


def supplements_of(reagent: Reagent) -> tuple[Supplement, ...]:
    """What its label says beyond the classes. Reads `components__chemical`."""
    try:
        return supplemental(strengths_of(reagent))
    except (MixtureError, QuantityError):
        return ()


def _family(chemical: Chemical) -> str:
    """A salt and its hydrates are one; without a formula a chemical is its own."""
    return chemical.formula.split("·")[0] or f"chemical {chemical.pk}"


def _strongest_forms(chemicals: list[Chemical]) -> dict[str, Reagent]:
    """The strongest classified reagent that holds nothing but the chemical, by family."""
    wanted = {_family(chemical) for chemical in chemicals}
    rows = (
        Component.objects.filter(unit__in=(PURE, W_W))
        .exclude(reagent__hazard_state=Reagent.HazardState.UNKNOWN)
        .select_related("chemical", "reagent")
        .order_by("pk")
    )
    held = [row for row in rows if _family(row.chemical) in wanted]
    parts = Component.objects.filter(reagent__in={row.reagent_id for row in held})
    alone: dict[int, int] = {}
    for pk in parts.values_list("reagent_id", flat=True):
        alone[pk] = alone.get(pk, 0) + 1
    best: dict[str, Component] = {}
    for row in held:
        family = _family(row.chemical)
        if alone[row.reagent_id] == 1 and (family not in best or _strength(row) > _strength(best[family])):
            best[family] = row
    return {family: row.reagent for family, row in best.items()}


def _strength(row: Component) -> float:
    return _UNDILUTED if row.unit == PURE else float(row.value or 0)


def _classes(form: Reagent | None) -> tuple[str, ...] | None:
    return None if form is None else tuple(form.hazards.values_list("hazard_class", flat=True))


def _ingredient(row: Component, forms: dict[str, Reagent]) -> Ingredient:
    chemical = row.chemical
    form = forms.get(_family(chemical))
    fluid = form is not None and form.kind in (Reagent.Kind.LIQUID, Reagent.Kind.GAS)
    return Ingredient(
        chemical.name,
        Strength(None if row.unit in ("pure", "saturated") else row.value, row.unit),
        _classes(form),
        cas=chemical.cas_rn or "",
        formula=chemical.formula,
        kind=form.storage_kind if form else "",
        pure_g_ml=form.density if form and form.kind == Reagent.Kind.LIQUID else None,
        inhalation_form="vapour" if fluid else "mist",
    )


def _solvent(chemical: Chemical | None, forms: dict[str, Reagent]) -> Constituent | None:
    if chemical is None:
        return None
    if chemical.cas_rn == WATER.cas:
        return WATER
    form = forms.get(_family(chemical))
    kind = form.storage_kind if form else ""
    return Constituent(
        chemical.name, 100.0, _classes(form), cas=chemical.cas_rn or "", kind=kind, inhalation_form="vapour"
    )
