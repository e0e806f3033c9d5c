"""A beaker of 20 additions, as a ratio to calling PHREEQC directly with the same input.

Run: python -m tests.bench.beaker [repeats]
Prints a first run in a fresh process (engine start and our tables included) and a run after it, each against
a bare PHREEQC given the very same text; and the time of a whole demonstration with words and indicator. Ours
and the bare one take turns, first runs each in a process of its own; the median of the ratios counts. The
times are the processor's, so that what else the machine does stays out of them.
"""

import json
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from decimal import Decimal
from unittest import mock

from demos.simulation.outcome import Step, foresee
from stockroom.chemistry import aqueous, concentrated
from stockroom.chemistry.aqueous import Addition, Substance, follow
from stockroom.chemistry.portion import Part, Portion

MOST_RATIO, MOST_MS = 1.5, 50.0
_ONCE = ("ours", "bare", "demonstration")


def additions() -> list[Addition]:
    """A green hydroxide and 19 portions of acid, written down again: nothing is kept from an earlier run."""
    acid = Addition("acid", (Substance("", "HNO3", "", 0.004),), 4.0, 4.0)
    return [Addition("slurry", (Substance("", "Ni(OH)2", "", 0.03),), 150.0, 150.0), *[acid] * 19]


def timed(function: Callable[[], object]) -> float:
    start = time.process_time()
    function()
    return time.process_time() - start


def engines() -> dict[str, aqueous._Engine]:
    """The beaker's engine, and those for what has become concentrated."""
    models = (concentrated.pitzer(), concentrated.sit())
    return {"": aqueous._engine} | {model.name: aqueous._concentrated(model) for model in models}


def recorded() -> list[tuple[str, str]]:
    """(engine, text) of everything PHREEQC is given in one run."""
    texts, names = [], {id(engine): name for name, engine in engines().items()}
    run = aqueous._Engine._run

    def noted(engine, text, columns):
        texts.append((names[id(engine)], text))
        return run(engine, text, columns)

    with mock.patch.object(aqueous._Engine, "_run", noted):
        follow(additions())
    return texts


def started(texts: list[tuple[str, str]]) -> dict[str, object]:
    """A bare PHREEQC for each engine that the texts are for."""
    asked = {name for name, _ in texts}
    return {name: engine.start() for name, engine in engines().items() if name in asked}


def replay(bare: dict[str, object], texts: list[tuple[str, str]]) -> None:
    """The same texts by hand, every number of the answer read."""
    for name, text in texts:
        phreeqc = bare[name]
        phreeqc.RunString(text)
        row = phreeqc.GetSelectedOutputRowCount() - 1
        [
            phreeqc.GetSelectedOutputValue(row, column)
            for column in range(phreeqc.GetSelectedOutputColumnCount())
        ]


def demonstration() -> None:
    acid = (Part("nitric acid", "HNO3", "7697-37-2", Decimal(1), "mol/L"),)
    red = (Part("methyl red", "C15H15N3O2", "493-52-7", Decimal("0.1"), "% w/v"),)
    solid = (Part("nickel(II) hydroxide", "Ni(OH)2", "12054-48-7", None, "pure"),)
    water = (Part("water", "H2O", "7732-18-5", None, "pure"),)
    foresee(
        (
            Step(1, "", Portion("water", "volume", 150_000, water, "")),
            Step(2, "", Portion("nickel(II) hydroxide", "mass", 2_800_000, solid, "")),
            Step(3, "", Portion("methyl red", "volume", 1000, red)),
            Step(4, "", Portion("nitric acid", "volume", 4000, acid), 17),
        ),
        ("Ni(OH)2(s) + 2 HNO3(aq) -> Ni(NO3)2(aq) + 2 H2O(l)",),
    )


def once(what: str, texts: list[tuple[str, str]]) -> float:
    """Seconds of a first run in this process."""
    if what == "ours":
        return timed(lambda: follow(additions()))
    if what == "bare":
        return timed(lambda: replay(started(texts), texts))
    return timed(demonstration)


def afresh(what: str, texts: list[tuple[str, str]]) -> float:
    """Seconds of a first run in a process of its own."""
    command = [sys.executable, "-m", "tests.bench.beaker", what]
    found = subprocess.run(command, input=json.dumps(texts), capture_output=True, text=True, check=True)
    return float(found.stdout)


def _said(ours: list[float], bare: list[float]) -> str:
    """Median ratio and times, and whether the ratio is met."""
    ratio = statistics.median(one / other for one, other in zip(ours, bare, strict=True))
    verdict = "met" if ratio <= MOST_RATIO else "NOT met"
    return (
        f"{1000 * statistics.median(ours):.1f} ms, {ratio:.2f} x bare PHREEQC "
        f"({1000 * statistics.median(bare):.1f} ms; at most {MOST_RATIO:g} x: {verdict})"
    )


def main(repeats: int) -> None:
    texts = recorded()
    first = [(afresh("ours", texts), afresh("bare", texts)) for _ in range(repeats)]
    whole = [afresh("demonstration", texts) for _ in range(repeats)]
    print(f"first run, engine start included: {_said(*zip(*first, strict=True))}")
    phreeqc = started(texts)
    after = [
        (timed(lambda: follow(additions())), timed(lambda: replay(phreeqc, texts)))
        for _ in range(10 * repeats)
    ]
    print(f"after that, {len(texts)} solves: {_said(*zip(*after, strict=True))}")
    slow = 1000 * statistics.median(whole)
    print(
        f"a demonstration of 20 additions with words and what is left, engine start included: {slow:.0f} ms "
        f"(at most {MOST_MS:g} ms: {'met' if slow <= MOST_MS else 'NOT met'})"
    )


if __name__ == "__main__":
    if sys.argv[1:] and sys.argv[1] in _ONCE:
        print(once(sys.argv[1], json.load(sys.stdin)))
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 10)
