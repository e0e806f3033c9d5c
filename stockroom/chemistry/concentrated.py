"""Which activity model tells the truth of a concentrated solution, and its engine.

Up to 0.5 mol/kg the Davies equation of the beaker's own database does. Above it, the answer comes from the
first that knows the ions that make up most of the solution:

- the Pitzer equations with pitzer.dat, as far as its salts go (their saturated solutions included);
- the specific ion interaction theory (SIT) with the coefficients of sit.dat, up to 3.5 mol/kg (Grenthe and
  Plyasunov, Pure Appl. Chem. 69 (1997) 951; from memory).

Up to 1 mol/kg SIT answers also where a coefficient is missing, for the coefficients matter little there.
Beyond, where neither knows the ions, there is no pH.
"""

import importlib.resources
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from stockroom.chemistry import published, species

#: elements of pitzer.dat; its iron and manganese take no hydroxide ions, so that their pH would be too high
PITZER_ELEMENTS = frozenset(("Na", "K", "Li", "Mg", "Ca", "Sr", "Ba", "Cl", "Br", "S", "C", "B", "Si"))
EXTREME_LIMIT = 8.0  # mol/kg, of strong acids and alkalis; about where the parameters of pitzer.dat end
SIT_LIMIT = 3.5  # mol/kg of ionic strength
LENIENT_LIMIT = 1.0  # mol/kg, up to which a missing coefficient matters little
_ACID, _ALKALINE = 1.0, 13.0  # pH beyond which hydrogen or hydroxide ions are ions like others
_ACID_ENOUGH = 3.0
_STRONG = frozenset(
    [
        "Cl-",
        "Br-",
        "I-",
        "NO3-",
        "ClO4-",
        "ClO3-",
        "BrO3-",
        "IO3-",
        "SO4-2",
        "SCN-",
        "MnO4-",
        "S2O8-2",
        "CrO4-2",
        "NH2SO3-",
    ]
)
_NAMES = re.compile(r"[A-Z][a-z_]*")
_SHARE = 0.2  # of all the charge, above which an ion counts
ABOVE = "too concentrated, above what can be computed"


@dataclass(frozen=True)
class Model:
    """An activity model. name: in words. known: pairs of what interacts, by the engine's elements."""

    name: str
    known: frozenset[frozenset[str]]


@cache
def source_text(name: str) -> str:
    """A database file inside the installed `phreeqc` package."""
    return (importlib.resources.files("phreeqc") / "databases" / name).read_text("latin-1")


def pitzer_source() -> str:
    """pitzer.dat up to its end mark, so that more can follow."""
    return source_text("pitzer.dat").partition("\nEND\n")[0] + "\n"


def pitzer_names(text: str) -> str:
    """This package's names of boric acid and borate in those of pitzer.dat."""
    return text.replace("H3BO3", "B(OH)3").replace("H2BO3-", "B(OH)4-")


@cache
def pitzer() -> Model:
    """The Pitzer equations and the salts of pitzer.dat."""
    block = source_text("pitzer.dat").partition("\n-B0")[2].partition("\n-B1")[0]
    pairs = [line.split()[:2] for line in block.splitlines() if line.strip() and line.strip()[0] != "#"]
    known = frozenset(frozenset(_part(ion) for ion in pair) for pair in pairs)
    return Model("the Pitzer equations (pitzer.dat)", known)


@cache
def sit() -> Model:
    """The specific ion interaction theory and the pairs of sit.dat."""
    block = published.text("concentrated.dat").partition("PHASES")[0]
    pairs = [line.split()[:2] for line in block.splitlines() if line[:1] not in ("#", "-") and " " in line]
    known = frozenset(frozenset(_part(ion) for ion in pair) for pair in pairs)
    return Model("the specific ion interaction theory (sit.dat)", known)


def databases(model: Model) -> str:
    """The text of a model's whole database."""
    if model is pitzer():
        return pitzer_source() + published.text("brine.dat")
    return "".join(published.text(name) for name in ("beaker.dat", "concentrated.dat"))


def models_for(ions: Mapping[str, float], elements: frozenset[str], ph: float) -> tuple[Model, ...]:
    """The models that may be asked, best first.

    ions: mol by formula, in the fewest ions. elements: the engine's, of all there is. ph: roughly, by which
    hydrogen or hydroxide ions count as ions of the solution or not.
    """
    if elements <= PITZER_ELEMENTS and not missing(ions, pitzer(), ph):
        return (pitzer(), sit())
    return (sit(),)


def objection(ions: Mapping[str, float], model: Model, strength: float, ph: float) -> str:
    """Why a model's pH is not to be shown at an ionic strength (mol/kg); "" if it may be."""
    if (model is pitzer() and strength <= EXTREME_LIMIT) or strength <= LENIENT_LIMIT:
        return ""
    if extreme(ph) is None:
        return _objection(ions, model, strength, ph)
    if strength > EXTREME_LIMIT or _objection(ions, model, strength, ph):
        return f"{ABOVE}: strongly {'acidic' if ph < _ACID else 'alkaline'}"
    return ""


def extreme(ph: float) -> float | None:
    """0.0 where a rough pH is that of a strong acid, 14.0 where of a strong alkali; None between."""
    return 0.0 if ph < _ACID else 14.0 if ph > _ALKALINE else None


def _objection(ions: Mapping[str, float], model: Model, strength: float, ph: float) -> str:
    if model is pitzer():
        return ""
    if strength > SIT_LIMIT:
        return (
            f"{ABOVE}: the ionic strength is {strength:.1f} mol/kg, and no table of its ions goes beyond "
            f"{SIT_LIMIT:g} mol/kg"
        )
    lacking = missing(ions, model, ph)
    if not lacking:
        return ""
    known = species.ions()
    told = [" with ".join(known[ion].name for ion in pair) for pair in lacking[:2]]
    return f"{ABOVE}: at an ionic strength of {strength:.1f} mol/kg no table has {' or '.join(told)}"


def missing(ions: Mapping[str, float], model: Model, ph: float) -> list[tuple[str, str]]:
    """Pairs of the main ions that a model does not know."""
    known = species.ions()
    charges = {ion: mol * known[ion].charge for ion, mol in ions.items() if known[ion].charge and mol > 0}
    hydrogen = abs(ions.get("H+", 0.0))
    charges.pop("H+", None)
    if ph < _ACID_ENOUGH:  # the ion of a weak acid is then part of its molecule
        charges = {ion: charge for ion, charge in charges.items() if charge > 0 or ion in _STRONG}
    if ph < _ACID or ph > _ALKALINE:
        charges["H+" if ph < _ACID else "OH-"] = hydrogen if ph < _ACID else -hydrogen
    total = sum(abs(charge) for charge in charges.values()) / 2 or 1.0
    main = [ion for ion, charge in charges.items() if abs(charge) > _SHARE * total]
    return [
        (one, other)
        for one in main
        for other in main
        if charges[one] > 0 > charges[other]
        and frozenset((_element(one), _element(other))) not in model.known
    ]


@cache
def _element(ion: str) -> str:
    return _part(_engine_name(ion))


def _engine_name(ion: str) -> str:
    if ion in ("H+", "OH-"):
        return ion
    (formula, _), *_ = species.ions()[ion].engine
    return formula


def _part(ion: str) -> str:
    """The engine's element that tells an ion apart: "C" of HCO3-, "OH" of OH-, "H" of H+."""
    if ion in ("OH", "OH-"):
        return "OH"
    return next((name for name in _NAMES.findall(ion) if name not in ("H", "O")), "H")
