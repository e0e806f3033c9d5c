"""How each reagent of the starter catalog is got rid of, computed from what it holds.

`python -m stockroom.catalogue.disposing` writes data/disposal.csv again; a test compares.
"""

import csv

from stockroom.catalogue.loader import DATA, Reagent, load
from stockroom.catalogue.portions import portion_of
from stockroom.chemistry.quantity import COUNT, MASS, VOLUME
from stockroom.safety import route
from stockroom.safety.discarded import waste_of
from stockroom.safety.streams import reactivity
from stockroom.safety.waste import Waste

FILE = DATA / "disposal.csv"
#: so much of each, in base units of its measure: the route hangs on strengths, not on amounts
_AMOUNT = {VOLUME: 100_000, MASS: 10_000_000, COUNT: 1}
_WATER_REACTIVE = frozenset(
    {"water_reactive", "carbide", "alkali_metal", "hydride", "acid_chloride", "anhydride"}
)


def waste_of_row(row: Reagent) -> Waste:
    """A reagent of the catalog thrown away."""
    return waste_of(
        portion_of(row, _AMOUNT[row.measure]),
        frozenset(row.groups),
        frozenset(row.hazard_classes),
        kind=row.kind,
        classified=row.classified,
    )


def key_of(row: Reagent) -> str:
    """Which entry of data/disposal.toml tells how to get rid of it."""
    waste = waste_of_row(row)
    way, stream = route.route_of(waste)
    groups = reactivity(waste)
    if way == route.ALONE:
        if waste.residue.unknown:
            return "unknown"
        return "water_reactive" if groups & _WATER_REACTIVE else route.ALONE
    if way != route.COLLECT:
        return way
    if stream.key == "solvents" and "peroxide_former" in groups:
        return "solvents_peroxide_former"
    return stream.key


def write() -> None:
    with FILE.open("w", newline="", encoding="utf-8") as file:
        lines = csv.writer(file, lineterminator="\n")
        lines.writerow(["reagent", "disposal"])
        lines.writerows((row.key, key_of(row)) for row in load().reagents.values())


if __name__ == "__main__":
    write()
