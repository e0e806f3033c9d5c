"""The starter catalog: reagents of a teaching stockroom, as plain data read from the files in `data/`.

Nothing here is checked: every row carries its source ("library": taken from the `chemicals` library;
"published: TITLE SECTION"; "from memory") and stays unchecked until someone ticks it against the supplier's
safety data sheet in hand.
"""

import csv
import tomllib
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path

DATA = Path(__file__).parent / "data"


@dataclass(frozen=True)
class Chemical:
    """A substance. `formula` and `cas` are "" where there is none (a dye mixture).

    A polymer's formula is that of its repeat unit. `anhydrous` is the key of the same salt without its
    crystal water, or "". `source` speaks of name, CAS RN and formula.
    """

    key: str
    name: str
    cas: str
    formula: str
    synonyms: tuple[str, ...]
    anhydrous: str
    source: str


@dataclass(frozen=True)
class CatalogueComponent:
    """How much of one chemical there is: `value` is None for the units "pure" and "saturated"."""

    chemical: str
    value: Decimal | None
    unit: str


@dataclass(frozen=True)
class CataloguePart:
    """One reagent of a preparation; `amount` as people write it, e.g. "25 g"."""

    reagent: str
    amount: str


@dataclass(frozen=True)
class Preparation:
    """How one reagent is made up. `method` has one step a line; `lead_days` until it is fit for use.

    The amount of water is what is needed to make up to the mark, not an exact amount.
    """

    reagent: str
    yields: str
    parts: tuple[CataloguePart, ...]
    lead_days: int
    method: str
    source: str


@dataclass(frozen=True)
class Reagent:
    """A form in which something is kept and used, with what is known of its hazards.

    `hazard_classes` are keys of safety/tables/ghs_classes.csv. An empty tuple means "looked at, no class
    applies" only where `classified` is true; else nothing is known. `transport_class` is the UN class as
    text ("8", "5.1"), "none" where believed not regulated, "" where unknown. `density` in g/mL.
    `ageing` lists what time does to it, most serious first. Shelf lives in days. `hazard_source` is about the
    hazard classes, `transport_source` of UN number, class and packing group, `handling_source` of the rest
    (storage, groups, incompatibles, protection, first aid, spill, disposal). `disposal_route`: a code of
    safety/route.py.
    """

    key: str
    name: str
    kind: str
    components: tuple[CatalogueComponent, ...]
    solvent: str
    measure: str
    density: Decimal | None
    density_source: str
    ageing: tuple[str, ...]
    shelf_life_sealed_days: int | None
    shelf_life_opened_days: int | None
    composition_source: str
    classified: bool
    hazard_classes: tuple[str, ...]
    transport_class: str
    subsidiary_class: str
    un_number: str
    packing_group: str
    storage_kind: str
    groups: tuple[str, ...]
    incompatibles: tuple[str, ...]
    protection: str
    first_aid: str
    spill: str
    disposal: str
    disposal_route: str
    hazard_source: str
    transport_source: str
    handling_source: str

    @property
    def transport_text(self) -> str:
        """As on the package: "8 (5.1)", subsidiary class in brackets."""
        return (
            f"{self.transport_class} ({self.subsidiary_class})"
            if self.subsidiary_class
            else self.transport_class
        )


@dataclass(frozen=True)
class Catalogue:
    chemicals: dict[str, Chemical]
    reagents: dict[str, Reagent]
    preparations: dict[str, Preparation]


@cache
def load() -> Catalogue:
    """The whole catalog, read once. Raises KeyError or ValueError where a file is damaged."""
    chemicals = {row["key"]: _chemical(row) for row in _rows("chemicals.csv")}
    hazards = {row["reagent"]: row for row in _rows("hazards.csv")}
    handling, disposal, first_aid = map(_toml, ("handling.toml", "disposal.toml", "first_aid.toml"))
    routes = {row["reagent"]: disposal[row["disposal"]] for row in _rows("disposal.csv")}
    reagents = {}
    for row in _rows("reagents.csv"):
        hazard = hazards[row["key"]]
        reagents[row["key"]] = _reagent(
            row, hazard, handling[hazard["handling"]], routes.get(row["key"], disposal["unknown"]), first_aid
        )
    preparations = {key: _preparation(key, row) for key, row in _toml("preparations.toml").items()}
    return Catalogue(chemicals, reagents, preparations)


def _first_aid(named: list[str], classes: tuple[str, ...], told: dict[str, dict]) -> str:
    """The sentences that a row of handling.toml names, and those that its hazard classes need besides."""
    sentences = told["route"] | told["besides"]
    needed = [
        route
        for begins, routes in told["class"].items()
        if any(key.startswith(begins) for key in classes)
        for route in routes
    ]
    wanted = dict.fromkeys([*named, *needed])
    return " ".join(sentences[name] for name in wanted) or "None of its own."


def _protection(text: str, classes: tuple[str, ...]) -> str:
    """Spectacles become goggles for what damages the eye."""
    if any(key.startswith(("eye_dam", "skin_corr")) for key in classes):
        return text.replace("Eye protection", "Splash goggles").replace("eye protection", "splash goggles")
    return text


def _rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _toml(name: str) -> dict:
    return tomllib.loads((DATA / name).read_text(encoding="utf-8"))


def _listed(cell: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split(";") if part.strip())


def _chemical(row: dict[str, str]) -> Chemical:
    return Chemical(**{**row, "synonyms": _listed(row["synonyms"])})


def _component(text: str) -> CatalogueComponent:
    """ "copper=70 % w/w" or "copper=pure"."""
    chemical, strength = text.split("=", 1)
    if strength in ("pure", "saturated"):
        return CatalogueComponent(chemical, None, strength)
    value, unit = strength.split(" ", 1)
    return CatalogueComponent(chemical, Decimal(value), unit)


def _reagent(row: dict, hazard: dict, handling: dict, disposal: dict, first_aid: dict) -> Reagent:
    classes = tuple(hazard["classes"].split())
    return Reagent(
        key=row["key"],
        name=row["name"],
        kind=row["kind"],
        components=tuple(_component(text) for text in _listed(row["components"])),
        solvent=row["solvent"],
        measure=row["measure"],
        density=Decimal(row["density"]) if row["density"] else None,
        density_source=row["density_source"],
        ageing=tuple(row["ageing"].split()),
        shelf_life_sealed_days=int(row["sealed_days"]) if row["sealed_days"] else None,
        shelf_life_opened_days=int(row["opened_days"]) if row["opened_days"] else None,
        composition_source=row["source"],
        classified=bool(classes),
        hazard_classes=() if classes == ("none",) else classes,
        transport_class=hazard["transport_class"],
        subsidiary_class=hazard["subsidiary"],
        un_number=hazard["un_number"],
        packing_group=hazard["packing_group"],
        storage_kind=hazard["storage"],
        groups=tuple(hazard["groups"].split()),
        incompatibles=_listed(hazard["incompatibles"]),
        protection=_protection(handling["protection"], classes),
        first_aid=_first_aid(handling["first_aid"], classes, first_aid),
        spill=handling["spill"],
        disposal=disposal["text"],
        disposal_route=disposal["route"],
        hazard_source=hazard["classes_source"],
        transport_source=hazard["transport_source"],
        handling_source=hazard["handling_source"],
    )


def _preparation(key: str, row: dict) -> Preparation:
    parts = tuple(CataloguePart(reagent, amount) for reagent, amount in row["parts"].items())
    return Preparation(key, row["yield"], parts, row["lead_days"], row["method"], "from memory")
