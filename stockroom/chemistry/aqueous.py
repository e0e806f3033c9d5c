"""The beaker: what stands in it after each addition, from equilibrium computed by USGS PHREEQC.

The database is minteq.v4.dat with each oxidation state on its own (see `database.py`): acids, bases,
complexes, solids and gases reach equilibrium, electron transfer does not. Whatever reacts by electron
transfer is told by a written equation (`Contents.changed`).

Taken as so: the volume is the sum of the volumes poured; water warms and cools by mixing alone; a gas leaves
once it would bubble, that is at one atmosphere of its own pressure.
"""

import threading
from collections.abc import Iterable, Mapping
from csv import DictReader
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache
from pathlib import Path

from phreeqc import Phreeqc

from stockroom.chemistry import species
from stockroom.chemistry.formula import FormulaError, parse_formula
from stockroom.chemistry.residue import Dissolved, Gas, Organic, Residue, Solid

_TABLES = Path(__file__).parent / "tables"
GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018
STANDARD_PRESSURE = 101_325.0  # Pa
MODEL_LIMIT = (
    0.5  # mol/kg: up to here the Davies equation holds (Stumm and Morgan, Aquatic Chemistry, 3rd ed.)
)
GAS_LIMIT_MOL = 5.0
TRACE_MOL = 1e-4
_TINY = 1e-12
_CONCENTRATED = 15.0  # mol/kg: beyond, PHREEQC finds no answer worth the search
_SAME_COUPLE = {("Fe+3", "Fe+2"), ("Cu+2", "Cu+"), ("I2", "I-")}


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
    """One thing poured in. water_g: grams of water it brings. volume_ml: by how much the level rises."""

    label: str
    substances: tuple[Substance, ...]
    water_g: float = 0.0
    volume_ml: float = 0.0
    temperature_c: float = 20.0

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
    no part, as (identity, mol, grams). unknown: names of what cannot be followed.
    """

    ions: Mapping[str, float] = field(default_factory=dict)
    others: tuple[tuple[species.Identity, float, float], ...] = ()
    unknown: tuple[str, ...] = ()
    water_g: float = 0.0
    volume_ml: float = 0.0
    temperature_c: float = 20.0

    def with_addition(self, addition: Addition) -> "Contents":
        """The contents after pouring. Raises BeakerError for negative or impossible amounts."""
        _check(addition)
        ions, others, unknown = dict(self.ions), list(self.others), list(self.unknown)
        for substance in addition.substances:
            identity = species.identify(substance.formula, substance.name, substance.cas)
            if identity.kind == species.ELECTROLYTE:
                for ion, count in identity.brings:
                    ions[ion] = ions.get(ion, 0.0) + count * substance.mol
            elif identity.kind in (species.UNKNOWN, species.UNFOLLOWED):
                if identity.note not in unknown:
                    unknown.append(identity.note)
            else:
                others.append((identity, substance.mol, substance.mass_g or _grams(substance)))
        water = self.water_g + addition.water_g
        warmth = self.water_g * self.temperature_c + addition.water_g * addition.temperature_c
        temperature = warmth / water if water else addition.temperature_c
        volume = self.volume_ml + addition.volume_ml
        return Contents(ions, _merged(others), tuple(unknown), water, volume, temperature)

    def changed(self, ions: Mapping[str, float], others: Mapping[str, float] | None = None) -> "Contents":
        """The contents after a written reaction: mol gained (or, negative, lost) by ion and by formula."""
        total = dict(self.ions)
        for ion, mol in ions.items():
            _add(total, ion, mol)
        rest = list(self.others)
        for formula, mol in (others or {}).items():
            identity = species.identify(formula)
            if identity.kind not in (species.GAS, species.UNFOLLOWED, species.UNKNOWN):
                mass = mol * parse_formula(formula).molar_mass
                rest.append((identity, mol, mass))
        return replace(self, ions=total, others=_merged(rest))


@dataclass(frozen=True)
class State:
    """The beaker at rest after one addition.

    ph: None where it cannot be computed; `why_no_ph` then says why. approximate: the solution is too
    concentrated for the activity model, or has much of another solvent, so that the pH only tells strongly
    acid from weakly. ionic_strength in mol/kg water. solids: lying undissolved. gas: given off in this step.
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
    with (_TABLES / "solids.csv").open(newline="", encoding="utf-8") as rows:
        for row in DictReader(rows):
            split = species.parse_ions(row.pop("ions"))
            elements = frozenset().union(*(_elements(ion) for ion, _ in split))
            found.append(Phase(**row, ions=split, elements=elements))
    return tuple(found)


def gas_volume_ml(mol: float, temperature_c: float = 20.0, pressure_pa: float = STANDARD_PRESSURE) -> float:
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
    contents, states = start or Contents(), []
    for addition in additions:
        state = settle(contents.with_addition(addition), addition.label)
        contents = state.contents
        states.append(state)
    return tuple(states)


def settle(contents: Contents, label: str = "", hold_back: frozenset[str] = frozenset()) -> State:
    """Bring the contents to equilibrium. hold_back: formulas of solids that may neither form nor dissolve.

    Gas that bubbles off is taken out of the returned state's contents.
    """
    why, shaky, notes = _obstacle(contents)
    solved = None
    if not why:
        solved = _solve(contents, hold_back)
        if solved is None:
            why = "no equilibrium was found: the mixture is too concentrated for the model"
    solids = [
        Solid(identity.name, identity.formula, identity.cas, mol)
        for identity, mol, _ in contents.others
        if identity.kind in (species.METAL, species.INSOLUBLE) and mol > _TINY
    ]
    if solved is None:
        volume, warmth = contents.volume_ml, contents.temperature_c
        return State(label, None, why, False, 0.0, volume, warmth, (), tuple(solids), (), notes, contents)
    gases, left = [], contents
    for phase, mol in solved.phases:
        if mol * solved.scale < _TINY:
            continue
        amount = mol * solved.scale
        if phase.is_gas:
            gases.append(
                Gas(
                    phase.name,
                    phase.formula,
                    phase.cas,
                    amount,
                    gas_volume_ml(amount, contents.temperature_c),
                )
            )
            left = left.changed({ion: -float(count) * amount for ion, count in phase.ions})
        else:
            solids.append(Solid(phase.name, phase.formula, phase.cas, amount))
    approximate = shaky or solved.ionic_strength > MODEL_LIMIT
    return State(
        label,
        solved.ph,
        "",
        approximate,
        solved.ionic_strength,
        contents.volume_ml,
        contents.temperature_c,
        _dissolved(solved),
        tuple(solids),
        tuple(gases),
        notes + _cautions(contents, solved.ph),
        left,
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
        ph=state.ph,
        temperature_c=state.temperature_c,
        components=state.dissolved,
        undissolved=state.solids,
        gases=tuple(gases.values()),
        organics=tuple(Organic(i.name, i.cas, 100 * grams / total) for i, grams in organics if grams > 0),
        unknown=contents.unknown,
    )


# --- what stands in the way of a pH


def _check(addition: Addition) -> None:
    amounts = [addition.water_g, addition.volume_ml, *(s.mol for s in addition.substances)]
    amounts += [s.mass_g for s in addition.substances]
    if not min(amounts) >= 0 or any(amount != amount for amount in amounts):
        raise BeakerError(f"{addition.label}: an amount cannot be negative; check what is poured")
    if max(amounts) > 1e6:
        raise BeakerError(f"{addition.label}: that is more than any beaker holds; check the unit")
    if not -20 <= addition.temperature_c <= 100:
        raise BeakerError(
            f"{addition.label}: {addition.temperature_c:g} °C is outside −20 to 100 °C; check the temperature"
        )


def _obstacle(contents: Contents) -> tuple[str, bool, tuple[str, ...]]:
    """(why there can be no pH, whether a pH would only be rough, things to know)."""
    notes = [identity.note for identity, _, _ in contents.others if identity.note]
    for identity, mol, _ in contents.others:
        if identity.kind == species.METAL and mol > _TINY:
            notes.append(f"{identity.name} is left as it is: write its equation to have it react")
    notes += _electron_transfer(contents)
    if contents.unknown:
        return f"pH not computed: {'; '.join(contents.unknown)}", False, tuple(notes)
    if contents.water_g <= 0:
        return "there is no water in the beaker yet", False, tuple(notes)
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


@cache
def _active() -> dict[str, species.Ion]:
    """Ions that give or take electrons."""
    return {formula: ion for formula, ion in species.ions().items() if ion.role}


def _electron_transfer(contents: Contents) -> list[str]:
    active = _active()
    present = [active[ion] for ion, mol in contents.ions.items() if ion in active and mol > TRACE_MOL / 100]
    if len(present) < 2:
        return []
    strong = [ion for ion in present if ion.role == "oxidiser"]
    mild = [ion for ion in present if ion.role.endswith("oxidiser")]
    reducers = [ion for ion in present if ion.role == "reducer"]
    pairs = [(o, r) for o in mild for r in reducers if (o in strong or r.formula in ("I-", "S2O3-2"))]
    return [
        f"{o.name} and {r.name} may react by electron transfer: write the equation to have it followed"
        for o, r in pairs
        if (o.formula, r.formula) not in _SAME_COUPLE
    ]


def _add(total: dict[str, float], ion: str, mol: float) -> None:
    for part, count in species.simplest(ion).items():
        total[part] = total.get(part, 0.0) + count * mol


@cache
def _caution_rows() -> tuple[tuple[frozenset[str], float, float, str], ...]:
    with (_TABLES / "cautions.csv").open(newline="", encoding="utf-8") as rows:
        return tuple(
            (frozenset(row["ions"].split()), float(row["ph_low"]), float(row["ph_high"]), row["note"])
            for row in DictReader(rows)
        )


def _cautions(contents: Contents, ph: float) -> tuple[str, ...]:
    """What a mixture does that no equilibrium tells, or that a person must know."""
    present = {ion for ion, mol in contents.ions.items() if mol > TRACE_MOL / 100}
    return tuple(note for ions, low, high, note in _caution_rows() if ions <= present and low <= ph <= high)


# --- the engine


@dataclass(frozen=True)
class _Solved:
    """Amounts in mol per kilogram of water put in; `scale` is the kilograms of it there are."""

    ph: float
    ionic_strength: float
    totals: Mapping[str, float]
    phases: tuple[tuple[Phase, float], ...]
    scale: float


class _Engine:
    """One PHREEQC instance a process. It keeps state between runs, hence the lock."""

    def __init__(self):
        self.lock = threading.Lock()
        self.phreeqc = None

    def run(self, text: str) -> list | None:
        """The last row of selected output, or None where PHREEQC found no solution."""
        with self.lock:
            if self.phreeqc is None:
                self.phreeqc = self.start()
            if self.phreeqc.RunString(text):
                # PHREEQC leaves this file where it stands whenever it gives up; it is of no use to anyone.
                Path("error.inp").unlink(missing_ok=True)
                return None
            row = self.phreeqc.GetSelectedOutputRowCount() - 1
            columns = self.phreeqc.GetSelectedOutputColumnCount()
            return [self.phreeqc.GetSelectedOutputValue(row, column) for column in range(columns)]

    @staticmethod
    def start() -> Phreeqc:
        phreeqc = Phreeqc()
        for silence in (
            phreeqc.SetErrorFileOn,
            phreeqc.SetOutputFileOn,
            phreeqc.SetLogFileOn,
            phreeqc.SetDumpFileOn,
            phreeqc.SetSelectedOutputFileOn,
        ):
            silence(False)
        errors = phreeqc.LoadDatabaseString((_TABLES / "beaker.dat").read_text(encoding="utf-8"))
        errors += phreeqc.RunString("SOLUTION 1\n pH 7\n temp 25\nEND\n")
        if errors:
            raise RuntimeError(f"the equilibrium database does not load: {phreeqc.GetErrorString()}")
        return phreeqc


_engine = _Engine()


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


def _solve(contents: Contents, hold_back: frozenset[str]) -> _Solved | None:
    kilograms = (contents.water_g + 18.015 * contents.ions.get("H2O", 0.0)) / 1000
    if kilograms <= 0:
        return None
    amounts: dict[str, float] = {}
    for ion, mol in contents.ions.items():
        for formula, count in species.ions()[ion].engine if ion != "H2O" else ():
            amounts[formula] = amounts.get(formula, 0.0) + count * mol / kilograms
    amounts = {formula: mol for formula, mol in amounts.items() if abs(mol) > _TINY}
    if sum(amounts.values()) > 3 * _CONCENTRATED:
        return None
    elements, possible, ending = _asked(frozenset(amounts), hold_back)
    text = _input_text(amounts, contents.temperature_c) + ending
    row = _engine.run(text)
    if row is None:
        row = _engine.run("KNOBS\n -iterations 400\n -step_size 5\n -pe_step_size 2\n" + text)
    if row is None:
        return None
    ph, strength, water, *rest = row  # a reaction makes and takes water, so that 1 kg does not stay 1 kg
    totals = {element: molal * water for element, molal in zip(elements, rest, strict=False)}
    amounts_of = rest[
        len(elements) :: 2
    ]  # each phase has two columns: what is there, and by how much it changed
    return _Solved(ph, strength, totals, tuple(zip(possible, amounts_of, strict=False)), kilograms)


@cache
def _asked(formulas: frozenset[str], hold_back: frozenset[str]) -> tuple[list[str], list[Phase], str]:
    """(elements, solids and gases that may form, the end of the input that names them)."""
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
    return elements, possible, "\n".join([*lines, "END", ""])


def _input_text(amounts: dict[str, float], temperature: float) -> str:
    lines = ["USE solution 1", "REACTION 1"]
    lines += [f" {formula} {mol:.12g}" for formula, mol in amounts.items()] or [" H2O 0"]
    return "\n".join(
        [*lines, " 1", "REACTION_TEMPERATURE 1", f" {min(max(temperature, 0.0), 100.0):.4g}", ""]
    )


@cache
def _element_ion() -> dict[str, species.Ion]:
    """The ion that stands for each engine element in what is reported."""
    found: dict[str, species.Ion] = {}
    for ion in species.ions().values():
        elements = _elements(ion.formula)
        if len(elements) == 1:
            (element,) = elements
            found.setdefault(element, ion)
    return found


def _dissolved(solved: _Solved) -> tuple[Dissolved, ...]:
    known = _element_ion()
    return tuple(
        Dissolved(known[element].name, known[element].formula, "", mol * solved.scale)
        for element, mol in solved.totals.items()
        if mol * solved.scale > _TINY
    )


# --- masses


def _grams(substance: Substance) -> float:
    try:
        return substance.mol * parse_formula(substance.formula).molar_mass if substance.formula else 0.0
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
