"""Several wastes in one vessel, as one: what the whole holds, before anything reacts."""

from collections.abc import Collection, Iterable
from dataclasses import replace

from stockroom.chemistry.residue import Dissolved, Gas, Organic, Residue, Solid
from stockroom.safety.groups import PIECES, POWDER, SOLID
from stockroom.safety.waste import Waste


def together(wastes: Collection[Waste]) -> Waste:
    """The sum of `wastes`. pH: the one farthest from 7, for what neutralises what is not reckoned here.

    An organic share is by volume, as if all weighed as much as water; where some volume is not known, the
    largest share of any. What is not known in one is not known in the whole.
    """
    if len(wastes) == 1:
        return next(iter(wastes))
    residues = [waste.residue for waste in wastes]
    measured = [waste.flash_point_c for waste in wastes if waste.flash_point_c is not None]
    return Waste(
        Residue(
            sum(one.volume_ul for one in residues),
            max((one.ph for one in residues if one.ph is not None), key=lambda ph: abs(ph - 7), default=None),
            max((one.temperature_c for one in residues), default=25.0),
            _summed(part for one in residues for part in one.components),
            _summed(part for one in residues for part in one.undissolved),
            organics=_organics(residues),
            unknown=tuple(dict.fromkeys(text for one in residues for text in one.unknown)),
        ),
        frozenset().union(*(waste.groups for waste in wastes)),
        frozenset().union(*(waste.hazard_keys for waste in wastes)),
        min(measured) if len(measured) == len(wastes) > 0 else None,
        frozenset().union(*(waste.unused_cas for waste in wastes)),
        any(waste.spent_solvent for waste in wastes),
        next((waste.vouched for waste in wastes if waste.vouched), ""),
        _form({waste.form for waste in wastes}),
    )


def _form(forms: set[str]) -> str:
    """That of all; powder where one is, for pieces beside it do not make it safer."""
    if len(forms) == 1:
        return next(iter(forms))
    return POWDER if POWDER in forms and forms <= {POWDER, PIECES, SOLID} else ""


def _summed(parts: Iterable[Dissolved | Solid | Gas]) -> tuple:
    found: dict[str, Dissolved | Solid] = {}
    for part in parts:
        before = found.get(part.formula)
        found[part.formula] = replace(before, mol=before.mol + part.mol) if before else part
    return tuple(found.values())


def _organics(residues: Collection[Residue]) -> tuple[Organic, ...]:
    whole = sum(one.volume_ul for one in residues)
    known = all(one.volume_ul for one in residues)
    found: dict[tuple[str, str], float] = {}
    for one in residues:
        for organic in one.organics:
            key = (organic.name, organic.cas)
            before = found.get(key, 0.0)
            if known:
                found[key] = before + organic.percent_w_w * one.volume_ul / whole
            else:
                found[key] = max(before, organic.percent_w_w)
    return tuple(Organic(name, cas, percent) for (name, cas), percent in found.items())
