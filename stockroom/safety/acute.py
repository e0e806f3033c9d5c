"""Acute toxicity of a mixture by the additivity formula."""

from stockroom.safety.concentrations import in_solution
from stockroom.safety.mixture import Constituent, Finding, Mixture, figure, reaches

# UN GHS Table 3.1.1, 29 CFR 1910.1200 App. A Table A.1.1: upper end of categories 1 to 4 (mg/kg, ppm, mg/L).
UPPER = {
    "oral": (5, 50, 300, 2000),
    "dermal": (50, 200, 1000, 2000),
    "gas": (100, 500, 2500, 20000),
    "vapour": (0.5, 2.0, 10.0, 20.0),
    "mist": (0.05, 0.5, 1.0, 5.0),
}
# UN GHS Table 3.1.2 and App. A Table A.1.2: what a category counts as in the formula.
CONVERTED = {
    "oral": (0.5, 5, 100, 500),
    "dermal": (5, 50, 300, 1100),
    "gas": (10, 100, 700, 4500),
    "vapour": (0.05, 0.5, 3, 11),
    "mist": (0.005, 0.05, 0.5, 1.5),
}
# UN GHS category 5 ends at 5000 mg/kg; a known value between is counted, as in the UN's own worked examples.
_STILL_COUNTED = {"oral": 5000, "dermal": 5000}
_UNIT = {"oral": "mg/kg", "dermal": "mg/kg", "gas": "ppm", "vapour": "mg/L", "mist": "mg/L"}
_SOURCE = "UN GHS 3.1.3.6 and 29 CFR 1910.1200 App. A.1.3.6, formula for acute toxicity estimates"
_CLASS_ROUTE = {
    "oral": "oral",
    "dermal": "dermal",
    "gas": "inhalation",
    "vapour": "inhalation",
    "mist": "inhalation",
}


def category(route: str, ate: float) -> int | None:
    """Category 1 to 4 of an acute toxicity estimate, None where it is above all of them."""
    for number, upper in enumerate(UPPER[route], start=1):
        if ate <= upper:
            return number
    return None


def estimate(constituent: Constituent, route: str) -> float | None:
    """The constituent's estimate: given, else converted from its class, else None (not acutely toxic)."""
    given = dict(constituent.ate).get(route)
    if given is not None:
        return given if given <= _STILL_COUNTED.get(route, UPPER[route][-1]) else None
    if _CLASS_ROUTE[route] == "inhalation" and constituent.inhalation_form != route:
        return None
    start = f"acute_tox_{_CLASS_ROUTE[route]}_"
    categories = [int(key.removeprefix(start)) for key in constituent.classes or () if key.startswith(start)]
    return CONVERTED[route][min(categories) - 1] if categories else None


def ate_of_mixture(shares: list[tuple[float, float]], unknown_percent: float = 0.0) -> float | None:
    """Acute toxicity estimate of a mixture, in the unit of its constituents' estimates.

    shares: (percent, estimate) of every acutely toxic constituent. None where there is none.
    100 / ATEmix = sum(C / ATE); where more than 10 % is unknown, 100 - unknown takes the place of 100.
    Source: UN GHS 3.1.3.6.1 and 3.1.3.6.2.3.

    >>> round(ate_of_mixture([(26, 2737), (23, 4500), (40, 400)]))
    873
    """
    total = sum(percent / ate for percent, ate in shares)
    if not total:
        return None
    return (100 - (unknown_percent if unknown_percent > 10 else 0)) / total


def _counts(percent: float, ate: float, route: str) -> bool:
    # Regulation (EC) 1272/2008 Annex I Table 1.1: 0.1 % for categories 1 to 3, 1 % for the rest.
    toxic = (category(route, ate) or 5) <= 3
    return reaches(percent, 0.1 if toxic else 1.0)


def _unknown(mixture: Mixture, route: str) -> float:
    return sum(
        part.percent
        for part in mixture.constituents
        if reaches(part.percent, 1)
        and (part.classes is None or {route, _CLASS_ROUTE[route]} & set(part.no_data))
    )


def acute_toxicity(mixture: Mixture) -> list[Finding]:
    """One line a route that any constituent is toxic by; the share of unknown toxicity stated."""
    found = []
    for route in UPPER:
        shares = [
            (part.percent, ate)
            for part in mixture.constituents
            if not (route == "gas" and in_solution(mixture, part))
            and (ate := estimate(part, route)) is not None
            and _counts(part.percent, ate, route)
        ]
        unknown = _unknown(mixture, route)
        mixed = ate_of_mixture(shares, unknown)
        if mixed is not None:
            found.append(_line(route, mixed, unknown))
    return found


def _line(route: str, mixed: float, unknown: float) -> Finding:
    number = category(route, mixed)
    verdict = f"category {number}" if number else "not classified"
    text = f"Acute toxicity, {route}: estimate {figure(mixed)} {_UNIT[route]}: {verdict}"
    missing = ""
    if unknown:
        missing = f"{figure(unknown)} % of the mixture is of unknown acute toxicity ({route})"
        text = f"{text}; {missing}"
    classes = (f"acute_tox_{_CLASS_ROUTE[route]}_{number}",) if number else ()
    return Finding(text, _SOURCE, classes, missing)
