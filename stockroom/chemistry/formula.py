"""Chemical formulas and CAS Registry Numbers: read, checked, weighed and drawn.

Atomic masses come from the `chemicals` library (IUPAC standard atomic weights).
"""

import html
import re
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache

from chemicals.elements import periodic_table

MAX_TEXT = 200
_MAX_DEPTH = 8
_MAX_COUNT = 10_000
_ELECTRON_MASS = 5.48579909065e-4  # g/mol, CODATA 2018
STATES = ("s", "l", "g", "aq")

_SEPARATORS = "·•∙⋅*"
_OPEN = {"(": ")", "[": "]", "{": "}"}
_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-")
_TO_SUBSCRIPT = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_TO_SUPERSCRIPT = str.maketrans("0123456789+–", "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻")
_STATE = re.compile(r"\s*\((s|l|g|aq)\)$")
_MARKED_CHARGE = re.compile(
    r"\s*(?:\^\{?(\d*)([+-])\}?|\^\{?([+-])(\d+)\}?|[(\[](\d*)([+-])[)\]]|[(\[]([+-])(\d+)[)\]])$"
)
_SET_APART = re.compile(r"\s+(\d*)([+-])$")
_SIGNED_DIGIT, _SIGNS = re.compile(r"([+-])([1-9])$"), re.compile(r"(\+{2,4}|-{2,4})$")
_RAISED = re.compile(r"(?<=[A-Za-z0-9)\]}₀-₉])([⁰¹²³⁴-⁹]*[⁺⁻])")
_FALLS, _RISES, _TIMES, _BLANKS = (re.compile(p) for p in (r"\s*↓$", r"\s*↑$", r"\s+[x×]\s+", r"\s+"))
_DIGITS, _SYMBOL = re.compile(r"[0-9]+"), re.compile(r"[A-Z][a-z]?")
_WATERS = re.compile(r"[0-9]+/[0-9]+|[0-9]+(?:[.,][0-9]+)?")
_ROMAN = re.compile(r"\((?:I{1,3}|IV|VI{0,3})\)")
_HALOGENS = ("F", "Cl", "Br", "I")


class FormulaError(ValueError):
    """A formula or registry number that cannot be read; the message says what to change."""


@dataclass(frozen=True)
class Formula:
    """A formula as read.

    text: as written, tidied. parts: one (coefficient, ((symbol, count), ...)) for each piece between hydrate
    dots. charge: in units of the elementary charge. state: "s", "l", "g", "aq" or "".
    pieces: (text, kind) in order, kind "plain", "sub" or "sup", for drawing.
    """

    text: str
    parts: tuple[tuple[int | Fraction, tuple[tuple[str, int], ...]], ...]
    charge: int
    state: str
    pieces: tuple[tuple[str, str], ...]

    @cached_property
    def atoms(self):
        """dict of element symbol to its count (int, or Fraction in such as CaSO4·0.5H2O), to be read only."""
        total = Counter()
        for coefficient, counts in self.parts:
            for symbol, count in counts:
                total[symbol] += coefficient * count
        return {symbol: int(n) if n.denominator == 1 else n for symbol, n in total.items()}

    @cached_property
    def molar_mass(self):
        """g/mol. The mass of electrons gained or lost is left out, save for the electron itself."""
        if not self.parts:
            return _ELECTRON_MASS
        return float(sum(float(n) * periodic_table[symbol].MW for symbol, n in self.atoms.items()))

    @cached_property
    def hill(self):
        """Hill form: carbon, hydrogen, then the rest by alphabet; without carbon all by alphabet."""
        atoms = self.atoms
        first = [symbol for symbol in ("C", "H") if "C" in atoms and symbol in atoms]
        order = first + sorted(set(atoms) - set(first))
        return "".join(s + (f"{float(atoms[s]):g}" if atoms[s] != 1 else "") for s in order)

    @property
    def water(self):
        """Molecules of water of crystallisation in one formula unit, a Fraction."""
        return sum((n for n, counts in self.parts[1:] if dict(counts) == {"H": 2, "O": 1}), Fraction(0))


class _Reader:
    """One pass over the text of a formula without charge and state."""

    def __init__(self, text):
        self.text, self.at, self.pieces = text, 0, []

    def fail(self, why):
        raise FormulaError(f"“{self.text[:40]}” is not a formula: {why}")

    def peek(self):
        return self.text[self.at : self.at + 1]

    def take(self, pattern):
        match = pattern.match(self.text, self.at)
        if match:
            self.at = match.end()
        return match.group() if match else ""

    def count(self):
        digits = self.take(_DIGITS)
        if not digits:
            return 1
        if len(digits) > 5 or not 1 <= int(digits) <= _MAX_COUNT:
            self.fail(f"counts run from 1 to {_MAX_COUNT}.")
        self.pieces.append((digits, "sub"))
        return int(digits)

    def group(self, closing="", depth=0):
        """Counts up to `closing`, or up to a hydrate dot or the end at the outermost level."""
        if depth > _MAX_DEPTH:
            self.fail("brackets are nested too deep.")
        counts = Counter()
        while (char := self.peek()) and char != closing:
            if char in _OPEN:
                counts.update(self.bracket(char, depth))
            elif depth == 0 and char in _SEPARATORS + ".":
                break
            else:
                symbol = self.element()
                counts[symbol] += self.count()
        return counts

    def bracket(self, char, depth):
        self.at += 1
        self.pieces.append((char, "plain"))
        inner = self.group(_OPEN[char], depth + 1)
        if self.peek() != _OPEN[char]:
            self.fail(f"a {char} is not closed.")
        if not inner:
            self.fail("a pair of brackets is empty.")
        self.at += 1
        self.pieces.append((_OPEN[char], "plain"))
        times = self.count()
        return {symbol: n * times for symbol, n in inner.items()}

    def element(self):
        symbol = self.take(_SYMBOL)
        if symbol not in _SYMBOLS and len(symbol) == 2 and symbol[0] in _SYMBOLS:
            self.fail(f"{symbol} is not an element. A second letter is small only within one symbol.")
        if not symbol:
            char = self.peek()
            if char.islower():
                self.fail("write each element with a capital first, such as CO2 or NaCl.")
            self.fail(f"{char} does not belong there.")
        if symbol not in _SYMBOLS:
            self.fail(f"{symbol} is not an element.")
        self.pieces.append((symbol, "plain"))
        return symbol

    def parts(self):
        found = [(1, self.part())]
        while self.at < len(self.text):
            self.at += 1
            self.pieces.append(("·", "plain"))
            coefficient = self.take(_WATERS)
            if coefficient:
                self.pieces.append((coefficient, "plain"))
            value = self.coefficient(coefficient) if coefficient else 1
            found.append((value, self.part()))
        return tuple(found)

    def coefficient(self, text):
        try:
            value = Fraction(text.replace(",", ".") or 1)
        except ZeroDivisionError:
            value = Fraction(0)
        if not 0 < value <= 100:
            self.fail("the number after the dot runs up to 100.")
        return value

    def part(self):
        if self.peek() == "x":
            self.fail("give the number of waters instead of x, from the bottle's label.")
        counts = self.group()
        if not counts:
            self.fail("an element is missing.")
        return tuple(counts.items())


_SYMBOLS = frozenset(element.symbol for element in periodic_table)


def _tidy(text):
    if not isinstance(text, str) or not text.strip():
        raise FormulaError("Write a formula, such as NaCl or CuSO4·5H2O.")
    if len(text) > MAX_TEXT:
        raise FormulaError(f"That is too long for a formula: {MAX_TEXT} characters at most.")
    text = _RAISED.sub(lambda m: "^" + m.group(1), text.strip())
    text = text.translate(_SUBSCRIPTS).translate(_SUPERSCRIPTS)
    text = text.replace("−", "-").replace("–", "-").replace("½", "0.5")
    text = _RISES.sub("(g)", _FALLS.sub("(s)", text))
    return _TIMES.sub("·", text)


def _marked_charge(text):
    """Split off a charge that is set apart: "SO4^2-", "Fe(3+)", "SO4 2-", "Fe+3", "S--"."""
    match = _MARKED_CHARGE.search(text) or _SET_APART.search(text)
    if match:
        found = [group for group in match.groups() if group is not None]
        sign = next(group for group in found if group in ("+", "-"))
        size = int("".join(group for group in found if group not in ("+", "-"))[:3] or 1)
        return text[: match.start()], size if sign == "+" else -size
    match = _SIGNED_DIGIT.search(text) or _SIGNS.search(text)
    if match:
        size = int(match[2]) if match.re.groups == 2 else len(match[1])
        return text[: match.start()], size if match[1][0] == "+" else -size
    return None


def _plain_charge(text):
    """Split off a charge run together with the formula: "Fe3+", "SO42-", "NH4+", "I3-"."""
    body, sign = text[:-1], 1 if text[-1] == "+" else -1
    match = re.search(r"[0-9]+$", body)
    digits = match.group() if match else ""
    element = re.fullmatch(r"([A-Z][a-z]?)[0-9]", body)
    if re.fullmatch(r"\[.+\][1-9]", body) or (len(digits) >= 2 and digits[-1] in "234"):
        return body[:-1], sign * int(digits[-1])
    if element and element[1] == "N" and sign < 0:
        raise FormulaError("N3- could be nitride or azide: write N^3- or N3^-.")
    if element and not (sign < 0 and element[1] in _HALOGENS):
        return body[:-1], sign * int(digits)
    return body, sign


def parse_formula(text):
    """Read "CuSO4·5H2O", "CuSO4.5H2O", "[Cu(NH3)4]SO4", "SO4^2-", "Fe3+", "NH4+(aq)", "e-" into a Formula.

    Raises FormulaError for what is not a formula, a coefficient in front included.
    """
    return _parsed(_tidy(text))


@lru_cache(maxsize=4096)
def _parsed(tidy):
    state = _STATE.search(tidy)
    body = tidy[: state.start()] if state else tidy
    charge = 0
    if body not in ("e-", "e^-"):
        marked = _marked_charge(body)
        if marked:
            body, charge = marked
        elif body[-1:] in ("+", "-"):
            body, charge = _plain_charge(body)
        if _ROMAN.search(body):
            raise FormulaError(f"Leave the oxidation number out of the formula “{tidy[:40]}”.")
        if _DIGITS.match(body):
            raise FormulaError(f"Leave out the number in front of “{tidy[:40]}”: a formula is of one unit.")
        if abs(charge) > 12:
            raise FormulaError(f"“{tidy[:40]}” carries too high a charge.")
        reader = _Reader(_BLANKS.sub("", body))
        parts, pieces = reader.parts(), reader.pieces
    else:
        parts, charge, pieces = (), -1, [("e", "plain")]
    if charge:
        sign = "+" if charge > 0 else "–"
        pieces.append((f"{abs(charge) if abs(charge) > 1 else ''}{sign}", "sup"))
    if state:
        pieces.append((f"({state[1]})", "plain"))
    return Formula(tidy, parts, charge, state[1] if state else "", tuple(pieces))


def molar_mass(text):
    """g/mol of a formula as written. Raises FormulaError."""
    return parse_formula(text).molar_mass


def anhydrous(text):
    """The Formula without its water of crystallisation. Raises FormulaError."""
    formula = parse_formula(text)
    kept = [part for part in formula.parts[1:] if dict(part[1]) != {"H": 2, "O": 1}]
    if len(kept) != len(formula.parts) - 1 and not kept:
        return parse_formula(re.split(rf"[{_SEPARATORS}.]", formula.text, maxsplit=1)[0])
    if kept and formula.water:
        raise FormulaError(f"“{formula.text[:40]}” has more than water behind its dots: write it anhydrous.")
    return formula


def markup(text):
    """The formula with <sub> and <sup>, safe for a page and for a reportlab Paragraph.

    Text that is not a formula comes back escaped, as it was.
    """
    try:
        pieces = parse_formula(text).pieces
    except FormulaError:
        return html.escape(str(text))
    tags = {"plain": "{}", "sub": "<sub>{}</sub>", "sup": "<sup>{}</sup>"}
    return "".join(tags[kind].format(html.escape(piece)) for piece, kind in pieces)


def plain_markup(text):
    """The formula with Unicode subscripts and superscripts: CuSO₄·5H₂O, SO₄²⁻. Other text comes back as it
    was.
    """
    try:
        pieces = parse_formula(text).pieces
    except FormulaError:
        return str(text)
    tables = {"plain": {}, "sub": _TO_SUBSCRIPT, "sup": _TO_SUPERSCRIPT}
    return "".join(piece.translate(tables[kind]) for piece, kind in pieces)


def check_cas(text):
    """A CAS Registry Number in its usual form, "7732-18-5", after its check digit is verified.

    Accepts white space, other dashes, a leading "CAS" or "CAS RN", and bare digits. Raises FormulaError.
    """
    if not isinstance(text, str) or len(text) > 40:
        raise FormulaError("Write the CAS number as on the label, such as 7732-18-5.")
    tidy = re.sub(r"^\s*cas(?:\s*(?:rn|no\.?|number))?\s*[:#.]?\s*", "", text, flags=re.IGNORECASE)
    tidy = re.sub(r"[\u2010-\u2015\u2212]", "-", tidy)
    match = re.fullmatch(r"\s*0*([1-9][0-9]{1,6})\s*-?\s*([0-9]{2})\s*-?\s*([0-9])\s*", tidy)
    if not match:
        raise FormulaError(f"“{text.strip()[:40]}” is not a CAS number: write it such as 7732-18-5.")
    digits = match[1] + match[2]
    expected = sum(place * int(digit) for place, digit in enumerate(reversed(digits), start=1)) % 10
    number = f"{match[1]}-{match[2]}-{match[3]}"
    if expected != int(match[3]):
        raise FormulaError(f"CAS number {number} has a slip in it: its last digit does not fit the others.")
    return number
