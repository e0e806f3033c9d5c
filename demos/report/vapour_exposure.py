"""What is in the air of a room if what is set out evaporates, for the reminder and for a page of its own."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from demos.models import Room
from stockroom.chemistry.quantity import MASS, VOLUME, plain_figures
from stockroom.chemistry.species import DYE, ELECTROLYTE, INSOLUBLE, METAL, identify
from stockroom.hazards.restricted import strengths_of
from stockroom.inventory.models import Chemical, Reagent
from stockroom.safety import vapour
from stockroom.safety.vapour import Vapour

WATER = "7732-18-5"
_SOLIDS = (Reagent.Kind.SOLID, Reagent.Kind.HYDRATE, Reagent.Kind.METAL)


@dataclass(frozen=True)
class ExposureLine:
    """One chemical of one reagent in the room's air. `assumed` says what had to be taken for granted."""

    reagent: Reagent
    amount: int
    name: str
    vapour: Vapour
    assumed: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """As on the reminder."""
        source = f"{self.name} from {self.reagent.text_of(self.amount)} of {self.reagent}"
        how = "as much as stands above so weak an acid" if self.vapour.held_back else "all evaporated at once"
        said = f"{source}, {how}: {figures(self.vapour.peak_ppm)} ppm. {self.verdict}"
        return " ".join([said, *(f"{one}." for one in self.assumed)])

    @property
    def verdict(self) -> str:
        over = [check for check in self.vapour.checks if check.over]
        if over:
            return " ".join(
                f"Over: {check.name} {figures(check.reached_ppm)} ppm, limit {figures(check.limit_ppm)} ppm."
                for check in over
            )
        if not self.vapour.checks:
            return "No limit for it is in the library: this does not mean that it is safe."
        return f"Under the limits known ({', '.join(check.name for check in self.vapour.checks)})."


@dataclass(frozen=True)
class Air:
    """Everything that may evaporate in a room, what is over a limit first. `missing`: not known."""

    lines: tuple[ExposureLine, ...]
    missing: tuple[str, ...]

    @property
    def over(self) -> bool:
        return any(line.vapour.over for line in self.lines)


def figures(number: float) -> str:
    """Two figures, without powers of ten.

    >>> figures(1234.5), figures(0.0456)
    ('1200', '0.046')
    """
    return plain_figures(number, 2)


def room_of(room: Room) -> tuple[vapour.Room | None, tuple[str, ...]]:
    """The room as the model sees it, None without its volume; and what is not known of it."""
    if room.volume_m3 is None:
        return None, (f"The volume of {room} is not written down: its air cannot be worked out.",)
    if room.air_changes_per_hour is None:
        said = f"The air changes of {room} are not written down: worked out without any."
        return vapour.Room(float(room.volume_m3), 0.0), (said,)
    return vapour.Room(float(room.volume_m3), float(room.air_changes_per_hour)), ()


def _micrograms(reagent: Reagent, amount: int) -> tuple[int | None, tuple[str, ...]]:
    """The mass of an amount, and what was assumed. None for what is counted by the piece."""
    if reagent.measure == MASS:
        return amount, ()
    if reagent.measure != VOLUME:
        return None, ()
    if reagent.density is None:
        return amount * 1000, ("Its density is not written down: taken as 1 g/mL",)
    return int(amount * Fraction(reagent.density) * 1000), ()


def _shares(reagent: Reagent) -> list[tuple[str, str, float | None]]:
    """(name, CAS RN, % w/w or None) of what it holds, the solvent with what is left."""
    names = {part.chemical.cas_rn: part.chemical.name for part in reagent.components.all()}
    held = [(names[cas], cas, percent) for cas, percent in strengths_of(reagent)]
    solvent = reagent.solvent
    if solvent and solvent.cas_rn:
        rest = 100 - sum(percent or 0 for *_, percent in held)
        held.append((solvent.name, solvent.cas_rn, max(rest, 0.0)))
    return [row for row in held if row[1] != WATER]


def untold(reagent: Reagent) -> str:
    """What of a reagent may evaporate for all that is known, in a sentence; "" if nothing.

    Reads `components__chemical`.
    """
    if reagent.kind in _SOLIDS:
        return ""
    parts = [part.chemical for part in reagent.components.all()]
    if not parts:
        return f"Nobody has written down what {reagent} holds: take it that it fills the air."
    names = [chemical.name for chemical in parts if _may_evaporate(chemical)]
    if not names:
        return ""
    return f"Whether {' and '.join(names)} in {reagent} evaporates is not known: it is left out."


def _may_evaporate(chemical: Chemical) -> bool:
    """Whether the library cannot tell, and it is no salt either."""
    if vapour.evaporates(chemical.cas_rn or "") is not None:
        return False
    known = identify(chemical.formula, chemical.name, chemical.cas_rn or "")
    return known.kind not in (ELECTROLYTE, METAL, INSOLUBLE, DYE)


def _at_most(reagent: Reagent, cas: str, percent: float | None) -> float | None:
    """ppm that stand above the liquid at rest, for what water holds back; None for all else."""
    in_water = reagent.solvent and reagent.solvent.cas_rn == WATER
    if cas != vapour.HYDROGEN_CHLORIDE or percent is None or not in_water:
        return None
    return vapour.above_hydrochloric_acid(percent)


def lines_of(reagent: Reagent, amount: int, room: vapour.Room, minutes: float = 0) -> list[ExposureLine]:
    """What evaporates of an amount of a reagent. Reads `components__chemical` and `solvent`."""
    mass, assumed = _micrograms(reagent, amount)
    found = []
    for name, cas, percent in _shares(reagent) if mass else ():
        if not vapour.evaporates(cas):
            continue
        said = assumed if percent is not None else (*assumed, "Its strength is not known: taken as pure")
        share = 100.0 if percent is None else percent
        try:
            result = vapour.evaporated(
                cas, round(mass * share / 100), room, minutes, _at_most(reagent, cas, percent)
            )
        except ValueError:  # no molar mass in the library: then it has no limits there either
            continue
        found.append(ExposureLine(reagent, amount, name, result, said))
    return found


def air_of(portions: Iterable[tuple[Reagent, int]], room: Room | None) -> Air:
    """What a booking sets out, in the room it is booked for."""
    if room is None:
        return Air((), ())
    box, missing = room_of(room)
    portions = list(portions)
    doubts = tuple(dict.fromkeys(said for reagent, _ in portions if (said := untold(reagent))))
    if box is None:
        volatile = any(vapour.evaporates(cas) for reagent, _ in portions for _, cas, _ in _shares(reagent))
        return Air((), (*(missing if volatile else ()), *doubts))
    lines = [line for reagent, amount in portions for line in lines_of(reagent, amount, box)]
    lines.sort(key=lambda line: (not line.vapour.over, -line.vapour.peak_ppm))
    return Air(tuple(lines), (*(missing if lines else ()), *doubts))
