"""Whether what is left is hazardous waste: the characteristics of 40 CFR 261.21-261.24.

They work on a `Residue` of the chemistry. They are US federal rules; elsewhere they are guidance, and every
limit in `WasteRules` can be replaced. What could not be followed counts as hazardous.
"""

from dataclasses import dataclass
from functools import cache

from stockroom.chemistry.formula import FormulaError, parse_formula
from stockroom.chemistry.quantity import plain_figures
from stockroom.chemistry.residue import Dissolved, Residue, Solid
from stockroom.safety.published import rows, words

#: grams of water per millilitre, and the share by weight from which a flammable liquid is looked at
_WATER_DENSITY = 1.0
TRACE_PERCENT = 1.0
_LEACHING_L_KG = 20.0  # 40 CFR 261.24, method 1311: twenty times its weight of liquid
_REACTIVE_GROUPS = {
    "water_reactive": "reacts violently or makes flammable gas with water",
    "hydride": "makes flammable gas with water",
    "carbide": "makes flammable gas with water",
    "explosive": "can explode",
    "picric": "can explode when dry",
    "azide": "can explode; poisonous gas with acid",
    "peroxide_organic": "can explode",
    "cyanide": "gives off hydrogen cyanide between pH 2 and 12.5",
    "sulfide": "gives off hydrogen sulfide between pH 2 and 12.5",
}
_OXIDISER_GROUPS = {
    "oxidiser",
    "chlorate",
    "perchlorate",
    "permanganate",
    "nitrate",
    "nitrite",
    "peroxide",
} | {
    "chromate",
    "acid_oxidising",
}


@dataclass(frozen=True)
class WasteRules:
    """The limits in force. `country` "US": the federal rules; else guidance, the department's own numbers.

    Temperatures in degC, pH without unit, `toxic_limits` pairs (code, mg/L) that replace the published ones.
    `own`: keys of the limits that the department has set itself.
    """

    country: str = "US"
    acid_ph: float = 2.0
    base_ph: float = 12.5
    ignitable_below_c: float = 60.0
    alcohol_percent_v: float = 24.0
    sewer_ph_low: float = 5.0
    sewer_ph_high: float = 9.0
    sewer_hot_c: float = 40.0
    toxic_limits: tuple[tuple[str, float], ...] = ()
    own: tuple[str, ...] = ()

    @property
    def guidance(self) -> bool:
        return self.country != "US"

    @property
    def note(self) -> str:
        said = "US federal rules: state and local rules may be stricter and come first."
        if self.guidance:
            said = "US federal rules, shown as guidance: your own authority's rules come first."
        if not self.own:
            return said
        count = "One limit is" if len(self.own) == 1 else f"{len(self.own)} limits are"
        return f"{said} {count} the department's own."


@dataclass(frozen=True)
class Waste:
    """What is to be got rid of. `groups` and `hazard_keys` are those of what went in and may still be there.

    `flash_point_c` only where measured. `unused_cas`: CAS RN of a product thrown away unused (sole active
    ingredient). `spent_solvent`: its alcohols were used to dissolve or clean. `vouched`: key of the stream
    that a person vouches for, where nobody can list what is in it. `form`: one of groups.FORMS, "" as the
    residue shows.
    """

    residue: Residue
    groups: frozenset[str] = frozenset()
    hazard_keys: frozenset[str] = frozenset()
    flash_point_c: float | None = None
    unused_cas: frozenset[str] = frozenset()
    spent_solvent: bool = False
    vouched: str = ""
    form: str = ""


@dataclass(frozen=True)
class Code:
    """One hazardous-waste code, and why. `kind`: ignitable, corrosive, reactive, toxic or listed."""

    code: str
    kind: str
    why: str
    source: str
    acute: bool = False


@dataclass(frozen=True)
class Characterisation:
    """`hazardous` also where something is `undetermined`; `notes` say which exclusions were used."""

    codes: tuple[Code, ...]
    undetermined: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def hazardous(self) -> bool:
        return bool(self.codes or self.undetermined)

    @property
    def acute(self) -> bool:
        return any(code.acute for code in self.codes)

    @property
    def hazards(self) -> tuple[str, ...]:
        """The words for the label: "Corrosive", "Ignitable", "Reactive", "Toxic", as far as they apply."""
        kinds = {"toxic" if code.kind == "listed" else code.kind for code in self.codes}
        return tuple(sorted(kind.capitalize() for kind in kinds))


# --- reading formulas


@cache
def known_as(text: str) -> tuple[str, int] | None:
    """Hill form and charge, so that "S-2" and "S^2-" are one; None where it cannot be read."""
    try:
        formula = parse_formula(text)
    except FormulaError:
        return None
    return formula.hill, formula.charge


@cache
def atoms_of(text: str) -> dict[str, float] | None:
    try:
        return {symbol: float(n) for symbol, n in parse_formula(text).atoms.items()}
    except FormulaError:
        return None


@cache
def table_by_formula(name: str) -> dict[tuple[str, int], dict[str, str]]:
    return {known_as(formula): row for row in rows(name) for formula in words(row["formulas"])}


def substances(residue: Residue) -> tuple[Dissolved | Solid, ...]:
    return (*residue.components, *residue.undissolved)


def _unread(residue: Residue) -> list[str]:
    return [one.name for one in substances(residue) if atoms_of(one.formula) is None]


def _molar_mass(text: str) -> float:
    return parse_formula(text).molar_mass


def _litres(residue: Residue) -> float:
    return residue.volume_ul * 1e-6


def _mol_per_litre(one: Dissolved | Solid, residue: Residue) -> float:
    return one.mol / _litres(residue) if residue.volume_ul > 0 else float("inf")


@cache
def harmless_organics() -> dict[str, float]:
    """CAS RN -> most per cent by weight that is known to be harmless in the drain (tables/drainable.csv)."""
    return {row["key"]: float(row["most_percent"]) for row in rows("drainable") if row["kind"] == "organic"}


#: pH taken for what is too strong for one to be worked out, or has no water to have one
_ASSUMED_PH = {
    "acid_strong": 0.0,
    "acid_oxidising": 0.0,
    "acid_organic": 0.0,
    "base_strong": 14.0,
    "ammonia": 14.0,
}

#: the same for what is dissolved in water
_ASSUMED_WATERY_PH = {"acid_molar": 0.0, "base_molar": 14.0, "alkaline": 13.0}


def ph_of(waste: Waste, groups: frozenset[str]) -> float | None:
    """The pH as measured or computed; else the worst that `groups` allow; None where they do not tell."""
    if waste.residue.ph is not None:
        return waste.residue.ph
    if "aqueous" in groups:
        told = next((ph for group, ph in _ASSUMED_WATERY_PH.items() if group in groups), None)
        if told is not None:
            return told
    return next((ph for group, ph in _ASSUMED_PH.items() if group in groups), None)


# --- characteristics


def characterise(waste: Waste, rules: WasteRules | None = None) -> Characterisation:
    """Codes D001-D043 of 40 CFR 261.21-261.24, and P and U codes for unused products (261.33).

    Toxic metals count dissolved and undissolved alike, over the volume; a dry solid is taken to leach all it
    holds into twenty times its weight of liquid. Both are on the safe side of the leaching test.
    """
    rules = rules or WasteRules()
    undetermined = [f"what is in {name}" for name in waste.residue.unknown]
    undetermined += ["what exactly it holds, which somebody vouches for"] if waste.vouched else []
    undetermined += [f"what {name} holds: its formula cannot be read" for name in _unread(waste.residue)]
    ignitable, missing, notes = _ignitable(waste, rules)
    corrosive, no_ph = _corrosive(waste, rules)
    codes = [*ignitable, *corrosive, *_reactive(waste), *_toxic(waste.residue, rules), *_listed(waste)]
    unique = {code.code: code for code in reversed(codes)}
    return Characterisation(
        tuple(sorted(unique.values(), key=lambda code: code.code)),
        (*undetermined, *missing, *no_ph),
        tuple(notes),
    )


def _ignitable(waste: Waste, rules: WasteRules) -> tuple[list[Code], list[str], list[str]]:
    """D001 of 261.21: flash point, what burns by itself, oxidisers. Also what is missing, and exclusions."""
    found = []
    liquid, missing, notes = flammable_liquid(waste, rules)
    if liquid:
        found.append(Code("D001", "ignitable", liquid, "40 CFR 261.21(a)(1)"))
    if "pyrophoric" in waste.groups or any(
        key.startswith(("pyr_", "self_heat")) for key in waste.hazard_keys
    ):
        found.append(Code("D001", "ignitable", "catches fire by itself in air", "40 CFR 261.21(a)(2)"))
    if waste.groups & {"flammable_solid", "metal_powder"}:
        found.append(
            Code("D001", "ignitable", "a solid that catches fire easily and burns on", "40 CFR 261.21(a)(2)")
        )
    if "flammable_gas" in waste.groups or any(key.startswith("flam_gas") for key in waste.hazard_keys):
        found.append(Code("D001", "ignitable", "a flammable gas", "40 CFR 261.21(a)(3)"))
    oxidiser = _oxidiser(waste)
    if oxidiser:
        found.append(Code("D001", "ignitable", f"an oxidizer: {oxidiser}", "40 CFR 261.21(a)(4)"))
    return found, missing, notes


def flammable_liquid(waste: Waste, rules: WasteRules) -> tuple[str, list[str], list[str]]:
    """Why it is an ignitable liquid, or "". An aqueous alcohol under the limit is left out (261.21(a)(1))."""
    if _excluded_alcohol(waste, rules):
        return (
            "",
            [],
            [f"under {rules.alcohol_percent_v:g} % alcohol by volume in water: not ignitable waste"],
        )
    if waste.flash_point_c is not None:
        low = waste.flash_point_c < rules.ignitable_below_c
        return (f"flash point {waste.flash_point_c:g} °C, measured" if low else ""), [], []
    reasons, missing = [], []
    for organic in waste.residue.organics if waste.residue.volume_ul else ():
        if organic.percent_w_w < TRACE_PERCENT:
            continue
        flash = flash_point_c(organic.cas)
        if flash is None and organic.cas not in harmless_organics():
            missing.append(f"the flash point of {organic.name}")
        elif flash is not None and flash < rules.ignitable_below_c:
            share = f"{organic.percent_w_w:.3g} % {organic.name}"
            reasons.append(f"{share}, flash point {flash:.0f} °C: ignitable until measured")
    if not waste.residue.organics and any(
        key in waste.hazard_keys for key in ("flam_liq_1", "flam_liq_2", "flam_liq_3")
    ):
        reasons.append("a flammable liquid by its hazard class")
    return "; ".join(reasons), ([] if reasons else missing), []


@cache
def organics() -> dict[str, dict[str, str]]:
    """Rows of tables/organics.csv by CAS RN: what the `chemicals` library says of them."""
    return {row["cas"]: row for row in rows("organics")}


@cache
def flash_point_c(cas: str) -> float | None:
    """Closed-cup flash point in degC from the `chemicals` library, None where it has none.

    What the beaker may hold stands copied in tables/organics.csv: opening the library takes half a second.
    """
    if (row := organics().get(cas)) is not None:
        return float(row["flash_point_c"]) if row["flash_point_c"] else None
    from chemicals import T_flash

    try:
        kelvin = T_flash(cas) if cas else None
    except ValueError:
        return None
    return None if kelvin is None else float(kelvin) - 273.15


def _alcohols() -> dict[str, dict[str, str]]:
    return {row["cas"]: row for row in rows("alcohols")}


def alcohol_percent_v(residue: Residue) -> float:
    """Alcohol by volume at most: as if the mixture weighed as much as water.

    Over the true value by 2 % at 10 % ethanol by weight and by 3 % at 20 %: on the safe side of the limit.
    """
    alcohols = _alcohols()
    return sum(
        organic.percent_w_w * _WATER_DENSITY / float(alcohols[organic.cas]["density_g_ml"])
        for organic in residue.organics
        if organic.cas in alcohols
    )


def _excluded_alcohol(waste: Waste, rules: WasteRules) -> bool:
    """261.21(a)(1): under 24 % alcohol by volume, at least 50 % water by weight, no spent listed solvent."""
    alcohols = _alcohols()
    burning = [
        organic
        for organic in waste.residue.organics
        if organic.cas in alcohols or (flash_point_c(organic.cas) or 1e3) < rules.ignitable_below_c
    ]
    listed = waste.spent_solvent and any(
        alcohols[organic.cas]["spent_solvent_code"] for organic in burning if organic.cas in alcohols
    )
    water = 100 - sum(organic.percent_w_w for organic in waste.residue.organics)
    return (
        bool(burning)
        and all(organic.cas in alcohols for organic in burning)
        and not listed
        and water >= 50
        and alcohol_percent_v(waste.residue) < rules.alcohol_percent_v
    )


def _oxidiser(waste: Waste) -> str:
    """The name of an oxidiser that is solid or strong enough, or ""."""
    named = sorted(waste.groups & _OXIDISER_GROUPS)
    if named:
        return named[0]
    table = table_by_formula("oxidisers")
    for one in substances(waste.residue):
        row = table.get(known_as(one.formula))
        strong = row and _mol_per_litre(one, waste.residue) >= float(row["from_mol_l"])
        if row and (strong or isinstance(one, Solid)):
            return row["name"]
    return ""


def _corrosive(waste: Waste, rules: WasteRules) -> tuple[list[Code], list[str]]:
    """D002 of 261.22: aqueous, pH at or below 2, at or above 12.5."""
    ph = ph_of(waste, waste.groups)
    if ph is not None and (ph <= rules.acid_ph or ph >= rules.base_ph):
        limit = f"at most {rules.acid_ph:g}" if ph <= rules.acid_ph else f"at least {rules.base_ph:g}"
        return [Code("D002", "corrosive", f"pH {ph:.1f}, {limit}", "40 CFR 261.22(a)(1)")], []
    watery = waste.residue.volume_ul > 0 and bool(waste.residue.components)
    return [], (["its pH"] if ph is None and watery else [])


def _reactive(waste: Waste) -> list[Code]:
    """D003 of 261.23, from the reactivity groups and from cyanide or sulfide found in it."""
    reasons = {group: why for group, why in _REACTIVE_GROUPS.items() if group in waste.groups}
    for key in waste.hazard_keys:
        if key.startswith(("expl", "desens_expl", "self_react", "org_perox")):
            reasons["explosive"] = _REACTIVE_GROUPS["explosive"]
        elif key.startswith("water_react"):
            reasons["water_reactive"] = _REACTIVE_GROUPS["water_reactive"]
    table = table_by_formula("gas_formers")
    for one in substances(waste.residue):
        row = table.get(known_as(one.formula))
        if row and row["group"] in _REACTIVE_GROUPS:
            reasons[row["group"]] = _REACTIVE_GROUPS[row["group"]]
    return (
        [Code("D003", "reactive", "; ".join(sorted(reasons.values())), "40 CFR 261.23(a)")] if reasons else []
    )


def element_mg_per_litre(residue: Residue, symbol: str) -> float:
    """An element over the whole: mg per litre of the residue, or of leaching liquid where it is dry."""
    grams, solid_grams = 0.0, 0.0
    for one in substances(residue):
        atoms = atoms_of(one.formula)
        if atoms is None:
            continue
        grams += one.mol * atoms.get(symbol, 0) * _molar_mass(symbol)
        solid_grams += one.mol * _molar_mass(one.formula) if isinstance(one, Solid) else 0
    litres = _litres(residue) or solid_grams / 1000 * _LEACHING_L_KG
    return 1000 * grams / litres if litres else 0.0


def _toxic(residue: Residue, rules: WasteRules) -> list[Code]:
    """D004-D043 of 261.24."""
    own = dict(rules.toxic_limits)
    found = []
    for row in rows("waste_codes"):
        limit = own.get(row["code"], float(row["limit_mg_l"]))
        if row["element"]:
            here = element_mg_per_litre(residue, row["element"])
        else:
            here = _compound_mg_per_litre(residue, row["cas"])
        if here >= limit:
            why = f"{row['name']} {plain_figures(here, 3)} mg/L, limit {limit:g} mg/L"
            found.append(Code(row["code"], "toxic", why, row["source"]))
    return found


def _compound_mg_per_litre(residue: Residue, cas: str) -> float:
    """A named compound: a share by weight counts in mg per kg, as if a litre weighed a kilogram."""
    share = sum(organic.percent_w_w for organic in residue.organics if organic.cas == cas) * 1e4
    grams = sum(
        one.mol * _molar_mass(one.formula)
        for one in substances(residue)
        if one.cas == cas and atoms_of(one.formula)
    )
    return share + (1000 * grams / _litres(residue) if residue.volume_ul > 0 else 0.0)


def _listed(waste: Waste) -> list[Code]:
    """P and U codes of 261.33 for a product thrown away unused."""
    return [
        Code(row["code"], "listed", f"unused {row['name']}", row["source"], row["acute"] == "yes")
        for row in rows("listed_waste")
        if row["cas"] in waste.unused_cas
    ]
