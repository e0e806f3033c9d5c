"""What a bottle says -> the reagent of the starter catalog, with a mark and the reason.

One matcher for search, forms and import. "sure" is given only where substance, crystal water, strength and
form leave
no choice; a name with two meanings, a CAS RN with a slip or of another substance, a hydrate that nobody
named are
questions ("choose"), with the likeliest first. "unknown" still brings what looks near. Pure.
"""

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache, lru_cache
from itertools import chain

from rapidfuzz import fuzz

from stockroom.catalogue.label_text import FORMS, WATERS, Said, Strength, plain_words, read_label
from stockroom.catalogue.loader import Reagent, load
from stockroom.catalogue.naming import (
    Meaning,
    base_of,
    family,
    library_names,
    near,
    of_cas,
    understand,
)
from stockroom.chemistry.formula import FormulaError, check_cas, molar_mass, parse_formula
from stockroom.chemistry.quantity import VOLUME

SURE, CHOOSE, UNKNOWN = "sure", "choose", "unknown"
LIMIT = 8
_WATER_CAS = "7732-18-5"
#: two ways of writing one strength differ by no more than this
_SAME = Decimal("0.03")
#: mol of acid or base that one mole of it gives: only these may be written in normality without asking
_ONE_TO_ONE = {
    "hydrogen_chloride",
    "nitric_acid",
    "acetic_acid",
    "sodium_hydroxide",
    "potassium_hydroxide",
    "ammonia",
}
#: liters of oxygen from one liter -> g of H2O2 in 100 mL, 34.01 / (11.207 x 10)
_PER_VOLUME = Decimal("0.3035")
_SOLUTION_WORDS = {"soln", "solution", "sol", "aq", "aqueous", "indicator", "ind", "reagent"}
#: strengths that "dilute" is used for, the usual one first
_DILUTE = (Decimal(2), Decimal(1), Decimal(3), Decimal("0.1"), Decimal(6))
_SIMILAR_NAME = 80


@dataclass(frozen=True)
class Candidate:
    """A reagent of the catalog (`reagent` is its key), or a new one of a known substance (`reagent` is "").

    `cas_rn`: of the substances that it holds, water aside. `why`: what of the text points to it.
    """

    reagent: str
    name: str
    cas_rn: tuple[str, ...]
    why: str


@dataclass(frozen=True)
class Match:
    """`mark`: "sure", "choose" or "unknown"; `candidates`: the likeliest first; `why`: a sentence for the
    reader."""

    mark: str
    candidates: tuple[Candidate, ...]
    why: str

    @property
    def best(self) -> Candidate | None:
        return self.candidates[0] if self.candidates else None


@lru_cache(maxsize=50_000)
def match(text: str, *, strength: str = "", cas: str = "", measure: str = "", bought: bool = False) -> Match:
    """The reagent that a bottle's words mean.

    text: the name as written; strength, cas: what stands in columns of their own. measure: "mass",
    "volume" or
    "count" where the amount is known. bought: it came from a supplier as sold (a lot or grade is written),
    so an acid
    without strength is the one of trade.
    """
    said = read_label(text, strength)
    meaning = understand(said)
    if own := _own_name(text, strength, said):
        meaning = Meaning(reagent=own, named=True, how="its name in the catalog")
    numbers, slip = _numbers(cas, said)
    if slip:
        return _question(said, meaning, measure, slip)
    if numbers:
        meaning, doubt = _with_cas(said, meaning, numbers)
        if doubt:
            return _question(said, meaning, measure, doubt)
    if meaning is None:
        return _unknown(said)
    if meaning.library:
        return _new_substance(said, meaning)
    return _among(said, meaning, measure, bought or said.graded)


def _own_name(text: str, strength: str, said: Said) -> str:
    """Key of the reagent whose own name the text is, save for amount and CAS RN; else ""."""
    bare = said.strength is None and said.waters is None
    own = "" if strength else _own_names().get("".join(plain_words(text)), "")
    return own or (_own_names().get("".join(said.words), "") if bare else "")


@cache
def _own_names() -> dict[str, str]:
    """Names of reagents that a substance does not have too."""
    chemicals = {"".join(plain_words(row.name)) for row in load().chemicals.values()}
    names = {"".join(plain_words(row.name)): key for key, row in load().reagents.items()}
    return {name: key for name, key in names.items() if name not in chemicals}


# --- CAS RN


def _numbers(cas: str, said: Said) -> tuple[tuple[str, ...], str]:
    """The CAS RNs written, water aside, and what is wrong with them."""
    written = read_label(cas).cas or ((cas.strip(),) if cas.strip() else ())
    found = []
    for number in dict.fromkeys((*written, *said.cas)):
        try:
            found.append(check_cas(number))
        except FormulaError as error:
            return (), str(error)
    return tuple(number for number in found if number != _WATER_CAS) or tuple(found[:1]), ""


def _with_cas(said: Said, meaning: Meaning | None, numbers: tuple[str, ...]) -> tuple[Meaning | None, str]:
    """The meaning of name and CAS RN together, and the doubt where they disagree."""
    if meaning and meaning.reagent:
        held = set(_cas_of(load().reagents[meaning.reagent]))
        bases = {base_of(key) for key in _chemicals_of(load().reagents[meaning.reagent])}
        known = [of_cas(number) for number in numbers]
        fits = any(row and row.chemical and base_of(row.chemical) in bases for row in known)
        if fits or held & set(numbers) or not held:
            return meaning, ""
        return meaning, _disagree(numbers[0], load().reagents[meaning.reagent].name)
    for number in numbers:
        meant = of_cas(number)
        if meant is None:
            continue
        agreed = _agree(said, meaning, meant, number)
        if agreed:
            return agreed, ""
    if all(of_cas(number) is None for number in numbers):
        return meaning, f"CAS RN {numbers[0]} is not known here: compare it with the label."
    if meaning is None:
        return of_cas(
            numbers[0]
        ), f"The name is not known as one of {_title(of_cas(numbers[0]))}, CAS RN {numbers[0]}."
    return meaning, _disagree(numbers[0], _named(said, meaning))


def _disagree(number: str, named: str) -> str:
    other = of_cas(number)
    owner = f"belongs to {_title(other)}" if other else "belongs to another substance"
    return f"CAS RN {number} {owner}, the name says {named}."


def _named(said: Said, meaning: Meaning) -> str:
    if not meaning.chemical or said.waters is None:
        return _title(meaning)
    name = load().chemicals[base_of(meaning.chemical)].name
    if said.waters == 0:
        return f"{name}, anhydrous"
    return f"{name} {_WATER_NAMES[said.waters]}hydrate" if said.waters in _WATER_NAMES else _title(meaning)


def _agree(said: Said, meaning: Meaning | None, meant: Meaning, number: str) -> Meaning | None:
    """One meaning where name and CAS RN can be the same substance; None where they cannot."""
    if meaning and meaning.chemical and meant.chemical:
        if meaning.certain and meant.chemical in meaning.others:
            return meaning
        options = (meaning.chemical, *(() if meaning.certain else meaning.others))
        if base_of(meant.chemical) in map(base_of, options):
            return _same_family(said, meaning, meant)
        return _by_one_name(said, meaning, meant, number)
    if meaning and meaning.library and meant.library:
        return replace(meant, left=()) if meaning.library[0] == number or _is_named(said, number) else None
    if _is_named(said, number):
        return replace(meant, how=f"{meant.how}, and the name is one of its names")
    if meaning is None and _looks_like(said, number):
        return replace(meant, how=f"{meant.how}, and the name is near one of its names")
    return None


def _by_one_name(said: Said, meaning: Meaning, meant: Meaning, number: str) -> Meaning | None:
    """A name with several meanings ("iron chloride"), of which the CAS RN says which."""
    if meaning.certain or not _is_named(said, number):
        return None
    return replace(meant, how=f"{meant.how}, and the name is one of its names")


def _same_family(said: Said, meaning: Meaning, meant: Meaning) -> Meaning | None:
    """The CAS RN says which hydrate, unless the name says another one."""
    told = said.waters
    if told is None and meaning.specific and not meaning.usual:
        told = _waters(meaning.chemical)
    solution = said.strength is not None or set(said.words) & _SOLUTION_WORDS
    if told is not None and told != _waters(meant.chemical) and not solution:
        return None
    left = tuple(word for word in meaning.left)
    certain = not left or _is_named(said, load().chemicals[meant.chemical].cas)
    return replace(
        meant, left=left, others=_besides(meaning, meant), certain=certain, how=f"{meaning.how}, {meant.how}"
    )


def _besides(meaning: Meaning, meant: Meaning) -> tuple[str, ...]:
    if not meaning.certain and not meaning.left:
        return ()
    return tuple(key for key in meaning.others if base_of(key) != base_of(meant.chemical))


def _is_named(said: Said, number: str) -> bool:
    words = "".join(word for word in said.words)
    names = library_names(number)
    water = "".join(f"{name}hydrate" for count, name in _WATER_NAMES.items() if count == said.waters)
    return words in names or (bool(water) and words + water in names)


def _looks_like(said: Said, number: str) -> bool:
    words = "".join(said.words)
    own = of_cas(number)
    names = set(library_names(number))
    if own and own.chemical:
        row = load().chemicals[own.chemical]
        names |= {"".join(plain_words(name)) for name in (row.name, *row.synonyms)}
    return len(words) > 4 and any(fuzz.ratio(words, name) >= _SIMILAR_NAME for name in names)


_WATER_NAMES = {count: word for word, count in WATERS.items()}


# --- which reagent of the substance


def _among(said: Said, meaning: Meaning, measure: str, bought: bool) -> Match:
    if meaning.reagent:
        return _named_reagent(said, meaning)
    rows = _rows_of(meaning)
    ranked = sorted(rows, key=lambda row: _rank(row, said, meaning, measure), reverse=True)
    found = tuple(_candidate(row, meaning.how) for row in ranked)
    chosen, doubt = _decide(ranked, said, meaning, measure, bought)
    if chosen:
        found = (chosen, *(row for row in found if row.name != chosen.name))
    doubt = _doubt_of_name(meaning, chosen) or doubt
    if doubt or not chosen:
        return Match(CHOOSE, found[:LIMIT] or _new_of(said, meaning), doubt or "Which of these is it?")
    return Match(SURE, found[:LIMIT], chosen.why)


def _rows_of(meaning: Meaning) -> list[Reagent]:
    """Reagents that are this substance first of all: with whichever crystal water, in whatever strength."""
    members = family(base_of(meaning.chemical))
    options = (
        members
        if meaning.certain or meaning.left
        else tuple(chain(members, *(family(base_of(key)) for key in meaning.others)))
    )
    return [row for key in dict.fromkeys(options) for row in _first_of_all().get(key, ())]


@cache
def _first_of_all() -> dict[str, tuple[Reagent, ...]]:
    """Key of a substance -> the reagents of which it is the first component, mixtures of several aside."""
    found: dict[str, list[Reagent]] = {}
    for row in load().reagents.values():
        if row.kind != "mixture" or len(row.components) == 1:
            found.setdefault(row.components[0].chemical, []).append(row)
    return {key: tuple(rows) for key, rows in found.items()}


def _doubt_of_name(meaning: Meaning, chosen: Candidate | None) -> str:
    if meaning.left:
        return f"“{' '.join(meaning.left)}” is not understood: is it {_title(meaning)}?"
    if meaning.others and meaning.certain:
        held = set(chosen.cas_rn) if chosen else set()
        strange = [key for key in meaning.others if load().chemicals[key].cas not in held and key != "water"]
        if strange:
            return f"Two substances are named: {_title(meaning)} and {load().chemicals[strange[0]].name}."
        return ""
    return "" if meaning.certain else f"More than one substance can be meant: {meaning.how}."


def _named_reagent(said: Said, meaning: Meaning) -> Match:
    row = load().reagents[meaning.reagent]
    found = [_candidate(row, meaning.how)]
    own = {base_of(key) for key in _chemicals_of(row)}
    alike = [
        other
        for other in load().reagents.values()
        if other.key != row.key
        and base_of(other.components[0].chemical) == base_of(row.components[0].chemical)
    ]
    alike.sort(
        key=lambda other: _rank(other, said, Meaning(chemical=row.components[0].chemical), ""), reverse=True
    )
    found += [_candidate(other, "same substance") for other in alike]
    doubt = ""
    if not meaning.certain:
        doubt = f"More than one thing can be meant: {meaning.how}."
    elif meaning.left:
        doubt = f"“{' '.join(meaning.left)}” is not understood: is it {row.name}?"
    elif strange := [key for key in meaning.others if base_of(key) not in own and key != "water"]:
        doubt = f"Two substances are named: {row.name} and {load().chemicals[strange[0]].name}."
    elif said.strength and said.strength.low is not None and not _fits(row, said) and not meaning.named:
        doubt = f"{row.name} is not kept at {said.strength}."
        if better := next((other for other in alike if _fits(other, said)), None):
            return Match(
                SURE, (_candidate(better, meaning.how), *found)[:LIMIT], f"{meaning.how}, {said.strength}"
            )
    return Match(CHOOSE if doubt else SURE, tuple(found)[:LIMIT], doubt or meaning.how)


def _rank(row: Reagent, said: Said, meaning: Meaning, measure: str):
    """The larger, the likelier. Only an order: what may be taken unasked is decided by `_decide`."""
    wet = bool(set(said.words) & _SOLUTION_WORDS) or measure == VOLUME
    return (
        row.components[0].chemical == meaning.chemical if not meaning.certain else True,
        _fits(row, said),
        _strength_fit(row, said),
        bool(said.forms) and _form_of(row) in said.forms,
        _water_fit(row, said, meaning),
        _is_pure(row) != wet if said.strength is None else 0,
        not (said.strength is None and row.kind == "metal" and _form_of(row) == "strip"),
        row.kind in ("solid", "hydrate", "liquid"),
        -abs(_title_length(row)),
    )


def _title_length(row: Reagent) -> int:
    return len(row.name)


def _decide(rows: list[Reagent], said: Said, meaning: Meaning, measure: str, bought: bool):
    """(candidate, doubt): the one that is meant, or what must be asked."""
    if said.strength is not None and not _is_purity(rows, said):
        return _by_strength(rows, said, meaning, measure)
    pure = [row for row in rows if _is_pure(row)]
    if said.strength is not None and not pure:
        return _by_strength(rows, said, meaning, measure)
    if said.numbers:
        return _by_number(rows, said, meaning)
    wet = bool(set(said.words) & _SOLUTION_WORDS)
    if (wet or measure == VOLUME) and not any(row.kind in ("liquid", "gas", "metal") for row in pure):
        return _unstated(rows, meaning, bought)
    if not pure:
        return _unstated(rows, meaning, bought)
    if any(row.kind == "liquid" and not _is_pure(row) for row in rows):
        return _candidate(pure[0], meaning.how), "It is sold in more than one strength: which one?"
    return _pure_one(pure, said, meaning, measure)


def _by_number(rows: list[Reagent], said: Said, meaning: Meaning):
    """A bare number behind the name: part of a reagent's own name, or a strength to be confirmed."""
    digits = {str(number) for number in said.numbers}
    if own := next((row for row in rows if _is_pure(row) and digits <= set(plain_words(row.name))), None):
        return _candidate(own, meaning.how), ""
    fits = [
        row for row in rows if row.components[0].unit == "mol/L" and row.components[0].value in said.numbers
    ]
    first = (fits or rows or [None])[0]
    return (_candidate(first, meaning.how) if first else None), "What does the number mean: mol/L?"


def _unstated(rows: list[Reagent], meaning: Meaning, bought: bool):
    """A solution without strength: the one that is sold, where it was bought; an indicator's only one."""
    wet = [row for row in rows if not _is_pure(row)]
    sold = [row for row in wet if row.kind == "liquid"]
    if len(rows) == 1 and rows[0].kind == "mixture":
        return _candidate(rows[0], f"{meaning.how}; no strength written, taken as sold"), ""
    if len(sold) == 1 and bought:
        return _candidate(sold[0], f"{meaning.how}; no strength written, taken as sold"), ""
    indicators = [row for row in wet if row.kind == "indicator"]
    if len(indicators) == 1 == len(wet):
        return _candidate(
            indicators[0], f"{meaning.how}; no strength written, taken as the usual indicator"
        ), ""
    first = (sold or wet or [None])[0]
    return (_candidate(first, meaning.how) if first else None), "How strong is the solution?"


def _pure_one(pure: list[Reagent], said: Said, meaning: Meaning, measure: str):
    """The solid, liquid or gas itself: water and form must leave one."""
    key, doubt = _which_water(said, meaning)
    if doubt:
        first = next((row for row in pure if row.components[0].chemical == key), pure[0])
        return _candidate(first, meaning.how), doubt
    rows = [row for row in pure if row.components[0].chemical == key]
    if not rows:
        return _new_form(key, said, meaning), ""
    formed = [row for row in rows if _form_of(row) in said.forms]
    if formed:
        return _candidate(formed[0], f"{meaning.how}, {_form_of(formed[0])}"), ""
    shaped = said.forms - {"compressed"}
    if shaped and (rows[0].kind == "metal" or all(_form_of(row) not in ("", "powder") for row in rows)):
        return _new_form(key, said, meaning), ""
    shapes = rows[0].kind in ("metal", "gas") or all(_form_of(row) not in ("", "powder") for row in rows)
    if len(rows) > 1 and shapes:
        return _candidate(rows[0], meaning.how), "In which form is it?"
    plain = [row for row in rows if _form_of(row) in ("", "powder")] or rows
    plain = [row for row in plain if row.name.startswith(load().chemicals[key].name)] or plain
    if len(plain) > 1:
        return _candidate(plain[0], meaning.how), "Which of these is it?"
    return _candidate(plain[0], meaning.how), ""


def _which_water(said: Said, meaning: Meaning) -> tuple[str, str]:
    """(key of the hydrate meant, doubt)."""
    members = family(base_of(meaning.chemical))
    if said.waters is not None:
        fits = [key for key in members if _waters(key) == said.waters]
        told = f"{said.waters.normalize():f}" if said.waters >= 0 else "two numbers"
        if not fits:
            return meaning.chemical, f"No {_title(meaning)} with {told} H2O is known here."
        return fits[0], ""
    if meaning.specific or len(members) == 1:
        return meaning.chemical, ""
    hydrates = [key for key in members if _waters(key)]
    if said.crystals and len(hydrates) == 1:
        return hydrates[0], ""
    kept = [row.components[0].chemical for row in load().reagents.values() if _is_pure(row)]
    usual = next((key for key in hydrates if key in kept), hydrates[0])
    first = meaning.chemical if meaning.how.startswith("formula") and meaning.chemical in kept else usual
    return first, f"Anhydrous or {_water_word(usual)}? The name does not say."


def _water_word(key: str) -> str:
    count = _waters(key)
    return f"{_WATER_NAMES[count]}hydrate" if count in _WATER_NAMES else f"with {count} H2O"


def _new_form(key: str, said: Said, meaning: Meaning) -> Candidate:
    chemical = load().chemicals[key]
    forms = ", ".join(sorted(said.forms - {"compressed"}))
    name = f"{chemical.name}, {forms}" if forms else chemical.name
    return Candidate("", name, (chemical.cas,) if chemical.cas else (), f"{meaning.how}; a new reagent")


# --- strength


def _is_purity(rows: list[Reagent], said: Said) -> bool:
    """A per cent that tells how clean the substance is, not how much of it is in a solution."""
    strength = said.strength
    if not strength.unit.startswith("%") or strength.low is None:
        return False
    if strength.unit == "% v/v" or any(_same(row, strength) for row in rows if not _is_pure(row)):
        return False
    pure = {row.kind for row in rows if _is_pure(row)}
    return bool(pure) and strength.high >= (80 if pure & {"solid", "hydrate", "metal", "indicator"} else 95)


def _by_strength(rows: list[Reagent], said: Said, meaning: Meaning, measure: str):
    strength = said.strength
    fits = [row for row in rows if _fits(row, said)]
    if fits:
        best = fits[0]
        why = f"{meaning.how}, {strength}"
        if strength.unit == "strong":
            why = f"{meaning.how}; concentrated, taken as sold"
        if strength.unit == "N" and best.components[0].chemical not in _ONE_TO_ONE:
            return _candidate(best, why), "Normality: how many mol/L is that?"
        return _candidate(best, why), ""
    if strength.unit == "weak":
        dilute = [
            row for row in rows if row.components[0].value in _DILUTE and row.components[0].unit == "mol/L"
        ]
        dilute.sort(key=lambda row: _DILUTE.index(row.components[0].value))
        return (_candidate(dilute[0], meaning.how) if dilute else None), "Dilute: how many mol/L?"
    if strength.unit == "bare":
        return None, "The strength has no unit: mol/L or per cent?"
    if strength.low is None:
        return None, f"No {strength.unit} {_title(meaning)} is in the starter catalogue: how strong is it?"
    return _new_strength(rows, said, meaning)


def _new_strength(rows: list[Reagent], said: Said, meaning: Meaning):
    """A new reagent of the substance at a strength that the catalog does not hold."""
    strength, chemical = said.strength, load().chemicals[base_of(meaning.chemical)]
    why = f"{meaning.how}; {strength} is a new strength"
    if strength.unit == "N":
        if chemical.key not in _ONE_TO_ONE:
            return None, "Normality: how many mol/L is that?"
        strength = Strength(strength.low, strength.high, "M")
    unit = str(strength)
    if strength.unit == "%":
        bases = {row.components[0].unit for row in rows if row.components[0].unit.startswith("%")}
        if len(bases) != 1:
            return None, "Which per cent: of mass (w/w), of mass in volume (w/v) or of volume (v/v)?"
        unit = f"{strength} {bases.pop().removeprefix('% ')}"
    if strength.unit == "vol" and chemical.key != "hydrogen_peroxide":
        return None, "“vol” tells the strength of hydrogen peroxide only."
    name = _solution_name(chemical.key, rows)
    return Candidate("", f"{name} {unit}", (chemical.cas,) if chemical.cas else (), why), ""


def _solution_name(key: str, rows: list[Reagent]) -> str:
    for row in rows:
        if row.components[0].unit == "mol/L" and len(row.components) == 1:
            return row.name.rsplit(" ", 2)[0]
    return load().chemicals[key].name


def _fits(row: Reagent, said: Said) -> bool:
    """The reagent has the strength that is written."""
    strength = said.strength
    if strength is None:
        return False
    if strength.unit == "strong":
        return row.kind == "liquid" and (row.components[0].unit == "% w/w" or _is_pure(row))
    if strength.unit == "glacial":
        return "glacial" in row.name
    if strength.unit == "saturated":
        return "saturated" in row.name
    return strength.low is not None and _same(row, strength)


def _strength_fit(row: Reagent, said: Said) -> bool:
    """Weaker signs: a bare number, "dilute"."""
    part = row.components[0]
    if said.strength is not None and said.strength.unit == "weak":
        return part.unit == "mol/L" and part.value in _DILUTE[:2]
    numbers = said.numbers
    if said.strength is not None and said.strength.unit == "bare":
        numbers = (said.strength.low,)
    return part.unit == "mol/L" and part.value in numbers


def _same(row: Reagent, strength: Strength) -> bool:
    part = row.components[0]
    if part.value is None:
        return False
    for value in _in_unit_of(row, strength):
        low, high = value
        if low * (1 - _SAME) <= part.value <= high * (1 + _SAME):
            return True
    return False


def _in_unit_of(row: Reagent, strength: Strength):
    """The strength's range in the unit that the reagent's first component is written in, where that is
    plain."""
    unit, low, high = row.components[0].unit, strength.low, strength.high
    if strength.unit == "%" and unit.startswith("%") or strength.unit == unit:
        yield low, high
    elif strength.unit in ("M", "N"):
        if unit == "mol/L":
            yield low, high
        elif (
            unit == "% w/w"
            and row.density
            and (strength.unit == "M" or row.components[0].chemical in _ONE_TO_ONE)
        ):
            grams = Decimal(str(molar_mass(load().chemicals[row.components[0].chemical].formula)))
            yield low * grams / (10 * row.density), high * grams / (10 * row.density)
    elif strength.unit == "vol" and row.components[0].chemical == "hydrogen_peroxide" and row.density:
        yield low * _PER_VOLUME / row.density, high * _PER_VOLUME / row.density


# --- what a row is


def _is_pure(row: Reagent) -> bool:
    return row.components[0].unit == "pure" or (not row.solvent and len(row.components) == 1)


def _form_of(row: Reagent) -> str:
    """The word of form in a reagent's name: "ribbon" of "magnesium, ribbon"."""
    for word in plain_words(row.name):
        if word in FORMS:
            return FORMS[word]
    return "lumps" if "marble chips" in row.name else ""


def _water_fit(row: Reagent, said: Said, meaning: Meaning) -> bool:
    key = row.components[0].chemical
    if said.waters is not None:
        return _waters(key) == said.waters
    if meaning.specific:
        return key == meaning.chemical
    if said.crystals:
        return bool(_waters(key))
    return key == meaning.chemical if meaning.how.startswith("formula") else bool(_waters(key))


def _waters(key: str) -> Decimal:
    formula = load().chemicals[key].formula
    return Decimal(str(float(parse_formula(formula).water))).normalize() if formula else Decimal(0)


def _chemicals_of(row: Reagent) -> tuple[str, ...]:
    return tuple(part.chemical for part in row.components if part.chemical != "water")


def _cas_of(row: Reagent) -> tuple[str, ...]:
    chemicals = load().chemicals
    keys = _chemicals_of(row) or tuple(part.chemical for part in row.components)
    return tuple(chemicals[key].cas for key in keys if chemicals[key].cas)


def _candidate(row: Reagent, why: str) -> Candidate:
    return Candidate(row.key, row.name, _cas_of(row), why)


def _title(meaning: Meaning) -> str:
    if meaning.library:
        return meaning.library[1]
    if meaning.reagent:
        return load().reagents[meaning.reagent].name
    return load().chemicals[meaning.chemical].name


# --- where nothing is decided


def _question(said: Said, meaning: Meaning | None, measure: str, doubt: str) -> Match:
    if meaning is None:
        return replace(_unknown(said), mark=CHOOSE, why=doubt)
    if meaning.library:
        return replace(_new_substance(said, meaning), mark=CHOOSE, why=doubt)
    return replace(_among(said, meaning, measure, False), mark=CHOOSE, why=doubt)


def _unknown(said: Said) -> Match:
    keys = near(said)
    rows = [row for key in keys for row in load().reagents.values() if row.components[0].chemical == key]
    found = tuple(_candidate(row, "the name looks alike") for row in rows)
    hint = f" Is it {load().chemicals[keys[0]].name}?" if keys else ""
    return Match(UNKNOWN, found[:LIMIT], f"“{said.text[:60]}” is not known here.{hint}")


def _new_of(said: Said, meaning: Meaning) -> tuple[Candidate, ...]:
    chemical = load().chemicals[meaning.chemical]
    return (Candidate("", chemical.name, (chemical.cas,) if chemical.cas else (), meaning.how),)


def _new_substance(said: Said, meaning: Meaning) -> Match:
    """A substance that only the library knows: a new reagent of it."""
    cas, name = meaning.library
    unit = str(said.strength) if said.strength else ""
    purity = said.strength and said.strength.unit.startswith("%") and (said.strength.high or 0) >= 80
    if purity:
        unit = ""
    forms = ", ".join(sorted(said.forms))
    title = f"{name} {unit}".strip() + (f", {forms}" if forms and not unit else "")
    found = (Candidate("", title, (cas,), meaning.how),)
    clear = said.strength is None or purity or said.strength.unit in ("M", "% w/w", "% w/v", "% v/v", "g/L")
    if meaning.certain and not meaning.left and clear:
        return Match(SURE, found, f"{meaning.how}; a new reagent")
    return Match(CHOOSE, found, f"{meaning.how}: is that the one?" if clear else "How strong is it?")
