"""Physical hazards of a mixture: what can be said without a test, and what stays until there is one."""

from stockroom.safety.concentrations import Limit, aqueous_flash_point, in_solution, specific_limits
from stockroom.safety.mixture import Constituent, Finding, Mixture, figure, reaches

WATER_CAS = "7732-18-5"

_FLAMMABLE = "UN GHS Table 2.6.1 and 29 CFR 1910.1200 App. B Table B.6.1"
_UNTESTED = (
    "UN GHS 1.3.2.3: physical hazards are tested; "
    "kept from the constituent until then: common practice, no source"
)
_OXIDISING = (
    "Common practice, no source: an oxidizing solid from 10 % (w/w) in water counts as an oxidizing liquid"
)
_METALS = "Common practice, no source: kept from 0.3 % (w/w) until tested (UN GHS 2.16 has no mixture rule)"

# Classes that a constituent hands on to the mixture until somebody tests it.
_HANDED_ON = (
    "expl_",
    "self_react",
    "org_perox",
    "pyr_",
    "self_heat",
    "water_react",
    "desens_expl",
    "ozone",
)
_GASES = ("flam_gas", "ox_gas", "press_gas", "simple_asphyxiant", "aerosol", "chem_press")
_SOLIDS = ("flam_sol", "combustible_dust")


def flammable_category(flash_point_c: float, boiling_point_c: float | None) -> int | None:
    """Category 1 to 4 of a flammable liquid, None above 93 °C; no boiling point counts as above 35 °C.

    Source: UN GHS Table 2.6.1, 29 CFR 1910.1200 App. B.6.
    """
    if flash_point_c < 23:
        return 1 if boiling_point_c is not None and boiling_point_c <= 35 else 2
    if flash_point_c <= 60:
        return 3
    return 4 if flash_point_c <= 93 else None


def flammable_liquid(mixture: Mixture) -> list[Finding]:
    """From the measured flash point, else the table for a solution in water, else the worst constituent."""
    if mixture.state != "liquid":
        return []
    if mixture.flash_point_c is not None:
        return [_by_flash_point(mixture.flash_point_c, mixture.boiling_point_c, "measured", _FLAMMABLE)]
    burning = [part for part in mixture.constituents if part.has("flam_liq") and reaches(part.percent, 1)]
    if not burning:
        return []
    wet = any(part.cas == WATER_CAS for part in mixture.constituents)
    if len(burning) == 1 and wet:
        specific = specific_limits(burning[0].cas, "flam_liq")
        if specific:
            return [_by_strength("Flammable liquid", burning[0], specific)]
        known = aqueous_flash_point(burning[0].cas, burning[0].percent)
        if known:
            name = f"{burning[0].name} {figure(burning[0].percent)} % in water, from the table"
            return [_by_flash_point(known[0], mixture.boiling_point_c, name, f"{_FLAMMABLE}; {known[1]}")]
    worst = min(key for part in burning for key in part.classes or () if key.startswith("flam_liq"))
    text = f"Flammable liquid: no flash point of the mixture; as its worst constituent, category {worst[-1]}"
    return [Finding(text, _UNTESTED, (worst,), "flash point of the mixture")]


def _by_flash_point(flash: float, boiling: float | None, how: str, source: str) -> Finding:
    number = flammable_category(flash, boiling)
    verdict = f"category {number}" if number else "not classified"
    text = f"Flammable liquid: flash point {figure(flash)} °C ({how}): {verdict}"
    return Finding(text, source, (f"flam_liq_{number}",) if number else ())


def oxidising(mixture: Mixture) -> list[Finding]:
    """Oxidizing liquids by their published strengths; oxidizing solids as solids and in solution."""
    found = []
    for part in mixture.constituents:
        specific = specific_limits(part.cas, "ox_liq")
        if specific:
            found.append(_by_strength("Oxidizing", part, specific))
        elif part.has("ox_liq") and reaches(part.percent, 1):
            key = min(key for key in part.classes if key.startswith("ox_liq"))
            found.append(
                Finding(f"Oxidizing: {part.name}, no published strength", _UNTESTED, (key,), _test(part))
            )
    salts = [part for part in mixture.constituents if part.has("ox_sol")]
    if mixture.state == "solid":
        for part in salts:
            key = min(key for key in part.classes if key.startswith("ox_sol"))
            if reaches(part.percent, 1):
                text = f"Oxidizing: {part.name} {figure(part.percent)} % in a solid mixture"
                found.append(Finding(text, _UNTESTED, (key,), _test(part)))
    elif salts:
        total = sum(part.percent for part in salts)
        names = ", ".join(part.name for part in salts)
        strong = reaches(total, 10)
        verdict = "counts as an oxidizing liquid" if strong else "dilute, not carried over"
        text = f"Oxidizing: {names} {figure(total)} % dissolved: {verdict}"
        found.append(
            Finding(text, _OXIDISING, ("ox_liq_3",) if strong else (), _test(*salts) if strong else "")
        )
    return found


def _by_strength(words: str, part: Constituent, specific: tuple[Limit, ...]) -> Finding:
    for row in specific:
        if row.holds(part.percent):
            text = f"{words}: {part.name} {figure(part.percent)} %, from {row.start:g} %"
            return Finding(text, row.source, (row.class_key,))
    lowest = min(specific, key=lambda row: row.start)
    text = f"{words}: {part.name} {figure(part.percent)} % is below {lowest.start:g} %"
    return Finding(text, lowest.source)


def _test(*parts: Constituent) -> str:
    return f"test for oxidizing properties with {', '.join(part.name for part in parts)}"


def other_physical(mixture: Mixture) -> list[Finding]:
    """Corrosion of metals, and what a constituent hands on until the mixture is tested."""
    found = []
    for part in mixture.constituents:
        if part.has("met_corr") and reaches(part.percent, 0.3):
            text = f"Corrosive to metals: {part.name} {figure(part.percent)} %"
            found.append(Finding(text, _METALS, ("met_corr_1",), "test for corrosion of metals"))
        for key in part.classes or ():
            if key.startswith(_HANDED_ON) and reaches(part.percent, 0.1):
                text = f"{part.name} {figure(part.percent)} % hands on its class until the mixture is tested"
                found.append(Finding(text, _UNTESTED, (key,), f"test of the mixture for {key}"))
            elif key.startswith(_GASES):
                found.append(_gas(mixture, part, key))
            elif key.startswith(_SOLIDS):
                found.append(_solid(mixture, part, key))
    return found


def _gas(mixture: Mixture, part: Constituent, key: str) -> Finding:
    if mixture.state == "gas" and reaches(part.percent, 1):
        text = f"{part.name} {figure(part.percent)} % in a gas mixture hands on its class"
        return Finding(text, _UNTESTED, (key,), f"test of the mixture for {key}")
    published = "; published limits for its solution stand instead" if in_solution(mixture, part) else ""
    return Finding(f"{part.name} is dissolved, no longer a gas: {key} not carried over{published}", _UNTESTED)


def _solid(mixture: Mixture, part: Constituent, key: str) -> Finding:
    if mixture.state == "solid" and reaches(part.percent, 1):
        text = f"{part.name} {figure(part.percent)} % in a solid mixture hands on its class"
        return Finding(text, _UNTESTED, (key,), f"test of the mixture for {key}")
    return Finding(f"{part.name} is dissolved, no longer a solid: {key} not carried over", _UNTESTED)
