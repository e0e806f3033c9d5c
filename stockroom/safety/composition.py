"""From a reagent's composition, in the units people write, to the constituents that the rules classify."""

from dataclasses import dataclass, replace
from decimal import Decimal

from stockroom.chemistry.aqueous import Addition, BeakerError, Contents, State, Substance, settle
from stockroom.chemistry.concentration import (
    MOL_L,
    PURE,
    W_W,
    Medium,
    Strength,
    StrengthError,
    convert_strength,
)
from stockroom.safety.classify import WATER, Classification, Constituent, Finding, classify

#: g/mL, taken where nobody knows the density: too light, so that every share comes out too high.
CAUTIOUS_DENSITY = Decimal("0.8")


@dataclass(frozen=True)
class Ingredient:
    """One chemical of a reagent with what is known of it.

    classes: of the chemical pure or in its strongest form on file; None: not classified yet.
    kind: how it is stored (acids, bases, toxics ...). pure_g_ml: density of the pure liquid, for % v/v.
    ate, inhalation_form: as in Constituent.
    """

    name: str
    strength: Strength
    classes: tuple[str, ...] | None
    cas: str = ""
    formula: str = ""
    kind: str = ""
    pure_g_ml: Decimal | None = None
    ate: tuple[tuple[str, float], ...] = ()
    inhalation_form: str = "mist"


def constituents(
    ingredients: tuple[Ingredient, ...], density_g_ml: Decimal | None = None
) -> tuple[tuple[Constituent, ...], tuple[str, ...]]:
    """(constituents in % (w/w), what was missing) of a reagent of this density.

    A strength that cannot be turned into % (w/w) leaves the percentage None: the rules take it as undiluted.
    """
    shares = [_share(ingredient, density_g_ml) for ingredient in ingredients]
    if sum(share.percent or 0 for share in shares) > 100:
        # Only a density taken too light can do that: what needed it is then taken as undiluted.
        shares = [replace(share, percent=None) if share.missing else share for share in shares]
    found = tuple(
        Constituent(
            part.name,
            share.percent,
            part.classes,
            part.cas,
            part.kind,
            part.ate,
            inhalation_form=part.inhalation_form,
        )
        for part, share in zip(ingredients, shares, strict=True)
    )
    return found, tuple(share.missing for share in shares if share.missing)


@dataclass(frozen=True)
class _Share:
    percent: float | None
    missing: str = ""


def _share(ingredient: Ingredient, density_g_ml: Decimal | None) -> _Share:
    try:
        return _Share(float(_percent(ingredient, density_g_ml)))
    except StrengthError as error:
        if density_g_ml is not None:
            return _Share(None, f"{ingredient.name}: {error}")
    try:
        percent = float(_percent(ingredient, CAUTIOUS_DENSITY))
    except StrengthError as error:
        return _Share(None, f"{ingredient.name}: {error}")
    return _Share(percent, f"density of the reagent; {CAUTIOUS_DENSITY} g/mL taken for {ingredient.name}")


def _percent(ingredient: Ingredient, density_g_ml: Decimal | None) -> Decimal:
    if ingredient.strength.unit == PURE:
        return Decimal(100)
    medium = Medium(density_g_ml=density_g_ml, pure_g_ml=ingredient.pure_g_ml, formula=ingredient.formula)
    return convert_strength(ingredient.strength, W_W, medium).value


@dataclass(frozen=True)
class Acidity:
    """pH of a solution in water, and its acid or alkali reserve in g NaOH per 100 g (None for a middling pH).

    approximate: too concentrated for the activity model, so that the pH tells only how strong, roughly.
    """

    ph: float
    reserve: float | None
    approximate: bool


def acidity(ingredients: tuple[Ingredient, ...], density_g_ml: Decimal | None = None) -> Acidity | None:
    """pH and reserve of a solution in water at 20 °C from its equilibrium; None where it cannot be had.

    Reserve as in Young et al. (1988): what brings 100 g to pH 4 from below, or to pH 10 from above.
    """
    density = density_g_ml or Decimal(1)
    try:
        substances = tuple(
            Substance(part.name, part.formula, part.cas, mol=float(_molarity(part, density)))
            for part in ingredients
        )
        grams = sum(float(_percent(part, density)) for part in ingredients) * float(density) * 10
        water = max(float(density) * 1000 - grams, 1.0)
        contents = Contents().with_addition(Addition("", substances, water_g=water, volume_ml=1000))
        state = settle(contents)
    except (StrengthError, BeakerError):
        return None
    ph = _ph_of(state)
    if ph is None:
        return None
    return Acidity(ph, _reserve(state, ph, float(density)), state.approximate or state.ph is None)


def _ph_of(state: State) -> float | None:
    """The pH, or the least extreme one that it can have where it is above what can be computed."""
    return state.extreme if state.ph is None else state.ph


def _molarity(part: Ingredient, density: Decimal) -> Decimal:
    return convert_strength(
        part.strength, MOL_L, Medium(density_g_ml=density, pure_g_ml=part.pure_g_ml, formula=part.formula)
    ).value


def _reserve(state: State, ph: float, density_g_ml: float) -> float | None:
    if ph <= 4:
        ions, target = {"Na+": 1.0, "H+": -1.0}, 4.0
    elif ph >= 10:
        ions, target = {"Cl-": 1.0, "H+": 1.0}, 10.0
    else:
        return None
    low, high = 0.0, 40.0  # mol/L
    for _ in range(24):
        middle = (low + high) / 2
        changed = settle(state.contents.changed({ion: count * middle for ion, count in ions.items()}))
        now = _ph_of(changed)
        short = now is not None and (now < target if target == 4 else now > target)
        low, high = (middle, high) if short else (low, middle)
    return high * 39.997 / (10 * density_g_ml)


def classify_reagent(
    ingredients: tuple[Ingredient, ...],
    *,
    solvent: Constituent | None,
    density_g_ml: Decimal | None = None,
    state: str = "liquid",
    **measured,
) -> Classification:
    """GHS classes of a reagent from its composition; in water with the pH reckoned where none was measured.

    ingredients, density: as in constituents(). solvent, state and what was measured: as in classify().
    What could not be turned into % (w/w) is listed in ``missing``.
    Raises MixtureError where the shares cannot be, QuantityError for a density that cannot be.
    """
    parts, missing = constituents(ingredients, density_g_ml)
    first: tuple[Finding, ...] = ()
    if solvent is WATER and state == "liquid" and measured.get("ph") is None:
        reckoned = acidity(ingredients, density_g_ml)
        if reckoned is not None and _tells(reckoned):
            measured |= {"ph": reckoned.ph, "reserve": reckoned.reserve}
            first = (_reckoned_line(reckoned),)
    result = classify(parts, solvent=solvent, state=state, **measured)
    missing = tuple(dict.fromkeys((*result.missing, *missing)))
    return replace(result, reasons=(*first, *result.reasons), missing=missing)


def _tells(reckoned: Acidity) -> bool:
    # A rough pH is good enough to call a solution extreme, not to call it mild.
    return not reckoned.approximate or reckoned.ph <= 2 or reckoned.ph >= 11.5


def _reckoned_line(reckoned: Acidity) -> Finding:
    reserve = "" if reckoned.reserve is None else f", reserve {reckoned.reserve:.2g} g NaOH per 100 g"
    rough = " (rough: a concentrated solution)" if reckoned.approximate else ""
    text = f"pH {reckoned.ph:.1f}{rough}{reserve}, worked out from the equilibrium at 20 °C"
    return Finding(text, "USGS PHREEQC with the database minteq.v4")
