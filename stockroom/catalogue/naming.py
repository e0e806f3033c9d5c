"""Which substance a name means: the starter catalog first, then the 70,000 compounds of `chemicals`.

A name is taken as certain only where every word of it is understood. What a word more, a slip of the pen
or a name
with two meanings leaves open is said, and it is for a person to choose. Pure but for reading the catalog.
"""

import csv
import re
from collections import Counter
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import combinations

from rapidfuzz import fuzz, process
from rapidfuzz.distance import OSA

from stockroom.catalogue.label_text import (
    ABBREVIATIONS,
    CRYSTALS,
    FORMS,
    NOISE,
    SOLID,
    SYMBOLS,
    WATERS,
    Said,
    plain_words,
    read_label,
)
from stockroom.catalogue.loader import DATA, load
from stockroom.chemistry.formula import FormulaError, parse_formula

#: Names that leave the charge of the metal out, where trade knows one only.
_ONE_CHARGE = ("copper ii", "cobalt ii", "nickel ii", "lead ii", "manganese ii", "silver i")
_CHARGES = {
    "cupric": "copper ii",
    "cuprous": "copper i",
    "ferric": "iron iii",
    "ferrous": "iron ii",
    "stannous": "tin ii",
    "stannic": "tin iv",
    "cobaltous": "cobalt ii",
    "manganous": "manganese ii",
    "nickelous": "nickel ii",
    "plumbous": "lead ii",
    "mercuric": "mercury ii",
    "mercurous": "mercury i",
    "ethanoate": "acetate",
    "ethanoic": "acetic",
    "bicarbonate": "hydrogencarbonate",
    "bisulfate": "hydrogensulfate",
    "bisulfite": "hydrogensulfite",
    "methanoic": "formic",
    "cupri": "copper ii",
    "plumbic": "lead iv",
}
#: Names that write the charge of the middle atom -> the name without it.
_ANIONS = {
    "manganate vii": "permanganate",
    "dichromate vi": "dichromate",
    "chromate vi": "chromate",
    "sulfate vi": "sulfate",
    "sulfate iv": "sulfite",
    "nitrate v": "nitrate",
    "nitrate iii": "nitrite",
    "chlorate i": "hypochlorite",
    "chlorate v": "chlorate",
    "chlorate iii": "chlorite",
    "iodate v": "iodate",
    "bromate v": "bromate",
    "phosphate v": "phosphate",
    "vanadate v": "vanadate",
    "sulfuric vi": "sulfuric",
    "nitric v": "nitric",
    "phosphoric v": "phosphoric",
    "iodate vii": "periodate",
}
_COMPOUND = ("ate", "ite", "ide", "ates", "ides", "ous")
_MIN_NEAR = 70
NEAR = 6


@dataclass(frozen=True)
class Meaning:
    """What a name means. One of `chemical` (key), `reagent` (key) or `library` (CAS RN, name) is filled.

    `specific`: the name tells the crystal water by itself ("Epsom salt"). `usual`: sold with that water only.
    `named`: the whole text is the reagent's own name. `certain`: nothing else can be meant. `left`: words
    that were not understood. `others`: keys of other substances
    that the text names. `how`: the reason, a sentence.
    """

    chemical: str = ""
    reagent: str = ""
    library: tuple[str, str] = ()
    specific: bool = False
    usual: bool = False
    named: bool = False
    certain: bool = True
    left: tuple[str, ...] = ()
    others: tuple[str, ...] = ()
    how: str = ""


@cache
def base_of(chemical: str) -> str:
    """The key of the same salt without crystal water."""
    return load().chemicals[chemical].anhydrous or chemical


@cache
def family(base: str) -> tuple[str, ...]:
    """A salt with and without its waters, as keys."""
    return tuple(key for key, row in load().chemicals.items() if base in (key, row.anhydrous))


def understand(said: Said) -> Meaning | None:
    """What the name means; None where nothing of it is known."""
    words = _spelled_out(said.words)
    by_formula = _by_formula(said)
    full = _exact(words) or _exact(_meaningful(words))
    if full:
        return full
    if by_formula and not by_formula.left:
        return by_formula
    if found := _in_library(said):
        return found
    mended, notes = _mended(words)
    if notes and (full := _exact(mended) or _exact(_meaningful(mended))):
        return replace(full, how=f"{full.how}; read {', '.join(notes)}")
    return by_formula or _part(words) or (_part(mended) if notes else None)


def near(said: Said, limit: int = NEAR) -> tuple[str, ...]:
    """Keys of substances whose names look like the text, nearest first: to choose from, never to take."""
    names = _near_names()
    query = " ".join(_spelled_out(said.words))
    if len(query) < 3:
        return ()
    hits = process.extract(query, names.keys(), scorer=fuzz.WRatio, limit=4 * limit, score_cutoff=_MIN_NEAR)
    hits = sorted(hits, key=lambda hit: -(hit[1] + fuzz.ratio(query, hit[0])))
    return tuple(dict.fromkeys(names[name] for name, _, _ in hits))[:limit]


def _spelled_out(words: tuple[str, ...]) -> tuple[str, ...]:
    """Abbreviations in full; the symbol of an element only as the first word."""
    out = []
    for at, word in enumerate(words):
        if at == 0 and word in SYMBOLS and (len(words) == 1 or words[1] in (*FORMS, *SOLID, *NOISE)):
            word = SYMBOLS[word]
        elif len(words) > 1 and word in ABBREVIATIONS:
            word = ABBREVIATIONS[word]
        out += _CHARGES.get(word, word).split()
    text = " ".join(out)
    for written, plain in _ANIONS.items():
        if written in text:
            text = re.sub(rf"\b{written}\b", plain, text)
    return tuple(text.split())


def _silent(word: str) -> bool:
    return word in NOISE or word in FORMS or word in CRYSTALS or word in SOLID


def _meaningful(words: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(word for word in words if not _silent(word))


def _exact(words: tuple[str, ...]) -> Meaning | None:
    return _index().get("".join(words)) if words else None


def _phrases(words: tuple[str, ...]) -> list[tuple[int, int]]:
    """Every run of words, the longest first; among equals the first."""
    spans = combinations(range(len(words) + 1), 2)
    return sorted(spans, key=lambda span: (span[0] - span[1], span[0]))


def _part(words: tuple[str, ...]) -> Meaning | None:
    """The longest run of words that is a name; what else the text names or says goes with it."""
    for start, end in _phrases(words):
        found = _exact(words[start:end])
        if not found or (end - start == 1 and len(words[start]) < 3):
            continue
        rest = words[:start] + words[end:]
        others, left = _named_besides(rest)
        if end - start == 1 and any(word.endswith(_COMPOUND) for word in left):
            return None  # "sodium" alone is not what an unknown sodium salt is
        if found.chemical:
            own = base_of(found.chemical)
            others = tuple(key for key in others if base_of(key) != own)
        else:
            left = tuple(word for word in left if getattr(_exact((word,)), "reagent", "") != found.reagent)
        return replace(found, left=left, others=others, certain=found.certain and not left)
    return None


def _named_besides(words: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Other substances that the words name, and the words that say nothing known."""
    words = tuple(words)
    for start, end in _phrases(words):
        found = _exact(words[start:end])
        if found and found.chemical and not _silent(words[start]):
            others, left = _named_besides(words[:start] + words[end:])
            return (found.chemical, *others), left
    return (), _meaningful(words)


def _by_formula(said: Said) -> Meaning | None:
    """The substance whose formula stands in the text, whatever its letters' size."""
    pieces = [piece.strip(",;:") for piece in said.raw.split()]
    for at, piece in enumerate(pieces):
        for form in (piece, piece.strip("()"), piece.strip("[]")):
            keys = _formulas().get(_flat(form), ())
            if not keys:
                keys = _hills().get(_hill(form), ())
            if not keys:
                continue
            rest = plain_words(" ".join(pieces[:at] + pieces[at + 1 :]))
            rest = rest[: len(rest) - len(said.numbers)] if said.numbers else rest
            others, left = _named_besides(_spelled_out(rest))
            others = tuple(key for key in others if base_of(key) not in map(base_of, keys))
            same = tuple(key for key in keys)
            return Meaning(
                chemical=same[0],
                certain=len(same) == 1 and not left,
                left=left,
                others=(*same[1:], *others),
                how=f"formula {form}",
            )
    return None


def _flat(formula: str) -> str:
    return formula.replace("·", "").casefold()


@lru_cache(maxsize=20_000)
def _hill(text: str) -> str:
    """Hill form of an inorganic formula; "" for what is none, for elements and for carbon with hydrogen."""
    try:
        formula = parse_formula(text)
    except FormulaError:
        return ""
    atoms = formula.atoms
    if formula.charge or len(atoms) < 2 or formula.water or ("C" in atoms and "H" in atoms):
        return ""
    return formula.hill


@cache
def _formulas() -> dict[str, tuple[str, ...]]:
    """Formula in small letters -> keys of anhydrous substances. A gross formula with isomers has several."""
    found: dict[str, list[str]] = {}
    for key, row in load().chemicals.items():
        if row.formula and not row.anhydrous and len(row.formula) > 2:
            found.setdefault(_flat(row.formula), []).append(key)
    extra = {"ch3ch2oh": "ethanol", "etoh": "ethanol", "ch3coch3": "acetone", "(ch3)2co": "acetone"}
    extra |= {"nh4oh": "ammonia", "nh3(aq)": "ammonia", "naclo": "sodium_hypochlorite", "hac": "acetic_acid"}
    extra |= {
        "ch3cooh": "acetic_acid",
        "hcooh": "formic_acid",
        "naoac": "sodium_acetate",
        "hcho": "formaldehyde",
    }
    extra |= {
        "nac2h3o2": "sodium_acetate",
        "hc2h3o2": "acetic_acid",
        "h2c2o4": "oxalic_acid",
        "al2(so4)3": "",
    }
    extra |= {"c12h22o11": "", "k4[fe(cn)6]": "potassium_hexacyanoferrate_ii"}
    extra |= {"k3[fe(cn)6]": "potassium_hexacyanoferrate_iii", "fe(nh4)2(so4)2": "ammonium_iron_ii_sulfate"}
    extra |= {
        "(hooc)2": "oxalic_acid",
        "(cooh)2": "oxalic_acid",
        "c2h5oc2h5": "diethyl_ether",
        "ca(clo)2": "",
    }
    for formula, key in extra.items():
        if key:
            found.setdefault(formula, []).append(key)
    return {formula: tuple(dict.fromkeys(keys)) for formula, keys in found.items()}


@cache
def _hills() -> dict[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for key, row in load().chemicals.items():
        if row.formula and not row.anhydrous and (hill := _hill(row.formula)):
            found.setdefault(hill, []).append(key)
    return {hill: tuple(keys) for hill, keys in found.items()}


@cache
def _index() -> dict[str, Meaning]:
    """Joined words of a name -> what it means. The table of trade names goes first."""
    index: dict[str, Meaning] = {}
    for row in _trade_rows():
        key, kind = row["means"], row["kind"]
        words = plain_words(row["said"])
        # A substance that is the only one meant stays a chemical, so that strength and form choose the
        # reagent.
        filled = {"chemical": key} if key in load().chemicals else {"reagent": key}
        water = kind == "exact" or bool(filled.get("chemical") and load().chemicals[key].anhydrous)
        meant = Meaning(**filled, certain=kind != "maybe", specific=water, usual=kind == "usual")
        index["".join(words)] = replace(meant, how=f"“{row['said']}”")
        index.setdefault("".join(_spelled_out(words)), index["".join(words)])
    _add_reagents(index)
    _add_chemicals(index)
    return index


def _trade_rows():
    with (DATA / "trade_names.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _add_reagents(index: dict[str, Meaning]) -> None:
    """Names that only a reagent has ("Benedict's solution"), not those that are a substance and a
    strength."""
    for key, row in load().reagents.items():
        said = read_label(row.name)
        if row.kind == "mixture" and said.strength is None:
            for words in (said.words, _meaningful(said.words)):
                if len(words) > 1 or row.name.casefold().split(",")[0] != words[0]:
                    index.setdefault("".join(words), Meaning(reagent=key, how=f"“{row.name}”"))


def _add_chemicals(index: dict[str, Meaning]) -> None:
    plain, watery = [], []
    for key, row in load().chemicals.items():
        for name in (row.name, *row.synonyms):
            said = read_label(name)
            (plain if said.waters is None else watery).append((said.words, key, name))
    for words, key, name in plain:
        water = bool(load().chemicals[key].anhydrous)
        _add(index, words, Meaning(chemical=key, specific=water, how=f"“{name}”"))
    for words, key, name in watery:
        _add(index, words, Meaning(chemical=base_of(key), how=f"“{name}”"))


def _add(index: dict[str, Meaning], words: tuple[str, ...], meaning: Meaning) -> None:
    index.setdefault("".join(words), meaning)
    index.setdefault("".join(_spelled_out(words)), meaning)
    text = " ".join(words)
    if len(words) == 2 and words[1] == "acid":
        index.setdefault(words[0], meaning)
    for charge in _ONE_CHARGE:
        if charge in text:
            index.setdefault(text.replace(charge, charge.split()[0]).replace(" ", ""), meaning)


@cache
def _near_names() -> dict[str, str]:
    names = {}
    for key, row in load().chemicals.items():
        for name in (row.name, *row.synonyms):
            names.setdefault(" ".join(plain_words(name)), key)
    for row in _trade_rows():
        key = row["means"]
        if key in load().reagents:
            key = load().reagents[key].components[0].chemical
        names.setdefault(" ".join(plain_words(row["said"])), key)
    return names


@cache
def _vocabulary() -> frozenset[str]:
    return frozenset(word for name in _near_names() for word in name.split() if len(word) > 3)


@cache
def _one_slip(word: str) -> str:
    """The only known word that is one slip away, with the same first letter and ending; else "".

    The ending tells a chloride from a chlorate and a sulfite from a sulfate, so no slip is mended there.
    """
    if len(word) < 6 or word in _vocabulary() or _silent(word):
        return ""
    around = [known for known in _vocabulary() if OSA.distance(word, known, score_cutoff=2) <= 2]
    close = [known for known in around if OSA.distance(word, known) == 1]
    if len(close) != 1 or len(around) != 1:
        return ""
    swapped = sorted(word) == sorted(close[0])
    return close[0] if close[0][0] == word[0] and (swapped or close[0][-3:] == word[-3:]) else ""


def _mended(words: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    out, notes = [], []
    for word in words:
        mended = _one_slip(word)
        if mended:
            notes.append(f"“{word}” as “{mended}”")
        out += _CHARGES.get(mended or word, mended or word).split()
    return tuple(out), tuple(notes)


# --- outside the catalog


@cache
def of_cas(cas: str) -> Meaning | None:
    """The substance with that CAS RN; None where neither the catalog nor the library has it."""
    for key, row in load().chemicals.items():
        if row.cas == cas:
            return Meaning(chemical=key, specific=True, how=f"CAS RN {cas}")
    row = _library().search_CAS(int(cas.replace("-", "")))
    return Meaning(library=(cas, _title(row)), specific=True, how=f"CAS RN {cas}") if row else None


@cache
def library_names(cas: str) -> tuple[str, ...]:
    """What the library calls the substance, as plain joined words."""
    row = _library().search_CAS(int(cas.replace("-", "")))
    if not row:
        return ()
    names = (row.common_name, row.iupac_name, *(row.synonyms or ()))
    return tuple("".join(_spelled_out(plain_words(name))) for name in names if name and len(name) < 120)


def _title(row) -> str:
    return row.common_name or row.iupac_name or row.CASs


def _library():
    # Imported here: it reads a list of 70,000 compounds, and few names need that.
    from chemicals.identifiers import pubchem_db

    return pubchem_db


@cache
def _of_library_name(name: str):
    """(row, is its main name), or None. Not by formula and not by letters: "phph" is no biphenyl."""
    for spelling in (name, name.replace("aluminium", "aluminum").replace("caesium", "cesium")):
        row = _library().search_name(spelling)
        if row:
            main = {_uncharged(name) for name in (row.common_name, row.iupac_name) if name}
            return row, _uncharged(spelling) in main
    return None


def _uncharged(name: str) -> tuple[str, ...]:
    """The words of a name without the charge of its metal."""
    return tuple(word for word in plain_words(name) if word not in ("i", "ii", "iii", "iv"))


@cache
def _shared_names() -> frozenset[str]:
    """Names under which the library has more than one substance."""
    library = _library()
    library.finish_loading()
    names = Counter(row.common_name.casefold() for row in library.CAS_index.values() if row.common_name)
    return frozenset(name for name, times in names.items() if times > 1)


def _in_library(said: Said) -> Meaning | None:
    pieces = [
        piece for piece in said.raw.casefold().replace("sulph", "sulf").split() if piece.strip(" ,;.()")
    ]
    pieces = [piece for piece in pieces if not (len(pieces) > 1 and _silent(piece.strip(",;.()")))]
    name = " ".join(pieces).strip(" ,;.-")
    if len(name) < 5 or not any(vowel in name for vowel in "aeiouy") or name.isdecimal():
        return None
    prefix = {waters: word for word, waters in WATERS.items()}.get(said.waters, "")
    found = _of_library_name(f"{name} {prefix}hydrate" if prefix else name)
    if not found:
        return None
    row, is_main = found
    own = of_cas(row.CASs)
    several = said.waters is None and any(_of_library_name(f"{name} {word}hydrate") for word in WATERS)
    certain = is_main and not several and name not in _shared_names()
    if own and own.chemical:
        return Meaning(chemical=own.chemical, certain=is_main, how=f"“{name}” is a name of {_title(row)}")
    how = f"“{name}” is {_title(row)}, CAS RN {row.CASs}, which the starter catalog does not hold"
    if several:
        how += "; there are hydrates of it"
    return Meaning(library=(row.CASs, _title(row)), specific=True, certain=certain, how=how)
