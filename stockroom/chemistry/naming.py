"""The form an acid or base mostly has at a pH, and the free hydrogen or hydroxide ions beside it.

Totals are kept under one ion ("carbonate"), whatever form it takes; a reader wants to be told the form.
"""

from functools import cache
from math import sqrt

from stockroom.chemistry import published, species
from stockroom.chemistry.residue import Residue

_PKW = 14.17  # at 20 °C, CRC Handbook, 97th ed., section 5 (from memory)
_DAVIES_A = 0.505  # at 20 °C
_MODEL_LIMIT = 0.5  # mol/kg


@cache
def _forms() -> dict[str, tuple[tuple[float, str], ...]]:
    found: dict[str, list[tuple[float, str]]] = {}
    for ion, below, name, _ in published.table("forms.csv"):
        found.setdefault(ion, []).append((float(below), name))
    return {ion: tuple(sorted(rows)) for ion, rows in found.items()}


def main_form(ion: str, name: str, ph: float | None) -> str:
    """What most of an ion's total is at a pH; its own name where no other is tabled, or without a pH.

    >>> main_form("CO3-2", "carbonate ion", 8.0), main_form("Na+", "sodium ion", 8.0)
    ('hydrogencarbonate ion', 'sodium ion')
    """
    if ph is None:
        return name
    return next((form for below, form in _forms().get(ion, ()) if ph < below), name)


def free_ions(residue: Residue) -> tuple[tuple[str, float], ...]:
    """(name, mol/L) of the hydrogen ions up to pH 3, or the hydroxide ions from pH 11; nothing in between.

    From the pH by the Davies equation at 20 °C.
    """
    if residue.ph is None or not residue.volume_ul or 3 < residue.ph < 11:
        return ()
    known, litres = species.ions(), residue.volume_ul * 1e-6
    charges = ((part.mol, known[part.formula].charge) for part in residue.components if part.formula in known)
    strength = min(sum(mol * charge**2 for mol, charge in charges) / litres / 2, _MODEL_LIMIT)
    root = sqrt(strength)
    activity = 10 ** (-_DAVIES_A * (root / (1 + root) - 0.3 * strength))
    if residue.ph <= 3:
        return (("hydrogen ion", 10**-residue.ph / activity),)
    return (("hydroxide ion", 10 ** (residue.ph - _PKW) / activity),)
