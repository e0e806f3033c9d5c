"""The beaker: what stands in it after each addition, from equilibrium computed by USGS PHREEQC.

Up to 0.5 mol/kg the database is minteq.v4.dat with each oxidation state on its own (see `database.py`):
acids, bases, complexes, solids and gases reach equilibrium, electron transfer does not. Whatever reacts by
electron transfer is told by a written equation (`Contents.changed`). Above 0.5 mol/kg a database made for it
answers, see `concentrated.py`.

Taken as so: the volume is the sum of the volumes poured; a gas leaves once it would bubble, that is at one
atmosphere of its own pressure. The temperature is that of a heat balance of what is poured together, none
lost: water 4.18 J/(g K), all else 1.0 J/(g K), ice to melt 334 J/g (CRC Handbook of Chemistry and Physics,
97th ed., section 6, from memory). The heat of reactions is told beside their equations, not put in here.
"""

import math
import threading
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache, cached_property
from pathlib import Path

from phreeqc import Phreeqc

from stockroom.chemistry import concentrated, published, solubility, species
from stockroom.chemistry.formula import FormulaError, parse_formula
from stockroom.chemistry.residue import Dissolved, Gas, Organic, Residue, Solid

GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018
STANDARD_PRESSURE = 101_325.0  # Pa
MODEL_LIMIT = (
    0.5  # mol/kg: up to here the Davies equation holds (Stumm and Morgan, Aquatic Chemistry, 3rd ed.)
)
COLDEST, HOTTEST = -20, 100  # °C of what may be poured
GAS_LIMIT_MOL = 5.0
ROOM_C = 20.0  # at which gas is measured, and what is poured stands unless told otherwise
WATER_HEAT, OTHER_HEAT, ICE_HEAT, MELTING = 4.18, 1.0, 2.1, 334.0  # J/(g K), and J/g
TRACE_MOL = 1e-4
_TINY = 1e-12
_OF_STRONG_ACIDS = {"Cl-", "Br-", "I-", "NO3-", "ClO4-", "ClO3-", "BrO3-", "SO4-2", "MnO4-", "CrO4-2", "SCN-"}
_ACIDIC = ("Al+3", "Fe+3", "Cr+3", "Sn+2", "Bi+3", "Hg+2")
_CONCENTRATED = 15.0  # mol/kg: beyond, PHREEQC finds no answer worth the search


class BeakerError(ValueError):
    """Something that cannot be put in a beaker; the message says what to change."""


@dataclass(frozen=True)
class Substance:
    """One chemical in an addition. `mol` in moles; `mass_g` is needed only where there is no formula."""

    name: str
    formula: str = ""
    cas: str = ""
    mol: float = 0.0
    mass_g: float = 0.0


@dataclass(frozen=True)
class Addition:
    """One thing poured in. water_g: grams of water it brings. volume_ml: by how much the level rises.

    Water alone at 0 °C or below is ice.
    """

    label: str
    substances: tuple[Substance, ...]
    water_g: float = 0.0
    volume_ml: float = 0.0
    temperature_c: float = ROOM_C

    @property
    def is_ice(self) -> bool:
        return self.temperature_c <= 0 and not self.substances and self.water_g > 0

    @cached_property
    def brings(self) -> "_Brought":
        """What it adds to a beaker. Raises BeakerError for negative or impossible amounts."""
        return _brought(self)

    def times(self, factor: float) -> "Addition":
        """The same addition, `factor` times as much of it."""
        return replace(
            self,
            substances=tuple(
                replace(s, mol=s.mol * factor, mass_g=s.mass_g * factor) for s in self.substances
            ),
            water_g=self.water_g * factor,
            volume_ml=self.volume_ml * factor,
        )


@dataclass(frozen=True)
class Contents:
    """All that is in the beaker, as totals: no equilibrium yet.

    ions: mol by ion formula, in the fewest ions (hydrogen ions less than 0 are hydroxide). others: what takes
    no part, as (identity, mol, grams). unknown: names of what cannot be followed. ice_g: how much of the
    water is still ice, at 0 °C.
    """

    ions: Mapping[str, float] = field(default_factory=dict)
    others: tuple[tuple[species.Identity, float, float], ...] = ()
    unknown: tuple[str, ...] = ()
    water_g: float = 0.0
    volume_ml: float = 0.0
    temperature_c: float = ROOM_C
    ice_g: float = 0.0

    def with_addition(self, addition: Addition) -> "Contents":
        """The contents after pouring. Raises BeakerError for negative or impossible amounts."""
        brought = addition.brings
        ions = dict(self.ions)
        for ion, mol in brought.ions:
            ions[ion] = ions.get(ion, 0.0) + mol
        others, unknown = self.others, self.unknown
        if brought.others:
            others = _merged((*others, *brought.others))
        if brought.unknown:
            unknown = tuple(dict.fromkeys((*unknown, *brought.unknown)))
        water, volume = self.water_g + addition.water_g, self.volume_ml + addition.volume_ml
        temperature, ice = self.temperature_c, self.ice_g
        if temperature != addition.temperature_c or ice or addition.is_ice:
            temperature, ice = self._balanced(addition)
        return Contents(ions, others, unknown, water, volume, temperature, ice)

    def _balanced(self, addition: Addition) -> tuple[float, float]:
        """(°C, grams of ice) when what is there and what comes in have met."""
        here = self.water_g * WATER_HEAT + (self._solutes_g * OTHER_HEAT)
        if addition.is_ice:
            there = addition.water_g * WATER_HEAT
            heat = addition.water_g * (addition.temperature_c * ICE_HEAT - MELTING)
        else:
            solutes = sum(substance.mass_g or _grams(substance) for substance in addition.substances)
            there = addition.water_g * WATER_HEAT + solutes * OTHER_HEAT
            heat = there * addition.temperature_c
        if not here + there:
            return addition.temperature_c, 0.0
        # Counted from liquid water at 0 °C: below nothing, some of it must be ice.
        heat += here * self.temperature_c - self.ice_g * MELTING
        water = self.water_g + addition.water_g
        if heat < 0 and water:
            return 0.0, min(-heat / MELTING, water)
        return heat / (here + there), 0.0

    @property
    def _solutes_g(self) -> float:
        return sum(grams for _, _, grams in self.others) + max(0.0, _ion_grams(self))

    @property
    def litres(self) -> float:
        """Of solution; of its water where nobody told the volume. Never 0."""
        return max(self.volume_ml, self.water_g, 1e-6) / 1000

    @property
    def rough_ph(self) -> float:
        """Strongly acid, strongly alkaline or 7, from the free hydrogen ions that were poured.

        For warnings where no pH can be computed. An ion that is not of a strong acid is taken to hold as many
        hydrogen ions as it has charges; strong acid counts for more than it is, as its activity does (by 0.09
        for each mol/L, a fit to hydrochloric acid in minteq.v4); salts of aluminum and the like are acidic.
        """
        free, known = self.ions.get("H+", 0.0), species.ions()
        if free > 0:
            weak = (
                known[ion].charge * mol
                for ion, mol in self.ions.items()
                if known[ion].charge < 0 and ion not in _OF_STRONG_ACIDS
            )
            free = max(0.0, free + sum(weak))
        molar = free / self.litres
        if molar > 1e-7:
            return -math.log10(molar) - 0.09 * molar
        if molar < -1e-7:
            return 14 + math.log10(-molar)
        return 3.5 if any(self.ions.get(ion, 0.0) / self.litres > 1e-3 for ion in _ACIDIC) else 7.0

    def warmed(self, kilojoules: float) -> "Contents":
        """The same contents with heat put in (negative: taken out), none lost, at constant pressure.

        Ice melts first; at HOTTEST it boils and stays there, at COLDEST it is taken to stay.
        """
        capacity = self.water_g * WATER_HEAT + self._solutes_g * OTHER_HEAT
        if not capacity or not kilojoules:
            return self
        heat = capacity * self.temperature_c - self.ice_g * MELTING + kilojoules * 1000
        if heat < 0 < self.ice_g:
            return replace(self, temperature_c=0.0, ice_g=min(-heat / MELTING, self.water_g))
        return replace(self, temperature_c=min(max(heat / capacity, COLDEST), HOTTEST), ice_g=0.0)

    def brought_to(self, temperature_c: float) -> "Contents":
        """The same contents at another temperature, ice molten. Raises BeakerError beyond what is poured."""
        _check_temperature("the beaker", temperature_c)
        return replace(self, temperature_c=temperature_c, ice_g=0.0)

    def changed(self, ions: Mapping[str, float], others: Mapping[str, float] | None = None) -> "Contents":
        """The contents after a written reaction: mol gained (or, negative, lost) by ion and by formula."""
        total = dict(self.ions)
        for ion, mol in ions.items():
            _add(total, ion, mol)
        rest, kept = list(self.others), {identity.formula: identity for identity, _, _ in self.others}
        for formula, mol in (others or {}).items():
            identity = kept.get(formula) or species.identify(formula)
            if identity.kind not in (species.GAS, species.UNKNOWN) and (
                identity.kind != species.UNFOLLOWED or formula in kept
            ):
                rest.append((identity, mol, mol * parse_formula(formula).molar_mass))
        rest = _merged(rest)
        gone = {i.note for i, mol, _ in rest if i.kind == species.UNFOLLOWED and mol <= _TINY}
        unknown = tuple(note for note in self.unknown if note not in gone) if gone else self.unknown
        return replace(self, ions=total, others=rest, unknown=unknown)


@dataclass(frozen=True)
class _Brought:
    """What an addition adds to a beaker, as `Contents` keeps it."""

    ions: tuple[tuple[str, float], ...]
    others: tuple[tuple[species.Identity, float, float], ...]
    unknown: tuple[str, ...]


def _brought(addition: Addition) -> _Brought:
    _check(addition)
    ions: dict[str, float] = {}
    others, unknown = [], []
    for substance in addition.substances:
        identity = species.identify(substance.formula, substance.name, substance.cas)
        if identity.kind == species.ELECTROLYTE:
            for ion, count in identity.brings:
                ions[ion] = ions.get(ion, 0.0) + count * substance.mol
        elif identity.kind == species.UNKNOWN:
            unknown.append(identity.note)
        else:
            others.append((identity, substance.mol, substance.mass_g or _grams(substance)))
            if identity.kind == species.UNFOLLOWED:
                unknown.append(identity.note)
    return _Brought(tuple(ions.items()), tuple(others), tuple(unknown))


@dataclass(frozen=True)
class State:
    """The beaker at rest after one addition.

    ph: None where it cannot be computed; `why_no_ph` then says why. approximate: the solution is too
    concentrated for the activity model, or has much of another solvent, so that the pH only tells strongly
    acid from weakly. ionic_strength in mol/kg water. solids: lying undissolved. gas: given off in this step.
    model: the activity model in words, "" up to 0.5 mol/kg. doubts: in sentences, what nobody has told the
    app, such as whether a salt dissolves; they stand among the notes too. forms: mol by the engine's name of
    every form with a colour (`tables/complexes.csv`) or a name of its own. extreme: where there is no pH, 0.0
    of what is strongly acidic and 14.0 of what is strongly alkaline all the same.
    """

    label: str
    ph: float | None
    why_no_ph: str
    approximate: bool
    ionic_strength: float
    volume_ml: float
    temperature_c: float
    dissolved: tuple[Dissolved, ...]
    solids: tuple[Solid, ...]
    gas: tuple[Gas, ...]
    notes: tuple[str, ...]
    contents: Contents
    model: str = ""
    doubts: tuple[str, ...] = ()
    forms: tuple[tuple[str, float], ...] = ()
    extreme: float | None = None

    def solid(self, formula: str) -> float:
        """Moles lying undissolved of one solid, 0 if none."""
        return sum(solid.mol for solid in self.solids if solid.formula == formula)


@dataclass(frozen=True)
class Phase:
    """A row of `tables/solids.csv`: a solid or gas of the database. colour "" for a gas."""

    phase: str
    formula: str
    name: str
    cas: str
    colour: str
    srgb: str
    ions: tuple[tuple[str, Fraction], ...]
    elements: frozenset[str]

    @property
    def is_gas(self) -> bool:
        return self.phase.endswith("(g)")


@cache
def phases() -> tuple[Phase, ...]:
    """The solids and gases the beaker may hold."""
    found = []
    for *row, ions in published.table("solids.csv"):
        split = species.parse_ions(ions)
        elements = frozenset().union(*(_elements(ion) for ion, _ in split))
        found.append(Phase(*row, split, elements))
    return tuple(found)


def gas_volume_ml(mol: float, temperature_c: float = ROOM_C, pressure_pa: float = STANDARD_PRESSURE) -> float:
    """Volume of a dry ideal gas in mL. 1 mol at 20 °C and 101.325 kPa is 24.06 L.

    Raises BeakerError for a negative amount or more than GAS_LIMIT_MOL.
    """
    if mol < 0:
        raise BeakerError("an amount of gas cannot be negative: check the amounts")
    if mol > GAS_LIMIT_MOL:
        litres = mol * GAS_CONSTANT * (temperature_c + 273.15) / pressure_pa * 1000
        raise BeakerError(
            f"{mol:.3g} mol of gas is {litres:.0f} L, more than a room should take: "
            f"use smaller amounts, {GAS_LIMIT_MOL:g} mol of gas at most"
        )
    return mol * GAS_CONSTANT * (temperature_c + 273.15) / pressure_pa * 1e6


def follow(additions: Iterable[Addition], start: Contents | None = None) -> tuple[State, ...]:
    """The state after each addition, in order. Raises BeakerError for an addition that cannot be."""
    moves = [(addition.label, lambda there, a=addition: there.with_addition(a)) for addition in additions]
    return follow_moves(moves, start)


def follow_moves(
    moves: Iterable[tuple[str, Callable[[Contents], Contents]]], start: Contents | None = None
) -> tuple[State, ...]:
    """The state after each move, in order; a move is a label and what it makes of the contents."""
    contents, states, waiting = start or Contents(), [], []
    for label, move in moves:
        contents = move(contents)
        waiting.append((contents, label))
        # What may give off gas must come to rest before the next move; the others are sent together, since
        # the engine and what stands around it are both quicker when they do not take turns.
        if not _bubbling().isdisjoint(contents.ions):
            states += _settle_all(waiting)
            contents, waiting = states[-1].contents, []
    return (*states, *_settle_all(waiting))


@cache
def _bubbling() -> frozenset[str]:
    """Ions that hold what a gas of the database is made of."""
    gases = frozenset().union(*(phase.elements for phase in phases() if phase.is_gas))
    return frozenset(ion for ion in species.ions() if _elements(ion) & gases)


def settle(contents: Contents, label: str = "", hold_back: frozenset[str] = frozenset()) -> State:
    """Bring the contents to equilibrium. hold_back: formulas of solids that may neither form nor dissolve.

    Gas that bubbles off is taken out of the returned state's contents.
    """
    return _settle_all([(contents, label)], hold_back)[0]


def _settle_all(batch: list[tuple[Contents, str]], hold_back: frozenset[str] = frozenset()) -> list[State]:
    questions = [_question(contents, hold_back) for contents, _ in batch]
    rows = [_engine.answer(question) if question.text else None for question in questions]
    return [
        _state(contents, label, question, _best(contents, question, row))
        for (contents, label), question, row in zip(batch, questions, rows, strict=True)
    ]


@dataclass(frozen=True)
class _Answer:
    """A row of the engine's output, None where it found none.

    objection: why its pH is not to be shown; then ph_about is no more than the side of neutral it is on.
    """

    row: list | None
    model: str = ""
    objection: str = ""
    ph_about: float = 7.0


def _best(contents: Contents, question: "_Question", row: list | None) -> _Answer:
    """The answer of the database that fits how concentrated the solution is."""
    if row is not None and row[1] <= MODEL_LIMIT:
        return _Answer(row)
    ph = row[0] if row is not None else 0.0 if contents.ions.get("H+", 0.0) > 0 else 14.0
    if not question.text:
        return _Answer(None, "", question.why or _too_much(ph), ph)
    models = concentrated.models_for(contents.ions, frozenset(question.asked.elements), ph)
    worst = None
    # What does not settle at once gets small steps only after everything else has been tried.
    for is_patient in (False, True):
        for model in models:
            found = _concentrated(model).answer(question, is_patient)
            if found is None:
                continue
            objection = concentrated.objection(contents.ions, model, found[1], found[0])
            answer = _Answer(found, "" if found[1] <= MODEL_LIMIT else model.name, objection, found[0])
            if not objection:
                return answer
            worst = worst or answer
        if worst:
            return worst
    return _Answer(row or _engine.answer(question, True), "", _too_much(ph), ph)


def _too_much(ph: float) -> str:
    side = {0.0: ": strongly acidic", 14.0: ": strongly alkaline"}
    return concentrated.ABOVE + side.get(concentrated.extreme(ph), "")


def _state(contents: Contents, label: str, question: "_Question", answer: _Answer) -> State:
    solids = [
        Solid(identity.name, identity.formula, identity.cas, mol)
        for identity, mol, _ in contents.others
        if identity.kind in (species.METAL, species.INSOLUBLE) and mol > _TINY
    ]
    notes, volume, warmth = question.notes, contents.volume_ml, contents.temperature_c
    if answer.row is None:
        if contents.water_g > 0:
            notes += _cautions(contents, contents.rough_ph)
        at_all = None if question.why else concentrated.extreme(answer.ph_about)
        told = (label, None, answer.objection, False, 0.0, volume, warmth)
        return State(*told, (), tuple(solids), (), notes, contents, extreme=at_all)
    ph, strength, water, *rest = answer.row
    asked, scale, gases, left = question.asked, question.kilograms, [], contents
    phases_from = len(asked.elements)
    forms_from = phases_from + len(asked.possible)
    for phase, molal in zip(asked.possible, rest[phases_from:forms_from], strict=True):
        amount = molal * scale
        if amount < _TINY:
            continue
        if phase.is_gas:
            gases.append(Gas(phase.name, phase.formula, phase.cas, amount, gas_volume_ml(amount)))
            left = left.changed({ion: -float(count) * amount for ion, count in phase.ions})
        else:
            solids.append(Solid(phase.name, phase.formula, phase.cas, amount))
    # a reaction makes and takes water, so that a kilogram of it does not stay one
    kilograms = water * scale
    forms = dict(zip(asked.forms, rest[forms_from:], strict=True))
    doubts = _doubts(contents, kilograms)
    return State(
        label,
        None if answer.objection else ph,
        answer.objection,
        question.is_rough or strength > MODEL_LIMIT,
        strength,
        volume,
        warmth,
        _dissolved(zip(asked.elements, rest, strict=False), forms, kilograms),
        tuple(solids),
        tuple(gases),
        notes + _cautions(contents, ph) + doubts,
        left,
        answer.model,
        doubts,
        tuple((form, molal * kilograms) for form, molal in forms.items()),
        concentrated.extreme(answer.ph_about) if answer.objection else None,
    )


def _doubts(contents: Contents, kilograms: float) -> tuple[str, ...]:
    """What nobody has told the app about the solids that this beaker may have."""
    ions = contents.ions
    return tuple(
        solubility.doubt(*pair)
        for pair in solubility.unknown_pairs(frozenset(ions))
        if all(ions[ion] > TRACE_MOL * kilograms for ion in pair)
    )


def to_residue(state: State, gas_gone: Iterable[Gas] = ()) -> Residue:
    """What is left, for the waste rules. gas_gone: all gas given off on the way."""
    contents = state.contents
    organics = [(i, grams) for i, _, grams in contents.others if i.kind in (species.ORGANIC, species.DYE)]
    total = contents.water_g + sum(grams for _, _, grams in contents.others) + _ion_grams(contents)
    gases: dict[str, Gas] = {}
    for gas in gas_gone:
        before = gases.get(gas.formula)
        gases[gas.formula] = (
            gas
            if before is None
            else replace(gas, mol=gas.mol + before.mol, volume_ml=gas.volume_ml + before.volume_ml)
        )
    return Residue(
        volume_ul=round(state.volume_ml * 1000),
        ph=state.extreme if state.ph is None else state.ph,
        temperature_c=state.temperature_c,
        components=state.dissolved,
        undissolved=state.solids,
        gases=tuple(gases.values()),
        organics=tuple(Organic(i.name, i.cas, 100 * grams / total) for i, grams in organics if grams > 0),
        unknown=contents.unknown,
    )


# --- what stands in the way of a pH


def _check(addition: Addition) -> None:
    amounts = [addition.water_g, addition.volume_ml]
    for substance in addition.substances:
        amounts += (substance.mol, substance.mass_g)
    if not min(amounts) >= 0 or any(amount != amount for amount in amounts):
        raise BeakerError(f"{addition.label}: an amount cannot be negative; check what is poured")
    if max(amounts) > 1e6:
        raise BeakerError(f"{addition.label}: that is more than any beaker holds; check the unit")
    _check_temperature(addition.label, addition.temperature_c)


def _check_temperature(label: str, temperature_c: float) -> None:
    if not COLDEST <= temperature_c <= HOTTEST:
        span = f"{COLDEST:g} to {HOTTEST:g} °C".replace("-", "−")
        raise BeakerError(f"{label}: {temperature_c:g} °C is outside {span}; check the temperature")


def _obstacle(contents: Contents) -> tuple[str, bool, tuple[str, ...]]:
    """(why there can be no pH, whether a pH would only be rough, things to know)."""
    notes = [
        identity.remark
        for identity, _, _ in contents.others
        if identity.note and identity.kind != species.UNFOLLOWED
    ]
    if contents.unknown:
        return f"pH not computed: {'; '.join(contents.unknown)}", False, tuple(notes)
    if contents.water_g <= 0:
        return "there is no water in the beaker yet", False, tuple(notes)
    if not contents.others:
        return "", False, tuple(notes)
    organic = sum(grams for identity, _, grams in contents.others if identity.kind == species.ORGANIC)
    share = organic / (organic + contents.water_g)
    if share > 0.4:
        return (
            "there is too much of another solvent for a pH to mean what it does in water",
            False,
            tuple(notes),
        )
    if share > 0.05:
        notes.append("another solvent shifts the pH: it is approximate")
    dyes = sum(mol for identity, mol, _ in contents.others if identity.kind == species.DYE)
    if dyes > TRACE_MOL:
        notes.append("the indicator itself is enough to shift the pH: it is approximate")
    return "", share > 0.05 or dyes > TRACE_MOL, tuple(dict.fromkeys(notes))


def _add(total: dict[str, float], ion: str, mol: float) -> None:
    for part, count in species.simplest(ion).items():
        total[part] = total.get(part, 0.0) + count * mol


@cache
def _caution_rows() -> tuple[tuple[frozenset[str], float, float, str], ...]:
    return tuple(
        (frozenset(ions.split()), float(low), float(high), note)
        for ions, low, high, note, _ in published.table("cautions.csv")
    )


def _cautions(contents: Contents, ph: float) -> tuple[str, ...]:
    """What a mixture does that no equilibrium tells, or that a person must know."""
    there = contents.ions
    return tuple(
        note
        for ions, low, high, note in _cautions_of(frozenset(there))
        if low <= ph <= high and all(there[ion] > TRACE_MOL / 100 for ion in ions)
    )


@cache
def _cautions_of(present: frozenset[str]):
    return tuple(row for row in _caution_rows() if row[0] <= present)


# --- the engine


@dataclass(frozen=True)
class _Asked:
    """elements, possible, forms: whose totals, which solids and gases and which coloured forms are read, from
    these columns of the output.

    ending: of the input, naming them.
    """

    elements: tuple[str, ...]
    possible: tuple[Phase, ...]
    forms: tuple[str, ...]
    columns: tuple[int, ...]
    ending: str


@dataclass(frozen=True)
class _Question:
    """What is put to the engine, for a kilogram of the water there is; text "" where `why` forbids to ask.

    is_rough: the answer can be no more. notes: what to know whatever it is.
    """

    why: str
    is_rough: bool
    notes: tuple[str, ...]
    text: str = ""
    asked: _Asked | None = None
    kilograms: float = 0.0


_SMALL_STEPS = "KNOBS\n -iterations 400\n -step_size 5\n -pe_step_size 2\n"
_USUAL_STEPS = "KNOBS\n -iterations 100\n -step_size 100\n -pe_step_size 10\nEND\n"


class _Engine:
    """One PHREEQC instance a process. It keeps state between runs, hence the lock."""

    def __init__(self, text: Callable[[], str], names: Callable[[str], str] = str):
        """text: of the database. names: what turns this package's names of elements into its own."""
        self.text, self.names = text, names
        self.lock = threading.Lock()
        self.phreeqc = None

    def answer(self, question: _Question, is_patient: bool = False) -> list | None:
        """The columns asked for, or None where PHREEQC finds no solution. is_patient: in small steps."""
        with self.lock:
            if self.phreeqc is None:
                self.phreeqc = self.start()
            text = self.names(question.text)
            if not is_patient:
                return self._run(text, question.asked.columns)
            row = self._run(_SMALL_STEPS + text, question.asked.columns)
            self.phreeqc.RunString(_USUAL_STEPS)
            return row

    def _run(self, text: str, columns: Iterable[int]) -> list | None:
        if self.phreeqc.RunString(text):
            # PHREEQC leaves this file where it stands whenever it gives up; it is of no use to anyone.
            Path("error.inp").unlink(missing_ok=True)
            return None
        row, value = self.phreeqc.GetSelectedOutputRowCount() - 1, self.phreeqc.GetSelectedOutputValue
        return [value(row, column) for column in columns]

    def start(self) -> Phreeqc:
        phreeqc = Phreeqc()
        for silence in (
            phreeqc.SetErrorFileOn,
            phreeqc.SetOutputFileOn,
            phreeqc.SetLogFileOn,
            phreeqc.SetDumpFileOn,
            phreeqc.SetSelectedOutputFileOn,
        ):
            silence(False)
        errors = phreeqc.LoadDatabaseString(self.text())
        errors += phreeqc.RunString("SOLUTION 1\n pH 7\n temp 25\nEND\n")
        if errors:
            raise RuntimeError(f"the equilibrium database does not load: {phreeqc.GetErrorString()}")
        return phreeqc


_engine = _Engine(lambda: published.text("beaker.dat"))


@cache
def _concentrated(model: concentrated.Model) -> _Engine:
    """The engine of a model for concentrated solutions, started when it is first needed."""
    names = concentrated.pitzer_names if model is concentrated.pitzer() else str
    return _Engine(lambda: concentrated.databases(model), names)


@cache
def _elements(ion: str) -> frozenset[str]:
    """The engine's elements in an ion, hydrogen and oxygen left out."""
    names = set()
    for formula, _ in species.ions()[ion].engine:
        names |= _engine_elements(formula)
    return frozenset(names)


@cache
def _engine_elements(formula: str) -> frozenset[str]:
    names, current = set(), ""
    for char in formula + "A":
        if char.isupper():
            names.add(current)
            current = char
        elif char.islower() or char == "_":
            current += char
    return frozenset(names - {"", "H", "O"})


def _question(contents: Contents, hold_back: frozenset[str]) -> _Question:
    why, is_rough, notes = _obstacle(contents)
    kilograms = (contents.water_g + 18.015 * contents.ions.get("H2O", 0.0)) / 1000
    if why or kilograms <= 0:
        return _Question(why, is_rough, notes)
    amounts: dict[str, float] = {}
    known = species.ions()
    for ion, mol in contents.ions.items():
        for formula, count in known[ion].engine:
            amounts[formula] = amounts.get(formula, 0.0) + count * mol / kilograms
    amounts.pop("H2O", None)
    if any(-_TINY <= mol <= _TINY for mol in amounts.values()):
        amounts = {formula: mol for formula, mol in amounts.items() if abs(mol) > _TINY}
    if sum(amounts.values()) > 3 * _CONCENTRATED:
        return _Question(why, is_rough, notes)
    asked = _asked(frozenset(amounts), hold_back)
    text = _input_text(amounts, contents.temperature_c) + asked.ending
    return _Question("", is_rough, notes, text, asked, kilograms)


@cache
def _asked(formulas: frozenset[str], hold_back: frozenset[str]) -> _Asked:
    present = frozenset().union(*(_engine_elements(formula) for formula in formulas))
    elements = sorted(present)
    possible = [p for p in phases() if p.elements <= present and p.formula not in hold_back]
    lines = []
    if possible:
        lines += ["EQUILIBRIUM_PHASES 1", *(f" {p.phase} 0 0" for p in possible)]
    lines += ["SELECTED_OUTPUT 1", " -reset false", " -pH", " -ionic_strength", " -water"]
    if elements:
        lines.append(" -totals " + " ".join(elements))
    if possible:
        lines.append(" -equilibrium_phases " + " ".join(p.phase for p in possible))
    if forms := _forms_of(present):
        lines.append(" -molalities " + " ".join(forms))
    # Columns come in the engine's own order; each phase has two: what is there, and by how much it changed.
    first = 3 + len(elements)
    last = first + len(forms)
    columns = (*range(first), *range(last, last + 2 * len(possible), 2), *range(first, last))
    return _Asked(tuple(elements), tuple(possible), forms, columns, "\n".join([*lines, "END", ""]))


@cache
def _watched() -> tuple[tuple[str, frozenset[str]], ...]:
    """Every form that is asked for beside the totals, and the engine's elements that it needs."""
    names = dict.fromkeys(form for row in published.table("complexes.csv") for form in row[1].split())
    names |= dict.fromkeys(form for rows in _TOLD_APART.values() for form, *_ in rows)
    return tuple((name, _engine_elements(name)) for name in names)


def _forms_of(present: frozenset[str]) -> tuple[str, ...]:
    return tuple(name for name, elements in _watched() if elements <= present)


def _input_text(amounts: dict[str, float], temperature: float) -> str:
    lines = "".join([f" {formula} {mol:.12g}\n" for formula, mol in amounts.items()]) or " H2O 0\n"
    celsius = min(max(temperature, 0.0), 100.0)
    return f"USE solution 1\nREACTION 1\n{lines} 1\nREACTION_TEMPERATURE 1\n {celsius:.4g}\n"


@cache
def _element_ion() -> dict[str, species.Ion]:
    """The ion that stands for each engine element in what is reported."""
    found: dict[str, species.Ion] = {}
    for ion in species.ions().values():
        elements = _elements(ion.formula)
        if len(elements) == 1 and species.simplest(ion.formula) == {ion.formula: 1}:
            (element,) = elements
            found.setdefault(element, ion)
    return found


# Forms of one element that are told apart: by the ion that is told otherwise, (the engine's name, the ion,
# atoms of the element in it).
_TOLD_APART = {
    "CrO4-2": (("Cr2O7-2", "Cr2O7-2", 2),),
    "H3BO3": (("H2BO3-", "B(OH)4-", 1),),
}


def _dissolved(
    molalities: Iterable[tuple[str, float]], forms: Mapping[str, float], kilograms: float
) -> tuple[Dissolved, ...]:
    """What is in solution. forms: mol/kg of the forms that are asked for."""
    found, known, ions = [], _element_ion(), species.ions()
    for element, molal in molalities:
        main = known[element]
        for form, formula, count in _TOLD_APART.get(main.formula, ()):
            part = forms.get(form, 0.0)
            molal -= count * part
            found.append((ions[formula], part))
        found.append((main, molal))
    return tuple(
        Dissolved(ion.name, ion.formula, "", molal * kilograms)
        for ion, molal in found
        if molal * kilograms > _TINY
    )


# --- masses


def _grams(substance: Substance) -> float:
    return substance.mol * _molar_mass(substance.formula) if substance.formula else 0.0


@cache
def _molar_mass(formula: str) -> float:
    """g/mol; 0 where the formula cannot be read."""
    try:
        return parse_formula(formula).molar_mass
    except FormulaError:
        return 0.0


@cache
def _ion_mass(ion: str) -> float:
    return parse_formula(ion).molar_mass


def _ion_grams(contents: Contents) -> float:
    return sum(mol * _ion_mass(ion) for ion, mol in contents.ions.items())


def _merged(others) -> tuple[tuple[species.Identity, float, float], ...]:
    total: dict[species.Identity, tuple[float, float]] = {}
    for identity, mol, grams in others:
        before = total.get(identity, (0.0, 0.0))
        total[identity] = (before[0] + mol, before[1] + grams)
    return tuple((identity, mol, grams) for identity, (mol, grams) in total.items())
