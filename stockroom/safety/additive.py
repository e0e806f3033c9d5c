"""Classes for which the constituents' amounts are added up: skin, eyes, airways, aspiration, aquatic life.

Every constituent counts as its percentage over the limit at which it alone would give the class; from a sum
of 1 on the mixture has it. For generic limits that is the table of 29 CFR 1910.1200 App. A.2.4.3 (5 %, 10 %,
the factor of 10 included); a specific limit takes its place (Regulation (EC) 1272/2008 Annex I 3.2.3.3.2).
"""

from collections.abc import Callable
from math import inf

from stockroom.safety.concentrations import m_factor, specific_limits
from stockroom.safety.mixture import US, Constituent, Finding, Mixture, figure, reaches

_SKIN = "UN GHS 3.2.3.3 and 29 CFR 1910.1200 App. A.2.4.3; specific limits: table"
_EYE = "UN GHS 3.3.3.3 and 29 CFR 1910.1200 App. A.3.4.3; specific limits: table"
_PH = "UN GHS 3.2.3.1.2 and 3.3.3.1.2; reserve: Young et al., Toxicology in Vitro 2 (1988) 19; from memory"
_AIRWAYS = "29 CFR 1910.1200 App. A.8.3.4 (20 %); specific limits: table; from memory"
_ASPIRATION = "29 CFR 1910.1200 App. A.10.3.3: 10 % and at most 20.5 mm2/s at 40 °C; from memory"
_AQUATIC = "UN GHS 4.1.3.5.5, tables 4.1.3 and 4.1.4; from memory"

#: Taken where nobody has given the M-factor of a category 1 chemical: common practice, no source; cautious.
UNKNOWN_M = 10.0

#: hydrogen peroxide: the limits of Annex VI rest on tests of its solutions; from memory
_TESTED_IN_SOLUTION = ("7722-84-1",)

_CORROSIVE = ("skin_corr_1a", "skin_corr_1b", "skin_corr_1c", "skin_corr_1")


def _share(mixture: Mixture, limit_of: Callable[[Constituent], float]) -> tuple[float, list[str]]:
    total, words = 0.0, []
    for part in mixture.constituents:
        limit = limit_of(part)
        if limit < inf and reaches(part.percent, min(1.0, limit)):
            total += part.percent / limit
            words.append(f"{part.name} {figure(part.percent)} % of {limit:g} %")
    return total, words


def _strong(mixture: Mixture, part: Constituent) -> bool:
    """An acid or base for which adding up may not hold (App. A.2.4.3.4), unless its pH is mild."""
    return part.kind in ("acids", "bases") and (mixture.ph is None or mixture.extreme_ph)


def _generic_too(mixture: Mixture, part: Constituent) -> bool:
    """Whether the generic limit holds beside a looser specific one: 29 CFR 1910.1200 App. A knows no other.

    Not where data on the solution itself say otherwise (App. A.0.5.1): an acid or base whose pH is mild, and
    what was tested at those strengths.
    """
    if mixture.limits != US or part.cas in _TESTED_IN_SOLUTION:
        return False
    return part.kind not in ("acids", "bases") or _strong(mixture, part)


def _stricter(mixture: Mixture, part: Constituent, specific: float | None, generic: float) -> float:
    if specific is None:
        return generic
    return min(specific, generic) if _generic_too(mixture, part) else specific


def _corrosive_limit(mixture: Mixture, target: str) -> Callable[[Constituent], float]:
    wanted = _CORROSIVE[: _CORROSIVE.index(target) + 1]

    def limit(part: Constituent) -> float:
        rows = specific_limits(part.cas, "skin_corr")
        specific = min((row.start for row in rows if row.class_key in wanted), default=inf) if rows else None
        generic = inf
        if any(key in wanted for key in part.classes or ()):
            generic = 1.0 if _strong(mixture, part) else 5.0
        if specific is not None and target != "skin_corr_1":
            # App. A.2.4.3 gives no sub-category below the limits that tell one.
            return specific
        return _stricter(mixture, part, specific, generic)

    return limit


def _skin_irritant_limit(mixture: Mixture) -> Callable[[Constituent], float]:
    def limit(part: Constituent) -> float:
        specific = specific_limits(part.cas, "skin_irrit")
        if specific:
            return min(row.start for row in specific)
        if specific_limits(part.cas, "skin_corr") or part.has("skin_corr"):
            return 1.0
        if part.has("skin_irrit"):
            return 3.0 if _strong(mixture, part) else 10.0
        return inf

    return limit


def skin(mixture: Mixture) -> list[Finding]:
    """Skin corrosion, else skin irritation."""
    for target in _CORROSIVE:
        total, words = _share(mixture, _corrosive_limit(mixture, target))
        if reaches(total, 1):
            return [Finding(f"Skin corrosion: {_sum(words, total)}: corrosive", _SKIN, (target,))]
    total, words = _share(mixture, _skin_irritant_limit(mixture))
    if reaches(total, 1):
        return [Finding(f"Skin irritation: {_sum(words, total)}: irritant", _SKIN, ("skin_irrit_2",))]
    if words:
        return [Finding(f"Skin: {_sum(words, total)}: below the limits", _SKIN)]
    return []


def _eye_damage_limit(mixture: Mixture) -> Callable[[Constituent], float]:
    def limit(part: Constituent) -> float:
        generic = inf
        if part.has("skin_corr", "eye_dam") or specific_limits(part.cas, "skin_corr"):
            generic = 1.0 if _strong(mixture, part) else 3.0
        return _stricter(mixture, part, _specific_eye_damage(part), generic)

    return limit


def _specific_eye_damage(part: Constituent) -> float | None:
    damage = specific_limits(part.cas, "eye_dam")
    irritation = specific_limits(part.cas, "eye_irrit")
    if damage:
        return min(row.start for row in damage)
    # No row of its own: the damage begins where the irritation ends.
    return max(row.below or inf for row in irritation) if irritation else None


def _eye_irritant_limit(mixture: Mixture) -> Callable[[Constituent], float]:
    def limit(part: Constituent) -> float:
        specific = specific_limits(part.cas, "eye_irrit")
        if specific:
            return min(row.start for row in specific)
        if part.has("skin_corr", "eye_dam") or specific_limits(part.cas, "skin_corr", "eye_dam"):
            return 1.0
        if part.has("eye_irrit"):
            return 3.0 if _strong(mixture, part) else 10.0
        return inf

    return limit


def eyes(mixture: Mixture) -> list[Finding]:
    """Serious eye damage, else eye irritation."""
    total, words = _share(mixture, _eye_damage_limit(mixture))
    if reaches(total, 1):
        return [Finding(f"Eye damage: {_sum(words, total)}: serious eye damage", _EYE, ("eye_dam_1",))]
    total, words = _share(mixture, _eye_irritant_limit(mixture))
    if reaches(total, 1):
        return [Finding(f"Eye irritation: {_sum(words, total)}: irritant", _EYE, (_eye_category(mixture),))]
    if words:
        return [Finding(f"Eyes: {_sum(words, total)}: below the limits", _EYE)]
    return []


def _eye_category(mixture: Mixture) -> str:
    classes = {
        key
        for part in mixture.constituents
        for key in part.classes or ()
        if key.startswith(("eye", "skin_corr"))
    }
    specific = any(specific_limits(part.cas, "eye", "skin_corr") for part in mixture.constituents)
    return "eye_irrit_2b" if classes == {"eye_irrit_2b"} and not specific else "eye_irrit_2a"


def extreme_ph(mixture: Mixture) -> list[Finding]:
    """pH at most 2 or at least 11.5, tempered by the acid or alkali reserve where that is known."""
    if mixture.ph is None:
        return _ph_unknown(mixture)
    if not mixture.extreme_ph:
        return []
    ph = f"pH {mixture.ph:.1f}"
    touching = [
        part
        for part in mixture.constituents
        if part.kind in ("acids", "bases") or part.has("skin", "eye_dam") or specific_limits(part.cas, "skin")
    ]
    specific = touching and all(specific_limits(part.cas, "skin_corr") for part in touching)
    if specific and mixture.limits != US:
        return [
            Finding(f"{ph} is extreme, but all that makes it so has specific limits, and they decide", _PH)
        ]
    if mixture.reserve is None:
        text = f"{ph} is extreme and the acid or alkali reserve is not known: counts as corrosive"
        return [Finding(text, _PH, ("skin_corr_1", "eye_dam_1"), "acid or alkali reserve")]
    acid = mixture.ph <= 2
    index = mixture.ph - mixture.reserve / 12 if acid else mixture.ph + mixture.reserve / 12
    if (index <= -0.5) if acid else reaches(index, 14.5):
        text = f"{ph} with a reserve of {figure(mixture.reserve)} g/100 g: index {figure(index)}: corrosive"
        return [Finding(text, _PH, ("skin_corr_1", "eye_dam_1"))]
    if specific:
        text = f"{ph} is extreme, but the reserve is small and the limits of what makes it so are not reached"
        return [Finding(text, _PH)]
    text = (
        f"{ph} is extreme, with a reserve of only {figure(mixture.reserve)} g/100 g (index {figure(index)}): "
        "kept as irritant until a test says otherwise"
    )
    return [Finding(text, _PH, ("skin_irrit_2", "eye_irrit_2a"), "skin test of the mixture")]


def _ph_unknown(mixture: Mixture) -> list[Finding]:
    names = [
        part.name
        for part in mixture.constituents
        if part.kind in ("acids", "bases") and not specific_limits(part.cas, "skin_corr")
    ]
    if not names or mixture.state != "liquid":
        return []
    text = f"pH not known: {', '.join(names)} may make it extreme, and an extreme pH counts as corrosive"
    return [Finding(text, _PH, (), "pH of the mixture")]


def airways_and_narcosis(mixture: Mixture) -> list[Finding]:
    """Target organ toxicity category 3: respiratory irritation and narcosis, each added up for itself."""
    found = []
    for key, words_for in (
        ("stot_se_3_irritation", "Respiratory irritation"),
        ("stot_se_3_narcosis", "Narcotic effects"),
    ):

        def limit(part: Constituent, key: str = key) -> float:
            specific = specific_limits(part.cas, key)
            if specific:
                return min(row.start for row in specific)
            return 20.0 if part.has(key) else inf

        total, words = _share(mixture, limit)
        if reaches(total, 1):
            found.append(Finding(f"{words_for}: {_sum(words, total)}", _AIRWAYS, (key,)))
        elif words:
            found.append(Finding(f"{words_for}: {_sum(words, total)}: below the limit", _AIRWAYS))
    return found


def aspiration(mixture: Mixture) -> list[Finding]:
    """Aspiration hazard; an unknown viscosity counts as thin."""
    total = sum(
        part.percent for part in mixture.constituents if part.has("asp_tox") and reaches(part.percent, 1)
    )
    if not total or mixture.state != "liquid":
        return []
    text = f"Aspiration hazard: {figure(total)} % of 10 %"
    if not reaches(total, 10):
        return [Finding(f"{text}: below the limit", _ASPIRATION)]
    if mixture.viscosity_mm2_s is None:
        text = f"{text}; viscosity not known, taken as thin"
        return [Finding(text, _ASPIRATION, ("asp_tox_1",), "kinematic viscosity at 40 °C")]
    thin = mixture.viscosity_mm2_s <= 20.5
    text = (
        f"{text}; {figure(mixture.viscosity_mm2_s)} mm2/s at 40 °C: {'classified' if thin else 'too thick'}"
    )
    return [Finding(text, _ASPIRATION, ("asp_tox_1",) if thin else ())]


def aquatic(mixture: Mixture) -> list[Finding]:
    """Hazard to aquatic life, short term and long term, by the summation method."""
    return [*_aquatic(mixture, "acute", 3), *_aquatic(mixture, "chronic", 4)]


def _aquatic(mixture: Mixture, effect: str, categories: int) -> list[Finding]:
    amounts, missing = [], ""
    for number in range(1, categories + 1):
        amount = 0.0
        for part in mixture.constituents:
            if f"aquatic_{effect}_{number}" not in (part.classes or ()):
                continue
            factor = m_factor(part, effect) if number == 1 else 1.0
            if factor is None:
                factor, missing = UNKNOWN_M, f"M-factor of {part.name} ({effect}); {UNKNOWN_M:g} taken"
            if reaches(part.percent * factor, 0.1 if number == 1 else 1.0):
                amount += part.percent * factor
        amounts.append(amount)
    if not any(amounts):
        return []
    for number in range(1, categories + 1):
        total = sum(10.0 ** (number - place) * amounts[place - 1] for place in range(1, number + 1))
        if number == 4:
            total = sum(amounts)
        if reaches(total, 25):
            text = f"Aquatic, {effect}: weighted sum {figure(total)} % of 25 %: category {number}"
            return [Finding(text, _AQUATIC, (f"aquatic_{effect}_{number}",), missing)]
    return [Finding(f"Aquatic, {effect}: weighted sum {figure(total)} % of 25 %", _AQUATIC, (), missing)]


def _sum(words: list[str], total: float) -> str:
    return f"{'; '.join(words)}: shares add up to {figure(total)}"
