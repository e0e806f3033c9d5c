"""Gases that may come off where reagents meet, with the classes that say what they do to people."""

from dataclasses import dataclass
from functools import cache

from stockroom.safety.published import rows, words

SOURCES = {
    "clp": "Regulation (EC) No 1272/2008, Annex VI, Table 3; from memory",
    "osha": "29 CFR 1910.1200(c), simple asphyxiant",
    "from_memory": "from memory",
}


@dataclass(frozen=True)
class Gas:
    """A gas by its formula as an equation names it; `classes` are keys of the class table."""

    formula: str
    name: str
    classes: tuple[str, ...]
    source: str


@cache
def gases() -> dict[str, Gas]:
    """Every gas of tables/gases.csv by formula."""
    return {
        row["formula"]: Gas(row["formula"], row["name"], words(row["classes"]), SOURCES[row["source"]])
        for row in rows("gases")
    }
