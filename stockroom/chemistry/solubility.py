"""Whether a salt of two ions dissolves: the answer for every pair, and which pairs nobody has told the app.

A solid with a constant (`tables/solids.csv`) answers first, then `tables/pairs.csv`, whose last fitting row
counts. A pair in neither is not known, which must be said wherever it matters.
"""

from dataclasses import dataclass
from functools import cache

from stockroom.chemistry import published, saturation, species

SOLID, SOLUBLE, DECOMPOSES, NOT_KNOWN = "solid", "soluble", "decomposes", "not known"
SPARING_G = 1.0  # grams in 100 g of water, from which a solid counts as soluble
_ALKALI = {"Li+", "Na+", "K+", "NH4+"}
_ALWAYS = {"H+", "OH-", "O-2", "H2O"}
_ORIGIN = "minteq.v4.dat of the PHREEQC package, or tables/supplement.dat, which names its source"


@dataclass(frozen=True)
class Verdict:
    """What is known of a salt. kind: SOLID where a solid with a constant limits what dissolves.

    solids: their formulas. grams: how much of it dissolves in 100 g of water at about 20 °C, None where not
    tabled. remark: what else happens. source: where the answer is from, "" for NOT_KNOWN.
    """

    cation: str
    anion: str
    kind: str
    solids: tuple[str, ...] = ()
    grams: float | None = None
    remark: str = ""
    source: str = ""

    @property
    def dissolves(self) -> bool | None:
        """Whether a class would call it soluble; None where it is not known or does not exist in water."""
        if self.kind == SOLID:
            return self.grams is not None and self.grams >= SPARING_G
        return True if self.kind == SOLUBLE else None


@cache
def verdict(cation: str, anion: str) -> Verdict:
    """What is known of the salt of two ions of `tables/ions.csv`, such as "Ba+2" and "PO4-3".

    Raises KeyError for an ion that is not in the table.
    """
    found = [species.ions()[ion] for ion in (cation, anion)]
    if not found[0].charge > 0 > found[1].charge:
        raise ValueError(f"{cation} and {anion} are not a cation and an anion")
    if "H+" in (cation, anion):
        return Verdict(cation, anion, SOLUBLE, source="an acid, not a salt")
    solids = _solids().get((cation, anion))
    if not solids and cation not in _ALKALI:  # an acid salt tells of the neutral one
        solids = _solids().get((cation, _simplest(anion)))
    if solids:
        return _of_solids(cation, anion, solids)
    for row in reversed(_rows()):
        if row.fits(cation, anion):
            return Verdict(cation, anion, row.kind, (), None, row.remark, row.source)
    return Verdict(cation, anion, NOT_KNOWN)


def _simplest(anion: str) -> str:
    """The ion that an anion is a form of: phosphate of hydrogenphosphate."""
    parts = [ion for ion in species.simplest(anion) if ion not in ("H+", "H2O")]
    return parts[0] if parts else "OH-"


@cache
def _solids() -> dict[tuple[str, str], tuple[tuple[str, str], ...]]:
    """(phase, formula) of the solids of one cation and one anion."""
    found: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for phase, formula, *_, ions in published.table("solids.csv"):
        names = {ion for ion, _ in species.parse_ions(ions)} - {"H2O", "H+"}
        cations = [ion for ion in names if species.ions()[ion].charge > 0]
        anions = {ion for ion in names if species.ions()[ion].charge < 0}
        if len(anions) > 1:
            anions -= {"OH-", "O-2"}  # a basic salt answers for the salt
        if len(cations) == len(anions) == 1:
            for anion in {*anions, *map(_simplest, anions)} if cations[0] not in _ALKALI else anions:
                found.setdefault((cations[0], anion), []).append((phase, formula))
    return {pair: tuple(solids) for pair, solids in found.items()}


def _of_solids(cation: str, anion: str, solids: tuple[tuple[str, str], ...]) -> Verdict:
    tabled = {row.phase: row for row in saturation.solubilities()}
    products = saturation.products()
    grams, sources = None, []
    for phase, _ in solids:
        if phase in tabled:
            row = tabled[phase]
            grams = row.grams[min(row.grams, key=lambda celsius: abs(celsius - 20))]
            sources.append(row.source)
        else:
            sources.append(products[phase][1] if phase in products else _ORIGIN)
    return Verdict(
        cation,
        anion,
        SOLID,
        tuple(formula for _, formula in solids),
        grams,
        "",
        "; ".join(dict.fromkeys(sources)),
    )


@dataclass(frozen=True)
class _Row:
    """A row of `tables/pairs.csv`: cations and anions, "*" for any."""

    cations: frozenset[str]
    anions: frozenset[str]
    kind: str
    remark: str
    source: str

    def fits(self, cation: str, anion: str) -> bool:
        return bool({cation, "*"} & self.cations) and bool({anion, "*"} & self.anions)


@cache
def _rows() -> tuple[_Row, ...]:
    return tuple(
        _Row(frozenset(cations.split()), frozenset(anions.split()), *rest)
        for cations, anions, *rest in published.table("pairs.csv")
    )


@cache
def unknown_pairs(ions: frozenset[str]) -> tuple[tuple[str, str], ...]:
    """Pairs among these ions of which nobody has told the app whether their salt dissolves."""
    known = species.ions()
    cations = sorted(ion for ion in ions if known[ion].charge > 0 and ion not in _ALWAYS)
    anions = sorted(ion for ion in ions if known[ion].charge < 0 and ion not in _ALWAYS)
    pairs = [(one, other) for one in cations for other in anions]
    return tuple(pair for pair in pairs if not _is_known(*pair))


def _is_known(cation: str, anion: str) -> bool:
    # The rules first: they are quick to read, and most pairs of a beaker are in them.
    kinds = [row.kind for row in _rows() if row.fits(cation, anion)]
    return kinds[-1:] not in ([], [NOT_KNOWN]) or verdict(cation, anion).kind != NOT_KNOWN


def doubt(cation: str, anion: str) -> str:
    """The doubt about a pair in a sentence.

    >>> doubt("Bi+3", "SO3-2")
    'nobody has told the app whether bismuth(III) sulfite dissolves'
    """
    names = [species.ions()[ion].name.removesuffix(" ion") for ion in (cation, anion)]
    return f"nobody has told the app whether {' '.join(names)} dissolves"
