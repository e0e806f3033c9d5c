"""Sorts what a demonstration says to beware of: what must not come together, and everything else.

Pure. Own rule, no source: a sentence is about mixing where it forbids (never, not, no, keep away) that a
substance meets something. In doubt it stays among the general cautions, where it is still read.
"""

import re
from functools import cache

from stockroom.chemistry import species

#: kinds of substances, as people call them
_KINDS = (
    *("acid", "acids", "base", "bases", "alkali", "alkalis", "bleach", "hypochlorite", "hypochlorites"),
    *("ammonia", "chlorine", "bromine", "iodine", "oxidizer", "oxidizers", "oxidiser", "oxidisers"),
    *("peroxide", "peroxides", "solvent", "solvents", "alcohol", "alcohols", "ethanol", "acetone"),
    *("organics", "metal", "metals", "carbonate", "carbonates", "cyanide", "cyanides", "sulfide"),
    *("sulfides", "water", "fuel", "fuels", "glycerol"),
)
_SENTENCE = re.compile(r"(?<=[.!?])\s+|\n+")
#: names of this table that are everyday words or prove nothing
_LEAST_LETTERS = 5


@cache
def _named() -> str:
    """An alternation of every word for a substance: kinds, and the ions of the beaker without "ion"."""
    ions = {re.sub(r"\(.*?\)| ion$", "", ion.name).strip().lower() for ion in species.ions().values()}
    names = {*_KINDS, *(name for name in ions if len(name) >= _LEAST_LETTERS)}
    return "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))


@cache
def _forbidding() -> re.Pattern:
    """Sentences that keep substances from each other."""
    some = rf"\b(?:{_named()})\b"
    forbids = r"\b(?:never|do not|don't|must not|may not|nor|not|no)\b"
    return re.compile(
        "|".join(
            (
                rf"{forbids}[^.;:]*\b(?:mix|mixed|combine|combined|add|added)\b[^.;]*{some}",
                rf"{some}[^.;:]*{forbids}[^.;:]*\b(?:mix|mixed|combine|combined|meet|be added)\b",
                rf"{forbids}[^.;:]*\bpour\b[^.;:]*\b(?:in|into|on|onto|to|with)\b[^.;:]*{some}",
                rf"{forbids}[^.;:]*\b(?:contact with|together with|meet|let [^.;:]* touch)\b[^.;]*{some}",
                rf"\bno\s+(?:\w+\s+){{0,2}}{some}\s+(?:in|into|near|with|around|beside)\b",
                rf"\bkeep\b[^.;:]*\b(?:away|apart|separate|out)\b[^.;:]*{some}",
                rf"\bkeep\b[^.;:]*{some}[^.;:]*\b(?:away|apart|separate|out)\b",
                rf"\bincompatible with\b[^.;:]*{some}",
            )
        ),
        re.IGNORECASE,
    )


def sort(text: str) -> tuple[str, str]:
    """(what must not be mixed, general cautions), each the sentences of `text` in their order.

    >>> sort("Add it slowly. Never mix it with bleach.")
    ('Never mix it with bleach.', 'Add it slowly.')
    """
    sentences = [part.strip() for part in _SENTENCE.split(text) if part.strip()]
    apart = [one for one in sentences if _forbidding().search(one)]
    return " ".join(apart), " ".join(one for one in sentences if one not in apart)
