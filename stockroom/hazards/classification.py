"""Reads what a reagent holds and asks safety/ which hazard classes follow from it."""

from collections import Counter

from stockroom.chemistry.concentration import PURE, W_W, Strength
from stockroom.chemistry.formula import FormulaError, anhydrous
from stockroom.chemistry.quantity import QuantityError
from stockroom.common.department import Department
from stockroom.hazards.restricted import strengths_of
from stockroom.inventory.models import Chemical, Component, Reagent
from stockroom.safety.classify import WATER, Classification, Constituent
from stockroom.safety.composition import Ingredient, classify_reagent
from stockroom.safety.mixture import EU, US, MixtureError
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
    forms = _Forms(chemicals)
    ingredients = tuple(_ingredient(row, forms) for row in components)
    return classify_reagent(
        ingredients,
        solvent=_solvent(reagent.solvent, forms),
        density_g_ml=reagent.density,
        state=_STATES.get(reagent.kind, "liquid"),
        ph=ph,
        limits=US if Department.current().country.upper() == US else EU,
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


def _families(chemicals: list[Chemical]) -> dict[int, int]:
    """Which chemical speaks for each, by primary key: for a hydrate its salt where that is here, else itself.

    A molecular formula does not tell isomers apart, so it never joins two chemicals without crystal water.
    """
    salts: dict[str, list[Chemical]] = {}
    for chemical in chemicals:
        if chemical.formula and "·" not in chemical.formula:
            salts.setdefault(chemical.formula, []).append(chemical)
    return {chemical.pk: (_salt_of(chemical, salts) or chemical).pk for chemical in chemicals}


def _salt_of(chemical: Chemical, salts: dict[str, list[Chemical]]) -> Chemical | None:
    """The salt of a hydrate; where carbon is in it, or isomers are here, the name must say so too."""
    if "·" not in chemical.formula:
        return None
    try:
        dry = anhydrous(chemical.formula)
    except FormulaError:
        return None
    found = list({salt.pk: salt for salt in salts.get(dry.text, ())}.values())
    if len(found) == 1 and not any(symbol == "C" for _, atoms in dry.parts for symbol, _ in atoms):
        return found[0]
    return next((salt for salt in found if chemical.name.casefold().startswith(salt.name.casefold())), None)


class _Forms:
    """The strongest classified reagent that holds nothing but a chemical, for each of several chemicals."""

    def __init__(self, chemicals: list[Chemical]):
        rows = list(
            Component.objects.filter(unit__in=(PURE, W_W))
            .exclude(reagent__hazard_state=Reagent.HazardState.UNKNOWN)
            .select_related("chemical", "reagent")
            .order_by("pk")
        )
        self._families = _families([*chemicals, *(row.chemical for row in rows)])
        wanted = {self._families[chemical.pk] for chemical in chemicals}
        held = [row for row in rows if self._families[row.chemical_id] in wanted]
        parts = Component.objects.filter(reagent__in={row.reagent_id for row in held})
        alone = Counter(parts.values_list("reagent_id", flat=True))
        self._best: dict[int, Component] = {}
        for row in held:
            family = self._families[row.chemical_id]
            best = self._best.get(family)
            if alone[row.reagent_id] == 1 and (best is None or _strength(row) > _strength(best)):
                self._best[family] = row

    def of(self, chemical: Chemical) -> Reagent | None:
        best = self._best.get(self._families[chemical.pk])
        return best.reagent if best else None


def _strength(row: Component) -> float:
    return _UNDILUTED if row.unit == PURE else float(row.value or 0)


def _classes(form: Reagent | None) -> tuple[str, ...] | None:
    return None if form is None else tuple(form.hazards.values_list("hazard_class", flat=True))


def _ingredient(row: Component, forms: _Forms) -> Ingredient:
    chemical = row.chemical
    form = forms.of(chemical)
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


def _solvent(chemical: Chemical | None, forms: _Forms) -> Constituent | None:
    if chemical is None:
        return None
    if chemical.cas_rn == WATER.cas:
        return WATER
    form = forms.of(chemical)
    kind = form.storage_kind if form else ""
    return Constituent(
        chemical.name, 100.0, _classes(form), cas=chemical.cas_rn or "", kind=kind, inhalation_form="vapour"
    )
