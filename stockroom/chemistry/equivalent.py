"""Will this do instead of that, and how much of it?

Two ways: by moles of what does the work (hydrogen ions an acid can give, hydroxide a base can make, the metal
ion of a salt), and by the amount that brings the same beaker to the same pH.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from stockroom.chemistry import species
from stockroom.chemistry.aqueous import Addition, Contents, settle
from stockroom.chemistry.neutralise import NeutraliseError, amount_for_ph

ACID, BASE = "acid", "base"
_SPECTATORS = {"Na+", "K+", "Cl-", "NO3-", "SO4-2", "H2O", "H+", "OH-"}
_BASE_COUNTS = {"OH-": 1, "O-2": 2, "CO3-2": 2, "HCO3-": 1}
_ACID_COUNTS = {"H+": 1, "HSO4-": 1, "HSO3-": 1, "H2PO4-": 1}


class EquivalentError(ValueError):
    """The two do not do the same job; says why."""


@dataclass(frozen=True)
class Equivalent:
    """factor: how many times the substitute as given takes the place of the original as given.

    basis: what was made equal, in words. ph_original, ph_substitute: of the beaker with the one and with the
    other, None where not asked. differences: what else changes, in words.
    """

    factor: float
    basis: str
    substitute: Addition
    ph_original: float | None = None
    ph_substitute: float | None = None
    differences: tuple[str, ...] = ()


@dataclass(frozen=True)
class SafetyDifference:
    """Hazard class keys that go, that come, and that stay with a substitute."""

    gone: tuple[str, ...]
    new: tuple[str, ...]
    same: tuple[str, ...]


def active(addition: Addition) -> dict[str, float]:
    """Moles of what does the work: "acid", "base", and each ion that is more than a spectator.

    >>> from stockroom.chemistry.aqueous import Substance
    >>> active(Addition("", (Substance("", "H2SO4", "", 0.1),)))
    {'acid': 0.2}
    """
    found: dict[str, float] = {}
    for substance in addition.substances:
        identity = species.identify(substance.formula, substance.name, substance.cas)
        counts = dict(identity.ions)
        acid = sum(float(counts.get(ion, 0)) * n for ion, n in _ACID_COUNTS.items())
        base = sum(float(counts.get(ion, 0)) * n for ion, n in _BASE_COUNTS.items())
        _add(found, ACID, max(acid, 0.0) * substance.mol)
        _add(found, BASE, (base + max(-acid, 0.0)) * substance.mol)
        for ion, count in identity.ions:
            if ion not in _SPECTATORS and ion not in _BASE_COUNTS and ion not in _ACID_COUNTS and count > 0:
                _add(found, ion, float(count) * substance.mol)
    return {key: mol for key, mol in found.items() if mol > 0}


def _add(total: dict[str, float], key: str, mol: float) -> None:
    total[key] = total.get(key, 0.0) + mol


def by_moles(original: Addition, substitute: Addition, job: str = "") -> Equivalent:
    """Equal moles of what does the work. job: "acid", "base" or an ion; "" takes what both have.

    Raises EquivalentError where they have nothing in common.
    """
    wanted, offered = active(original), active(substitute)
    jobs = [job] if job else [key for key in wanted if key in offered]
    if not jobs or jobs[0] not in wanted or jobs[0] not in offered:
        raise EquivalentError(f"{substitute.label} does not do what {original.label} does")
    key = jobs[0]
    factor = wanted[key] / offered[key]
    words = {ACID: "hydrogen ions it can give", BASE: "hydrogen ions it can take up"}
    name = words.get(key) or species.ions()[key].name
    return Equivalent(
        factor,
        f"the same moles of {name}",
        substitute.times(factor),
        differences=_differences(original, substitute),
    )


def by_ph(before: Contents, original: Addition, substitute: Addition) -> Equivalent:
    """The amount of a substitute that brings the beaker to the pH the original brings it to.

    Raises EquivalentError where it never gets there, and says how far it gets with the same moles.
    """
    start, end = settle(before), settle(before.with_addition(original))
    if start.ph is None or end.ph is None:
        raise EquivalentError(start.why_no_ph or end.why_no_ph)
    rising = end.ph > start.ph
    try:
        # Sought in units of at least the same moles: a dilute substitute is followed as far as a strong one.
        size = max(1.0, by_moles(original, substitute).factor)
    except EquivalentError:
        size = 1.0
    try:
        factor = amount_for_ph(before, substitute.times(size), end.ph, rising)
    except NeutraliseError as error:
        raise EquivalentError(str(error)) from error
    if factor is None or factor == 0:
        far = _ph_of_same_moles(before, original, substitute)
        reach = f"; with the same moles it gets to pH {far:.1f}" if far is not None else ""
        raise EquivalentError(
            f"{substitute.label} does not bring this to pH {end.ph:.1f}, as {original.label} does{reach}"
        )
    factor *= size
    reached = settle(before.with_addition(substitute.times(factor)))
    return Equivalent(
        factor,
        f"the same pH, {end.ph:.1f}",
        substitute.times(factor),
        end.ph,
        reached.ph,
        _differences(original, substitute),
    )


def _ph_of_same_moles(before: Contents, original: Addition, substitute: Addition) -> float | None:
    try:
        same = by_moles(original, substitute)
    except EquivalentError:
        return None
    return settle(before.with_addition(same.substitute)).ph


def _differences(original: Addition, substitute: Addition) -> tuple[str, ...]:
    """What else the substitute changes: its strength as acid or base, the ions it brings, gas it may give."""
    ours, theirs = _ions(original), _ions(substitute)
    notes = []
    for here, there, word in ((theirs, ours, "brings"), (ours, theirs, "does without")):
        extra = sorted(species.ions()[ion].name for ion in here - there if ion not in ("H+", "OH-", "H2O"))
        if extra:
            notes.append(f"{substitute.label} {word} {', '.join(extra)}")
    if theirs & {"CO3-2", "HCO3-"} and not ours & {"CO3-2", "HCO3-"}:
        notes.append(f"{substitute.label} gives off carbon dioxide with acid")
    strength = {label: _ph_alone(addition) for label, addition in (("old", original), ("new", substitute))}
    if None not in strength.values():
        apart = [abs(strength[label] - 7) for label in ("old", "new")]
        if apart[0] - apart[1] > 0.5:
            notes.append(f"{substitute.label} is weaker: 0.1 mol/L stands at pH {strength['new']:.1f}")
        elif apart[1] - apart[0] > 0.5:
            notes.append(f"{substitute.label} is stronger: 0.1 mol/L stands at pH {strength['new']:.1f}")
    return tuple(notes)


def _ions(addition: Addition) -> set[str]:
    return {
        ion
        for substance in addition.substances
        for ion, count in species.identify(substance.formula, substance.name, substance.cas).ions
        if count > 0
    }


def _ph_alone(addition: Addition) -> float | None:
    """pH of 0.1 mol of its acid or base in a litre of water."""
    supplies = active(addition)
    supply = supplies.get(ACID) or supplies.get(BASE)
    if not supply:
        return None
    per_litre = addition.times(0.1 / supply)
    return settle(Contents(water_g=1000.0, volume_ml=1000.0).with_addition(per_litre)).ph


def safety_difference(original: Iterable[str], substitute: Iterable[str]) -> SafetyDifference:
    """Compare the hazard class keys of two reagents.

    >>> safety_difference(["skin_corr_1b", "met_corr_1"], ["met_corr_1"])
    SafetyDifference(gone=('skin_corr_1b',), new=(), same=('met_corr_1',))
    """
    before, after = set(original), set(substitute)
    return SafetyDifference(
        tuple(sorted(before - after)), tuple(sorted(after - before)), tuple(sorted(before & after))
    )
