"""Derives the beaker's equilibrium database from the `minteq.v4.dat` that ships with PHREEQC.

Why not use that file as it is:
- It lets every pair of oxidation states reach equilibrium, so that a bench solution of ammonium nitrate or
  of iron(II) nitrate would turn into something no class has ever seen. Here each oxidation state is an
  element of its own, and electron transfer happens only through a written equation.
- It pairs sodium, potassium and lithium ions with anions on top of the Davies equation, which already allows
  for weak pairing: with both, the NIST phosphate and carbonate standards come out 0.08 and 0.15 of a pH too
  low; without the pairs, within 0.02. So those pairs are left out, and so are the chromium(III) ammines,
  which form far too slowly for a bench.
- Of its 13,000 lines a school needs a fifth, and reading them is most of the engine's start.

Constants are never changed, only kept or left out. `tables/supplement.dat` adds what the file lacks, with
sources. `tables/beaker.dat` is the result, kept so that starting needs no parsing; a test derives it anew and
compares. To write it again: `manage.py write_beaker`.
"""

import re

from stockroom.chemistry import published, saturation, species
from stockroom.chemistry.concentrated import PITZER_ELEMENTS, pitzer_names, pitzer_source, source_text

SOURCE_NAME = "minteq.v4.dat"

# Oxidation states that stand apart: species in the source -> (element there, element here).
RENAMED = {
    "Fe+2": ("Fe", "Fe_ii"),
    "Cu+": ("Cu", "Cu_i"),
    "Mn+2": ("Mn", "Mn_ii"),
    "Co+2": ("Co", "Co_ii"),
    "Cr(OH)2+": ("Cr", "Cr_iii"),
    "Sn(OH)2": ("Sn", "Sn_ii"),
    "HS-": ("S", "S_r"),
    "NH4+": ("N", "N_r"),
    "NO2-": ("N", "N_iii"),
}
KEPT = [
    "Ag+",
    "Al+3",
    "Ba+2",
    "Br-",
    "CO3-2",
    "Ca+2",
    "Cd+2",
    "Cl-",
    "CrO4-2",
    "Cu+2",
    "F-",
    "Fe+3",
    "H3BO3",
    "H4SiO4",
    "Hg(OH)2",
    "I-",
    "K+",
    "Li+",
    "Mg+2",
    "NO3-",
    "Na+",
    "Ni+2",
    "PO4-3",
    "Pb+2",
    "SO4-2",
    "Sr+2",
    "Zn+2",
    "Acetate-",
    "Benzoate-",
    "Citrate-3",
    "Diethylamine",
    "Edta-4",
    "Ethylenediamine",
    "Formate-",
    "Glycine-",
    "Methylamine",
    "Phthalate-2",
    "Propionate-",
    "Salicylate-2",
    "Tartarate-2",
    "Butyrate-",
]
_PRIMARY = {"Fe": "Fe+3", "Cu": "Cu+2", "Cr": "CrO4-2", "S": "SO4-2", "N": "NO3-"}
_MASSES = {"Fe": 55.847, "Cu": 63.546, "Mn": 54.938, "Co": 58.9332, "Cr": 51.996, "Sn": 118.71}
_MASSES |= {"S": 32.066, "N": 14.0067}
# Names in sit.dat of what has another here.
_SIT_NAMES = {
    "NH4+": "N_rH4+",
    "Fe+2": "Fe_ii+2",
    "Mn+2": "Mn_ii+2",
    "Co+2": "Co_ii+2",
    "Sn+2": "Sn_ii+2",
    "Cr+3": "Cr_iii+3",
    "Cu+": "Cu_i+",
    "H(SO4)-": "HSO4-",
    "H2(PO4)-": "H2PO4-",
    "B(OH)4-": "H2BO3-",
    "Ox-2": "Oxalate-2",
    "H(Ox)-": "HOxalate-",
    "Cit-3": "Citrate-3",
    "H(Cit)-2": "H(Citrate)-2",
    "H2(Cit)-": "H2(Citrate)-",
    "SO3-2": "Sulfite-2",
    "ClO4-": "Perchlorate-",
    "IO3-": "Iodate-",
    "H3(SiO4)-": "H3SiO4-",
}
_ALKALI = {"Na+", "K+", "Li+"}
_HEAD = """\
# Derived from the USGS PHREEQC database minteq.v4.dat (public domain) by database.py. Do not edit.
SOLUTION_MASTER_SPECIES
E e- 1 0 0
O H2O 0 O 16
O(-2) H2O 0 O
O(0) O2 0 O
H H+ -1 H 1.0079
H(0) H2 0 H
H(1) H+ -1 H
Alkalinity CO3-2 2 HCO3 61.0173
"""
_OWN_MASTERS = [
    "e-",
    "H2O",
    "H+",
    *(re.sub(rf"{old}(?![a-z_])", new, name) for name, (old, new) in RENAMED.items()),
]
_BASE_SPECIES = "".join(f"{name} = {name}\n\tlog_k 0\n" for name in _OWN_MASTERS)


def derive(source: str, phases: frozenset[str], supplement: str) -> str:
    """The beaker's database as text.

    source: text of minteq.v4.dat. phases: names of its solids and gases to keep. supplement: further PHREEQC
    blocks, appended as they are. Raises ValueError where a wanted solid is not in the source.
    """
    lines = [line for line in source.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    block, masters, species, solids = "", [], [], []
    found: set[str] = set()
    for number, line in enumerate(lines):
        if re.fullmatch(r"[A-Z_]{6,}", line.strip()):
            block = line.strip()
        elif block == "SOLUTION_MASTER_SPECIES":
            masters += _master(line)
        elif block == "SOLUTION_SPECIES" and " = " in line and not line[0].isspace():
            species += _reaction(line, lines[number + 1 : number + 5])
        elif block == "PHASES" and line in phases and line not in found:
            found.add(line)
            reaction = _reaction(lines[number + 1].strip(), lines[number + 2 : number + 5], solid=True)
            solids += [line, *("\t" + part for part in reaction)]
    # The supplement may define a solid of its own; only names found nowhere are an error.
    if missing := sorted(name for name in phases - found if f"\n{name}\n" not in supplement):
        raise ValueError(f"not in {SOURCE_NAME} nor in the supplement: {', '.join(missing)}")
    return (
        _HEAD
        + "\n".join(masters)
        + "\nSOLUTION_SPECIES\n"
        + _BASE_SPECIES
        + "\n".join(species)
        + "\nPHASES\n"
        + "\n".join(solids)
        + "\n"
        + supplement
    )


def _master(line: str) -> list[str]:
    """A master-species line, under its new element where the oxidation state stands apart."""
    name, master, alkalinity, *_ = line.split()
    if "(" in name and master not in RENAMED:
        return []
    if master in RENAMED:
        old, new = RENAMED[master]
        return [f"{new} {_rename(master, old, new)} {alkalinity} {new} {_MASSES[old]}"]
    return [line] if master in KEPT and name != "Alkalinity" else []


def _rename(text: str, old: str, new: str) -> str:
    return re.sub(rf"{old}(?![a-z_])", new, text)


def _reaction(equation: str, following: list[str], solid: bool = False) -> list[str]:
    """One reaction with its constants, or nothing if it needs an electron or a species left out."""
    known = {"H2O", "H+", "OH-", *KEPT, *RENAMED}
    left, right = (side.split(" + ") for side in equation.split(" = "))
    tokens = [re.sub(r"^[\d.]+ ", "", part.strip()) for part in (*left, *right)]
    strange = [token for token in tokens if token not in known]
    if not solid and len(tokens) > 2 and _is_left_out(set(tokens)):
        return []
    water_redox = equation in ("2 H2O = O2 + 4 H+ + 4 e-", "2 H+ + 2 e- = H2")
    if not water_redox and ("e-" in tokens or len(strange) > 1):
        return []
    used = {RENAMED[token] for token in tokens if token in RENAMED}
    elements = [old for old, _ in used]
    if len(set(elements)) < len(elements) or any(_PRIMARY.get(old) in tokens for old in elements):
        return []  # two oxidation states in one formula cannot be told apart
    for old, new in used:
        equation = _rename(equation, old, new)
    constants = []
    for line in following:
        if not line[0].isspace():
            break
        if line.split()[0] in ("log_k", "delta_h", "-gamma", "-no_check") and line.split() != [
            "-gamma",
            "0",
            "0",
        ]:
            constants.append(" ".join(line.split()))
    return [equation, *constants]


def _is_left_out(tokens: set[str]) -> bool:
    """Whether a complex is a weak pair or one that forms too slowly; see the top of the file."""
    if any(re.search(r"S\d-2|S\dS\d|\(S\d\)", token) for token in tokens):
        return True  # polysulfides need electrons that the source leaves out of their equations
    return bool(_ALKALI & tokens) or {"Cr(OH)2+", "NH4+"} <= tokens or "NH4SO4-" in tokens


def wanted_phases() -> frozenset[str]:
    """Names of the solids and gases that the source or the supplement must have."""
    return frozenset(saturation.ions_by_phase()) - saturation.named()


def dilute_text() -> str:
    """The beaker's database up to MODEL_LIMIT, derived from the installed PHREEQC package."""
    supplement = published.text("supplement.dat")
    text = derive(source_text(SOURCE_NAME), wanted_phases(), supplement) + saturation.product_text()
    return text + saturation.saturation_text(text)


def concentrated_text() -> str:
    """What makes the beaker's database one of the specific ion interaction theory (SIT).

    The interaction coefficients are those of sit.dat for the ions that the beaker has, and a few more of
    `tables/interactions.csv`; the solids with a tabled solubility have constants that fit them. A coefficient
    below nothing is raised where with it more of a salt would dissolve the more of it there is, before its
    tabled solubility is reached: SIT is not made for so much.
    """
    dilute = dilute_text()
    there = set(re.findall(r"\S+", dilute))
    lines, floors = [], saturation.least_interactions()
    for one, other, value in (*_interactions(source_text("sit.dat")), *_more_interactions()):
        if one in there and other in there:
            least = max(floors.get((one, other), -9.0), floors.get((other, one), -9.0))
            lines.append(f"{one} {other} {max(float(value), least):g}\n")
    sit = "# Derived from sit.dat of the PHREEQC package by database.py. Do not edit.\nSIT\n-epsilon\n"
    sit += "".join(dict.fromkeys(lines))
    return f"{sit}PHASES\n{saturation.saturation_text(dilute + sit)}"


def _interactions(source: str) -> list[tuple[str, str, str]]:
    """Pairs of ions in this package's names with their interaction coefficient, from the text of sit.dat."""
    block = source.partition("\nSIT\n")[2].partition("SOLUTION_SPECIES")[0]
    rows = [line.split()[:3] for line in block.splitlines() if line.strip() and line[0] not in "#-"]
    return [(_SIT_NAMES.get(one, one), _SIT_NAMES.get(other, other), value) for one, other, value in rows]


def _more_interactions() -> list[tuple[str, str, str]]:
    return [
        (saturation.engine_species(one), saturation.engine_species(other), value)
        for one, other, value, _ in published.table("interactions.csv")
    ]


def brine_text() -> str:
    """The solids that pitzer.dat lacks and its ions can make, with constants that fit it."""
    pitzer, dilute = pitzer_source(), dilute_text()
    has = set(re.findall(r"^(\S+)$", pitzer.partition("\nPHASES\n")[2], re.MULTILINE))
    ions, known, wanted = saturation.ions_by_phase(), species.ions(), set()
    for phase, parts in ions.items():
        formulas = " ".join(formula for ion, _ in parts for formula, _ in known[ion].engine)
        if set(re.findall(r"[A-Z][a-z_]*", formulas)) - {"H", "O"} <= PITZER_ELEMENTS:
            wanted.add(phase)
    entries = dict(re.findall(r"^(\S+)\n((?:\t.*\n)+)", dilute.partition("\nPHASES\n")[2], re.MULTILINE))
    fitted = frozenset(row.phase for row in saturation.solubilities()) & wanted
    text = "# Derived for pitzer.dat of the PHREEQC package by database.py. Do not edit.\nPHASES\n"
    for phase in sorted(wanted - fitted - has):
        text += f"{phase}\n{pitzer_names(entries[phase])}"
    return text + saturation.saturation_text(pitzer, pitzer_names, fitted)


DERIVED = {"beaker.dat": dilute_text, "concentrated.dat": concentrated_text, "brine.dat": brine_text}
