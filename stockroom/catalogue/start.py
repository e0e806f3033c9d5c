"""What the form of a new reagent is filled in with: a row of the catalog, or the library's identity."""

from dataclasses import dataclass
from functools import cached_property

from stockroom.catalogue.into_models import add_chemical, add_classes, fields_of, source_text
from stockroom.catalogue.loader import Chemical as ChemicalRow
from stockroom.catalogue.loader import Reagent as ReagentRow
from stockroom.catalogue.loader import load
from stockroom.catalogue.lookup import LIBRARY, Facts, lookup, search
from stockroom.chemistry.formula import FormulaError, check_cas, molar_mass
from stockroom.inventory.models import Chemical, Reagent
from stockroom.wording.sentences import first_large

MOST_SUGGESTED = 15
#: letters from which the library is asked: shorter names mean too many things
LEAST_LETTERS = 3
ROOM_C = 25


@dataclass(frozen=True)
class Suggested:
    """One line of the list to choose from. `key` goes into the address, `here` is the reagent if kept."""

    key: str
    name: str
    detail: str
    here: Reagent | None = None


@dataclass(frozen=True)
class Start:
    """A filled-in form. `chemicals` holds (row, value, unit) of each component, in order."""

    fields: dict
    chemicals: tuple[tuple[ChemicalRow, object, str], ...]
    solvent: ChemicalRow | None
    sources: tuple[tuple[str, str], ...]
    row: ReagentRow | None = None

    @cached_property
    def names(self) -> dict[str, str]:
        """Key of each chemical -> its name in this stockroom, where it is known by another."""
        rows = [row for row, *_ in self.chemicals] + ([self.solvent] if self.solvent else [])
        known = dict(
            Chemical.objects.filter(cas_rn__in=[row.cas for row in rows]).values_list("cas_rn", "name")
        )
        return {row.key: known.get(row.cas, row.name) for row in rows}

    def initial(self) -> dict:
        return {"solvent": self.names[self.solvent.key]} if self.solvent else {}

    def components(self) -> list[dict]:
        return [
            {"chemical": self.names[row.key], "value": value, "unit": unit}
            for row, value, unit in self.chemicals
        ]

    def add_chemicals(self) -> None:
        """The chemicals that the form names, so that they can be chosen."""
        for row in [row for row, *_ in self.chemicals] + ([self.solvent] if self.solvent else []):
            add_chemical(row)

    def finish(self, reagent: Reagent) -> bool:
        """Take over the hazard classes, unchecked, where it holds what the catalog says; whether so."""
        if self.row is None:
            return False
        held = {(part.chemical.name, part.value, part.unit) for part in reagent.components.all()}
        if held != {(part["chemical"], part["value"], part["unit"]) for part in self.components()}:
            return False
        add_classes(reagent, self.row)
        if not Reagent.objects.filter(catalogue_key=self.row.key).exists():
            Reagent.objects.filter(pk=reagent.pk).update(catalogue_key=self.row.key)
        return True


def start_from(key: str) -> Start | None:
    """`catalogue:KEY` or `library:CAS RN`, as `suggest` gives them; None for anything else."""
    kind, _, name = key.partition(":")
    if kind == "catalogue" and name in load().reagents:
        return _of_catalogue(load().reagents[name])
    return _of_library(name) if kind == LIBRARY else None


def _of_catalogue(row: ReagentRow) -> Start:
    chemicals = load().chemicals
    sources = (
        ("What it holds", source_text(row.composition_source)),
        ("Hazard classes", source_text(row.hazard_source)),
        ("Transport", source_text(row.transport_source)),
        ("Storage and handling", source_text(row.handling_source)),
    )
    parts = tuple((chemicals[part.chemical], part.value, part.unit) for part in row.components)
    return Start(fields_of(row), parts, chemicals[row.solvent] if row.solvent else None, sources, row)


def _of_library(cas: str) -> Start | None:
    try:
        found = lookup(check_cas(cas))
    except FormulaError:
        return None
    if found is None:
        return None
    name = found.name if len(found.name) <= 160 else found.cas
    synonyms = tuple(dict.fromkeys(found.synonyms))
    chemical = ChemicalRow(found.cas, name, found.cas, _readable(found.formula), synonyms, "", LIBRARY)
    kind, measure = _state(found.facts)
    fields = {"name": name, "kind": kind, "measure": measure, "note": _said(found.facts)}
    sources = (("Name, CAS RN, formula", source_text(LIBRARY)),)
    return Start(fields, ((chemical, None, "pure"),), None, sources)


def _readable(formula: str) -> str:
    try:
        molar_mass(formula)
    except FormulaError:
        return ""
    return formula


def _state(facts: Facts | None) -> tuple[str, str]:
    """(kind, measure) of the pure substance at room temperature; "" where that is not known."""
    if facts is None:
        return "", ""
    if facts.boiling_point_c is not None and facts.boiling_point_c < ROOM_C:
        return "gas", ""
    if facts.melting_point_c is None:
        return "", ""
    return ("solid", "mass") if facts.melting_point_c > ROOM_C else ("liquid", "volume")


def _said(facts: Facts | None) -> str:
    named = (
        ("flash point", facts and facts.flash_point_c),
        ("boiling point", facts and facts.boiling_point_c),
        ("melting point", facts and facts.melting_point_c),
    )
    known = [f"{name} {number:g} °C" for name, number in named if number is not None]
    said = ", ".join(known)
    return f"{first_large(said)} ({source_text(LIBRARY)}, not verified against SDS)." if known else ""


def suggest(text: str) -> tuple[list[Suggested], str]:
    """(what may be meant, best first; what is wrong with the text)."""
    text = " ".join(text.split())
    if not text:
        return [], ""
    try:
        meant = lookup(text) if len(text) >= LEAST_LETTERS else None
    except FormulaError as error:
        return [], str(error)
    rows = _rows_for(text, sorted(meant.reagents, key=_plainest) if meant else [])
    kept = Reagent.objects.filter(name__in=[row.name for row in rows])
    here = {reagent.name: reagent for reagent in kept}
    found = [Suggested(f"catalogue:{row.key}", row.name, _strengths(row), here.get(row.name)) for row in rows]
    if meant and not meant.reagents:
        detail = ", ".join(part for part in (f"CAS RN {meant.cas}", meant.formula) if part)
        found.append(Suggested(f"{LIBRARY}:{meant.cas}", meant.name, f"{detail}; name and formula only"))
    return found, ""


def _rows_for(text: str, first: list[ReagentRow]) -> list[ReagentRow]:
    """Rows of the catalog to offer for a text: `first`, then those whose chemical it names."""
    rows = {row.key: row for row in first}
    for chemical in search(text):
        rows |= {r.key: r for r in load().reagents.values() if r.components[0].chemical == chemical.key}
    return list(rows.values())[:MOST_SUGGESTED]


def _plainest(row: ReagentRow) -> tuple[int, bool]:
    """To put the substance by itself before its solutions, and those before mixtures it is in."""
    return len(row.components), row.components[0].unit != "pure"


def _strengths(row: ReagentRow) -> str:
    formula = load().chemicals[row.components[0].chemical].formula
    return ", ".join(part for part in (formula, row.kind, f"storage: {row.storage_kind}") if part)
