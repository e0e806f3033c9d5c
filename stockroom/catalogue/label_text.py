"""What a bottle's words say: name, strength, crystal water, form, CAS RN. Pure: text in, frozen dataclass
out."""

import re
import unicodedata
from dataclasses import dataclass, field
from decimal import Decimal

MAX_TEXT = 200

#: Prefixes of crystal water. "hemi" is a half.
WATERS = {
    "hemi": Decimal("0.5"),
    "mono": Decimal(1),
    "sesqui": Decimal("1.5"),
    "di": Decimal(2),
    "tri": Decimal(3),
    "tetra": Decimal(4),
    "penta": Decimal(5),
    "hexa": Decimal(6),
    "hepta": Decimal(7),
    "octa": Decimal(8),
    "nona": Decimal(9),
    "deca": Decimal(10),
    "dodeca": Decimal(12),
    "hexadeca": Decimal(16),
    "octadeca": Decimal(18),
}
#: Each word of form -> the word that names of reagents use.
FORMS = {
    **dict.fromkeys(("pellet", "pellets", "pearls", "prills", "beads"), "pellets"),
    **dict.fromkeys(("granule", "granules", "granular", "granulated", "gran", "shot", "mossy"), "granules"),
    **dict.fromkeys(("powder", "powdered", "pdr", "pwd", "dust", "pulv", "fine"), "powder"),
    **dict.fromkeys(("ribbon", "ribbons"), "ribbon"),
    **dict.fromkeys(("turning", "turnings"), "turnings"),
    **dict.fromkeys(
        ("strip", "strips", "sheet", "sheets", "plate", "plates", "electrode", "electrodes"), "strip"
    ),
    **dict.fromkeys(("foil", "foils"), "foil"),
    **dict.fromkeys(("wire", "wires"), "wire"),
    **dict.fromkeys(("filing", "filings"), "filings"),
    **dict.fromkeys(("nail", "nails"), "nails"),
    **dict.fromkeys(("lump", "lumps", "pieces"), "lumps"),
    **dict.fromkeys(("chip", "chips"), "chips"),
    **dict.fromkeys(("rod", "rods", "stick", "sticks"), "rod"),
    **dict.fromkeys(("cylinder", "compressed", "gas"), "compressed"),
    "wool": "wool",
    "paper": "paper",
}
CRYSTALS = {"crystal", "crystals", "cryst", "crystalline", "crys", "xtals"}
SOLID = {"solid", "metal", "flakes", "flake"}
#: Words of grade, packing and trade: they say nothing about which substance it is.
NOISE = {
    "ar",
    "acs",
    "gpr",
    "slr",
    "lr",
    "rg",
    "bp",
    "usp",
    "nf",
    "fcc",
    "puriss",
    "pa",
    "purum",
    "extra",
    "pure",
    "grade",
    "reagent",
    "reagents",
    "lab",
    "laboratory",
    "technical",
    "tech",
    "analytical",
    "analar",
    "certified",
    "general",
    "purpose",
    "food",
    "hplc",
    "chemical",
    "chemicals",
    "chem",
    "bottle",
    "bottles",
    "btl",
    "jar",
    "tub",
    "pack",
    "pkt",
    "the",
    "of",
    "for",
    "a",
    "an",
    "approx",
    "ca",
    "c",
    "about",
    "new",
    "old",
    "opened",
    "unopened",
    "sealed",
    "part",
    "full",
    "half",
    "empty",
    "school",
    "student",
    "stock",
    "soln",
    "solution",
    "sol",
    "aqueous",
    "aq",
    "indicator",
    "ind",
    "volumetric",
    "standard",
    "std",
    "vs",
    "from",
    "and",
    "or",
    "with",
    "stabilised",
    "stabilized",
    "stab",
    "min",
    "max",
    "w",
    "v",
    "purity",
    "quality",
    "low",
    "high",
    "use",
    "only",
    "synthesis",
    "grd",
    "cp",
    "ep",
    "purified",
    "pract",
    "under",
    "oil",
    "practical",
    "double",
    "no",
    "label",
    "original",
    "container",
    "liquid",
    "in",
    "water",
    "x",
    "g",
    "kg",
    "ml",
    "l",
    "plastic",
    "glass",
    "winchester",
}
STRONG = {"conc", "concentrated", "concd", "concentrate", "conc."}
WEAK = {"dil", "dilute", "diluted"}
GLACIAL = {"glacial", "gla"}
ABBREVIATIONS = {
    **dict.fromkeys(("pot", "potass", "potas"), "potassium"),
    **dict.fromkeys(("sod",), "sodium"),
    **dict.fromkeys(("amm", "ammon"), "ammonium"),
    **dict.fromkeys(("calc",), "calcium"),
    **dict.fromkeys(("magn", "magnes"), "magnesium"),
    "sulph": "sulfate",
    "sulf": "sulfate",
    "hydrox": "hydroxide",
    "chlor": "chloride",
    "nitr": "nitrate",
    "carb": "carbonate",
    "permang": "permanganate",
    "perm": "permanganate",
    "dichrom": "dichromate",
    "thiosulf": "thiosulfate",
    "thio": "thiosulfate",
    "hydroch": "hydrochloric",
    "hydrochl": "hydrochloric",
    "ac": "acid",
    "alc": "alcohol",
    "perox": "peroxide",
    "anhyd": "anhydrous",
    "anh": "anhydrous",
    "anhydr": "anhydrous",
    "aluminum": "aluminium",
    "alum.": "aluminium",
    "zn": "zinc",
    "mag": "magnesium",
    "bicarb": "hydrogencarbonate",
    "phos": "phosphate",
    "acet": "acetate",
    "iod": "iodide",
    "tetraborat": "tetraborate",
}
#: Symbols of elements that stand alone on a label; "mg" only where it begins the text.
SYMBOLS = {
    "mg": "magnesium",
    "zn": "zinc",
    "cu": "copper",
    "fe": "iron",
    "al": "aluminium",
    "ag": "silver",
    "pb": "lead",
    "sn": "tin",
    "ni": "nickel",
    "na": "sodium",
    "li": "lithium",
    "k": "potassium",
    "ca": "calcium",
    "hg": "mercury",
    "s": "sulfur",
    "i2": "iodine",
    "br2": "bromine",
}
_DASHES = re.compile("[‐-―−]")
CAS = re.compile(r"(?<![\d-])(\d{2,7})\s?-\s?(\d{2})\s?-\s?(\d)(?![\d-])")
_N = r"(\d+(?:[.,]\d+)?|[.,]\d+)"
_RANGE = rf"{_N}(?:\s*(?:-|to)\s*{_N})?"
_BASIS = r"(?:\(?\s*(w/w|w/v|v/v|m/m|m/v|wt/wt|wt/vol|wt|by weight|by volume|vol)\b\s*\)?)?"
_PERCENT = re.compile(rf"{_RANGE}\s*%\s*{_BASIS}|{_RANGE}\s*per\s?cent\b|{_RANGE}\s*pct\b")
_MOLAR = re.compile(
    rf"(?<![A-Za-z0-9.,]){_N}\s*(mmol\s*/\s*(?:l|L|dm3)|mol\s*/\s*(?:l|L|dm3)|mol\s*dm-3|mol\s*[lL]-1|mol\b|molar\b|mM\b|M(?![A-Za-z0-9])|m(?![A-Za-z0-9/]))"
)
_M_FIRST = re.compile(r"(?<![A-Za-z0-9])M\s*/\s*(\d+)\b")
_NORMAL = re.compile(
    rf"(?<![A-Za-z0-9.,]){_N}\s*(?:N(?![A-Za-z0-9])|normal\b)|(?<![A-Za-z0-9])N\s*/\s*(\d+)\b"
)
_VOLUMES = re.compile(rf"(?<![A-Za-z0-9.,]){_N}\s*-?\s*vol(?:s|ume|umes)?\b(?!\s*%)", re.IGNORECASE)
_GRAMS = re.compile(rf"{_N}\s*(mg|g)\s*/\s*(?:l|L|dm3)\b")
_AMOUNT = re.compile(
    r"(?<![A-Za-z0-9.,])(?:\d+\s*[x×*]\s*)?\d+(?:[.,]\d+)?\s*"
    r"(?:kg|kgs|g|gm|gms|mg|grams?|l|ltr|litres?|liters?|ml|mls|cl|cm3|dm3|lbs?|oz|gal)\b\.?",
    re.IGNORECASE,
)
_WATER_FORMULA = re.compile(
    r"(?<=[A-Za-z0-9)\]}])\s*(?:\(\s*|[·.•*∙⋅,x×-]\s*|\s)(\d+(?:[.,]\d+)?(?:[/⁄]\d+)?)?\s*H\s?2\s?[Oo](?![0-9A-Za-z])\s*\)?"
)
_WATER_WORD = re.compile(
    rf"[-\s(]*\b({'|'.join(sorted(WATERS, key=len, reverse=True))})[- ]?hydrate\b|[- "
    rf"]*\b(\d+(?:\.5)?)[- ](?:hydrate|water)\b",
    re.IGNORECASE,
)
_ANHYDROUS = re.compile(
    r"\b(?:anhydrous|anhyd|anhydr|anh|anhydride-free|dried|water[- ]free)\b\.?", re.IGNORECASE
)
_ROMAN = re.compile(r"\(\s*(i{1,3}|iv|vi{0,3})\s*\)|(?<=[a-z])[ -](i{1,3}|iv|vi{0,3})(?=[ -])", re.IGNORECASE)


@dataclass(frozen=True)
class Strength:
    """`low` to `high` of `unit`: "M", "N", "%", "% w/w", "% w/v", "% v/v", "vol", "g/L"; words: "strong",
    "weak",
    "saturated", "glacial"."""

    low: Decimal | None
    high: Decimal | None
    unit: str

    def __str__(self):
        if self.low is None:
            return self.unit
        number = f"{self.low.normalize():f}"
        if self.high != self.low:
            number += f" to {self.high.normalize():f}"
        return f"{number} {'mol/L' if self.unit == 'M' else self.unit}"


@dataclass(frozen=True)
class Said:
    """What a text says. `words`: the name's words, in small letters, "sulph" as "sulf", in order.

    `raw`: the text without CAS RN, strength, water and amount, in its own case (formulas need it).
    `waters`: None
    where nothing is said, 0 for anhydrous. `strength`: the first one written, None where none is. `forms`:
    words of
    FORMS. `numbers`: bare numbers at the end of the name ("HCl 6").
    """

    text: str
    raw: str
    words: tuple[str, ...]
    cas: tuple[str, ...]
    strength: Strength | None
    waters: Decimal | None
    forms: frozenset[str]
    crystals: bool
    graded: bool
    numbers: tuple[Decimal, ...] = field(default=())


def tidy(text: str) -> str:
    """Compatibility characters, dashes and blanks made one; at most MAX_TEXT letters."""
    text = unicodedata.normalize("NFKC", str(text)[:MAX_TEXT]).replace("\u00b7", "·")
    return " ".join(_DASHES.sub("-", text).split())


def plain_words(text: str) -> tuple[str, ...]:
    """The words of a name as they are compared: small letters, US and UK spellings alike, roman numbers
    apart."""
    text = _ROMAN.sub(lambda m: f" {m[1] or m[2]} ", tidy(text).casefold())
    text = text.replace("'", "").replace("’", "").replace("sulph", "sulf").replace("colour", "color")
    words = re.findall(r"[a-z0-9]+", text.translate(str.maketrans("éèäöü", "eeaou")))
    spellings = {"aluminum": "aluminium", "cesium": "caesium", "deionized": "deionised", "sulfer": "sulfur"}
    return tuple(spellings.get(word, word) for word in words)


def read_label(text: str, strength: str = "") -> Said:
    """What `text` says, with what stands in a column of its own for the strength."""
    raw = tidy(text)
    cas = tuple("-".join(m.groups()) for m in CAS.finditer(raw))
    raw = re.sub(
        r"\bcas(?:\s*(?:rn|no\.?|number|#))?\s*[:#]?\s*(?=$|[\s,;)\]])", " ", CAS.sub(" ", raw), flags=re.I
    )
    found, raw = _strength(raw)
    other, rest = _strength(tidy(strength))
    if other is None and re.fullmatch(rf"\s*{_N}\s*", rest):
        other, rest = Strength(_decimal(rest), _decimal(rest), "bare"), ""
    raw, waters = _waters(_AMOUNT.sub(" ", f"{raw} {rest}".strip()))
    words, forms, crystals, graded, numbers = _sorted(raw)
    return Said(
        text=tidy(text),
        raw=raw,
        words=words,
        cas=cas,
        strength=other or found,
        waters=waters,
        forms=forms,
        crystals=crystals,
        graded=graded,
        numbers=numbers,
    )


def _decimal(text: str) -> Decimal:
    return Decimal(text.strip().replace(",", "."))


def _strength(text: str) -> tuple[Strength | None, str]:
    """The strength written in a text, and the text without it."""
    for pattern, read in (
        (_PERCENT, _percent),
        (_MOLAR, _molar),
        (_M_FIRST, lambda m: _one(Decimal(1) / Decimal(m[1]), "M") if int(m[1]) else None),
        (_VOLUMES, lambda m: _one(_decimal(m[1]), "vol")),
        (_GRAMS, lambda m: _one(_decimal(m[1]) / (1000 if m[2] == "mg" else 1), "g/L")),
        (_NORMAL, _normal),
    ):
        if (match := pattern.search(text)) and (found := read(match)):
            return found, _without(f"{text[: match.start()]} {text[match.end() :]}", STRONG | WEAK | GLACIAL)
    words = {word.strip(".,()").casefold() for word in text.split()}
    for said, unit in ((STRONG, "strong"), (WEAK, "weak"), (GLACIAL, "glacial")):
        if words & said:
            return Strength(None, None, unit), _without(text, said)
    if match := re.search(r"\b(?:saturated|sat(?:\.|d|'d)?)(?=$|[\s,)])", text, re.IGNORECASE):
        return Strength(None, None, "saturated"), f"{text[: match.start()]} {text[match.end() :]}"
    return None, text


def _without(text: str, words: set[str]) -> str:
    return " ".join(word for word in text.split() if word.strip(".,()").casefold() not in words)


def _one(value: Decimal, unit: str) -> Strength:
    return Strength(value, value, unit)


def _percent(match: re.Match) -> Strength:
    first = next(group for group in match.groups() if group)
    at = match.groups().index(first)
    second = match.groups()[at + 1]
    basis = (match[3] or "").replace("m/", "w/").replace("wt/wt", "w/w").replace("wt/vol", "w/v")
    basis = {"wt": "w/w", "by weight": "w/w", "by volume": "v/v", "vol": "v/v"}.get(basis, basis)
    low = _decimal(first)
    return Strength(low, _decimal(second) if second else low, f"% {basis}".strip())


def _molar(match: re.Match) -> Strength | None:
    value, unit = _decimal(match[1]), match[2]
    return _one(value / 1000 if unit.startswith(("mmol", "mM")) else value, "M")


def _normal(match: re.Match) -> Strength | None:
    if match[2]:
        return _one(Decimal(1) / Decimal(match[2]), "N") if int(match[2]) else None
    return _one(_decimal(match[1]), "N")


def _waters(text: str) -> tuple[str, Decimal | None]:
    """The text without its words of crystal water, and how many molecules those say."""
    if match := _WATER_FORMULA.search(text):
        number = (match[1] or "1").replace(",", ".").replace("⁄", "/")
        top, _, bottom = number.partition("/")
        waters = Decimal(top) / Decimal(bottom or 1) if not bottom or int(bottom) else Decimal(1)
        text = f"{text[: match.start()]} {text[match.end() :]}"
        rest, again = _waters(text)
        return rest, waters if again is None or again == waters else Decimal(-1)
    if match := _WATER_WORD.search(text):
        waters = WATERS[match[1].lower()] if match[1] else Decimal(match[2])
        rest, again = _waters(f"{text[: match.start()]} {text[match.end() :]}")
        return rest, waters if again is None or again == waters else Decimal(-1)
    if match := _ANHYDROUS.search(text):
        return f"{text[: match.start()]} {text[match.end() :]}", Decimal(0)
    return text, None


def _sorted(raw: str):
    """The words of a name, told apart: name, form, crystals, grade, numbers at the end."""
    words, forms, crystals, graded = [], set(), False, False
    for word in plain_words(raw):
        if word in CRYSTALS:
            crystals = True
        if word in FORMS:
            forms.add(FORMS[word])
        graded = graded or word in {"ar", "acs", "gpr", "analar", "analytical", "puriss", "hplc"}
        words.append(word)
    numbers = ()
    if match := re.search(r"(?<=\s)(\d{0,3}\.?\d+(?:\s*-\s*\d+)?)\s*$", raw):
        numbers = tuple(Decimal(number) for number in re.findall(r"\d*\.?\d+", match[1]))
        words = list(plain_words(raw[: match.start()]))
    return tuple(words), frozenset(forms), crystals, graded, numbers
