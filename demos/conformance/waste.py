"""Cases of waste: may this be poured into a container that holds that already?

The container stands for the stream that the app itself names for what it holds, and has room enough.
"""

import re
from decimal import Decimal

from demos.conformance import HOLDS, WRONG, CaseError, Row, Verdict
from stockroom.catalogue.loader import load
from stockroom.catalogue.portions import portion_of
from stockroom.chemistry.quantity import MASS, VOLUME, QuantityError, parse_amount
from stockroom.safety.discarded import waste_of
from stockroom.safety.joining import WasteVessel, may_join
from stockroom.safety.streams import stream_for
from stockroom.safety.together import together
from stockroom.safety.waste import Waste

COLUMNS = frozenset({"add", "held", "expect"})
JOIN, REFUSE = "join", "refuse"
_PORTION = re.compile(r"(\S+)\s+(.+)")


def hold(row: Row) -> Verdict:
    """Whether the app lets join what the case says may, and refuses the rest. Raises CaseError."""
    expected = row["expect"]
    if expected not in (JOIN, REFUSE):
        raise CaseError(f"“{expected}” is neither {JOIN} nor {REFUSE}")
    added = portion(row["add"])
    held = [portion(text) for text in row["held"].split(";") if text.strip()]
    if not held:
        raise CaseError("say what the container holds")
    stream, _ = stream_for(together(held))
    found = may_join(added, WasteVessel(stream.key, tuple(held), amount=0, capacity=10**15), 1)
    said = JOIN if found.ok else REFUSE
    words = f"{said}, into “{stream.name}”. {' '.join(found.reasons)}".strip()
    why = f"{expected}: {row['why']}" if row.get("why") else expected
    return Verdict(HOLDS if said == expected else WRONG, why, words)


def portion(text: str) -> Waste:
    """ "hydrochloric_acid_1m 100 mL" as waste. Raises CaseError."""
    match = _PORTION.fullmatch(text.strip())
    if not match:
        raise CaseError(f"“{text}” is not a reagent of the catalog and an amount")
    key, amount = match.groups()
    row = load().reagents.get(key)
    if row is None:
        raise CaseError(f"the catalog has no reagent “{key}”")
    made = portion_of(row, _amount(amount, row.measure, row.density))
    return waste_of(
        made,
        frozenset(row.groups),
        frozenset(row.hazard_classes),
        kind=row.kind,
        classified=row.classified,
    )


def _amount(text: str, measure: str, density: Decimal | None) -> int:
    """Base units of the reagent's own measure; between grams and milliliters by its density."""
    try:
        return parse_amount(text, measure)
    except QuantityError as error:
        other = {VOLUME: MASS, MASS: VOLUME}.get(measure)
        if other is None or not density:
            raise CaseError(str(error)) from error
    try:
        given = parse_amount(text, other)
    except QuantityError as error:
        raise CaseError(str(error)) from error
    # g/mL is microgram a microliter times 1000.
    return round(given / (density * 1000) if measure == VOLUME else given * density * 1000)
