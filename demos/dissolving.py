"""Slow and fast: where in a demonstration a solid dissolves at a published rate, and the pH while it does.

Pure, as demos.outcome is: plain data in and out.
"""

from contextlib import suppress
from dataclasses import dataclass

from demos.outcome import Outcome, Point, Step
from stockroom.chemistry import kinetics, species
from stockroom.chemistry.aqueous import Contents
from stockroom.chemistry.kinetics import Curve, KineticsError, Rate
from stockroom.chemistry.portion import PortionError, addition_of

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


def meetings(outcome: Outcome, steps: tuple[Step, ...]) -> tuple[Meeting, ...]:
    """Every portion in which some of a solid with a published rate dissolves, in order."""
    poured = {step.number: step.portion for step in steps if step.portion}
    found = []
    for before, point in zip(outcome.points, outcome.points[1:], strict=False):
        with suppress(PortionError, KineticsError):
            found += _meetings(before, point, addition_of(poured[point.step]))
    return tuple(found)


def _meetings(before: Point, point: Point, addition) -> list[Meeting]:
    if point.state.ph is None:
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


def _solids(before: Point, addition) -> dict[str, float]:
    """Moles by formula of what lies in the beaker as a solid when the portion has just come in."""
    found = {solid.formula: solid.mol for solid in before.state.solids if solid.mol > _SEEN_MOL}
    if before.state.ph is None:
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
