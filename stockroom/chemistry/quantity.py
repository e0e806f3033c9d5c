"""Amounts: what people write, the whole numbers that are stored, and the way between them.

Stored amounts are ints of one smallest unit per measure: microgram for "mass", microlitre for "volume", piece
for "count". Between those edges an amount is a pint Quantity with a Decimal magnitude. Pint supplies every
conversion factor; this module says only which words mean which unit. No text from outside reaches pint's
parser.

Cups, spoons, pints, quarts, gallons and fluid ounces are United States customary unless "imp" or "UK" stands
before them. A drop is 0.05 mL (20 drops a millilitre, common practice, no source), and always approximate.
"""

import difflib
import re
import unicodedata
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal, DecimalException
from fractions import Fraction

import pint

MASS, VOLUME, COUNT = "mass", "volume", "count"
#: Amount of substance. Understood and converted, never stored.
SUBSTANCE = "substance"
MEASURES = (MASS, VOLUME, COUNT)

MAX_BASE_UNITS = 9 * 10**15
MAX_TEXT = 80
_MAX_EXPONENT = 30

#: The one pint registry of the app. Magnitudes are Decimal.
ureg = pint.UnitRegistry(non_int_type=Decimal)
ureg.define("piece = [piece]")
ureg.define("drop = 0.05 milliliter")
pint.set_application_registry(ureg)

BASE_UNITS = {
    MASS: ureg.microgram,
    VOLUME: ureg.microliter,
    COUNT: ureg.piece,
    SUBSTANCE: ureg.mole,
}
_DIMENSIONS = {unit.dimensionality: measure for measure, unit in BASE_UNITS.items()}
_MEASURE_WORDS = {
    MASS: "a mass",
    VOLUME: "a volume",
    COUNT: "a number of pieces",
    SUBSTANCE: "an amount in moles",
}
_EXAMPLES = {MASS: "500 g", VOLUME: "250 mL", COUNT: "12 pieces", SUBSTANCE: "0.1 mol"}

# Shown symbol, pint's name, other spellings people use.
_UNIT_ROWS = (
    ("kg", "kilogram", "kgs kilo kilos kilogram kilograms kilogramme kilogrammes"),
    ("g", "gram", "gm gms gram grams gramme grammes"),
    ("mg", "milligram", "mgs milligram milligrams milligramme milligrammes"),
    ("µg", "microgram", "ug mcg microgram micrograms microgramme microgrammes"),
    ("ng", "nanogram", "nanogram nanograms"),
    ("lb", "pound", "lbs pound pounds"),
    ("oz", "ounce", "ounce ounces"),
    ("m3", "meter**3", "m^3 cbm"),
    ("hL", "hectoliter", "hectoliter hectolitre hectoliters hectolitres"),
    ("L", "liter", "l ℓ lt ltr ltrs liter liters litre litres dm3 dm^3"),
    ("dL", "deciliter", "deciliter deciliters decilitre decilitres"),
    ("cL", "centiliter", "centiliter centiliters centilitre centilitres"),
    ("mL", "milliliter", "mls milliliter milliliters millilitre millilitres cc ccm cm3 cm^3"),
    ("µL", "microliter", "ul mm3 mm^3 microliter microliters microlitre microlitres"),
    ("nL", "nanoliter", "nanoliter nanolitre"),
    ("drops", "drop", "drop gtt"),
    ("tsp", "teaspoon", "tsps teaspoon teaspoons"),
    ("tbsp", "tablespoon", "tbsps tbs tablespoon tablespoons"),
    ("fl oz", "fluid_ounce", "floz fluid ounce|fluid ounces"),
    ("cup", "cup", "cups"),
    ("pt", "pint", "pts pint pints"),
    ("qt", "quart", "qts quart quarts"),
    ("gal", "gallon", "gals gallon gallons"),
    ("imp fl oz", "imperial_fluid_ounce", "imp fluid ounce|imp fluid ounces"),
    ("imp pt", "imperial_pint", "imp pint|imp pints"),
    ("imp qt", "imperial_quart", "imp quart|imp quarts"),
    ("imp gal", "imperial_gallon", "imp gallon|imp gallons"),
    (
        "pieces",
        "piece",
        "piece pc pcs pce pces each ea item items unit units strip strips sheet sheets tablet tablets "
        "pellet pellets stick sticks rod rods ribbon ribbons coil coils tube tubes",
    ),
    ("mol", "mole", "mole moles mols"),
    ("mmol", "millimole", "millimole millimoles"),
    ("µmol", "micromole", "umol micromole micromoles"),
    ("kmol", "kilomole", "kilomole kilomoles"),
)
_REFUSED_UNITS = {
    "t": "t could mean tonne or teaspoon",
    "T": "T could mean tonne or tablespoon",
    "gr": "gr could mean gram or grain",
    "M": "M is a strength (mol/L), not an amount",
    "Mg": "Mg would be a megagram",
    "Ml": "Ml would be a megalitre",
    "m": "m is a length, or a slip for mL or mg",
    "cm": "cm is a length; weigh the piece, or count pieces",
    "mm": "mm is a length; weigh the piece, or count pieces",
    "spoon": "spoons differ; write tsp or tbsp",
    "bottle": "bottles differ; write what one holds",
    "bottles": "bottles differ; write what one holds",
    "pack": "packs differ; write what one holds",
    "packs": "packs differ; write what one holds",
    "%": "a per cent is a strength, not an amount",
}
_VAGUE = re.compile(
    r"\b(pinch(es)?|dash(es)?|splash(es)?|smidgen|some|few|several|little|bit|bits|lots?|handfuls?|squirts?|spatulas?|"
    r"spatula ?fulls?|spoonfuls?|knife ?points?|blobs?|dollops?|taste|excess|enough|plenty|q\.?s\.?)\b",
    re.IGNORECASE,
)
_APPROXIMATE = re.compile(
    r"^(?:about|approx(?:\.|imately)?|circa|ca\.?|c\.|around|roughly|~|≈)\s*", re.IGNORECASE
)
_WORD_NUMBERS = {"a": "1", "an": "1", "half": "1/2", "quarter": "1/4", "third": "1/3", "dozen": "12"}
_WORD_NUMBERS |= {"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7"}
_WORD_NUMBERS |= {"eight": "8", "nine": "9", "ten": "10", "eleven": "11", "twelve": "12"}

_PLAIN = r"\d{1,3}(?:[ '’]\d{3})+(?![\d])(?:[.,]\d+)?|\d[\d.,]*|[.,]\d+"
_NUMBER = rf"(?:\d+ \d+ ?/ ?\d+|\d+ ?/ ?\d+|(?:{_PLAIN})(?:[eE][+-]?\d+|\s*[x×*·]\s*10\s*\^\s*[+-]?\d+)?)"
_UNIT = r"[a-zA-Zµℓ%][a-zA-Z0-9µℓ%.^ ]*?"
_SINGLE = re.compile(
    rf"(?:(?P<times>\d{{1,4}})\s*[x×*]\s*)?(?P<number>{_NUMBER})\s*(?P<unit>{_UNIT})?", re.ASCII
)
_RANGE_SIGN = re.compile(r"\b(?:to|and)\b|±|\+/-", re.IGNORECASE)
_RANGE = re.compile(
    rf"(?:between\s+)?(?P<low>{_NUMBER})\s*(?P<low_unit>{_UNIT})?\s*(?P<sign>-|to|and|±|\+/-)\s*"
    rf"(?P<high>{_NUMBER})\s*(?P<unit>{_UNIT})?",
    re.ASCII | re.IGNORECASE,
)
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")
_TIDY = str.maketrans(
    dict.fromkeys("\u00a0\u2009\u202f\u2007\u2002\u2003", " ")
    | dict.fromkeys("−–—‐‑‒", "-")
    | {"μ": "µ", "⁄": "/", "∕": "/", "\t": " "}
)


class QuantityError(ValueError):
    """An amount that cannot be used; the message says what to change."""


@dataclass(frozen=True)
class ParsedAmount:
    """What a person wrote.

    quantity: the working value, in the unit written: the middle of a range, rounded up to whole pieces.
    low, high: the ends of the range, equal to quantity where there is none.
    approximate: True for a range, for "about", and for drops.
    text: as written, without the white space around it.
    """

    quantity: pint.Quantity
    low: pint.Quantity
    high: pint.Quantity
    approximate: bool
    text: str

    @property
    def measure(self):
        """The measure of the working value: "mass", "volume", "count" or "substance"."""
        return measure_of(self.quantity)


def _spellings():
    known = {}
    for symbol, name, others in _UNIT_ROWS:
        words = [symbol, *(others.split("|") if "|" in others else others.split(" "))]
        for word in words:
            known[word] = name
    return known


_SPELLINGS = _spellings()
_LOWER_SPELLINGS = {word.lower(): name for word, name in _SPELLINGS.items()}
_SYMBOLS = {ureg.parse_units(name): symbol for symbol, name, _ in _UNIT_ROWS}
_IMPERIAL = re.compile(r"^(?:imperial|uk|br|british|imp)\b\.?\s*", re.IGNORECASE)
_CUSTOMARY = re.compile(r"^(?:us|u\.s\.|american)\s+", re.IGNORECASE)


def _quote(text):
    short = text if len(text) <= 40 else text[:39] + "…"
    return f"“{short}”"


def parse_unit(text):
    """The pint Unit a person means by `text` ("mL", "cc", "imp pt", "strips").

    Raises QuantityError for an unknown or ambiguous unit, with the nearest known one where there is one.
    """
    if not isinstance(text, str) or len(text) > MAX_TEXT:
        raise QuantityError("Write the unit as a short word, such as mL or g.")
    word = " ".join(text.translate(_TIDY).translate(_SUPERSCRIPTS).split())
    if word in _REFUSED_UNITS:
        raise QuantityError(f"{_REFUSED_UNITS[word]}: write the unit in full, such as mL, g or mg.")
    word = _IMPERIAL.sub("imp ", _CUSTOMARY.sub("", word))
    for candidate in (word, word.rstrip("."), word.replace(".", "")):
        name = _SPELLINGS.get(candidate) or _LOWER_SPELLINGS.get(candidate.lower())
        if name:
            return ureg.parse_units(name)
    if " of " in f"{word} ":
        raise QuantityError(f"Write only the amount, without the name: {_quote(word.split(' of')[0])}.")
    near = difflib.get_close_matches(word.lower(), _LOWER_SPELLINGS, n=1, cutoff=0.75)
    hint = f" Did you mean {near[0]}?" if near else " Use for instance mL, L, mg, g, kg, drops or pieces."
    raise QuantityError(f"Unknown unit {_quote(word)}.{hint}")


def unit_symbol(unit):
    """The symbol shown for a pint Unit or a person's spelling of one: "mL", "imp pt"."""
    if isinstance(unit, str):
        unit = parse_unit(unit)
    return _SYMBOLS.get(unit) or str(unit)


def measure_of(quantity):
    """The measure of a pint Quantity or Unit, "substance" for moles. QuantityError for any other kind."""
    measure = _DIMENSIONS.get(quantity.dimensionality)
    if measure is None:
        raise QuantityError(f"{quantity} is not a mass, a volume, a number of pieces or an amount in moles.")
    return measure


def _decimal_text(token):
    """The token with its decimal mark as a point and its thousands marks gone.

    A comma before exactly three digits is a thousands mark, unless a lone nought leads it ("0,125");
    otherwise it is a decimal mark. With both marks present the last is the decimal mark.
    """
    token = re.sub(r"[ '’]", "", token)
    if "," in token and "." in token:
        decimal_mark = max(",.", key=token.rindex)
        other = "," if decimal_mark == "." else "."
        whole, _, rest = token.rpartition(decimal_mark)
        if not re.fullmatch(rf"\d{{1,3}}(?:\{other}\d{{3}})+", whole):
            raise QuantityError(f"{_quote(token)} is not a number: use one decimal mark.")
        return whole.replace(other, "") + "." + rest
    for mark in ",.":
        groups = token.split(mark)
        thousands = len(groups) > 1 and groups[0] not in ("", "0") and len(groups[0]) <= 3
        thousands = thousands and all(len(group) == 3 for group in groups[1:])
        if thousands and (mark == "," or len(groups) > 2):
            return "".join(groups)
        if len(groups) > 2:
            raise QuantityError(f"{_quote(token)} is not a number: use one decimal mark.")
    return token.replace(",", ".")


def _number(token):
    """A Fraction from one number as people write it. Raises QuantityError."""
    token = token.strip()
    match = re.fullmatch(r"(?:(\d+) )?(\d+) ?/ ?(\d+)", token)
    if match:
        whole, top, bottom = (int(part or 0) for part in match.groups())
        if bottom == 0:
            raise QuantityError(f"{_quote(token)} divides by nought.")
        return whole + Fraction(top, bottom)
    plain, exponent = token, 0
    power = re.fullmatch(r"(.*?)(?:[eE]|\s*[x×*·]\s*10\s*\^\s*)([+-]?\d+)", token)
    if power:
        plain, exponent = power[1], int(power[2])
        if abs(exponent) > _MAX_EXPONENT:
            raise QuantityError(f"{_quote(token)} is out of range: amounts run from 1 µg to 9000 tonnes.")
    text = _decimal_text(plain)
    if not re.fullmatch(r"\d+\.?\d*|\.\d+", text, re.ASCII):
        raise QuantityError(f"{_quote(token)} is not a number.")
    return Fraction(text.rstrip(".")) * Fraction(10) ** exponent


def _tidy(text):
    if not isinstance(text, str):
        raise QuantityError("Write the amount as a number and a unit, such as 250 mL.")
    if len(text) > MAX_TEXT:
        raise QuantityError("That is too long for an amount: write a number and a unit, such as 250 mL.")
    if any(unicodedata.category(char) in ("Cc", "Cf", "Cs", "Co", "Cn") for char in text.strip()):
        raise QuantityError("The amount holds characters that cannot be read: type a number and a unit.")
    text = re.sub(r"10([⁻⁺]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)", lambda m: "10^" + m.group(1).translate(_SUPERSCRIPTS), text)
    text = text.translate(_SUPERSCRIPTS)
    text = re.sub("[¼-¾⅐-⅞]", lambda m: " " + unicodedata.normalize("NFKD", m.group()), text)
    return " ".join(text.translate(_TIDY).split())


def _number_words(text):
    """Digits for a leading number word: "half a litre" -> "1/2 litre", "two drops" -> "2 drops"."""
    words = text.split(" ")
    if words[0].lower() not in _WORD_NUMBERS or len(words) < 2:
        return text
    first = words.pop(0).lower()
    number = _WORD_NUMBERS[first]
    parts = ("half", "quarter", "third", "dozen")
    if first in ("a", "an", "one") and words[0].lower() in parts and len(words) > 1:
        number = _WORD_NUMBERS[words.pop(0).lower()]
    if words[0].lower() in ("a", "an") and len(words) > 1:
        words.pop(0)
    elif words[0].lower() == "dozen" and len(words) > 1:
        number = str(Fraction(number) * 12)
        words.pop(0)
    return " ".join([number, *words])


def _quantity(number, unit):
    magnitude = Decimal(number.numerator) / Decimal(number.denominator)
    return ureg.Quantity(magnitude, unit)


def _ends(text):
    """Two Fractions, their unit words and whether it was a range, from tidied text."""
    match = None if _RANGE_SIGN.search(text) else _SINGLE.fullmatch(text)
    if match:
        number = _number(match["number"]) * int(match["times"] or 1)
        return number, number, match["unit"], match["unit"], False
    match = _RANGE.fullmatch(text)
    if not match:
        raise QuantityError(
            f"{_quote(text)} is not an amount: write a number and a unit, such as 250 mL or 1/2 tsp."
        )
    low, high = _number(match["low"]), _number(match["high"])
    unit = match["unit"] or match["low_unit"]
    if match["sign"] in ("±", "+/-"):
        if high > low:
            raise QuantityError(f"{_quote(text)} reaches below nought: write a smaller margin.")
        low, high = low - high, low + high
    return low, high, match["low_unit"] or unit, unit, True


def parse(text):
    """Read an amount as people write it.

    Understands "2.5 L", "2,5 L", "1,250 mL", "1 1/2 tsp", "½ pt", "3 drops", "10-15 mL", "10 to 15 mL",
    "20 ± 2 mL", "2 x 500 g", "1.5e-3 mol", "about 5 g", "half a litre". Returns ParsedAmount.
    Raises QuantityError for anything else, a bare number and a negative amount included.
    """
    tidy = _tidy(text)
    if not tidy:
        raise QuantityError("Write an amount, such as 250 mL.")
    vague = _VAGUE.search(tidy)
    if vague:
        raise QuantityError(
            f"{_quote(tidy)} cannot be set aside or counted: weigh or measure it once and write that, "
            "such as 50 mg."
        )
    working = _APPROXIMATE.sub("", tidy)
    approximate = working != tidy
    working = _number_words(working)
    if re.match(r"-\s*[\d.,]", working):
        raise QuantityError(f"{_quote(tidy)} is negative: write the amount without a minus sign.")
    low, high, low_unit, unit, is_range = _ends(working)
    if not unit:
        raise QuantityError(f"Add a unit to {_quote(tidy)}, such as mL, L, g or pieces.")
    low_q, high_q = _quantity(low, parse_unit(low_unit)), _quantity(high, parse_unit(unit))
    return _working_value(low_q, high_q, approximate or is_range, tidy)


def _working_value(low, high, approximate, text):
    if measure_of(low) != measure_of(high):
        raise QuantityError(f"The two ends of {_quote(text)} are different kinds of amount: use one unit.")
    if low > high:
        raise QuantityError(f"{_quote(text)} runs backwards: write the smaller amount first.")
    middle = high if low == high else ((low.to(high.units) + high) / 2)
    if measure_of(high) == COUNT and low != high:
        middle = ureg.Quantity(middle.magnitude.to_integral_value(rounding=ROUND_CEILING), middle.units)
    drops = "drop" in (str(low.units), str(high.units))
    return ParsedAmount(middle, low, high, approximate or drops, text)


def parse_amount(
    text,
    measure,
    *,
    reagent_density_g_ml=None,
    molar_mass_g_mol=None,
    strength_mol_l=None,
    mass_fraction=None,
    piece_mass_g=None,
):
    """The stored int for an amount as people write it, for a reagent kept by `measure`.

    An amount of another kind is converted (see `convert`). Raises QuantityError, naming what is missing.
    """
    parsed = parse(text)
    quantity = convert(
        parsed.quantity,
        measure,
        density_g_ml=reagent_density_g_ml,
        molar_mass_g_mol=molar_mass_g_mol,
        strength_mol_l=strength_mol_l,
        mass_fraction=mass_fraction,
        piece_mass_g=piece_mass_g,
    )
    return to_base(quantity, measure)


def to_base(quantity, measure):
    """The stored int (microgram, microlitre, piece), rounded half up to the nearest.

    Raises QuantityError for another dimension, a part of a piece, a negative or not finite amount, more than
    MAX_BASE_UNITS, or an amount too small to be kept.
    """
    if measure not in MEASURES:
        raise QuantityError(f"{measure!r} is not a way of measuring: use mass, volume or count.")
    found = measure_of(quantity)
    if found != measure:
        raise QuantityError(
            f"{_shown(quantity)} is {_MEASURE_WORDS[found]}, and {_MEASURE_WORDS[measure]} is needed, "
            f"such as {_EXAMPLES[measure]}."
        )
    magnitude = quantity.magnitude
    if not isinstance(magnitude, Decimal):
        magnitude = Decimal(repr(float(magnitude)))
    if not magnitude.is_finite() or magnitude < 0:
        raise QuantityError(f"{magnitude} is not an amount: write a number of nought or more.")
    exact = ureg.Quantity(magnitude, quantity.units).to(BASE_UNITS[measure]).magnitude
    if exact > MAX_BASE_UNITS:
        raise QuantityError(f"{_shown(quantity)} is more than can be kept: check the number and the unit.")
    exact = exact.quantize(Decimal("1e-9"), rounding=ROUND_HALF_EVEN)
    if measure == COUNT and exact != exact.to_integral_value():
        raise QuantityError("Pieces are counted whole: write a whole number, or give a mass.")
    whole = int(exact.to_integral_value(rounding=ROUND_HALF_UP))
    if whole == 0 and magnitude > 0:
        raise QuantityError(f"{_shown(quantity)} is too small to be kept: the smallest is 1 µg or 1 µL.")
    return whole


def from_base(n, measure):
    """The pint Quantity of a stored int, in microgram, microlitre or piece."""
    if measure not in MEASURES:
        raise QuantityError(f"{measure!r} is not a way of measuring: use mass, volume or count.")
    return ureg.Quantity(Decimal(n), BASE_UNITS[measure])


def _shown(quantity):
    magnitude = quantity.magnitude
    if not isinstance(magnitude, Decimal):
        magnitude = Decimal(repr(float(magnitude)))
    return f"{plain_figures(magnitude, 4)} {unit_symbol(quantity.units)}"


_LADDERS = {
    MASS: ("kg", "g", "mg", "µg"),
    VOLUME: ("L", "mL", "µL"),
}
DEFAULT_FIGURES = 4


def plain_figures(value, figures):
    """A number to `figures` significant figures, half up, written without exponent or trailing noughts.

    >>> plain_figures(10783.2, 3), plain_figures(0.0456, 2)
    ('10800', '0.046')
    """
    if value == 0:
        return "0"
    exact = value if isinstance(value, Decimal) else Decimal(str(value))
    rounded = Context(prec=figures, rounding=ROUND_HALF_UP).plus(exact)
    text = f"{rounded:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def format_amount(n, measure, unit=None, figures=None):
    """A stored int as people read it: "2.5 L", "350 mL", "12 pieces".

    Without `unit` the largest of kg, g, mg, µg (or L, mL, µL) that leaves 1 or more is taken.
    Without `figures` four significant figures are kept, and never fewer than the whole units. A negative
    amount (a movement out) keeps its minus sign. Raises QuantityError for a unit of another dimension.
    """
    quantity = from_base(n, measure)
    if measure == COUNT:
        return f"{n} piece" if abs(n) == 1 else f"{n} pieces"
    if unit is None:
        unit = _readable_unit(quantity, measure)
    target = parse_unit(unit) if isinstance(unit, str) else unit
    if measure_of(target) != measure:
        raise QuantityError(f"{unit_symbol(target)} is not a unit for {_MEASURE_WORDS[measure]}.")
    value = quantity.to(target).magnitude
    if figures is None:
        figures = max(DEFAULT_FIGURES, value.adjusted() + 1)
    elif not 1 <= figures <= 28:
        raise QuantityError("Significant figures run from 1 to 28.")
    text = plain_figures(value, figures)
    symbol = unit_symbol(target)
    if symbol == "drops" and text == "1":
        symbol = "drop"
    return f"{text} {symbol}"


def _readable_unit(quantity, measure):
    if quantity.magnitude == 0:
        return "g" if measure == MASS else "mL"
    for symbol in _LADDERS[measure]:
        value = abs(quantity.to(parse_unit(symbol)).magnitude)
        if Context(prec=DEFAULT_FIGURES, rounding=ROUND_HALF_UP).plus(value) >= 1:
            return symbol
    return _LADDERS[measure][-1]


def positive(name, value, most, unit):
    """`value` as a Decimal above nought and at most `most`. Raises QuantityError naming it."""
    try:
        number = Decimal(str(value))
    except (DecimalException, ValueError):
        raise QuantityError(f"The {name} must be a number in {unit}.") from None
    if not number.is_finite() or number <= 0:
        raise QuantityError(f"The {name} must be above nought, in {unit}.")
    if number > most:
        raise QuantityError(
            f"A {name} of {number:.6g} {unit} cannot be: check the number and its unit ({unit})."
        )
    return number


@dataclass(frozen=True)
class _Bridges:
    """The figures that link one kind of amount to another, checked; None where not known."""

    density: Decimal | None
    molar_mass: Decimal | None
    strength: Decimal | None
    fraction: Decimal | None
    piece_mass: Decimal | None


def _bridges(density_g_ml, molar_mass_g_mol, strength_mol_l, mass_fraction, piece_mass_g):
    def checked(name, value, most, unit):
        return None if value is None else positive(name, value, most, unit)

    return _Bridges(
        checked("density", density_g_ml, 25, "g/mL"),
        checked("molar mass", molar_mass_g_mol, 10**7, "g/mol"),
        checked("strength", strength_mol_l, 60, "mol/L"),
        checked("mass fraction", mass_fraction, 1, "g/g"),
        checked("mass of one piece", piece_mass_g, 10**6, "g"),
    )


def _need(value, name, source, target):
    if value is None:
        raise QuantityError(
            f"To turn {_MEASURE_WORDS[source]} into {_MEASURE_WORDS[target]} the {name} is needed: "
            f"add it to the reagent, or write {_MEASURE_WORDS[target]} such as {_EXAMPLES[target]}."
        )
    return value


def _grams_per_mole(known, source, target):
    """Grams of the reagent that hold one mole of its chemical."""
    if known.strength is not None:
        return _need(known.density, "density", source, target) * 1000 / known.strength
    fraction = 1 if known.fraction is None else known.fraction
    return _need(known.molar_mass, "molar mass (or strength in mol/L)", source, target) / fraction


def _grams_per(measure, known, source, target):
    """Grams of the reagent in one base step of `measure`: g, mL, piece or mol."""
    if measure == MASS:
        return Decimal(1)
    if measure == VOLUME:
        return _need(known.density, "density", source, target)
    if measure == COUNT:
        return _need(known.piece_mass, "mass of one piece", source, target)
    return _grams_per_mole(known, source, target)


def convert(
    quantity,
    measure,
    *,
    density_g_ml=None,
    molar_mass_g_mol=None,
    strength_mol_l=None,
    mass_fraction=None,
    piece_mass_g=None,
):
    """Turn a pint Quantity into another measure ("mass", "volume", "count", "substance").

    density_g_ml is the reagent's. strength_mol_l is moles of its chemical in a litre of it. molar_mass_g_mol
    with mass_fraction (1 where not given) serves a solid or a pure liquid. piece_mass_g is grams in one
    piece. Where both are given, strength_mol_l goes before molar mass.
    Returns a Quantity in g, mL, piece or mol, unchanged where the measure already fits; a count is rounded
    up to whole pieces. Raises QuantityError naming what is missing or out of range.
    """
    known = _bridges(density_g_ml, molar_mass_g_mol, strength_mol_l, mass_fraction, piece_mass_g)
    if measure not in BASE_UNITS:
        raise QuantityError(f"{measure!r} is not a way of measuring: use mass, volume, count or substance.")
    source = measure_of(quantity)
    if source == measure:
        return quantity
    steps = {MASS: ureg.gram, VOLUME: ureg.milliliter, COUNT: ureg.piece, SUBSTANCE: ureg.mole}
    amount = Decimal(str(quantity.to(steps[source]).magnitude))
    if known.strength is not None and {source, measure} == {VOLUME, SUBSTANCE}:
        moles_per_ml = known.strength / 1000
        result = amount * moles_per_ml if source == VOLUME else amount / moles_per_ml
    else:
        result = (
            amount * _grams_per(source, known, source, measure) / _grams_per(measure, known, source, measure)
        )
    if measure == COUNT:
        result = result.to_integral_value(rounding=ROUND_CEILING)
    return ureg.Quantity(result, steps[measure])
