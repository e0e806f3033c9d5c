"""Every reagent of the catalog in water and every pair of its solutions 1:1: an answer, or why not.

Run: python -m tests.bench.catalogue [most pairs]
Prints how many have a pH, how many say why not, and the slowest (time of the processor); each must take less
than MOST_MS and none may raise. With a number, that many pairs evenly spread over all of them are taken.
"""

import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from stockroom.catalogue.loader import load
from stockroom.chemistry.aqueous import Addition, State, follow
from stockroom.chemistry.portion import Part, Portion, PortionError, addition_of

MOST_MS = 100.0
_AMOUNTS = {"mass": 1_000_000, "volume": 50_000, "count": 1}
_WATER = Addition("water", (), 100.0, 100.0)


@dataclass(frozen=True)
class Answer:
    """What came of one beaker. wrong: what is wrong with the answer itself, "" if nothing."""

    names: tuple[str, ...]
    milliseconds: float
    ph: float | None
    why: str
    wrong: str


def additions() -> tuple[dict[str, Addition], dict[str, str]]:
    """(by name what each reagent of the catalog adds, by name why one adds nothing)."""
    catalogue, found, left_out = load(), {}, {}
    for reagent in catalogue.reagents.values():
        chemicals = [(catalogue.chemicals[part.chemical], part) for part in reagent.components]
        parts = tuple(Part(c.name, c.formula, c.cas or "", part.value, part.unit) for c, part in chemicals)
        solvent = catalogue.chemicals[reagent.solvent].name if reagent.solvent else ""
        portion = Portion(
            reagent.name, reagent.measure, _AMOUNTS[reagent.measure], parts, solvent, reagent.density
        )
        try:
            found[reagent.name] = addition_of(portion)
        except PortionError as error:
            left_out[reagent.name] = str(error)
    return found, left_out


def beakers(most: int | None) -> Iterator[tuple[tuple[str, ...], tuple[Addition, ...]]]:
    """Each reagent in water, then pairs of solutions: all of them, or at most so many evenly spread."""
    found, _ = additions()
    for name, addition in found.items():
        yield (name,), (_WATER, addition)
    solutions = {name: one for name, one in found.items() if one.water_g and one.substances}
    pairs = list(combinations(solutions.items(), 2))
    step = max(1, len(pairs) // most) if most else 1
    for (one, first), (other, second) in pairs[::step]:
        yield (one, other), (first, second)


def answers(most: int | None) -> Iterator[Answer]:
    """One answer a beaker."""
    for names, poured in beakers(most):
        start = time.process_time()
        last = follow(poured)[-1]
        milliseconds = 1000 * (time.process_time() - start)
        yield Answer(names, milliseconds, last.ph, last.why_no_ph, _wrong(last))


def _wrong(state: State) -> str:
    if state.ph is None and not state.why_no_ph:
        return "no pH and no reason"
    if state.ph is not None and not -3 <= state.ph <= 17:
        return f"a pH of {state.ph:.1f}"
    if any(solid.mol < 0 for solid in state.solids) or any(part.mol < 0 for part in state.dissolved):
        return "less than nothing of something"
    return ""


def main(most: int | None) -> None:
    found = list(answers(most))
    reasons = Counter(answer.why.partition(":")[0] for answer in found if answer.ph is None)
    print(f"{len(found)} beakers, {sum(answer.ph is not None for answer in found)} with a pH")
    for reason, count in reasons.most_common(12):
        print(f"  {count} without: {reason}")
    for answer in sorted(found, key=lambda answer: -answer.milliseconds)[:10]:
        print(f"  {answer.milliseconds:.0f} ms: {' + '.join(answer.names)}")
    wrong = [answer for answer in found if answer.wrong]
    for answer in wrong[:40]:
        print(f"  WRONG {' + '.join(answer.names)}: {answer.wrong}")
    slow = [answer for answer in found if answer.milliseconds > MOST_MS]
    verdict = "met" if not slow and not wrong else "NOT met"
    print(f"{len(slow)} above {MOST_MS:g} ms, {len(wrong)} with a wrong answer: {verdict}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else None)
