"""Conflict check of a large stockroom, as a ratio to reading the same rows by plain SQL.

Run: python -m tests.bench.conflicts [containers] [places] [reagents]
Prints lines for that number of containers and for twice as many, so that growth can be seen: places that
stand each by itself, and shelves of cabinets, across which gas and fire reach.
"""

import random
import sqlite3
import sys
import time
from dataclasses import replace

from stockroom.safety.storage import Item, Place, conflicts, reactivity_groups


def read_containers(database) -> list[Item]:
    rows = database.execute("select id, name, reagent, word_a, word_b, transport, place from container")
    return [
        Item(number, name, reagent, groups=frozenset((a, b)), transport_class=transport, location_id=place)
        for number, name, reagent, a, b, transport, place in rows
    ]


def generated(containers: int, places: int, reagents: int):
    """Every place is for one of the families of reagents; one container in twenty stands in a wrong place."""
    rng = random.Random(20)
    words = sorted(reactivity_groups())
    families = 30
    kinds = [
        (
            f"r{n}",
            words[n % families],
            rng.choice(("inert", "aqueous", "organic")),
            rng.choice(["3", "5.1", "8", None]),
        )
        for n in range(reagents)
    ]
    database = sqlite3.connect(":memory:")
    database.execute("create table container (id, name, reagent, word_a, word_b, transport, place)")
    for number in range(containers):
        which = rng.randrange(reagents)
        reagent, a, b, transport = kinds[which]
        family = which if rng.random() < 0.95 else rng.randrange(families)
        place = family % families + families * rng.randrange(places // families)
        row = (number, reagent, reagent, a, b, transport, place)
        database.execute("insert into container values (?, ?, ?, ?, ?, ?, ?)", row)
    return database


def measure(containers: int, places: int, reagents: int) -> None:
    database = generated(containers, places, reagents)
    shelves = [Place(n, f"Shelf {n}") for n in range(places)]
    start = time.perf_counter()
    database.execute("select * from container").fetchall()
    plain = time.perf_counter() - start
    items = read_containers(database)
    for words, where in (
        ("places", shelves),
        ("shelves, four a cabinet", [replace(shelf, cabinet=shelf.id // 4) for shelf in shelves]),
    ):
        start = time.perf_counter()
        found = conflicts(items, where)
        taken = time.perf_counter() - start
        print(
            f"{containers} containers, {places} {words}, {reagents} reagents: {len(found)} conflicts, "
            f"{taken:.3f} s, {taken / plain:.1f} x plain SQL"
        )


if __name__ == "__main__":
    size, places, reagents = (
        int(word) for word in (*sys.argv[1:], *("10000", "300", "400")[len(sys.argv) - 1 :])
    )
    measure(size, places, reagents)
    measure(2 * size, places, reagents)
