"""A portion of a reagent thrown away, as the waste rules see it: composition, pH, groups and hazard classes.

Whatever cannot be told in moles counts as not known, and not known counts as hazardous.
"""

from collections.abc import Sequence
from dataclasses import replace

from stockroom.chemistry import species
from stockroom.chemistry.aqueous import Addition, BeakerError, follow, to_residue
from stockroom.chemistry.formula import FormulaError, parse_formula
from stockroom.chemistry.portion import Portion, PortionError, addition_of
from stockroom.chemistry.quantity import COUNT, VOLUME
from stockroom.chemistry.residue import Dissolved, Organic, Residue, Solid
from stockroom.safety.groups import PIECES, POWDER, form_of
from stockroom.safety.together import together
from stockroom.safety.waste import Waste

#: grams taken for a piece that nobody weighed: shares and strengths of a pure solid do not hang on it
_PIECE_G = 1.0
_LIQUIDS = ("liquid", "solution")
_NON_METALS = frozenset({"C", "H", "N", "O", "S", "P", "F", "Cl", "Br", "I"})


def waste_of(
    portion: Portion,
    groups: frozenset[str] = frozenset(),
    hazard_keys: frozenset[str] = frozenset(),
    *,
    kind: str = "",
    classified: bool = True,
    ph: float | None = None,
    unused: bool = False,
) -> Waste:
    """So much of a reagent as waste.

    groups, hazard_keys: what somebody wrote down of the reagent. kind: that of the reagent; with its name it
    tells powder from pieces, and a gas. classified: whether anybody has settled its
    hazards; otherwise it counts as not known. ph: as measured, in place of the computed one. unused: as it
    came from the supplier, so that the P and U lists of 40 CFR 261.33 apply.
    """
    residue = residue_of(portion, kind) if classified else _not_known(portion)
    cas = {part.cas for part in portion.parts} - {""}
    return Waste(
        residue if ph is None else replace(residue, ph=ph),
        groups,
        hazard_keys,
        unused_cas=frozenset(cas) if unused and len(cas) == 1 else frozenset(),
        form=_form(portion, kind),
    )


def _form(portion: Portion, kind: str) -> str:
    """Only where it tells more than the residue does: powder, pieces or a gas."""
    density = float(portion.density_g_ml) if portion.density_g_ml is not None else None
    form = form_of(kind, portion.measure, portion.reagent, portion.solvent, density)
    return form if form in (POWDER, PIECES) or kind == "gas" else ""


def waste_of_several(parts: Sequence[tuple[Portion, Waste]], ph: float | None = None) -> Waste:
    """Several reagents poured together; each with itself as waste, for what the chemistry cannot follow.

    Where the whole is followed to its equilibrium, that counts; else the sum of what went in, with every
    group and hazard of its parts. ph: as measured, in place of the computed one.
    """
    apart = together([waste for _, waste in parts])
    settled = None if apart.residue.unknown else _settled([portion for portion, _ in parts])
    whole = Waste(settled, hazard_keys=apart.hazard_keys) if settled else apart
    return whole if ph is None else replace(whole, residue=replace(whole.residue, ph=ph))


def _settled(portions: Sequence[Portion]) -> Residue | None:
    """None where no pH can be computed, or something in it is not followed."""
    try:
        state = follow([addition_of(portion) for portion in portions])[-1]
    except (PortionError, BeakerError):
        return None
    told = state.ph is not None or state.dissolved
    return to_residue(state) if told and not state.contents.unknown else None


def residue_of(portion: Portion, kind: str = "") -> Residue:
    """What a portion is made of; one that cannot be told in moles is `unknown` by the reagent's name.

    A liquid that is weighed without a density is taken as 1 g/mL: only its room hangs on it.
    """
    if portion.measure == COUNT and not portion.piece_g:
        portion = replace(portion, piece_g=_PIECE_G)
    try:
        addition = addition_of(portion)
        state = follow([addition])[-1] if addition.water_g else None
    except (PortionError, BeakerError):
        return _not_known(portion)
    if state is not None and (state.ph is not None or state.dissolved):
        return to_residue(state)
    wet = bool(addition.water_g) or portion.measure == VOLUME
    if kind in _LIQUIDS and not wet:
        grams = sum(one.mass_g for one in addition.substances)
        addition, wet = replace(addition, volume_ml=addition.volume_ml or grams), True
    found = _as_it_is(addition, wet)
    return found if state is None else replace(found, ph=state.extreme)


def _not_known(portion: Portion) -> Residue:
    return Residue(portion.amount if portion.measure == VOLUME else 0, None, unknown=(portion.reagent,))


def _as_it_is(addition: Addition, wet: bool) -> Residue:
    """Without an equilibrium: each substance as it was put in."""
    total = addition.water_g + sum(one.mass_g for one in addition.substances)
    dissolved, solids, organics = [], [], []
    for one in addition.substances:
        kind = species.identify(one.formula, one.name, one.cas).kind
        carbon = not addition.water_g and _is_organic(one.formula)
        if kind in (species.ORGANIC, species.DYE) or carbon or not one.formula:
            organics.append(Organic(one.name, one.cas, 100 * one.mass_g / total if total else 100.0))
        elif wet:
            dissolved.append(Dissolved(one.name, one.formula, one.cas, one.mol))
        else:
            solids.append(Solid(one.name, one.formula, one.cas, one.mol))
    room = round(addition.volume_ml * 1000) if wet else 0
    return Residue(
        room, None, components=tuple(dissolved), undissolved=tuple(solids), organics=tuple(organics)
    )


def _is_organic(formula: str) -> bool:
    """Whether it is an uncharged compound of carbon and hydrogen, with non-metals at most."""
    try:
        parsed = parse_formula(formula)
    except FormulaError:
        return False
    salt = "NH4" in formula
    return not salt and not parsed.charge and {"C", "H"} <= parsed.atoms.keys() <= _NON_METALS
