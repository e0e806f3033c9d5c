"""What a reagent must never be mixed with, and what only with care: every other reagent in use, with the
reason."""

from collections.abc import Iterable
from dataclasses import dataclass

from stockroom.hazards.reactivity import reactivity_of, reagent_items
from stockroom.inventory.models import Reagent
from stockroom.safety.groups import NOT_KNOWN, STATE_WORDS
from stockroom.safety.storage import (
    MIX,
    SEVERITIES,
    UNKNOWN_RULE,
    Finding,
    Item,
    findings,
    reactivity_groups,
)

_CAUTION = SEVERITIES[-1]


@dataclass(frozen=True)
class Reason:
    """One thing that happens, by one rule, and the reagents (pk, name) with which it does."""

    finding: Finding
    others: tuple[tuple[int, str], ...]


@dataclass(frozen=True)
class Trait:
    """One reactivity group of a reagent: its definition, and why it is in it."""

    group: str
    definition: str
    why: str


@dataclass(frozen=True)
class Companions:
    """Reasons, most serious first. Each other reagent is in one of them, under the most serious effect.

    `unknown` names reagents of which too little is written down to say; `missing` what of this one is.
    """

    never: tuple[Reason, ...]
    careful: tuple[Reason, ...]
    unknown: tuple[tuple[int, str], ...]
    traits: tuple[Trait, ...]
    missing: tuple[str, ...]


def companions_of(reagent: Reagent) -> Companions:
    """All other reagents in use against this one. Some ten queries, however many there are."""
    items = reagent_items(Reagent.objects.filter(retired_on=None) | Reagent.objects.filter(pk=reagent.pk))
    mine = items.pop(reagent.pk)
    found = reactivity_of(reagent)
    reasons, unknown = _reasons(mine, items.values())
    return Companions(
        tuple(one for one in reasons if one.finding.severity != _CAUTION),
        tuple(one for one in reasons if one.finding.severity == _CAUTION),
        tuple(unknown),
        tuple(_trait(group, found.why(group) or "written down") for group in sorted(mine.groups)),
        found.unknown,
    )


def _reasons(mine: Item, others: Iterable[Item]) -> tuple[list[Reason], list[tuple[int, str]]]:
    by_finding: dict[Finding, list[tuple[int, str]]] = {}
    for other in others:
        if worst := findings(mine, other, MIX):
            by_finding.setdefault(worst[0], []).append((int(other.reagent_key), other.name))
    unknown = [pair for one, pairs in by_finding.items() if one.rule == UNKNOWN_RULE for pair in pairs]
    known = [(one, pairs) for one, pairs in by_finding.items() if one.rule != UNKNOWN_RULE]
    known.sort(key=lambda row: (SEVERITIES.index(row[0].severity), -len(row[1]), row[0].rule))
    return [Reason(one, tuple(sorted(pairs, key=lambda pair: pair[1]))) for one, pairs in known], unknown


def _trait(group: str, why: str) -> Trait:
    if group == NOT_KNOWN:
        return Trait(group, "Part of it is not known: treated as hazardous.", why)
    return Trait(group, reactivity_groups().get(group, ""), "" if group in STATE_WORDS else why)
