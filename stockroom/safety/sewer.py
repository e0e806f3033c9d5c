"""Whether something may go to the sewer, and which way it should go instead.

The prohibitions of 40 CFR 403.5(b). In doubt it is collected: nothing goes to the drain unless the department
has written down that its authority allows it.
"""

from dataclasses import dataclass
from datetime import date
from functools import cache

from stockroom.chemistry.formula import parse_formula
from stockroom.chemistry.residue import Dissolved, Solid
from stockroom.safety.published import rows, words
from stockroom.safety.waste import (
    TRACE_PERCENT,
    Waste,
    WasteRules,
    atoms_of,
    characterise,
    flash_point_c,
    harmless_organics,
    known_as,
    substances,
    table_by_formula,
)

#: the way of whatever is not plainly allowed
COLLECT = "collect"
#: a share by weight below which an organic substance is no bar: an indicator, say. Own rule
_FAINT_PERCENT = 0.01
_CARBONATES = {("CO3", -2), ("CHO3", -1), ("CO2", 0), ("CH2O3", 0)}


@dataclass(frozen=True)
class Barrier:
    """One reason why something may not go to the sewer."""

    key: str
    why: str
    source: str


@dataclass(frozen=True)
class SewerPermission:
    """What the department has written down about its sewer authority: who, when, and where to read it.

    `covers`: what it allows, in the words of the letter. No rule can read them: a person must.
    `after_neutralising`: whether that leave also takes what is brought to a neutral pH first.
    """

    allowed: bool = False
    reference: str = ""
    recorded_by: str = ""
    recorded_on: date | None = None
    after_neutralising: bool = True
    covers: str = ""


@dataclass(frozen=True)
class Route:
    """Where it should go: `way` is "collect", "drain" or "neutralise"; the last means drain after that.

    `steps` are what to do, in order; `reasons` why not simply to the drain. `covers`: the words of the letter
    that would open the drain, for somebody to hold the waste against.
    """

    way: str
    steps: tuple[str, ...]
    reasons: tuple[Barrier, ...] = ()
    note: str = ""
    covers: str = ""


def _barrier(key: str, detail: str = "") -> Barrier:
    row = next(row for row in rows("sewer") if row["key"] == key)
    return Barrier(key, f"{row['why']}: {detail}" if detail else row["why"], row["source"])


@cache
def _drain_elements() -> frozenset[str]:
    return frozenset(row["key"] for row in rows("drainable") if row["kind"] == "element")


def sewer_barriers(waste: Waste, rules: WasteRules | None = None) -> tuple[Barrier, ...]:
    """Every reason against the sewer: 40 CFR 403.5(b), and an own, stricter list of what is harmless."""
    rules = rules or WasteRules()
    residue, character = waste.residue, characterise(waste, rules)
    found = [_barrier("hazardous", f"{code.code}, {code.why}") for code in character.codes]
    found += [_barrier("unknown", what) for what in character.undetermined]
    found += _fire_barriers(waste, rules)
    if residue.ph is not None and residue.ph < rules.sewer_ph_low:
        found.append(_barrier("acid", f"pH {residue.ph:.1f}"))
    if residue.ph is not None and residue.ph > rules.sewer_ph_high:
        found.append(_barrier("base", f"pH {residue.ph:.1f}, limit {rules.sewer_ph_high:g}"))
    if residue.undissolved:
        found.append(_barrier("solids", ", ".join(solid.name for solid in residue.undissolved)))
    if residue.temperature_c > rules.sewer_hot_c:
        found.append(_barrier("heat", f"{residue.temperature_c:.0f} °C"))
    return (*found, *_substance_barriers(waste))


def _fire_barriers(waste: Waste, rules: WasteRules) -> list[Barrier]:
    """403.5(b)(1) knows no exclusion for alcohol in water: only a share known to be harmless passes."""
    if waste.flash_point_c is not None:
        low = waste.flash_point_c < rules.ignitable_below_c
        return [_barrier("fire", f"{waste.flash_point_c:g} °C, measured")] if low else []
    return [
        _barrier("fire", f"{organic.percent_w_w:g} % {organic.name}")
        for organic in waste.residue.organics
        if (flash_point_c(organic.cas) or 1e3) < rules.ignitable_below_c
        and organic.percent_w_w > harmless_organics().get(organic.cas, TRACE_PERCENT)
    ]


def _substance_barriers(waste: Waste) -> list[Barrier]:
    found, elements = [], set()
    for one in substances(waste.residue):
        row = table_by_formula("gas_formers").get(known_as(one.formula))
        if row:
            found.append(_barrier(row["key"], row["gas"]))
        oxidiser = table_by_formula("oxidisers").get(known_as(one.formula))
        if oxidiser and oxidiser["drain"] == "no":
            found.append(_barrier("oxidiser", one.name))
        atoms = atoms_of(one.formula) or {}
        elements |= set(atoms) - _drain_elements()
        if "C" in atoms and known_as(one.formula) not in _CARBONATES:
            found += _organic_barriers(one, waste)
    found += [_barrier("element", symbol) for symbol in sorted(elements)]
    for organic in waste.residue.organics:
        most = harmless_organics().get(organic.cas, _FAINT_PERCENT)
        if organic.percent_w_w > most:
            found.append(_barrier("organic", f"{organic.name}, more than {most:g} %"))
    return found


def _organic_barriers(one: Dissolved | Solid, waste: Waste) -> list[Barrier]:
    """What is dissolved passes where it is known to be harmless and weak enough (grams in 100 mL)."""
    most = harmless_organics().get(one.cas, _harmless_ions().get(known_as(one.formula), _FAINT_PERCENT))
    grams = one.mol * parse_formula(one.formula).molar_mass
    if waste.residue.volume_ul > 0 and grams / (waste.residue.volume_ul * 1e-5) <= most:
        return []
    return [_barrier("organic", f"{one.name}, more than {most:g} %")]


@cache
def _harmless_ions() -> dict[tuple[str, int] | None, float]:
    return {
        known_as(formula): float(row["most_percent"])
        for row in rows("drainable")
        for formula in words(row["formulas"])
    }


def _collect(reasons: tuple[Barrier, ...], rules: WasteRules) -> Route:
    return Route(COLLECT, ("Collect it in a labeled container of its stream.",), reasons, rules.note)


def propose_route(
    waste: Waste, permission: SewerPermission | None = None, rules: WasteRules | None = None
) -> Route:
    """Collect, unless the authority allows the drain and nothing but pH or heat is against it.

    How much neutraliser it takes is for the chemistry to say; here only that it is to be done, to what pH.
    """
    rules = rules or WasteRules()
    reasons = sewer_barriers(waste, rules)
    curable = all(
        barrier.key in ("acid", "base", "heat") or (barrier.key == "hazardous" and "D002" in barrier.why)
        for barrier in reasons
    )
    if not curable or permission is None or not permission.allowed:
        if not reasons:
            reasons = (Barrier("permission", "no leave of the sewer authority is written down", "own rule"),)
        return _collect(reasons, rules)
    ph_wrong = any(barrier.key in ("acid", "base", "hazardous") for barrier in reasons)
    if ph_wrong and not permission.after_neutralising:
        why = "the sewer authority's leave does not speak of what is neutralised first"
        return _collect((*reasons, Barrier("permission", why, permission.reference)), rules)
    written = f" ({permission.reference})" if permission.reference else ""
    steps = [
        f"Read whether the sewer authority's letter{written} covers this very waste; if not, collect it.",
        "Rinse it to the drain with plenty of water.",
    ]
    if any(barrier.key == "heat" for barrier in reasons):
        steps.insert(1, f"Let it cool below {rules.sewer_hot_c:g} °C.")
    if ph_wrong:
        low, high = max(rules.sewer_ph_low, 6.0), min(rules.sewer_ph_high, 9.0)
        steps.insert(1, f"Neutralise slowly, stirring, to pH {low:g} to {high:g}; test with paper.")
    way = "neutralise" if ph_wrong else "drain"
    return Route(way, tuple(steps), reasons, rules.note, permission.covers)
