"""What is known of a chemical from its name or CAS RN: the starter catalog first, then `chemicals`."""

import re
from dataclasses import dataclass
from functools import cache

from stockroom.catalogue.label_text import read_label
from stockroom.catalogue.loader import Chemical, Reagent, load
from stockroom.catalogue.matching import SURE, match
from stockroom.catalogue.naming import near, understand
from stockroom.chemistry.formula import check_cas, molar_mass

MAX_TEXT = 200
LIBRARY = "library"
_CAS = re.compile(r"\s*(?:CAS\D*)?\d{2,7}-\d{2}-\d\s*", re.IGNORECASE)
_ZERO_CELSIUS_K = 273.15


@dataclass(frozen=True)
class Facts:
    """Numbers of the `chemicals` library; None or () where it has none. Not checked.

    Temperatures in °C, `lower_explosive_limit` in % of the air by volume, exposure limits as (value, unit).
    """

    flash_point_c: float | None
    boiling_point_c: float | None
    melting_point_c: float | None
    lower_explosive_limit: float | None
    limit_eight_hours: tuple[float, str] | None
    limit_short_term: tuple[float, str] | None


@dataclass(frozen=True)
class Suggestion:
    """What a form may be filled in with. None is verified; `source` speaks of the identity.

    `reagents` are the rows of the catalog that hold this chemical, () where there is none.
    `molar_mass` in g/mol.
    """

    name: str
    cas: str
    formula: str
    molar_mass: float | None
    synonyms: tuple[str, ...]
    reagents: tuple[Reagent, ...]
    facts: Facts | None
    source: str


def lookup(text: str) -> Suggestion | None:
    """The chemical meant by a name, synonym or CAS RN; None where neither catalog nor library knows it.

    Raises FormulaError where a CAS RN has a slip in it.
    """
    text = text.strip()
    if not text or len(text) > MAX_TEXT:
        return None
    if _CAS.fullmatch(text):
        text = check_cas(text)
    chemical = _index().get(_plain(text)) or _as_bottles_say(text)
    return _from_catalogue(chemical) if chemical else _from_library(text)


def _as_bottles_say(text: str) -> Chemical | None:
    """The chemical of the catalog where the words leave no other ("phph", "pot. iodide", "conc. HCl")."""
    found = match(text)
    if found.mark == SURE and found.best.reagent:
        return load().chemicals[load().reagents[found.best.reagent].components[0].chemical]
    meant = understand(read_label(text))
    return load().chemicals[meant.chemical] if meant and meant.certain and meant.chemical else None


def search(text: str, limit: int = 10) -> tuple[Chemical, ...]:
    """Chemicals of the catalog with a name, synonym or CAS RN that starts with or holds `text`."""
    wanted = _plain(text)
    if not wanted:
        return ()
    hits = {}
    for place in (lambda name: name.startswith(wanted), lambda name: wanted in name):
        for name, chemical in sorted(_index().items(), key=lambda item: len(item[0])):
            if len(hits) < limit and place(name):
                hits.setdefault(chemical.key, chemical)
    if not hits:
        said = read_label(text)
        first = _as_bottles_say(text)
        keys = (*((first.key,) if first else ()), *near(said, limit))
        hits = {key: load().chemicals[key] for key in keys}
    return tuple(hits.values())[:limit]


def _plain(text: str) -> str:
    """A name without what people write differently: case, blanks, hyphens, "sulph", "aluminum"."""
    letters = re.sub(r"[^a-z0-9]", "", text[:MAX_TEXT].casefold())
    return letters.replace("sulph", "sulf").replace("aluminum", "aluminium")


@cache
def _index() -> dict[str, Chemical]:
    """Plain name -> chemical. A chemical's own name goes before a reagent's, and that before a synonym."""
    catalogue = load()
    index: dict[str, Chemical] = {}
    for chemical in catalogue.chemicals.values():
        index.setdefault(_plain(chemical.name), chemical)
        if chemical.cas:
            index.setdefault(_plain(chemical.cas), chemical)
    for reagent in catalogue.reagents.values():
        index.setdefault(_plain(reagent.name), catalogue.chemicals[reagent.components[0].chemical])
    for chemical in catalogue.chemicals.values():
        for synonym in chemical.synonyms:
            index.setdefault(_plain(synonym), chemical)
    return index


def _from_catalogue(chemical: Chemical) -> Suggestion:
    reagents = load().reagents.values()
    return Suggestion(
        name=chemical.name,
        cas=chemical.cas,
        formula=chemical.formula,
        molar_mass=molar_mass(chemical.formula) if chemical.formula else None,
        synonyms=chemical.synonyms,
        reagents=tuple(
            row for row in reagents if any(part.chemical == chemical.key for part in row.components)
        ),
        facts=_facts(chemical.cas) if chemical.cas else None,
        source=chemical.source,
    )


def _from_library(text: str) -> Suggestion | None:
    # Imported here: it reads a list of 70,000 compounds, and few requests need that.
    from chemicals import search_chemical

    try:
        found = search_chemical(text)
    except ValueError:
        return None
    if own := _index().get(_plain(found.CASs)):
        return _from_catalogue(own)
    return Suggestion(
        name=found.common_name or found.iupac_name or found.CASs,
        cas=found.CASs,
        formula=found.formula,
        molar_mass=found.MW,
        synonyms=tuple(name for name in (found.synonyms or ()) if len(name) <= 80)[:8],
        reagents=(),
        facts=_facts(found.CASs),
        source=LIBRARY,
    )


def _facts(cas: str) -> Facts:
    # `chemicals` is slow to import: only where it is asked.
    from chemicals import LFL, STEL, TWA, T_flash, Tb, Tm

    def celsius(kelvin):
        return None if kelvin is None else round(kelvin - _ZERO_CELSIUS_K, 1)

    def rounded(limit):
        # the library turns mg/m3 into ppm: more figures than the published limit has mean nothing
        return limit and (float(f"{limit[0]:.3g}"), limit[1])

    limit = LFL(CASRN=cas)
    return Facts(
        flash_point_c=celsius(T_flash(cas)),
        boiling_point_c=celsius(Tb(cas)),
        melting_point_c=celsius(Tm(cas)),
        lower_explosive_limit=None if limit is None else round(limit * 100, 2),
        limit_eight_hours=rounded(TWA(cas)),
        limit_short_term=rounded(STEL(cas)),
    )
