"""GHS label elements: what a set of hazard classes puts on a label.

Classes, statements, signal words and pictograms follow 29 CFR 1910.1200 Appendix C (2024 revision); the
aquatic and ozone classes, which OSHA does not require, follow the UN GHS. The rows stand in
``tables/ghs_classes.csv`` and ``tables/precautionary.csv``, each with its source.
"""

from dataclasses import dataclass
from itertools import combinations

from stockroom.safety.published import rows, words

PICTOGRAM_NAMES = {
    "GHS01": "Exploding bomb",
    "GHS02": "Flame",
    "GHS03": "Flame over circle",
    "GHS04": "Gas cylinder",
    "GHS05": "Corrosion",
    "GHS06": "Skull and crossbones",
    "GHS07": "Exclamation mark",
    "GHS08": "Health hazard",
    "GHS09": "Environment",
}

NOT_CLASSIFIED = "Not classified yet: treat as hazardous until checked"


class LabelError(ValueError):
    """A hazard class key that the table does not have."""


@dataclass(frozen=True)
class HazardClass:
    """One row of the class table. ``osha`` is False for a class that only the UN GHS has."""

    key: str
    class_name: str
    category: str
    h_codes: tuple[str, ...]
    statements: tuple[str, ...]
    signal_word: str
    pictograms: tuple[str, ...]
    p_codes: tuple[str, ...]
    osha: bool
    source: str

    @property
    def h_code(self) -> str:
        return " ".join(self.h_codes)

    @property
    def statement(self) -> str:
        return ". ".join(self.statements)

    @property
    def name(self) -> str:
        """Class and category as one would say it: "Flammable liquids, category 2"."""
        if not self.category:
            return self.class_name
        word = "category " if self.category[0].isdigit() else ""
        return f"{self.class_name}, {word}{self.category}"


@dataclass(frozen=True)
class Precaution:
    """A precautionary statement; ``rank`` orders them by what matters most on a small label (1 first)."""

    code: str
    kind: str
    rank: int
    text: str
    source: str


@dataclass(frozen=True)
class Statement:
    """As printed. ``h_code`` is empty for OSHA-defined hazards, "H300+H310" where combined."""

    h_code: str
    text: str
    osha: bool = True


@dataclass(frozen=True)
class LabelElements:
    """What to print. ``classified`` is False when nobody has classified it: then nothing here means "safe".

    ``left_out`` says in plain words which element a precedence rule removed, and the rule.
    """

    signal_word: str
    pictograms: tuple[str, ...]
    statements: tuple[Statement, ...]
    precautions: tuple[Precaution, ...]
    left_out: tuple[str, ...]
    classified: bool = True


_NOT_CLASSIFIED = Statement("", NOT_CLASSIFIED)


def _read_classes() -> dict[str, HazardClass]:
    return {
        row["key"]: HazardClass(
            key=row["key"],
            class_name=row["class_name"],
            category=row["category"],
            h_codes=words(row["h_code"]),
            statements=tuple(filter(None, row["statement"].split("|"))),
            signal_word=row["signal_word"],
            pictograms=words(row["pictogram"]),
            p_codes=words(row["p_codes"]),
            osha=row["osha"] == "yes",
            source=row["source"],
        )
        for row in rows("ghs_classes")
    }


def _read_precautions() -> dict[str, Precaution]:
    return {
        row["code"]: Precaution(row["code"], row["kind"], int(row["rank"]), row["text"], row["source"])
        for row in rows("precautionary")
    }


HAZARD_CLASSES: dict[str, HazardClass] = _read_classes()
PRECAUTIONS: dict[str, Precaution] = _read_precautions()
H_CODES: frozenset[str] = frozenset(code for row in HAZARD_CLASSES.values() for code in row.h_codes)

_ORDER = {key: place for place, key in enumerate(HAZARD_CLASSES)}

# Categories that speak of another effect than the rest of their class: a worse category does not cover them.
_OWN_EFFECT = frozenset(
    {
        "stot_se_3_irritation",
        "stot_se_3_narcosis",
        "repr_lact",
        "flam_gas_1a_pyr",
        "flam_gas_1a_unst_a",
        "flam_gas_1a_unst_b",
    }
)

_IRRITANT = ("skin_irrit_2", "eye_irrit_2", "eye_irrit_2a", "eye_irrit_2b")

# UN GHS 1.4.10.5.3.3 (precedence for hazard statements). The irritation codes follow because skin corrosion
# category 1 is serious eye damage category 1 as well.
_STATEMENT_COVERS = {
    "H314": ("H315", "H318", "H319", "H320"),
    "H410": ("H400",),
    "H411": ("H401",),
    "H412": ("H402",),
}

# UN GHS Annex 3, Table A3.1.2: acute toxicity by several routes as one statement.
_ROUTES = {"0": ("H300", "H310", "H330"), "1": ("H301", "H311", "H331"), "2": ("H302", "H312", "H332")}
_ROUTE_WORDS = ("if swallowed", "in contact with skin", "if inhaled")
_SEVERITY = {"0": "Fatal", "1": "Toxic", "2": "Harmful"}

# 29 CFR 1910.1200 App. C.2.4: of similar precautionary statements the most stringent stands. Which ones are
# similar is our reading.
_PRECAUTION_COVERS = {
    "P260": ("P261",),
    "P284": ("P271",),
    "P310": ("P301+P310", "P301+P312", "P308+P311", "P308+P313", "P311", "P312", "P314", "P342+P311"),
    "P301+P310": ("P301+P312",),
    "P311": ("P308+P311", "P308+P313", "P312", "P314"),
    "P308+P311": ("P308+P313", "P312", "P314"),
    "P301+P330+P331": ("P330", "P331"),
    "P303+P361+P353": ("P302+P352", "P361+P364", "P362+P364", "P332+P313"),
    "P361+P364": ("P362+P364", "P363"),
    "P362+P364": ("P363",),
    "P403+P233": ("P233", "P403"),
    "P403+P235": ("P235", "P403"),
    "P410+P403": ("P403", "P410"),
    "P370+P372+P380+P373": ("P370+P378", "P370+P380+P375", "P371+P380+P375"),
    "P370+P380+P375+P378": ("P370+P378",),
    "P370+P380+P375": ("P370+P378", "P371+P380+P375"),
    "P370+P376": ("P376",),
    "P420": ("P403",),
}
_KINDS = ("prevention", "response", "storage", "disposal")


def hazard_class(key: str) -> HazardClass:
    """The class with this key; LabelError if the table has none."""
    try:
        return HAZARD_CLASSES[key]
    except KeyError:
        raise LabelError(
            f'No hazard class "{key}". Use a key of the class table, such as flam_liq_2.'
        ) from None


def worst_of_each(keys) -> tuple[str, ...]:
    """Keys in table order, duplicates and categories that a worse one of the same class covers taken out."""
    kept, seen = [], set()
    for key in sorted(set(keys), key=lambda key: _ORDER[hazard_class(key).key]):
        family = key if key in _OWN_EFFECT else HAZARD_CLASSES[key].class_name
        if family not in seen:
            seen.add(family)
            kept.append(key)
    return tuple(kept)


def label_elements(keys, precautions: int | None = 6, *, complete: bool = True) -> LabelElements:
    """Label elements of the hazard classes ``keys``, precedence rules applied.

    keys: iterable of class keys; empty means "classified, no hazard class"; None means nobody has classified
    it, and the answer then carries the words to print in place of statements.
    precautions: how many precautionary statements to keep, most important first; None keeps all.
    complete: False where part of it is not classified yet: the known elements are given, and the words for
    the rest stand after them.
    Raises LabelError for an unknown key.
    Source: 29 CFR 1910.1200 App. C.2.1 (pictograms, signal word), UN GHS 1.4.10.5.3.3 (statements).
    """
    if keys is None:
        return LabelElements("", (), (_NOT_CLASSIFIED,), (), (), classified=False)
    keys = tuple(keys)
    kept = worst_of_each(keys)
    left_out = [
        f"{HAZARD_CLASSES[key].name}: a worse category of the same class is on the label"
        for key in sorted(set(keys) - set(kept), key=_ORDER.__getitem__)
    ]
    signals = {HAZARD_CLASSES[key].signal_word for key in kept}
    if signals >= {"Danger", "Warning"}:
        left_out.append("Signal word Warning: Danger stands alone (29 CFR 1910.1200 App. C.2.1.1)")
    word = next((word for word in ("Danger", "Warning") if word in signals), "")
    return LabelElements(
        signal_word=word,
        pictograms=_pictograms(kept, left_out),
        statements=_statements(kept, left_out) + (() if complete else (_NOT_CLASSIFIED,)),
        precautions=_precautions(kept, precautions),
        left_out=tuple(left_out),
        classified=complete,
    )


def _pictograms(kept: tuple[str, ...], left_out: list[str]) -> tuple[str, ...]:
    shown = {code for key in kept for code in HAZARD_CLASSES[key].pictograms}
    if "GHS07" not in shown:
        return tuple(sorted(shown))
    skull = "GHS06" in shown
    corrosion = "GHS05" in shown
    respiratory = any(key.startswith("resp_sens") for key in kept)
    rules = (
        (skull, ("acute_tox",), "acute toxicity", "skull and crossbones is shown (C.2.1.2)"),
        (corrosion, _IRRITANT, "skin or eye irritation", "corrosion is shown (C.2.1.3)"),
        (
            respiratory,
            (*_IRRITANT, "skin_sens"),
            "skin sensitization or irritation",
            "health hazard is shown for respiratory sensitization (C.2.1.4)",
        ),
    )
    left = {key for key in kept if "GHS07" in HAZARD_CLASSES[key].pictograms}
    for applies, starts, effect, reason in rules:
        covered = {key for key in left if applies and key.startswith(starts)}
        if covered:
            left -= covered
            left_out.append(f"Exclamation mark for {effect}: {reason}")
    return tuple(sorted(shown if left else shown - {"GHS07"}))


def gravest_first(key: str) -> tuple[bool, int]:
    """To sort classes as a label states them: those with the word Danger first."""
    return hazard_class(key).signal_word != "Danger", _ORDER[key]


def _statements(kept: tuple[str, ...], left_out: list[str]) -> tuple[Statement, ...]:
    found: dict[str, Statement] = {}
    for key in sorted(kept, key=gravest_first):
        row = HAZARD_CLASSES[key]
        codes = row.h_codes or ("",) * len(row.statements)
        for code, text in zip(codes, row.statements, strict=True):
            found.setdefault(code or text, Statement(code, text, row.osha))
    for code, covered in _STATEMENT_COVERS.items():
        for other in covered:
            if code in found and other in found:
                left_out.append(f"{other} {found.pop(other).text}: covered by {code}")
    return tuple(_combined(found))


def _combined(found: dict[str, Statement]) -> list[Statement]:
    for digit, codes in _ROUTES.items():
        for size in (3, 2):
            for group in combinations(range(3), size):
                several = [codes[place] for place in group]
                if all(code in found for code in several):
                    routes = [_ROUTE_WORDS[place] for place in group]
                    text = f"{_SEVERITY[digit]} {', '.join(routes[:-1])} or {routes[-1]}"
                    found[several[0]] = Statement("+".join(several), text)
                    for code in several[1:]:
                        del found[code]
    if "H315" in found and "H320" in found:
        found["H315"] = Statement("H315+H320", "Causes skin and eye irritation")
        del found["H320"]
    return list(found.values())


def _precautions(kept: tuple[str, ...], limit: int | None) -> tuple[Precaution, ...]:
    codes = {code for key in kept for code in HAZARD_CLASSES[key].p_codes}
    covered = {other for code in codes for other in _PRECAUTION_COVERS.get(code, ())}
    ranked = sorted((PRECAUTIONS[code] for code in codes - covered), key=lambda row: (row.rank, row.code))
    return tuple(sorted(ranked[:limit], key=lambda row: (_KINDS.index(row.kind), row.rank, row.code)))
