"""Reactivity groups of anything from what it is made of: a reagent, a residue, what a waste container holds.

Groups are computed from ions, molecules, structure, strength, pH and form, each with its reason. What
somebody typed may add to them, never take away. A part that is not understood makes the whole `NOT_KNOWN`.
"""

from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import lru_cache

from stockroom.chemistry.concentration import MOL_L, PURE, SATURATED, W_W, Medium, Strength, convert_strength
from stockroom.chemistry.formula import FormulaError, molar_mass, parse_formula
from stockroom.chemistry.heat import heat_of_diluting, heat_of_dissolving
from stockroom.chemistry.portion import Part as PortionPart
from stockroom.chemistry.portion import Portion
from stockroom.chemistry.quantity import QuantityError
from stockroom.chemistry.residue import Organic, Residue
from stockroom.chemistry.species import identify
from stockroom.safety import organic_groups
from stockroom.safety.building_blocks import Block, blocks_of
from stockroom.safety.published import rows, words

#: a word that no table has: with it the rules know that they do not know all of a thing
NOT_KNOWN = "not known"
SOLID, POWDER, PIECES, LIQUID, SOLUTION, GAS = "solid", "powder", "pieces", "liquid", "solution", "gas"
#: words for the state of a thing: by themselves they say nothing about its hazards
STATE_WORDS = frozenset({"solid", "aqueous"})
FORMS = (SOLID, POWDER, PIECES, LIQUID, SOLUTION, GAS)
_SOLIDS = frozenset({SOLID, POWDER, PIECES})

#: mol/L below which a dissolved substance is not spoken of, and from which an acid or base counts as one.
#: Own rules.
TRACE_MOL_L, ACID_FROM, BASE_FROM = 0.0009, 0.004, 0.01
#: mol/L of hydrogen ions from which an acid is strong, and of hydroxide from which a base is, or is caustic:
#: about where they are corrosive to skin. Own rules.
STRONG_ACID, CONCENTRATED, STRONG_BASE, CAUSTIC, MOLAR = 2.5, 5.0, 0.5, 5.0, 1.5
NITRIC_FROM, OXIDISING_ACID, STRONG_PHOSPHORIC = 1.5, 2.9, 4.0
HYDROCHLORIC_FROM, HYDROCHLORIC_STRONG = 0.5, 5.0
#: per cent (w/w): sulfuric acid that takes water from other things, and organic acid that is corrosive
DEHYDRATING_PERCENT, ORGANIC_ACID_PERCENT = 60.0, 25.0
WEAKEST_ACID, WEAKEST_BASE, ALKALINE_PKA = 7.0, 9.0, 9.7
#: °C by which a solid, or a liquid, warms three times its weight of water. Own rules.
HOT_SOLID, HOT_LIQUID = 25, 7
_GASES = frozenset(
    {"H2", "O2", "N2", "He", "Ne", "Ar", "Kr", "Xe", "CO2", "CO", "NH3", "Cl2", "SO2", "H2S", "CH4"}
)


@dataclass(frozen=True)
class Part:
    """One substance: how much of it in mol/L or in per cent (w/w); neither means pure."""

    formula: str = ""
    cas: str = ""
    name: str = ""
    mol_per_l: float | None = None
    percent: float | None = None


@dataclass(frozen=True)
class Matter:
    """What something is made of.

    `form` is one of FORMS; SOLID where nobody said whether pieces or powder. `ph` as measured or computed,
    else None:
    the strengths then tell. `water`: whether it holds water beside its parts. `unknown` names what is in it
    and nobody can name. Density in g/mL, of the whole.
    """

    parts: tuple[Part, ...] = ()
    form: str = SOLUTION
    ph: float | None = None
    water: bool = False
    unknown: tuple[str, ...] = ()
    density: float = 1.0


@dataclass(frozen=True)
class Reactivity:
    """The groups, each with the reason for it; `unknown` names the parts that could not be understood."""

    reasons: tuple[tuple[str, str], ...]
    unknown: tuple[str, ...] = ()

    @property
    def groups(self) -> frozenset[str]:
        return frozenset(group for group, _ in self.reasons)

    def why(self, group: str) -> str:
        """The reason for a group, "" where it has none."""
        return dict(self.reasons).get(group, "")


@dataclass
class _Tally:
    """What adds up over the parts of a matter."""

    found: dict[str, str] = field(default_factory=dict)
    acids: list[tuple[float, float, str]] = field(default_factory=list)
    #: metal ions whose water is an acid
    aqua: list[tuple[float, float, str]] = field(default_factory=list)
    bases: list[tuple[float, float, str]] = field(default_factory=list)
    ions: dict[str, float] = field(default_factory=dict)
    unknown: list[str] = field(default_factory=list)
    organic: float = 0.0

    def add(self, groups, why: str) -> None:
        for group in groups:
            self.found.setdefault(group, why)

    def drop(self, *groups: str) -> None:
        for group in groups:
            self.found.pop(group, None)


@lru_cache(maxsize=8192)
def reactivity(matter: Matter) -> Reactivity:
    """The reactivity groups of a matter, words of tables/reactivity_groups.csv, with reasons.

    NOT_KNOWN is among them where anything in it is unknown; "inert" where all is known and nothing applies.
    """
    tally = _Tally(unknown=list(matter.unknown))
    for part in matter.parts:
        _read(part, matter, tally)
    _acids(matter, tally)
    _bases(matter, tally)
    _by_ph(matter, tally)
    _ammonia(matter, tally)
    _mixed(tally)
    _state(matter, tally)
    if tally.unknown or not matter.parts:
        tally.add([NOT_KNOWN], f"not known: {', '.join(tally.unknown) or 'what is in it'}")
    elif not tally.found.keys() - {*STATE_WORDS, "watery"}:
        tally.add(["inert"], "looked at, and no group applies")
    return Reactivity(tuple(sorted(tally.found.items())), tuple(tally.unknown))


# --- one part


def _read(part: Part, matter: Matter, tally: _Tally) -> None:
    identity = identify(part.formula, part.name, part.cas) if part.name or part.cas else None
    cas = part.cas or (identity.cas if identity else "")
    blocks = _blocks_of(part, identity, matter)
    organic = organic_groups.known(cas, part.name) if _is_carbon(blocks) else None
    if organic and not organic_groups.is_organic(organic.structure):
        organic = None
    if organic and "urea" in organic.structure.groups:
        blocks = None  # the atoms of urea are those of ammonium cyanate
    if blocks is None and organic is None:
        part = replace(part, formula=organic_groups.formula_of(cas))
        blocks = blocks_of(part.formula, part.name, matter.water) if part.formula else None
    if blocks is None and organic is None:
        tally.unknown.append(part.name or part.formula or part.cas or "something without a name")
        return
    for block, count in blocks or ():
        _block(block, count, blocks, part, matter, tally)
    if organic is not None:
        _organic(organic, cas, part, blocks, matter, tally)


def _blocks_of(part: Part, identity, matter: Matter):
    blocks = blocks_of(part.formula, part.name, matter.water) if part.formula else None
    if blocks is None and identity is not None and any(ion == "H+" for ion, _ in identity.ions):
        found = [(blocks_of(ion, part.name), float(count)) for ion, count in identity.ions if count > 0]
        if all(one for one, _ in found):
            blocks = tuple((block, n * count) for one, count in found for block, n in one)
    return blocks


def _is_carbon(blocks) -> bool:
    """Whether the structure has more to say than the ions: that of calcium carbide, of a cyanide has not."""
    return blocks is None or any(block.always & {"organic_salt", "cyanate"} for block, _ in blocks)


def _mass(part: Part) -> float | None:
    try:
        return molar_mass(part.formula) if part.formula else None
    except FormulaError:
        return None


def _strength(part: Part, matter: Matter) -> float:
    """mol/L of the part; endless for a solid and where it cannot be told."""
    if part.mol_per_l is not None:
        return part.mol_per_l
    mass = _mass(part)
    if matter.form in _SOLIDS or mass is None:
        return float("inf")
    percent = 100.0 if part.percent is None else part.percent
    return percent * 10 * matter.density / mass


def _percent(part: Part, matter: Matter) -> float:
    """Per cent (w/w) of the part; all of it where it cannot be told."""
    if part.percent is not None:
        return part.percent
    if part.mol_per_l is None:
        return 100.0
    mass = _mass(part)
    return 100.0 if mass is None else min(100.0, part.mol_per_l * mass / (10 * matter.density))


def _said(name: str, strength: float) -> str:
    return name if strength == float("inf") else f"{name}, {strength:.2g} mol/L"


def _block(block: Block, count: float, blocks, part: Part, matter: Matter, tally: _Tally) -> None:
    strength = _strength(part, matter) * count
    if strength < TRACE_MOL_L:
        return
    tally.ions[block.formula] = tally.ions.get(block.formula, 0.0) + strength
    why = _said(block.name, strength)
    if block.kind == "metal":
        # An alloy of copper with less zinc behaves as copper does.
        if part.percent is None or part.percent >= _ALLOY_PERCENT:
            _metal(block, matter, tally)
        return
    if block.formula == "H2O" and matter.form in _SOLIDS and len(matter.parts) == 1 and count != 1:
        return
    tally.add(block.always, why)
    tally.add(block.strong if strength >= block.strong_from else block.weak, why)
    if block.charge > 0 and block.pka_acid is not None and not any(one.pka_base for one, _ in blocks):
        tally.aqua.append((block.pka_acid, strength, block.name))
    names = {one.formula for one, _ in blocks}
    if (
        block.pka_base is not None
        and "H+" not in names
        and (names & _SOLUBLE or block.formula in ("CO3-2", "OH-") or len(names) == 1)
    ):
        tally.bases.append((block.pka_base, strength, block.name))
        if (
            block.pka_base > ALKALINE_PKA
            and "NH4+" not in names
            and (names & _DISSOLVES or block.formula == "OH-" or len(names) == 1)
        ):
            tally.add(["alkaline"], why)
    if block.formula in _GASES and matter.form not in (GAS, SOLUTION) and _percent(part, matter) > 90:
        tally.add(["cryogenic", "gas_pressure"], f"{block.name}, condensed")
    if block.charge < 0 and block.pka_acid is not None:
        _hydrogen_form(block, {one.formula: n for one, n in blocks}, part, strength / count, tally)
    _heats(part, matter, tally)


def _hydrogen_form(
    block: Block, blocks: dict[str, float], part: Part, strength: float, tally: _Tally
) -> None:
    """Notes an acid where hydrogen ions stand beside its anion in one formula, or in the anion itself."""
    if "H+" in blocks:
        tally.acids.append(
            (block.pka_acid, strength * blocks["H+"], block.name.replace(" ion", "") + " acid")
        )
        if block.formula in ("NO3-", "ClO4-", "Cl-", "SO4-2", "PO4-3"):
            tally.ions[f"H {block.formula}"] = tally.ions.get(f"H {block.formula}", 0.0) + strength
            tally.ions["percent " + block.formula] = max(
                tally.ions.get("percent " + block.formula, 0.0),
                part.percent or (100.0 if part.mol_per_l is None else 0),
            )
    elif block.formula == "H2PO4-" and strength >= STRONG_BASE:
        tally.add(["acid_salt"], _said(block.name, strength))
    elif block.formula in _ACID_SALTS:
        tally.acids.append((_ACID_SALTS[block.formula], strength, block.name))


#: anions that still hold an acid hydrogen, with its pKa
_ACID_SALTS = {
    "HSO4-": 2.0,
    "HC2O4-": 4.3,
    "HC4H4O6-": 4.4,
    "HC8H4O4-": 5.4,
    "HF2-": 3.2,
    "HSO5-": 0.0,
    "H2C6H5O7-": 4.8,
    "HC6H5O7-2": 6.4,
    "S2O5-2": 7.1,
    "H2C10H12N2O8-2": 6.2,
}


def _metal(block: Block, matter: Matter, tally: _Tally) -> None:
    potential = block.potential_v
    fine = matter.form != PIECES
    why = f"{block.name}, standard potential {potential:+.2f} V"
    if potential > 0:
        tally.add(["metal_noble"], why)
        if block.formula in ("Cu", "Ag", "Hg"):
            tally.add(["metal_heavy"], why)
        if block.formula == "Hg":
            tally.add(["mercury"], why)
    elif potential > _SLOW_METAL_V:
        tally.add(["metal_slow"], why)
        tally.add(["metal_heavy"], why)
    else:
        tally.add(["metal_active"], why)
        tally.add(["metal_light"] if potential < _LIGHT_METAL_V else [], why)
        tally.add(["metal_powder"] if fine else [], f"{block.name}, powder or not said")
        tally.add(["metal_light_fine"] if fine and potential < _LIGHT_METAL_V else [], why)
    if potential < _WATER_METAL_V and block.formula not in ("Mg", "La", "Ce"):
        tally.add(["water_reactive", "alkali_metal"], why)
    if block.formula in ("Al", "Mg", "Zn", "Sn", "Be") and potential < 0:
        tally.add(["metal_base"] if block.formula != "Mg" else [], f"{block.name} dissolves in bases")
    if block.formula in ("Al", "Be"):
        tally.add(["metal_mild_base"], f"{block.name} dissolves in mild bases too")
    if block.formula == "U":
        tally.add(["radioactive"], why)


#: metals above the first set hydrogen free from dilute acid at once; below the second from water
_ALLOY_PERCENT = 50.0
_SLOW_METAL_V, _LIGHT_METAL_V, _WATER_METAL_V = -0.42, -1.6, -2.3


def _organic(substance, cas: str, part: Part, blocks, matter: Matter, tally: _Tally) -> None:
    percent = _percent(part, matter)
    metals = {block.formula for block, _ in blocks or () if block.charge > 0} - {"H+"} or _metals_in(
        part.formula
    )
    salt = bool(metals) or any(charge > 0 for _, charge in substance.structure.ions)
    charges = sum(count * abs(block.charge) for block, count in blocks or () if block.charge < 0)
    if salt and charges and substance.structure.carbons < 4 * charges:
        return  # acetates, citrates: told by their ions
    form = "solid" if matter.form in _SOLIDS else matter.form
    form = LIQUID if form == SOLUTION and percent >= 50 else form
    for group, why in organic_groups.groups(substance, cas, percent, form):
        tally.add([group], f"{part.name or cas}: {why}")
    tally.organic += percent
    if ("O", -1) in substance.structure.ions:
        tally.bases.append((15.7, _strength(part, matter), f"{part.name}: hydroxide"))
        tally.ions.setdefault("Na+", 0.0)
    pka = organic_groups.acid_pka(substance.structure)
    if pka is not None and not salt:
        strength = _strength(part, matter)
        tally.acids.append((pka, strength, part.name))
        corrosive = matter.form not in _SOLIDS or (pka < 1 and "picric" not in tally.found)
        if percent >= ORGANIC_ACID_PERCENT and corrosive:
            tally.add(["acid_organic"], f"{part.name}, {percent:.0f} %")
    if "anhydride" in tally.found and matter.form not in _SOLIDS:
        tally.add(["acid_organic"], f"{part.name}: anhydride")


def _metals_in(formula: str) -> set[str]:
    """Metals of a formula whose structure is written as the free acid."""
    try:
        return set(parse_formula(formula).atoms) & _COUNTER_METALS if formula else set()
    except FormulaError:
        return set()


# --- strengths


def _acids(matter: Matter, tally: _Tally) -> None:
    if matter.ph is not None and matter.ph >= WEAKEST_ACID - 0.5 and matter.water:
        return
    strong = sum(strength for pka, strength, _ in tally.acids if pka < 0.5)
    any_acid = [row for row in (*tally.acids, *tally.aqua) if row[0] < WEAKEST_ACID]
    solid = matter.form in _SOLIDS
    if sum(strength for pka, strength, _ in tally.acids if pka < WEAKEST_ACID) >= MOLAR:
        tally.add(["acid_molar"], "an acid, from 1.5 mol/L")
    if strong >= STRONG_ACID and not solid:
        tally.add(["acid_strong"], _said("strong acid", strong))
        tally.add(["acid_conc"] if strong >= CONCENTRATED else [], _said("strong acid", strong))
    elif any_acid and max(strength for _, strength, _ in any_acid) >= ACID_FROM:
        _, strength, name = min(any_acid)
        if "acid_organic" not in tally.found:
            tally.add(["acid_dilute"], _said(name, strength))
    _particular(matter, tally, solid)


def _particular(matter: Matter, tally: _Tally, solid: bool) -> None:
    """Acids with ways of their own: nitric, perchloric, hydrochloric, sulfuric, phosphoric."""
    if matter.ph is not None and matter.ph <= 0.5:
        for ion in ("NO3-", "ClO4-", "Cl-", "SO4-2"):
            # An ion of the same acid may stand beside what finds too little water to split.
            whole = max(tally.ions.get(f"H {ion}", 0.0), tally.ions.get(ion, 0.0))
            tally.ions[f"H {ion}"] = whole
    nitric, perchloric = tally.ions.get("H NO3-", 0.0), tally.ions.get("H ClO4-", 0.0)
    if nitric >= NITRIC_FROM:
        tally.add(["nitric"], _said("nitric acid", nitric))
        tally.drop("nitrate")
    if nitric >= OXIDISING_ACID or perchloric >= STRONG_ACID:
        tally.add(["acid_oxidising"], _said("nitric or perchloric acid", max(nitric, perchloric)))
        tally.drop("acid_strong")
    if nitric >= _NITRIC_STRONG:
        tally.add(["oxidiser_high", "nitric_conc"], _said("nitric acid", nitric))
    chloride = tally.ions.get("H Cl-", 0.0)
    if chloride >= HYDROCHLORIC_FROM:
        word = "hydrochloric" if chloride >= HYDROCHLORIC_STRONG else "hydrochloric_dilute"
        tally.add([word], _said("hydrogen chloride", chloride))
    if tally.ions.get("percent SO4-2", 0.0) >= DEHYDRATING_PERCENT or tally.ions.get("H SO4-2", 0.0) > 9.5:
        tally.add(["sulfuric_conc", "dehydrating"], "sulfuric acid, concentrated")
    if tally.ions.get("H PO4-3", 0.0) >= STRONG_PHOSPHORIC and not solid:
        tally.add(["acid_strong", "acid_conc"], "phosphoric acid, concentrated")
        tally.drop("acid_dilute")


_NITRIC_STRONG = 8.0


def _bases(matter: Matter, tally: _Tally) -> None:
    if matter.ph is not None and matter.ph <= WEAKEST_BASE - 0.5 and matter.water:
        return
    hydroxide = sum(strength for pka, strength, _ in tally.bases if pka > 14)
    strong = sum(strength for pka, strength, _ in tally.bases if pka > 12.9)
    # Hydroxides that hardly dissolve are weak whatever their formula says.
    if strong >= MOLAR and tally.ions.keys() & _SOLUBLE:
        tally.add(["base_molar"], "a base, from 1.5 mol/L")
    if strong >= STRONG_BASE and tally.ions.keys() & _SOLUBLE:
        tally.add(["base_strong"], _said("hydroxide", strong))
        if hydroxide >= CAUSTIC:
            tally.add(["caustic"], _said("hydroxide", hydroxide))
    elif strong >= BASE_FROM:
        tally.add(["base_dilute"], _said("hydroxide", strong))
    for pka, strength, name in tally.bases:
        if WEAKEST_BASE < pka <= 14 and strength >= BASE_FROM:
            tally.add(["base_dilute"], _said(name, strength))


#: positive ions whose hydroxides, phosphates and sulfides dissolve
_SOLUBLE = frozenset({"Li+", "Na+", "K+", "Rb+", "Cs+", "Ba+2", "Sr+2", "Tl+", "NH4+"})
_DISSOLVES = _SOLUBLE - {"NH4+"}
_COUNTER_METALS = frozenset({"Li", "Na", "K", "Mg", "Ca", "Ba", "Zn"})


def _by_ph(matter: Matter, tally: _Tally) -> None:
    """What a measured or computed pH says by itself."""
    ph = matter.ph
    if ph is None:
        return
    if ph <= 0.3:
        if not tally.found.keys() & {"acid_strong", "acid_oxidising", "acid_organic"}:
            tally.drop("acid_dilute")
            tally.add(["acid_strong"], f"pH {ph:.1f}")
    elif ph < 5.5 and not tally.found.keys() & {"acid_strong", "acid_oxidising", "acid_organic"}:
        tally.add(["acid_dilute"], f"pH {ph:.1f}")
    if ph >= 13.5:
        tally.add(["base_strong"], f"pH {ph:.1f}")
    elif ph > 9.5 and "base_strong" not in tally.found:
        tally.add(["base_dilute"], f"pH {ph:.1f}")


def _ammonia(matter: Matter, tally: _Tally) -> None:
    """Ammonia and ammonium are one thing at two pH: both where it is not known or lies between."""
    total = tally.ions.get("NH3", 0.0) + tally.ions.get("NH5O", 0.0) + tally.ions.get("NH4+", 0.0)
    if total < BASE_FROM:
        return
    basic = (
        matter.ph is not None
        and matter.ph > 8
        or (matter.ph is None and bool(tally.found.keys() & {"base_strong", "caustic"}))
    )
    if "NH4+" in tally.ions and basic:
        tally.add(["ammonia" if total >= 1 else "ammonia_dilute"], _said("ammonia", total))
    if matter.ph is not None and matter.ph < 8:
        tally.drop("ammonia", "ammonia_dilute")
        tally.add(["ammonium"], _said("ammonium", total))
    elif "ammonia" in tally.found and total >= MOLAR:
        tally.add(["base_molar"], _said("ammonia", total))


def _mixed(tally: _Tally) -> None:
    """Groups that two ions bring together."""
    if tally.found.keys() & {"ammonium"} and tally.found.keys() & {"nitrate"}:
        tally.add(["ammonium_nitrate"], "ammonium and nitrate together")
    if tally.found.keys() & _ACIDS and tally.found.keys() & _OXIDISES_IN_ACID:
        tally.add(["oxidiser_in_acid"], "an oxidizer and an acid together")


_ACIDS = frozenset({"acid_strong", "acid_oxidising", "acid_organic", "acid_dilute"})
_OXIDISES_IN_ACID = frozenset({"oxidiser_high", "iodate", "hydrogen_peroxide"})


def _state(matter: Matter, tally: _Tally) -> None:
    if matter.form in _SOLIDS:
        tally.add(["solid"], "a solid")
        tally.drop("aqueous", "watery")
    elif matter.form == GAS:
        tally.drop("aqueous", "watery")
    elif matter.water and tally.organic < 50:
        tally.add(["aqueous"], "mostly water")
        if not tally.found.keys() & {"acid_strong", "acid_oxidising", "acid_organic"}:
            tally.add(["watery"], "mostly water, no strong acid")
    if matter.form == GAS and not tally.found.keys() & {"flammable_gas", "gas_toxic", "oxidiser"}:
        tally.add(["gas_pressure"], "a gas")


def _heats(part: Part, matter: Matter, tally: _Tally) -> None:
    """Whether it warms three times its weight of water enough to be spoken of."""
    if "heats_in_water" in tally.found or not part.formula or part.formula == "H2O":
        return
    percent = Decimal(str(_percent(part, matter)))
    mass = _mass(part)
    if not mass or percent < 20:
        return
    moles = percent * 10 / Decimal(str(mass))
    before = max(Decimal(1000) - percent * 10, Decimal(0))
    try:
        if matter.form in _SOLIDS or before < 10:
            heat = heat_of_dissolving(part.formula, moles, percent * 10, before + 3000)
        else:
            heat = heat_of_diluting(part.formula, moles, percent * 10, before, before + 3000)
    except (QuantityError, FormulaError):
        return
    if heat is not None and heat.rise >= (HOT_SOLID if matter.form in _SOLIDS else HOT_LIQUID):
        tally.add(
            ["heats_in_water"], f"{part.name or part.formula}: warms by about {round(heat.rise)} °C in water"
        )


def _worst(written: frozenset[str]) -> set[str]:
    """What words written down may cover at worst."""
    covered = (row["worst"] for row in rows("reactivity_groups") if row["key"] in written)
    return {word for cell in covered for word in words(cell)}


def with_written(found: Reactivity, written: frozenset[str]) -> frozenset[str]:
    """The groups found, and those that somebody wrote down: they may add, never take away.

    Where part of the composition is not understood, what somebody wrote down of the whole stands for it, each
    word for the worst that it covers.
    """
    groups = found.groups | written
    if found.unknown:
        groups |= _worst(written)
    if len(groups - {"inert"} - STATE_WORDS) > 0:
        groups -= {"inert"} - written if found.unknown else {"inert"}
    return groups - {NOT_KNOWN} if written - STATE_WORDS else groups


# --- from a residue


def of_residue(residue: Residue) -> Matter:
    """A residue, or a waste made like one, as matter."""
    litres = residue.volume_ul * 1e-6
    parts = [
        Part(one.formula, one.cas, one.name, one.mol / litres if litres else None)
        for one in (*residue.components, *residue.undissolved)
    ]
    parts += [Part(_salt(one), one.cas, one.name, percent=one.percent_w_w) for one in residue.organics]
    organic = sum(one.percent_w_w for one in residue.organics)
    dry = not litres and not residue.organics
    form = SOLID if dry or (not litres and residue.undissolved) else (LIQUID if organic >= 50 else SOLUTION)
    return Matter(tuple(parts), form, residue.ph, bool(litres) and organic < 95, residue.unknown)


def _salt(one: Organic) -> str:
    """The formula of what only stands beside the equilibrium, though it holds no carbon; "" for the rest."""
    formula = identify("", one.name, one.cas).formula
    return formula if formula and "C" not in parse_formula(formula).atoms else ""


# --- from a reagent

#: words of a name that tell how a metal is divided: what is not said is taken for powder
_FINE = ("powder", "dust", "filings", "fine", "flour")
_COARSE = (
    *(
        "foil",
        "strip",
        "sheet",
        "wire",
        "ribbon",
        "granul",
        "turning",
        "nail",
        "rod",
        "wool",
        "pellet",
        "shot",
    ),
    *(
        "lump",
        "chip",
        "piece",
        "electrode",
        "bar",
        "stick",
        "gauze",
        "mossy",
        "coin",
        "plate",
        "under oil",
        "rivet",
    ),
)


def form_of(kind: str, measure: str, name: str, solvent: str, density: float | None = None) -> str:
    """The form of a reagent from its kind, how it is measured and its name."""
    text = name.casefold()
    if kind == "gas":
        return LIQUID if density is not None and density > 0.1 else GAS
    if measure == "volume" or kind in ("liquid", "solution"):
        return SOLUTION if solvent else LIQUID
    if any(word in text for word in _FINE):
        return POWDER
    return PIECES if any(word in text for word in _COARSE) else SOLID


def of_portion(portion: Portion, kind: str) -> Matter:
    """A reagent as matter: `portion` says what it holds, `kind` is the reagent's kind."""
    density = float(portion.density_g_ml) if portion.density_g_ml is not None else None
    form = form_of(kind, portion.measure, portion.reagent, portion.solvent, density)
    water = portion.solvent.casefold() in _WATERS or any(part.formula == "H2O" for part in portion.parts)
    parts = [_part_of(part, portion) for part in portion.parts]
    rest = 100.0 - sum(_percent(part, Matter(form=form, density=density or 1.0)) for part in parts)
    if portion.solvent and not water and rest > 0:
        parts.append(Part(name=portion.solvent, cas=identify("", portion.solvent).cas, percent=rest))
    if form == SOLUTION and not water:
        form = LIQUID
    unknown = () if portion.parts else (f"what {portion.reagent} is made of",)
    return Matter(tuple(parts), form, None, water, unknown, density or 1.0)


_WATERS = ("water", "distilled water", "deionised water", "deionized water", "purified water")


def _part_of(part: PortionPart, portion: Portion) -> Part:
    plain = Part(part.formula, part.cas, part.name)
    if part.unit in (PURE, SATURATED) or part.value is None:
        return plain
    if part.unit == W_W:
        return replace(plain, percent=float(part.value))
    medium = Medium(density_g_ml=portion.density_g_ml or Decimal(1), formula=part.formula)
    for unit, wanted in ((MOL_L, "mol_per_l"), (W_W, "percent")):
        try:
            value = convert_strength(Strength(part.value, part.unit), unit, medium).value
        except (QuantityError, FormulaError):
            continue
        return replace(plain, **{wanted: float(value)})
    # By volume, of a liquid whose density nobody gave: the number itself is near enough, and on the safe
    # side.
    return replace(plain, percent=min(100.0, float(part.value))) if part.unit in _SHARES else plain


_SHARES = frozenset({"% v/v", "% w/v"})
