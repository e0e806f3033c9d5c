"""Slow and fast: where in a demonstration a solid dissolves at a published rate, and the pH while it does.

Pure, as demos.simulation.outcome is: plain data in and out.
"""

from contextlib import suppress
from dataclasses import dataclass

from demos.simulation.outcome import Outcome, Point
from stockroom.chemistry import indicator as indicators
from stockroom.chemistry import kinetics, species
from stockroom.chemistry.aqueous import Addition, Contents, settle
from stockroom.chemistry.indicator import Colour
from stockroom.chemistry.kinetics import Curve, KineticsError, Rate

_SEEN_MOL = 1e-6
_HARDLY = 0.98  # of a solid still there: too little dissolved to be worth a curve


@dataclass(frozen=True)
class Meeting:
    """A solid meeting a solution in one portion. solution: all there is but the solid. solid_mol: of it.

    ph_at_rest: of the beaker when all is done.
    """

    step: int
    portion: int
    label: str
    rate: Rate
    solution: Contents
    solid_mol: float
    ph_at_rest: float

    @property
    def key(self) -> str:
        return f"{self.step}.{self.portion}"


def meetings(outcome: Outcome) -> tuple[Meeting, ...]:
    """Every portion in which some of a solid with a published rate dissolves, in order."""
    found = []
    for before, point in zip(outcome.points, outcome.points[1:], strict=False):
        found += _meetings(before, point, point.addition)
    return tuple(found)


@dataclass(frozen=True)
class AtOnce:
    """The beaker right after a portion, before the solid has dissolved. colour: None without indicator."""

    solid: str
    ph: float
    colour: Colour | None


def at_once(outcome: Outcome) -> dict[tuple[int, int], AtOnce]:
    """By step and portion, where the pH at once is a whole unit or more from the pH at rest."""
    found = {}
    for meeting in meetings(outcome):
        ph = settle(meeting.solution, "", frozenset({meeting.rate.formula})).ph
        if ph is not None and abs(ph - meeting.ph_at_rest) >= 1:
            key = outcome.indicator.key if outcome.indicator else ""
            colour = indicators.colour_at(key, ph) if key else None
            found[meeting.step, meeting.portion] = AtOnce(meeting.rate.name, ph, colour)
    return found


def _meetings(before: Point, point: Point, addition: Addition) -> list[Meeting]:
    if point.state.ph is None or not (addition.water_g or addition.substances):
        return []
    contents = before.state.contents.with_addition(addition)
    found = []
    for formula, mol in _solids(before, addition).items():
        if point.state.solid(formula) > _HARDLY * mol:
            continue
        with suppress(KineticsError):
            rate = kinetics.rate_of(formula)
            ions = species.identify(rate.formula).ions
            solution = contents.changed({ion: -float(count) * mol for ion, count in ions})
            found.append(Meeting(point.step, point.portion, point.label, rate, solution, mol, point.state.ph))
    return found


def _solids(before: Point, addition: Addition) -> dict[str, float]:
    """Moles by formula of what lies in the beaker as a solid when the portion has just come in."""
    found = {solid.formula: solid.mol for solid in before.state.solids if solid.mol > _SEEN_MOL}
    if not before.state.contents.water_g:
        # Dry: nothing has dissolved yet, so that whatever is there of a salt is there as a solid.
        for rate in kinetics.rates().values():
            ions = species.identify(rate.formula).ions
            held = [before.state.contents.ions.get(ion, 0.0) / float(count) for ion, count in ions]
            if held and min(held) > _SEEN_MOL:
                found[rate.formula] = min(held)
    if not addition.water_g:
        for substance in addition.substances:
            if substance.mol > _SEEN_MOL:
                found[substance.formula] = found.get(substance.formula, 0.0) + substance.mol
    return found


def curves(meeting: Meeting, rate: Rate, temperatures_c: tuple[float, ...]) -> tuple[Curve, ...]:
    """pH against time at each temperature. Raises KineticsError for parameters that cannot be."""
    return tuple(
        kinetics.dissolving(meeting.solution, meeting.solid_mol, rate, celsius) for celsius in temperatures_c
    )
