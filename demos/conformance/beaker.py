"""Cases of the beaker: what stands in it, by the functions of the outcome page, for amounts told in moles."""

import re
from collections import Counter
from decimal import Decimal, InvalidOperation

from demos.conformance import HOLDS, UNKNOWN, WRONG, CaseError, Row, Verdict
from demos.simulation.outcome import Outcome, OutcomeError, Step, foresee
from stockroom.chemistry import species
from stockroom.chemistry.concentration import PURE
from stockroom.chemistry.electron_transfer import GASES
from stockroom.chemistry.formula import FormulaError, molar_mass, parse_formula
from stockroom.chemistry.portion import Part, Portion
from stockroom.chemistry.quantity import MASS, VOLUME
from stockroom.chemistry.reaction import Term, parse_equation

COLUMNS = frozenset({"water_g", "additions_mol"})
_SEEN_MOL = 1e-6
_SEEN_ML = 1.0
_DOUBT = re.compile(
    r"\b(not known|nobody has told|not computed|not among|cannot be (computed|followed))\b", re.I
)


def hold(row: Row) -> Verdict:
    """Whether the app answers as the case expects.

    A column that disagrees is UNKNOWN where the answer says plainly that it does not know, and WRONG where
    it does not. Raises CaseError where the row cannot be read.
    """
    steps = _steps(row)
    checks = [
        (name, check, row[name])
        for name, check in (("ph", _ph), ("solid", _solid), ("gas", _gas), ("words", _words))
        if row.get(name)
    ]
    expected = "; ".join(f"{name} {wanted}" for name, _, wanted in checks)
    try:
        found = foresee(steps)
    except OutcomeError as error:
        return Verdict(UNKNOWN, expected, str(error))
    failed = [name for name, check, wanted in checks if not check(found, wanted)]
    if not failed:
        return Verdict(HOLDS, expected, _said(found))
    state = WRONG if any(_is_certain(found, name) for name in failed) else UNKNOWN
    return Verdict(state, expected, f"{_said(found)} ({', '.join(failed)} disagrees)")


def _steps(row: Row) -> tuple[Step, ...]:
    celsius = _number(row.get("celsius") or "25", "celsius")
    poured = [("H2O", "", "", _number(row["water_g"], "water_g"))]
    for text in filter(None, map(str.strip, row["additions_mol"].split(";"))):
        what, _, mol = text.rpartition(" ")
        try:
            formula, cas, name = _meant(*(part.strip() for part in what.partition("@")[::2]))
            poured.append((formula, cas, name, _number(mol, "additions_mol") * molar_mass(formula)))
        except FormulaError as error:
            raise CaseError(f"additions_mol: {error}") from error
    return tuple(
        Step(number, "", _portion(*what), temperature_c=celsius)
        for number, what in enumerate(poured, start=1)
    )


def _meant(formula: str, cas: str) -> tuple[str, str, str]:
    """(formula, CAS RN, name) of what a case pours: a short name such as EDTA does as well, and a sum formula
    alone means the substance of a classroom.
    """
    if cas:
        return formula, cas, ""
    named = species.identify(name=formula)
    if named.kind != species.UNKNOWN and named.formula:
        return named.formula, named.cas, ""
    found = species.classroom_meaning(formula)
    if found.kind == species.UNKNOWN or found == species.identify(formula):
        return formula, "", ""
    return formula, found.cas, found.name


def _portion(formula: str, cas: str, name: str, grams: float) -> Portion:
    measure, amount = (VOLUME, grams * 1000) if formula == "H2O" else (MASS, grams * 1e6)
    part = Part(name, formula, cas, None, PURE)
    return Portion(formula, measure, round(amount), (part,), solvent="")


def _number(text: str, column: str) -> float:
    try:
        value = float(Decimal(text))
    except InvalidOperation:
        value = -1.0
    if not 0 <= value < 1e6:
        raise CaseError(f"{column}: {text} is no number that a beaker takes")
    return value


def _ph(found: Outcome, wanted: str) -> bool:
    value, _, within = wanted.partition("±")
    ph = found.points[-1].state.ph
    return ph is not None and abs(ph - float(value)) <= float(within or "0.1")


def _solid(found: Outcome, wanted: str) -> bool:
    """Whether one of the solids lies there or is told to form, however its formula is written."""
    lying = _solids(found)
    if wanted == "none":
        return not lying
    told = {term.key for one in found.transfers if one.equation for term in _products(one.equation)}
    return any(re.search(wanted, way) for formula in {*lying, *told} for way in _spellings(formula))


def _products(equation: str) -> list[Term]:
    return [term for term in parse_equation(equation).products if term.formula.state == "s"]


def _spellings(formula: str) -> tuple[str, ...]:
    """A formula as it is, with the other sign of water, and by Hill's order of its atoms."""
    atoms = Counter(parse_formula(formula).atoms)
    order = sorted(atoms, key=lambda symbol: (symbol != "C", symbol != "H", symbol))
    hill = "".join(f"{symbol}{atoms[symbol] if atoms[symbol] > 1 else ''}" for symbol in order)
    return formula, formula.replace("*", "·"), hill if "C" in atoms else formula


def _solids(found: Outcome) -> list[str]:
    return [solid.formula for solid in found.points[-1].state.solids if solid.mol > _SEEN_MOL]


def _gas(found: Outcome, wanted: str) -> bool:
    """Whether one of the gases comes off by itself, or is named by a warning."""
    off = {gas.formula for gas in found.gas if gas.volume_ml >= _SEEN_ML}
    off = off.union(*(one.gases for one in found.transfers))
    text = " ".join(_texts(found))
    return any(
        gas in off or (gas in GASES and re.search(rf"\b{GASES[gas][0]}\b", text))
        for gas in map(str.strip, wanted.split("|"))
    )


def _words(found: Outcome, wanted: str) -> bool:
    text = " ".join(_texts(found))
    return any(re.search(rf"\b{re.escape(word.strip())}", text, re.I) for word in wanted.split("|"))


def _texts(found: Outcome) -> list[str]:
    """All the sentences of an answer."""
    seen = [words for point in found.points for words in (*point.sees, point.state.why_no_ph)]
    transfers = (one.words for one in found.transfers)
    return list(dict.fromkeys(filter(None, (*found.notes, *transfers, *seen))))


def _is_certain(found: Outcome, name: str) -> bool:
    """Whether the answer to one column is given without a word of doubt."""
    last = found.points[-1].state
    if last.contents.unknown or (name != "words" and last.ph is None):
        return False
    return not any(_DOUBT.search(text) for text in _texts(found))


def _said(found: Outcome) -> str:
    last = found.points[-1].state
    ph = "no pH" if last.ph is None else f"pH {'about ' if last.approximate else ''}{last.ph:.2f}"
    gas = [f"{gas.formula} {gas.volume_ml:.0f} mL" for gas in found.gas if gas.volume_ml >= _SEEN_ML]
    parts = (ph, f"solids {', '.join(_solids(found)) or 'none'}", f"gas {', '.join(gas) or 'none'}")
    return "; ".join((*parts, *found.notes, *(t.words for t in found.transfers), last.why_no_ph)).rstrip("; ")
