"""If this much evaporates in this room: how much is in the air, against exposure and explosion limits.

The well-mixed room (one box): with volume V, air flow Q = mixing x changes x V, and emission at rate G,

    V dC/dt = G - Q C,   so   C(t) = G/Q (1 - exp(-Q t / V)) while it evaporates,  C0 exp(-Q t / V) after.

Source: AIHA, Mathematical Models for Estimating Occupational Exposure to Chemicals, 2nd ed. (2009),
well-mixed rooms; from memory. It says nothing of the air right above the spill, which is far worse.
"""

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import exp, expm1, inf, log

LIMIT_SOURCE = "chemicals library: Ontario occupational exposure limits"
LEL_SOURCE = "chemicals library: lower flammability limits"
#: warn at this share of the lower explosive limit: 29 CFR 1910.146(b), hazardous atmosphere
LEL_SHARE = 0.10
#: what boils higher does not fill a room while people look on; rule of thumb: common practice, no source
VOLATILE_BELOW_C = 200
WARM_ROOM_C = 40
GAS_CONSTANT = 8.314462618  # J/(mol K), exact in the SI of 2019
MODEL_SOURCE = "well-mixed room: AIHA, Mathematical Models for Estimating Exposure, 2nd ed. (2009)"
HYDROGEN_CHLORIDE = "7647-01-0"
#: HCl(g) = H+(aq) + Cl-(aq) at 25 degC, kJ/mol: NBS Tables of Chemical Thermodynamic Properties (1982);
#: from memory
HCL_GIBBS = -131.228 - -95.299
#: mol/kg -> mean activity coefficient of HCl(aq) at 25 degC: Robinson and Stokes, Electrolyte Solutions,
#: 2nd ed. (1959), Appendix 8.10; from memory
HCL_ACTIVITY = (
    (0.5, 0.757), (1, 0.809), (2, 1.009), (3, 1.316), (4, 1.762), (5, 2.38), (6, 3.22), (7, 4.37), (8, 5.90)
)  # fmt: skip
NEAR_NOTE = "Averaged over the room: close to the liquid it is far more. No flame within 3 m."


@dataclass(frozen=True)
class Room:
    """A room: volume in cubic metres, air changes an hour, and how well it mixes (1 perfect, 0.3 poor)."""

    volume_m3: float
    changes_per_hour: float
    mixing: float = 0.5
    temperature_c: float = 20.0
    pressure_kpa: float = 101.325


@dataclass(frozen=True)
class LimitCheck:
    """One limit in ppm by volume, what is reached, and whether that is over it."""

    name: str
    limit_ppm: float
    reached_ppm: float
    source: str

    @property
    def over(self) -> bool:
        return self.reached_ppm > self.limit_ppm


@dataclass(frozen=True)
class Vapour:
    """Concentrations in the room's air, and the limits they were held against.

    `missing` names limits that nobody has published in the library: not a sign that there is no danger.
    `safe_after_minutes`: when the air is back under the lowest limit; None if never or at once.
    `held_back`: the liquid gives off no more, however much of it stands there.
    """

    peak_mg_m3: float
    peak_ppm: float
    mean_15_min_ppm: float
    mean_8_h_ppm: float
    checks: tuple[LimitCheck, ...]
    missing: tuple[str, ...]
    safe_after_minutes: float | None
    note: str = NEAR_NOTE
    held_back: bool = False

    @property
    def over(self) -> bool:
        return any(check.over for check in self.checks)


@dataclass(frozen=True)
class ExposureLimits:
    """Limits of one substance in ppm by volume, None where the library has none."""

    mean_8_h_ppm: float | None
    mean_15_min_ppm: float | None
    ceiling_ppm: float | None
    lel_ppm: float | None


def ppm_from_mg_m3(mg_m3: float, molar_mass: float, celsius: float = 25.0, kpa: float = 101.325) -> float:
    """Parts per million by volume of a vapour of `molar_mass` g/mol, an ideal gas.

    >>> round(ppm_from_mg_m3(1000.0, 24.45))
    1000
    """
    return mg_m3 / molar_mass * GAS_CONSTANT * (celsius + 273.15) / kpa


@cache
def exposure_limits(cas: str) -> ExposureLimits:
    """The limits of the `chemicals` library. Raises ValueError for a CAS RN it does not know."""
    # `chemicals` is slow to import: only where it is asked.
    from chemicals import LFL, STEL, TWA, Ceiling

    mass = _molar_mass(cas)

    def ppm(limit: tuple[float, str] | None) -> float | None:
        if limit is None:
            return None
        value, unit = limit
        return float(value) if unit == "ppm" else ppm_from_mg_m3(float(value), mass)

    lel = LFL(CASRN=cas)
    return ExposureLimits(
        ppm(TWA(cas)), ppm(STEL(cas)), ppm(Ceiling(cas)), None if lel is None else float(lel) * 1e6
    )


@cache
def evaporates(cas: str) -> bool | None:
    """Whether it boils below `VOLATILE_BELOW_C`, by the library; None where it cannot tell.

    Without a boiling point, what melts above the warmest room does not evaporate either.
    """
    from chemicals import Tb, Tm

    if not cas:
        return None
    boiling_k, melting_k = Tb(cas), Tm(cas)
    if boiling_k is not None:
        return boiling_k - 273.15 <= VOLATILE_BELOW_C
    return False if melting_k is not None and melting_k - 273.15 > WARM_ROOM_C else None


def above_hydrochloric_acid(percent: float) -> float | None:
    """ppm of hydrogen chloride in the air that touches an acid of `percent` w/w at 25 degC; None above 22 %.

    p = (molality x activity coefficient)^2 / K, K = exp(-G / RT): no room holds more than the air above the
    liquid. The table ends at 8 mol/kg. Sources: `HCL_GIBBS`, `HCL_ACTIVITY`.
    """
    molality = percent / 36.461 / (100 - percent) * 1000 if percent < 100 else inf
    if molality > HCL_ACTIVITY[-1][0]:
        return None
    # Below the table the coefficient comes near 1 again: 1 is the careful choice.
    activity = 1.0
    for (low, at_low), (high, at_high) in pairwise(HCL_ACTIVITY):
        if low <= molality <= high:
            activity = at_low * (at_high / at_low) ** ((molality - low) / (high - low))
    constant = exp(-HCL_GIBBS * 1000 / GAS_CONSTANT / 298.15)
    return (molality * activity) ** 2 / constant * 1e5 / 101325 * 1e6


def _molar_mass(cas: str) -> float:
    from chemicals import MW

    try:
        return float(MW(cas))
    except ValueError as error:
        raise ValueError(
            f"The library does not know CAS RN {cas}: give another, or leave this out."
        ) from error


def _rate(room: Room) -> float:
    """Q / V, per minute."""
    return room.mixing * room.changes_per_hour / 60


def concentration(mass_mg: float, evaporation_min: float, room: Room, minutes: float) -> float:
    """mg/m3 in the room `minutes` after it began to evaporate; 0 minutes of evaporation means all at once.

    Raises ValueError for a room without volume.
    """
    _check_room(room)
    if minutes < 0:
        return 0.0
    rate, whole = _rate(room), mass_mg / room.volume_m3
    if evaporation_min <= 0:
        return whole * exp(-rate * minutes)
    during = min(minutes, evaporation_min)
    built = whole * during / evaporation_min * _shrink(rate * during)
    return built * exp(-rate * max(0.0, minutes - evaporation_min))


def _shrink(x: float) -> float:
    """(1 - exp(-x)) / x, 1 at zero."""
    return -expm1(-x) / x if x > 1e-9 else 1 - x / 2


def _exposure(mass_mg: float, evaporation_min: float, room: Room, minutes: float) -> float:
    """The integral of the concentration from the beginning, mg min/m3."""
    rate, whole = _rate(room), mass_mg / room.volume_m3
    during = min(minutes, max(evaporation_min, 0.0))
    x = rate * during
    # (x - 1 + exp(-x)) / x^2 tends to 1/2: its series where the difference would lose its figures
    ramp = (x + expm1(-x)) / x**2 if x > 1e-3 else 0.5 - x / 6 + x**2 / 24
    rising = whole * during**2 / evaporation_min * ramp if during > 0 else 0.0
    after = max(0.0, minutes - max(evaporation_min, 0.0))
    return rising + concentration(mass_mg, evaporation_min, room, during) * after * _shrink(rate * after)


def _check_room(room: Room) -> None:
    if room.volume_m3 <= 0:
        raise ValueError("Give the room's volume in cubic metres, more than zero.")
    if room.changes_per_hour < 0 or not 0 < room.mixing <= 1:
        raise ValueError("Give the air changes an hour (0 or more) and a mixing between 0 and 1.")


def _mean(mass_mg: float, evaporation_min: float, room: Room, window: float) -> float:
    """The highest mean over `window` minutes, mg/m3.

    The curve has one top, when the evaporation ends; the best window has the same height at both its ends.
    """
    low, high = max(0.0, evaporation_min - window), max(evaporation_min, 0.0)
    for _ in range(60):
        start = (low + high) / 2
        at_start = concentration(mass_mg, evaporation_min, room, start)
        if at_start < concentration(mass_mg, evaporation_min, room, start + window):
            low = start
        else:
            high = start
    exposure = [_exposure(mass_mg, evaporation_min, room, end) for end in (low, low + window)]
    return (exposure[1] - exposure[0]) / window


def evaporated(
    cas: str, mass_ug: int, room: Room, evaporation_min: float = 0.0, at_most_ppm: float | None = None
) -> Vapour:
    """What `mass_ug` micrograms of a liquid or gas make of the air if it all evaporates in `room`.

    `at_most_ppm`: what stands above the liquid at rest, where the liquid holds it back.
    Raises ValueError for a CAS RN the library does not know or a room that makes no sense.
    """
    _check_room(room)
    mass_mg, molar_mass, limits = mass_ug / 1000, _molar_mass(cas), exposure_limits(cas)

    per_ppm = 1 / ppm_from_mg_m3(1.0, molar_mass, room.temperature_c, room.pressure_kpa)
    ceiling = inf if at_most_ppm is None else at_most_ppm * per_ppm

    def ppm(mg_m3: float) -> float:
        return min(mg_m3, ceiling) / per_ppm

    whole = concentration(mass_mg, evaporation_min, room, max(evaporation_min, 0.0))
    peak = min(whole, ceiling)
    short, day = (ppm(_mean(mass_mg, evaporation_min, room, window)) for window in (15, 480))
    wanted = [
        ("mean over 8 hours", limits.mean_8_h_ppm, day, LIMIT_SOURCE),
        ("mean over 15 minutes", limits.mean_15_min_ppm, short, LIMIT_SOURCE),
        ("never to be exceeded", limits.ceiling_ppm, ppm(peak), LIMIT_SOURCE),
        (
            f"{LEL_SHARE:.0%} of the lower explosive limit",
            None if limits.lel_ppm is None else LEL_SHARE * limits.lel_ppm,
            ppm(peak),
            LEL_SOURCE,
        ),
    ]
    checks = tuple(
        LimitCheck(name, limit, reached, source) for name, limit, reached, source in wanted if limit
    )
    missing = tuple(name for name, limit, _, _ in wanted if not limit)
    lowest = min((check.limit_ppm for check in checks), default=None)
    safe_after = _safe_after(ppm(peak), lowest, evaporation_min, room)
    return Vapour(peak, ppm(peak), short, day, checks, missing, safe_after, held_back=whole > ceiling)


def _safe_after(peak_ppm: float, limit: float | None, evaporation_min: float, room: Room) -> float | None:
    rate = _rate(room)
    if limit is None or rate == 0 or peak_ppm <= limit:
        return None
    return max(evaporation_min, 0.0) + log(peak_ppm / limit) / rate
