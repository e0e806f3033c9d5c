"""What may react by electron transfer in a beaker, which equilibrium alone never does here.

`tables/potentials.csv` holds half reactions with their standard potentials at 25 °C. Two of them may react
whose Nernst potentials at this pH and strength are further apart than `ENOUGH_V`, and which are not known to
leave each other alone: `oxidizes` and `oxidized_by` say with what each half is known to react ("all",
"metals", a list; "-X" leaves X out, "X~" is slow). Potentials tell what can happen, never how fast; the speed
is common practice. `tables/transfers.csv` holds what pairs of half reactions do not tell: catalysis, what
falls apart by itself, poisonous and explosive products.

Taken as so: activities are concentrations; a gas stands at a hundredth of an atmosphere; of what forms there
is a hundredth of what it forms from, so that a pair counts once it can go well past its beginning.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from stockroom.chemistry import published, species
from stockroom.chemistry.aqueous import HOTTEST, BeakerError, State, settle
from stockroom.chemistry.formula import parse_formula
from stockroom.chemistry.quantity import VOLUME, format_amount, plain_figures
from stockroom.chemistry.reaction import (
    Equation,
    EquationError,
    Term,
    balance,
    enthalpy_kj,
    imbalance,
    parse_equation,
    run_in,
)
from stockroom.chemistry.residue import Gas

DANGER, WARN, NOTE = "danger", "warn", "note"  # poisonous or explosive; froths, burns, warms; anything else
LEVELS = (DANGER, WARN, NOTE)
ENOUGH_V = 0.05
EAGER_V = 0.1  # below, even a quick pair is told as slow (rule of thumb, no source)
NERNST_V = 0.05916  # ln(10) RT/F at 25 °C, CODATA 2018
_PKW = 14.0
_LEAST_MOL_L, _LEAST_MOL = 1e-4, 1e-6
_SEEN_ML = 1.0
_GAS_ATM, _SHARE = 0.01, 0.01
_WATER = {"H+", "OH-", "H2O", "e-"}
_UNTIL_ACID = 7.0

#: gas -> (name, level, what to know of it)
GASES = {
    "Cl2": ("chlorine", DANGER, "chlorine, a poisonous gas"),
    "Br2": ("bromine", DANGER, "bromine, whose vapor is poisonous"),
    "ClO2": ("chlorine dioxide", DANGER, "chlorine dioxide, a poisonous gas that explodes"),
    "NOCl": ("nitrosyl chloride", DANGER, "nitrosyl chloride, a poisonous gas"),
    "NH2Cl": ("chloramine", DANGER, "chloramine, a poisonous gas"),
    "NO": ("nitrogen monoxide", DANGER, "nitrogen monoxide, a poisonous gas that turns brown in air"),
    "NO2": ("nitrogen dioxide", DANGER, "nitrogen dioxide, a brown poisonous gas"),
    "SO2": ("sulfur dioxide", DANGER, "sulfur dioxide, a poisonous gas"),
    "H2S": ("hydrogen sulfide", DANGER, "hydrogen sulfide, a poisonous gas"),
    "NH3": ("ammonia", DANGER, "ammonia, a poisonous gas"),
    "H2": ("hydrogen", WARN, "hydrogen, a gas that burns and explodes with air"),
    "O2": ("oxygen", WARN, "oxygen, a gas that feeds a fire: it froths"),
    "N2": ("nitrogen", NOTE, "nitrogen gas"),
    "CO2": ("carbon dioxide", NOTE, "carbon dioxide gas: it froths"),
    "I2": ("iodine", NOTE, "iodine, whose violet vapor comes off when it is warm and irritates"),
}
_ALKALI = {"Li", "Na", "K", "Ba", "Sr", "Ca"}
_METALS = _ALKALI | {"Mg", "Al", "Mn", "Zn", "Cr", "Fe", "Cd", "Co", "Ni", "Sn", "Pb", "Bi", "Cu", "Hg"}
_METALS |= {"Ag", "Au"}
#: organic matter that strong oxidizers in water leave alone (common practice, no source)
_LEFT_ALONE = {
    *("hexane", "cyclohexane", "heptane", "pentane", "petroleum ether", "white spirit", "paraffin oil"),
    *("paraffin wax", "dichloromethane", "trichloromethane", "2-chloro-2-methylpropane", "acetonitrile"),
    *("sodium tetrathionate", "dehydroascorbic acid", "urea"),
}


@dataclass(frozen=True)
class Couple:
    """A half reaction, written as a reduction, with its standard potential in volts at 25 °C.

    oxidants, reductant: what must be there, as `Present` names it. low_ph, high_ph: where these forms stand.
    """

    oxidants: tuple[str, ...]
    reductant: str
    half: str
    volts: float
    low_ph: float
    high_ph: float
    oxidizes: frozenset[str]
    oxidized_by: frozenset[str]
    oxidant_name: str
    reductant_name: str
    source: str

    @property
    def oxidant(self) -> str:
        return self.oxidants[0]

    def stands_at(self, ph: float) -> bool:
        return self.low_ph <= ph < self.high_ph


@dataclass(frozen=True)
class Special:
    """A row of transfers.csv. needs: (what, or what, least mol/L); without: what keeps it from happening."""

    name: str
    needs: tuple[tuple[str, float], ...]
    without: frozenset[str]
    low_ph: float
    high_ph: float
    equation: str
    slow: bool
    level: str
    words: str
    source: str


@dataclass(frozen=True)
class Transfer:
    """Something that may react. words: a sentence without a full stop, what to do first where it can hurt.

    equation: balanced, in plain text with states, "" where none is known. volts: between the two halves, None
    for a row of transfers.csv. gases: formulas of the gases that form. reacting: what reacts, by key.
    """

    words: str
    level: str
    equation: str
    slow: bool
    volts: float | None
    gases: tuple[str, ...]
    reacting: frozenset[str]
    source: str


@dataclass(frozen=True)
class Present:
    """What is there to react: mol/L of what is dissolved, what lies there as a solid, and organic matter."""

    ph: float
    dissolved: Mapping[str, float]
    solid: frozenset[str]
    organic: tuple[str, ...] = ()

    def has(self, key: str) -> bool:
        return (
            key in self.solid
            or key in self.organic
            or key in ("H+", "H2O")
            or self.dissolved.get(key, 0.0) >= _LEAST_MOL_L
        )

    def strength(self, key: str) -> float:
        return self.dissolved.get(key, 0.0)


# --- the tables


@cache
def couples() -> tuple[Couple, ...]:
    """All tabled half reactions."""
    return tuple(_couple(row) for row in published.table("potentials.csv"))


def _couple(row: list[str]) -> Couple:
    oxidants, reductant, half, volts, low, high, oxidizes, by, *names = row
    return Couple(
        tuple(oxidants.split()),
        reductant,
        half,
        float(volts),
        float(low),
        float(high),
        frozenset(oxidizes.split()),
        frozenset(by.split()),
        *names,
    )


@cache
def specials() -> tuple[Special, ...]:
    return tuple(_special(row) for row in published.table("transfers.csv"))


def _special(row: list[str]) -> Special:
    name, needs, without, low, high, equation, pace, level, words, source = row
    pairs = (part.partition(":") for part in needs.split(";"))
    return Special(
        name,
        tuple((key, float(least or 0)) for key, _, least in pairs),
        frozenset(without.split()),
        float(low),
        float(high),
        equation,
        pace == "slow",
        level,
        words,
        source,
    )


# --- what is there


def present_in(state: State) -> Present:
    """What a beaker at rest holds. Where it has no pH, what is dissolved is taken as it was poured."""
    contents, litres = state.contents, state.contents.litres
    dissolved = {ion: mol / litres for ion, mol in contents.ions.items() if mol > _LEAST_MOL}
    if state.ph is not None:
        dissolved = {part.formula: part.mol / litres for part in state.dissolved if part.mol > _LEAST_MOL}
    solid = {one.formula for one in state.solids if one.mol > _LEAST_MOL}
    organic = []
    for identity, mol, grams in contents.others:
        if not (mol > _LEAST_MOL or grams > 1e-3):
            continue
        if identity.kind == species.UNFOLLOWED:
            dissolved[identity.formula] = mol / litres
        elif identity.kind == species.ORGANIC:
            organic.append(identity.name)
        elif identity.kind in (species.METAL, species.INSOLUBLE):
            solid |= {identity.formula, identity.name}
    ph = contents.rough_ph if state.ph is None else state.ph
    return Present(ph, dissolved, frozenset(solid), tuple(organic))


# --- what may react


def transfers(state: State) -> tuple[Transfer, ...]:
    """What may react by electron transfer in a beaker at rest, gravest first."""
    if state.contents.water_g <= 0:
        return ()
    there = present_in(state)
    if not (there.solid or there.organic or len(there.dissolved) > 1):
        return ()
    found = [*_special_ones(there), *_pairs(there)]
    told: dict[frozenset[str], Transfer] = {}
    for one in found:  # a row of transfers.csv knows better than the potentials
        told.setdefault(one.reacting, one)
    return tuple(sorted(told.values(), key=lambda one: (LEVELS.index(one.level), one.slow)))


@dataclass(frozen=True)
class Course:
    """A transfer gone as far as it can. gas: what comes off. warmer_c: how much warmer it gets if no heat is
    lost (negative: colder), None where an enthalpy is missing; boils: whether it would pass 100 °C.
    """

    gas: tuple[Gas, ...] = ()
    warmer_c: float | None = None
    boils: bool = False

    @property
    def words(self) -> str:
        """In a sentence; "" where there is nothing to speak of."""
        gas = [
            f"{format_amount(round(one.volume_ml * 1000), VOLUME, figures=2)} of {one.name}"
            for one in self.gas
            if one.volume_ml >= _SEEN_ML
        ]
        parts = [f"up to {', '.join(gas)} comes off"] if gas else []
        if self.boils:
            parts.append("it boils if no heat is lost")
        elif self.warmer_c is not None and abs(self.warmer_c) >= 1:
            way = "warms" if self.warmer_c > 0 else "cools"
            parts.append(f"it {way} by about {plain_figures(abs(self.warmer_c), 2)} °C if no heat is lost")
        return f"If it goes all the way, {' and '.join(parts)}." if parts else ""


def course(state: State, transfer: Transfer) -> Course | None:
    """What following the equation of a transfer in a beaker would do; None where it cannot be followed."""
    if not transfer.equation:
        return None
    equation = parse_equation(transfer.equation)
    try:
        run = run_in(state.contents, equation)
        gas = (*run.gas, *settle(run.contents).gas) if run.extent else ()
    except BeakerError:
        return None
    if not run.extent:
        return None
    enthalpy, _ = enthalpy_kj(equation)
    if enthalpy is None:
        return Course(gas)
    warm = state.contents.warmed(-enthalpy * run.extent)
    return Course(gas, warm.temperature_c - state.temperature_c, warm.temperature_c >= HOTTEST)


def _special_ones(there: Present) -> Iterable[Transfer]:
    for row in specials():
        if not row.low_ph <= there.ph <= row.high_ph or any(there.has(key) for key in row.without):
            continue
        plain = [(key, least) for key, least in row.needs if key != "*organic"]
        if not all(_is_there(there, key, least) for key, least in plain):
            continue
        reacting = frozenset(one for key, _ in plain for one in key.split("|") if there.has(one))
        if len(plain) == len(row.needs):
            yield _told(row, row.words, reacting)
            continue
        for name in there.organic:
            if name not in _LEFT_ALONE:
                yield _told(row, row.words.replace("*organic", name), reacting | {name})


def _is_there(there: Present, key: str, least: float) -> bool:
    return any(there.has(one) and there.strength(one) >= least for one in key.split("|"))


def _told(row: Special, words: str, reacting: frozenset[str]) -> Transfer:
    gases = tuple(_gases_of(row.equation)) if row.equation else ()
    return Transfer(words, row.level, _with_states(row.equation), row.slow, None, gases, reacting, row.source)


def _gases_of(equation: str) -> list[str]:
    return [term.key for term in parse_equation(equation).products if term.formula.state == "g"]


def _pairs(there: Present) -> Iterable[Transfer]:
    done: set[tuple[str, str]] = set()
    halves = [one for one in couples() if one.stands_at(there.ph)]
    oxidants = [one for one in halves if "none" not in one.oxidizes and all(map(there.has, one.oxidants))]
    reductants = [one for one in halves if "none" not in one.oxidized_by and there.has(one.reductant)]
    for oxidant in oxidants:
        for reductant in reductants:
            key = (oxidant.oxidant, reductant.reductant)
            if key in done or oxidant.half == reductant.half or oxidant.oxidant == reductant.reductant:
                continue
            pace = _pace(oxidant, reductant)
            if pace is None:
                continue
            volts = _volts(oxidant, there) - _volts(reductant, there)
            if volts >= ENOUGH_V:
                done.add(key)
                pace = "slow" if volts < EAGER_V else pace
                yield _pair(oxidant, reductant, there, volts, pace)


def _pace(oxidant: Couple, reductant: Couple) -> str | None:
    """ "slow", "" for as fast as it is poured, None where the two leave each other alone."""
    one = _listed(oxidant.oxidizes, reductant.reductant)
    other = _listed(reductant.oxidized_by, oxidant.oxidant)
    if one is None or other is None:
        return None
    return one or other


def _listed(words: frozenset[str], key: str) -> str | None:
    if f"-{key}" in words:
        return None
    if f"{key}~" in words:
        return "slow"
    every = "all" in words or ("metals" in words and key in _METALS)
    return "" if key in words or every else None


def _volts(couple: Couple, there: Present) -> float:
    """The Nernst potential of a half reaction at this pH and strength."""
    left, right, electrons = _sides(couple.half)
    log_q = 0.0
    limit = min((there.strength(key) for key in couple.oxidants if there.strength(key)), default=1.0)
    if there.strength(couple.reductant):
        limit = min(limit, there.strength(couple.reductant))
    for sign, side in ((-1, left), (1, right)):
        for term in side:
            log_q += sign * float(term.coefficient) * _log_activity(term, couple, there, limit)
    return couple.volts - NERNST_V / float(electrons) * log_q


def _log_activity(term: Term, couple: Couple, there: Present, limit: float) -> float:
    key, state = term.key, term.formula.state
    if key == "H+":
        return -there.ph
    if key == "OH-":
        return there.ph - _PKW
    if state in ("s", "l") or key == "H2O":
        return 0.0
    if state == "g" and not there.strength(key):
        return math.log10(_GAS_ATM)
    return math.log10(max(there.strength(_total_of(key)), _SHARE * limit, 1e-9))


@cache
def _total_of(key: str) -> str:
    """The ion under which an acid or another form is kept: HNO2 is nitrite."""
    brought = [ion for ion, n in species.identify(key).brings if ion not in ("H+", "H2O") and n > 0]
    return brought[0] if len(brought) == 1 else key


@cache
def _sides(half: str) -> tuple[tuple[Term, ...], tuple[Term, ...], Fraction]:
    """(left without electrons, right, electrons taken up)."""
    equation = parse_equation(half)
    electrons = sum(term.coefficient for term in equation.reactants if term.key == "e-")
    left = tuple(term for term in equation.reactants if term.key != "e-")
    return left, equation.products, Fraction(electrons)


def _pair(oxidant: Couple, reductant: Couple, there: Present, volts: float, pace: str) -> Transfer:
    equation = combined(oxidant.half, reductant.half, there.ph)
    gases = [term.key for term in equation.products if term.formula.state == "g" or term.key == "Br2"]
    level = min((GASES[gas][1] for gas in gases if gas in GASES), key=LEVELS.index, default=NOTE)
    if reductant.reductant in _ALKALI:
        level = DANGER
    words = _words(oxidant, reductant, gases, level, pace)
    return Transfer(
        words,
        level,
        equation.plain(),
        pace == "slow",
        volts,
        tuple(gases),
        frozenset((*oxidant.oxidants, reductant.reductant)),
        f"{oxidant.source}; {reductant.source}",
    )


def _words(oxidant: Couple, reductant: Couple, gases: list[str], level: str, pace: str) -> str:
    first = "Fume hood. " if level == DANGER and reductant.reductant not in _ALKALI else ""
    if "H2" in gases:
        first = "No flames near. "
    may = "may react by electron transfer" + (", but slowly" if pace == "slow" else "")
    formed = [oxidant.reductant_name, reductant.oxidant_name]
    formed = dict.fromkeys(name for name in formed if name != "water")
    told = [GASES[gas][2] for gas in gases if gas in GASES]
    if "I2" in (oxidant.reductant, reductant.oxidant):
        told.append(GASES["I2"][2])
    comes = f". Comes off: {'; '.join(told)}" if told else ""
    return (
        f"{first}{oxidant.oxidant_name[:1].upper()}{oxidant.oxidant_name[1:]} and {reductant.reductant_name} "
        f"{may}: this gives {' and '.join(formed)}{comes}"
    )


# --- the equation of a pair


@cache
def combined(oxidant: str, reductant: str, ph: float) -> Equation:
    """The ionic equation in which the first half takes the electrons of the second, with states.

    In acid it is written with hydrogen ions, above pH 7 with hydroxide. Raises EquationError where the halves
    do not balance.
    """
    return _combined(oxidant, reductant, ph > _UNTIL_ACID)


@cache
def _combined(oxidant: str, reductant: str, alkaline: bool) -> Equation:
    left, right, takes = _sides(oxidant)
    made, given, gives = _sides(reductant)
    common = takes * gives / math.gcd(int(takes), int(gives))
    total: dict[str, Fraction] = {}
    states: dict[str, str] = {}
    one, other = common / takes, common / gives
    for side, factor in ((left, -one), (right, one), (made, other), (given, -other)):
        for term in side:
            total[term.key] = total.get(term.key, Fraction(0)) + factor * term.coefficient
            states[term.key] = term.formula.state
    _to_medium(total, alkaline)
    scale = math.lcm(*(value.denominator for value in total.values()))
    scale = Fraction(scale, math.gcd(*(int(value * scale) for value in total.values() if value)) or 1)
    sides = ([], [])
    for key, value in total.items():
        if value:
            sides[value > 0].append(_term(key, abs(value) * scale, states.get(key, "")))
    equation = Equation(*(tuple(sorted(side, key=lambda term: term.key in _WATER)) for side in sides))
    if unequal := imbalance(equation):
        raise EquationError(f"{oxidant} with {reductant} does not balance: {unequal}")
    return equation


def _to_medium(total: dict[str, Fraction], alkaline: bool) -> None:
    """Hydrogen ions in acid, hydroxide in alkali, never both."""
    acid, base = total.pop("H+", Fraction(0)), total.pop("OH-", Fraction(0))
    net = acid - base  # hydrogen ions to the right, all told
    total["H2O"] = total.get("H2O", Fraction(0)) + (acid if alkaline else base)
    total["OH-" if alkaline else "H+"] = -net if alkaline else net


def _term(key: str, coefficient: Fraction, state: str) -> Term:
    state = state or ("l" if key == "H2O" else "aq")
    return Term(coefficient, parse_formula(f"{key}({state})"))


@cache
def _with_states(text: str) -> str:
    """An equation of the table with "(aq)" where it says nothing."""
    if not text:
        return ""
    equation = parse_equation(text)
    if imbalance(equation):
        equation = balance(equation)
    sides = (
        tuple(_term(term.key, term.coefficient, term.formula.state) for term in side)
        for side in (equation.reactants, equation.products)
    )
    return Equation(*sides).plain()
