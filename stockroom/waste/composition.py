"""Waste as the rules of `safety` see it: what an entry, a reagent or a whole waste container is made of.

What cannot be told counts as unknown, and unknown counts as hazardous.
"""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.contrib.contenttypes.prefetch import GenericPrefetch
from django.db.models import Prefetch, QuerySet

from stockroom.chemistry.portion import Part, Portion
from stockroom.chemistry.quantity import COUNT, MASS, VOLUME
from stockroom.chemistry.residue import Dissolved, Organic, Residue, Solid
from stockroom.common.department import Department
from stockroom.inventory.models import Container, Reagent, Reservation, WasteContainer, WasteEntry
from stockroom.safety import generator, streams, waste_limits
from stockroom.safety.discarded import waste_of, waste_of_several
from stockroom.safety.joining import WasteVessel, against, belongs_elsewhere
from stockroom.safety.joining import may_join as can_join
from stockroom.safety.route import open_way_barriers
from stockroom.safety.storage import UNKNOWN_RULE
from stockroom.safety.waste import Waste, WasteRules, characterise
from stockroom.waste.models import OwnWasteLimit

#: kg/L of a planned solution whose density nobody wrote down, and of waste of no known stream: own rule
DENSE, DENSEST = 1.2, 13.6
#: what a piece counts as that nobody weighed, more than a thermometer or a battery weighs: own rule
PIECE = generator.KG
#: a year and the month it is seen from
MONTHS_SHOWN = 13


def own_limits() -> dict[str, float]:
    """The limits that the department has set itself, by key."""
    return {key: float(value) for key, value in OwnWasteLimit.objects.values_list("key", "value")}


def rules() -> WasteRules:
    """The limits in force: the federal ones, elsewhere guidance, with the department's own in their place."""
    return waste_limits.rules_with(Department.current().country.upper(), own_limits())


# --- what a reagent is made of


def portion_of(reagent: Reagent, amount: int) -> Portion:
    """So much of a reagent as plain data. Reads `components__chemical` and `solvent`."""
    parts = tuple(
        Part(part.chemical.name, part.chemical.formula, part.chemical.cas_rn or "", part.value, part.unit)
        for part in reagent.components.all()
    )
    watery = reagent.kind == Reagent.Kind.SOLUTION and len(parts) == 1 and parts[0].unit != "pure"
    solvent = reagent.solvent.name if reagent.solvent else ("water" if watery else "")
    piece = None if reagent.piece_mass_g is None else float(reagent.piece_mass_g)
    return Portion(reagent.name, reagent.measure, amount, parts, solvent, reagent.density, piece)


def of_reagent(reagent: Reagent, amount: int, ph: float | None = None, unused: bool = False) -> Waste:
    """So much of a reagent thrown away. `ph`: as measured; `unused`: as it came from the supplier."""
    return waste_of(
        portion_of(reagent, amount),
        frozenset(reagent.groups),
        frozenset(hazard.hazard_class for hazard in reagent.hazards.all()),
        kind=reagent.kind,
        classified=reagent.hazard_state != Reagent.HazardState.UNKNOWN,
        ph=ph,
        unused=unused,
    )


def against_open_way(reagent: Reagent) -> tuple[str, ...]:
    """Every reason why a reagent goes neither to the drain nor to the trash; () where nothing is found."""
    amount = {VOLUME: 100_000, MASS: 10_000_000}.get(reagent.measure, 1)
    return open_way_barriers(of_reagent(reagent, amount), rules())


def described(text: str, volume_ul: int, ph: float | None, reagent: Reagent | None = None) -> Waste:
    """Something whose composition cannot be told; `reagent` gives what is known of its hazards."""
    hazards = reagent.hazards.all() if reagent else ()
    return Waste(
        Residue(volume_ul, ph, unknown=(text,)),
        frozenset(reagent.groups if reagent else ()),
        frozenset(hazard.hazard_class for hazard in hazards),
    )


def of_several(parts: list[tuple[Reagent, int]], volume_ul: int, ph: float | None) -> Waste:
    """A mixture of so much of each reagent, as `volume_ul` of it (0: as it is). `ph`: as measured."""
    told = [(portion_of(reagent, amount), of_reagent(reagent, amount)) for reagent, amount in parts]
    waste = waste_of_several(told, ph)
    whole = waste.residue.volume_ul
    if not (whole and volume_ul):
        return waste
    return scaled(waste, volume_ul / whole)


def vouched(stream: str, volume_ul: int, ph: float | None) -> Waste:
    """What nobody can list, and somebody vouches that it is waste of this stream."""
    return Waste(Residue(volume_ul, ph), vouched=stream)


def scaled(waste: Waste, factor: float) -> Waste:
    """So many times as much of the same: strengths, shares and pH stay."""
    residue = waste.residue
    more = replace(
        residue,
        volume_ul=round(residue.volume_ul * factor),
        components=tuple(replace(one, mol=one.mol * factor) for one in residue.components),
        undissolved=tuple(replace(one, mol=one.mol * factor) for one in residue.undissolved),
        gases=tuple(replace(one, mol=one.mol * factor) for one in residue.gases),
    )
    return replace(waste, residue=more)


# --- what an entry of a waste container remembers


def as_data(waste: Waste) -> dict:
    """What `WasteEntry.composition` keeps."""
    residue = waste.residue
    return {
        "volume_ul": residue.volume_ul,
        "ph": residue.ph,
        "components": [[one.name, one.formula, one.cas, one.mol] for one in residue.components],
        "undissolved": [[one.name, one.formula, one.cas, one.mol] for one in residue.undissolved],
        "organics": [[one.name, one.cas, one.percent_w_w] for one in residue.organics],
        "unknown": list(residue.unknown),
        "groups": sorted(waste.groups),
        "hazard_keys": sorted(waste.hazard_keys),
        "unused_cas": sorted(waste.unused_cas),
        "vouched": waste.vouched,
        "form": waste.form,
    }


def of_entry(entry: WasteEntry) -> Waste:
    """An entry without a composition is the container it came from, or else only its description."""
    data = entry.composition
    ph = None if entry.ph is None else float(entry.ph)
    if not data:
        if isinstance(entry.belongs_to, Container):
            return of_reagent(entry.belongs_to.reagent, entry.amount, ph, unused=True)
        return described(entry.description, entry.amount, ph)
    residue = Residue(
        data["volume_ul"],
        data["ph"] if ph is None else ph,
        components=tuple(Dissolved(*row) for row in data["components"]),
        undissolved=tuple(Solid(*row) for row in data["undissolved"]),
        organics=tuple(Organic(*row) for row in data["organics"]),
        unknown=tuple(data["unknown"]),
    )
    return Waste(
        residue,
        frozenset(data["groups"]),
        frozenset(data["hazard_keys"]),
        unused_cas=frozenset(data["unused_cas"]),
        vouched=data.get("vouched", ""),
        form=data.get("form", ""),
    )


def with_sources(entries: QuerySet) -> QuerySet:
    """Entries with all that `of_entry` reads, in a handful of queries."""
    containers = Container.objects.select_related("reagent__solvent").prefetch_related(
        "reagent__hazards", "reagent__components__chemical"
    )
    return entries.select_related("who").prefetch_related(GenericPrefetch("belongs_to", [containers]))


def with_entries(containers: QuerySet) -> QuerySet:
    """Waste containers with their entries as `of_entry` reads them, without those that were struck out."""
    entries = with_sources(WasteEntry.objects.filter(correction=None).order_by("added_on", "pk"))
    return containers.select_related("location").prefetch_related(Prefetch("entries", entries))


# --- a whole waste container


def contents_of(container: WasteContainer) -> tuple[Waste, ...]:
    return tuple(of_entry(entry) for entry in container.entries.all())


def named_contents(container: WasteContainer, label: streams.WasteLabel) -> tuple[str, ...]:
    """What went in, as people wrote it, the most of it first; then the substances of `label` that tell more.

    A label that names ions alone says neither “acid” nor where it came from.
    """
    amounts: dict[str, int] = {}
    for entry in container.entries.all():
        amounts[entry.description] = amounts.get(entry.description, 0) + entry.amount
    names = tuple(sorted(amounts, key=amounts.get, reverse=True))
    told = " ".join(names).lower()
    known = [name for name in label.contents if not name.startswith("not known: ")]
    return names + tuple(name for name in known if name.lower() not in told)


@dataclass(frozen=True)
class Verdict:
    """Whether waste may join a container. `refused`: not at all; `doubts`: only if a person vouches."""

    refused: tuple[str, ...]
    doubts: tuple[str, ...]


def may_join(
    waste: Waste, container: WasteContainer, amount: int, in_force: WasteRules | None = None
) -> Verdict:
    """A reaction with the contents, or no room, is refused; another stream, or not known, is a doubt.

    Waste of a strict stream, and what nobody can name, goes nowhere else whatever a person says.
    Asks for the limits in force where they are not given.
    """
    in_force = in_force or rules()
    vessel = WasteVessel(
        container.stream,
        contents_of(container),
        container.contents,
        container.capacity,
        bool(container.closed_on or container.collected_on),
    )
    found = can_join(waste, vessel, amount, in_force)
    doubtful = {against(one) for one in found.conflicts if one.rule == UNKNOWN_RULE}
    stream, why = streams.stream_for(waste, in_force)
    if not stream.strict or _is_partly_known(waste):
        doubtful.add(belongs_elsewhere(stream, why))
    refused = tuple(reason for reason in found.reasons if reason not in doubtful)
    return Verdict(refused, tuple(reason for reason in found.reasons if reason in doubtful))


def _is_partly_known(waste: Waste) -> bool:
    """Whether part of it is not known, and something is: then a person may know enough of the rest."""
    residue = waste.residue
    told = residue.components or residue.undissolved or residue.organics or waste.groups
    return bool(residue.unknown and told)


def stream_name(key: str) -> str:
    stream = streams.streams().get(key)
    return stream.name if stream else key.replace("_", " ")


def mass_of(container: WasteContainer, amount: int) -> int:
    """Micrograms; by the density of the stream where it was measured by volume, and `PIECE` a piece."""
    if container.measure == MASS:
        return amount
    if container.measure != VOLUME:
        return amount * PIECE
    stream = streams.streams().get(container.stream)
    return generator.mass_from_volume(amount, stream.density_kg_l if stream else DENSEST)


# --- month by month


@dataclass(frozen=True)
class Months:
    """Hazardous waste by month, newest first. unweighed: entries by the piece, each piece taken as `PIECE`.

    outlook: with what the bookings will make, `planned_ug` until the day `planned_until`.
    """

    months: tuple[generator.Month, ...]
    outlook: generator.Outlook
    unweighed: int
    planned_ug: int
    planned_until: datetime.date | None


def _generated(container: WasteContainer, in_force: WasteRules) -> list[generator.Generated]:
    """The hazardous entries of a container with their mass."""
    made = []
    for entry in container.entries.all():
        judged = characterise(of_entry(entry), in_force)
        if judged.hazardous:
            mass = mass_of(container, entry.amount)
            made.append(generator.Generated(entry.added_on, mass, judged.acute, container.code))
    return made


def planned(today: datetime.date) -> list[generator.Generated]:
    """What the reservations from today on will make at most: all that is used up and may be hazardous."""
    rows = Reservation.objects.filter(needed_on__gte=today, returns=False)
    rows = rows.exclude(reagent__hazard_state=Reagent.HazardState.NONE).select_related("reagent")
    return [
        generator.Generated(row.needed_on, _mass(row.reagent, row.amount), ref=row.purpose) for row in rows
    ]


def _mass(reagent: Reagent, amount: int) -> int:
    if reagent.measure == MASS:
        return amount
    if reagent.measure != VOLUME:
        return amount * PIECE
    return generator.mass_from_volume(amount, float(reagent.density or DENSE))


def by_month(today: datetime.date) -> Months:
    """The last thirteen months against the generator limits, and where the department stands today."""
    own, country = own_limits(), Department.current().country.upper()
    in_force, known = waste_limits.rules_with(country, own), waste_limits.categories_with(country, own)
    made, collected, unweighed, oldest = [], [], 0, None
    for container in with_entries(WasteContainer.objects.all()):
        here = _generated(container, in_force)
        made += here
        unweighed += len(here) if container.measure == COUNT else 0
        if container.collected_on:
            collected += [generator.Collected(container.collected_on, one.mass_ug, one.acute) for one in here]
        elif here:
            oldest = min(oldest or container.started_on, container.started_on)
    months = tuple(generator.month_of(made, *month, known) for month in _months_back(today))
    category = max((month.category for month in months), key=known.index)
    to_come = planned(today)
    outlook = generator.outlook(category, made, collected, to_come, today, oldest)
    return Months(
        months,
        outlook,
        unweighed,
        sum(one.mass_ug for one in to_come),
        max((one.on for one in to_come), default=None),
    )


def remove_by(container: WasteContainer, today: datetime.date) -> datetime.date | None:
    """The last day it may stay, by the category of the past months; None where there is no such day."""
    days = by_month(today).outlook.category.most_days
    return container.started_on + datetime.timedelta(days) if days is not None else None


def _months_back(today: datetime.date) -> Iterable[tuple[int, int]]:
    year, month = today.year, today.month
    for _ in range(MONTHS_SHOWN):
        yield year, month
        year, month = (year, month - 1) if month > 1 else (year - 1, 12)
