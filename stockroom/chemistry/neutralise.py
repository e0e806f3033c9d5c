"""How much of what brings a solution into a range of pH, and what that gives off."""

import math
from dataclasses import dataclass, replace

from stockroom.chemistry import species
from stockroom.chemistry.aqueous import (
    Addition,
    BeakerError,
    Contents,
    State,
    Substance,
    settle,
    to_residue,
)
from stockroom.chemistry.formula import molar_mass
from stockroom.chemistry.quantity import VOLUME, format_amount
from stockroom.chemistry.residue import Gas, Residue

MOST_MOL = 20.0


class NeutraliseError(ValueError):
    """The range or the neutraliser does not fit what is there; says what to change."""


@dataclass(frozen=True)
class Neutraliser:
    """mol_per_litre: None for a solid. for_acid: whether it raises the pH."""

    key: str
    name: str
    formula: str
    cas: str
    for_acid: bool
    mol_per_litre: float | None = None

    def of(self, mol: float) -> Addition:
        """So many moles of it as an addition."""
        litres = mol / self.mol_per_litre if self.mol_per_litre else 0.0
        substance = Substance(self.name, self.formula, self.cas, mol)
        return Addition(self.name, (substance,), litres * 1000, litres * 1000)


NEUTRALISERS = {
    n.key: n
    for n in (
        Neutraliser("sodium_hydrogencarbonate", "sodium hydrogencarbonate", "NaHCO3", "144-55-8", True),
        Neutraliser("sodium_carbonate", "sodium carbonate", "Na2CO3", "497-19-8", True),
        Neutraliser("sodium_hydroxide_1m", "sodium hydroxide 1 mol/L", "NaOH", "1310-73-2", True, 1.0),
        Neutraliser("citric_acid", "citric acid", "C6H8O7", "77-92-9", False),
        Neutraliser("hydrochloric_acid_1m", "hydrochloric acid 1 mol/L", "HCl", "7647-01-0", False, 1.0),
        Neutraliser("acetic_acid_1m", "acetic acid 1 mol/L", "CH3COOH", "64-19-7", False, 1.0),
    )
}


@dataclass(frozen=True)
class Dose:
    """How much of a neutraliser, and what it leads to.

    mass_g for a solid, volume_ml for a solution, the other None. gas: given off on the way. residue: what is
    left then. notes: cautions in words.
    """

    neutraliser: Neutraliser
    mol: float
    mass_g: float | None
    volume_ml: float | None
    ph_before: float
    ph_after: float
    gas: tuple[Gas, ...]
    residue: Residue
    notes: tuple[str, ...]


def contents_of(residue: Residue) -> Contents:
    """A beaker with what a residue describes, its charge made even with hydrogen ions.

    Where a residue made up by hand gives a pH that its components do not explain, strong acid or base is
    added until it does. Raises NeutraliseError where there is no water.
    """
    if residue.volume_ul <= 0:
        raise NeutraliseError("give the volume of what is to be neutralised")
    volume = residue.volume_ul / 1000
    organics = tuple(
        Substance(o.name, "", o.cas, 0.0, o.percent_w_w / 100 * volume) for o in residue.organics
    )
    water = max(0.0, volume - sum(o.mass_g for o in organics))
    neutral = tuple(Substance(s.name, s.formula, s.cas, s.mol) for s in residue.undissolved)
    charged: dict[str, float] = {}
    for part in residue.components:
        if part.formula in species.ions():
            charged[part.formula] = charged.get(part.formula, 0.0) + part.mol
        else:
            neutral += (Substance(part.name, part.formula, part.cas, part.mol),)
    start = Contents().with_addition(
        Addition("residue", (*organics, *neutral), water, volume, residue.temperature_c)
    )
    excess = sum(species.ions()[ion].charge * mol for ion, mol in charged.items())
    contents = replace(
        start.changed({**charged, "H+": charged.get("H+", 0.0) - excess}), unknown=residue.unknown
    )
    return _match(contents, residue.ph)


def _match(contents: Contents, ph: float | None) -> Contents:
    """Add strong acid or base until the beaker stands at the pH stated, if it does not yet."""
    now = settle(contents).ph
    if ph is None or now is None or abs(now - ph) <= 0.3:
        return contents
    acid = ph < now
    substance = Substance("", "HCl" if acid else "NaOH", "", 1.0)
    factor = amount_for_ph(contents, Addition("", (substance,)), ph, rising=not acid)
    if factor is None:
        raise NeutraliseError(f"what is in the residue does not fit its pH of {ph:g}: check both")
    return contents.with_addition(Addition("", (substance,)).times(factor))


def amount_for_ph(contents: Contents, unit: Addition, target: float, rising: bool) -> float | None:
    """How many times `unit` (about a mole) must be added for the pH to reach `target`; None if it never does.

    The pH must go one way as more is added. Never short; to a part in a thousand, finer where the pH jumps.
    Raises NeutraliseError where the beaker has no pH to begin with.
    """

    def gap(factor: float) -> float:
        """How far beyond the target it stands; negative while short of it."""
        ph = settle(contents.with_addition(unit.times(factor))).ph
        if ph is None:
            return math.nan
        return ph - target if rising else target - ph

    if (beyond := gap(0.0)) >= 0:
        return 0.0
    if math.isnan(beyond):
        raise NeutraliseError(settle(contents).why_no_ph)
    low, high = 0.0, 1e-7
    while not (beyond := gap(high)) >= 0:
        low, high = high, high * 4
        if high > MOST_MOL or math.isnan(beyond):
            return None
    while high - low > 1e-9 * high and (high - low > 1e-3 * high or beyond > 0.5):
        middle = (low + high) / 2
        if (found := gap(middle)) >= 0:
            high, beyond = middle, found
        else:
            low = middle
    return high


def neutralise(residue: Residue, key: str, low: float = 6.0, high: float = 9.0) -> Dose:
    """The least of a neutraliser that brings a residue between two pH values.

    Raises NeutraliseError where the range is none, the pH is not known, it already lies within, the
    neutraliser works the other way, cannot reach the range or overshoots it.
    """
    if not 0 <= low < high <= 14:
        raise NeutraliseError("choose a range of pH from low to high, such as 6 to 9")
    if key not in NEUTRALISERS:
        raise NeutraliseError(f"choose one of {', '.join(NEUTRALISERS)}")
    if residue.unknown:
        raise NeutraliseError(f"collect this: {residue.unknown[0]}")
    neutraliser = NEUTRALISERS[key]
    contents = contents_of(residue)
    before = settle(contents)
    if before.ph is None:
        raise NeutraliseError(before.why_no_ph)
    if low <= before.ph <= high:
        raise NeutraliseError(f"at pH {before.ph:.1f} it already lies between {low:g} and {high:g}")
    rising = before.ph < low
    if rising != neutraliser.for_acid:
        raise NeutraliseError(f"{neutraliser.name} moves the pH the wrong way: it stands at {before.ph:.1f}")
    try:
        mol = amount_for_ph(contents, neutraliser.of(1.0), low if rising else high, rising)
        state = None if mol is None else settle(contents.with_addition(neutraliser.of(mol)))
    except BeakerError as error:
        raise NeutraliseError(f"do it in smaller lots: {error}") from error
    if state is None or not low - 0.01 <= state.ph <= high + 0.01:
        raise NeutraliseError(
            f"{neutraliser.name} does not bring this between {low:g} and {high:g}: try another"
        )
    return _dose(neutraliser, mol, before, state)


def options(residue: Residue, low: float = 6.0, high: float = 9.0) -> tuple[Dose, ...]:
    """Every neutraliser that does, in the order of NEUTRALISERS: the gentlest first."""
    found = []
    for key in NEUTRALISERS:
        try:
            found.append(neutralise(residue, key, low, high))
        except NeutraliseError:
            continue
    return tuple(found)


def _dose(neutraliser: Neutraliser, mol: float, before: State, after: State) -> Dose:
    notes = ["Add it little by little, with stirring, and check the pH with paper."]
    gas_ml = sum(gas.volume_ml for gas in after.gas)
    if gas_ml > 50:
        names = " and ".join(gas.name for gas in after.gas)
        volume = format_amount(round(gas_ml * 1000), VOLUME, figures=2)
        notes.append(f"It froths: {volume} of {names} comes off. Use a vessel three times the volume.")
    if neutraliser.formula in ("NaOH", "HCl"):
        notes.append("A slip overshoots: the last drops decide. A weak acid or base is kinder.")
    if after.approximate:
        notes.append("The solution is concentrated: the amount is a guide, the pH paper decides.")
    solid = neutraliser.mol_per_litre is None
    return Dose(
        neutraliser,
        mol,
        mol * molar_mass(neutraliser.formula) if solid else None,
        None if solid else mol / neutraliser.mol_per_litre * 1000,
        before.ph,
        after.ph,
        after.gas,
        to_residue(after, after.gas),
        tuple(notes),
    )
