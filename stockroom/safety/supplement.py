"""What a label should say beyond the hazard classes: "Contact with acids liberates toxic gas".

The EUH statements of Regulation (EC) 1272/2008 Annex II. OSHA does not ask for them and allows them (29 CFR
1910.1200 App. C.3, supplemental information).
"""

from collections.abc import Iterable
from dataclasses import dataclass

from stockroom.safety.mixture import reaches
from stockroom.safety.published import rows


@dataclass(frozen=True)
class Supplement:
    """One statement, with its code and where it is from."""

    code: str
    text: str
    source: str


def supplemental(parts: Iterable[tuple[str, float | None]]) -> tuple[Supplement, ...]:
    """The statements of what holds these (CAS RN, % by weight); None, a strength not known, counts as pure.

    >>> [one.code for one in supplemental([("7681-52-9", 10.0)])]
    ['EUH031']
    """
    held = {}
    for cas, percent in parts:
        held[cas] = held.get(cas, 0) + (100 if percent is None else percent)
    found = {
        row["code"]: Supplement(row["code"], row["text"], row["source"])
        for row in reversed(rows("supplemental"))
        if row["cas"] in held and reaches(held[row["cas"]], float(row["from_percent"]))
    }
    return tuple(found[code] for code in sorted(found))
