"""Hazard classes of the catalog's solutions and mixtures as their composition makes them, in the US.

`python -m stockroom.catalogue.classing` prints where data/hazards.csv says something else.
"""

from stockroom.catalogue.loader import CatalogueComponent, Reagent, load
from stockroom.chemistry.concentration import PURE, W_W, Strength
from stockroom.safety.classify import WATER, Classification, Constituent
from stockroom.safety.composition import Ingredient, classify_reagent
from stockroom.safety.mixture import US

_STATES = {"solid": "solid", "hydrate": "solid", "metal": "solid", "gas": "gas"}


def is_mixed(row: Reagent) -> bool:
    """Whether its classes follow from those of other reagents: it is neither neat nor the strongest form."""
    (first, *rest) = row.components
    return bool(rest) or (first.unit != PURE and strongest_form(first.chemical) is not row)


def strongest_form(chemical: str) -> Reagent | None:
    """The reagent that holds nothing but this chemical, with or without crystal water, at its strongest."""
    salt = _salt(chemical)
    forms = [
        row
        for row in load().reagents.values()
        for part in row.components
        if len(row.components) == 1 and part.unit in (PURE, W_W) and _salt(part.chemical) == salt
    ]
    return max(
        forms, key=lambda row: (row.components[0].unit == PURE, row.components[0].value or 0), default=None
    )


def worked_out(row: Reagent) -> Classification:
    """The classes that follow from what it holds, by the limits of 29 CFR 1910.1200 App. A.

    Raises MixtureError or QuantityError where the composition cannot be.
    """
    return classify_reagent(
        tuple(_ingredient(part) for part in row.components),
        solvent=_solvent(row.solvent),
        density_g_ml=row.density,
        state=_STATES.get(row.kind, "liquid"),
        limits=US,
    )


def _salt(chemical: str) -> str:
    return load().chemicals[chemical].anhydrous or chemical


def _ingredient(part: CatalogueComponent) -> Ingredient:
    chemical, form = load().chemicals[part.chemical], strongest_form(part.chemical)
    fluid = form is not None and form.kind in ("liquid", "gas")
    return Ingredient(
        chemical.name,
        Strength(part.value, part.unit),
        form.hazard_classes if form else None,
        cas=chemical.cas,
        formula=chemical.formula,
        kind=form.storage_kind if form else "",
        pure_g_ml=form.density if form and form.kind == "liquid" else None,
        inhalation_form="vapour" if fluid else "mist",
    )


def _solvent(key: str) -> Constituent | None:
    if not key:
        return None
    chemical, form = load().chemicals[key], strongest_form(key)
    if chemical.cas == WATER.cas:
        return WATER
    classes, kind = (form.hazard_classes, form.storage_kind) if form else (None, "")
    return Constituent(chemical.name, 100.0, classes, cas=chemical.cas, kind=kind, inhalation_form="vapour")


def main() -> None:
    """Print each reagent whose classes differ, "-" what is written and "+" what follows."""
    for row in load().reagents.values():
        if not is_mixed(row):
            continue
        found = worked_out(row)
        written, follows = set(row.hazard_classes), set(found.classes)
        words = [f"-{key}" for key in sorted(written - follows)] + [
            f"+{key}" for key in sorted(follows - written)
        ]
        if words or not found.complete:
            print(row.key, *words, "" if found.complete else "(part of it is not classified)")


if __name__ == "__main__":
    main()
