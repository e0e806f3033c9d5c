"""A beaker of 20 additions, as a ratio to calling PHREEQC directly with the same input.

Run: python -m tests.bench.beaker [repeats]
Prints the first run in a fresh process (engine start and tables included) and a run after it, each against a
bare PHREEQC given the very same text; and the time of a whole demonstration with words and indicator. The
times are the processor's, so that what else the machine does stays out of them.
"""

import statistics
import sys
import time
from decimal import Decimal
from unittest import mock

from demos.outcome import Step, foresee
from stockroom.chemistry import aqueous
from stockroom.chemistry.aqueous import Addition, Substance, follow
from stockroom.chemistry.portion import Part, Portion

ADDITIONS = [
    Addition("suspension", (Substance("", "Mg(OH)2", "", 0.02),), 100.0, 100.0),
    *[Addition("acid", (Substance("", "HCl", "", 0.005),), 5.0, 5.0)] * 19,
]


def timed(function) -> float:
    start = time.process_time()
    function()
    return time.process_time() - start


def recorded() -> list[str]:
    """The texts PHREEQC is given in one run."""
    texts, run = [], aqueous._engine.run
    with mock.patch.object(aqueous._engine, "run", lambda text: texts.append(text) or run(text)):
        follow(ADDITIONS)
    return texts


def replay(phreeqc, texts: list[str]) -> None:
    for text in texts:
        phreeqc.RunString(text)
        row = phreeqc.GetSelectedOutputRowCount() - 1
        [
            phreeqc.GetSelectedOutputValue(row, column)
            for column in range(phreeqc.GetSelectedOutputColumnCount())
        ]


def demonstration() -> None:
    acid = (Part("hydrogen chloride", "HCl", "7647-01-0", Decimal(1), "mol/L"),)
    blue = (Part("bromothymol blue", "C27H28Br2O5S", "76-59-5", Decimal("0.04"), "% w/v"),)
    solid = (Part("magnesium hydroxide", "Mg(OH)2", "1309-42-8", None, "pure"),)
    water = (Part("water", "H2O", "7732-18-5", None, "pure"),)
    foresee(
        (
            Step(1, "", Portion("water", "volume", 200_000, water, "")),
            Step(2, "", Portion("magnesium hydroxide", "mass", 1_000_000, solid, "")),
            Step(3, "", Portion("bromothymol blue", "volume", 1000, blue)),
            Step(4, "", Portion("hydrochloric acid", "volume", 5000, acid), 17),
        ),
        ("Mg(OH)2(s) + 2 HCl(aq) -> MgCl2(aq) + 2 H2O(l)",),
    )


def main(repeats: int) -> None:
    first = timed(lambda: follow(ADDITIONS))
    texts = recorded()
    bare_first = timed(lambda: replay(aqueous._Engine.start(), texts))
    phreeqc = aqueous._Engine.start()
    ours, bare, whole = [], [], []
    for _ in range(repeats):
        ours.append(timed(lambda: follow(ADDITIONS)))
        bare.append(timed(lambda: replay(phreeqc, texts)))
        whole.append(timed(demonstration))
    ours, bare, whole = (1000 * statistics.median(times) for times in (ours, bare, whole))
    print(f"first run, engine start included: {1000 * first:.0f} ms, {first / bare_first:.2f} x bare PHREEQC")
    print(f"after that: {ours:.1f} ms, {ours / bare:.2f} x bare PHREEQC ({bare:.1f} ms, {len(texts)} solves)")
    print(f"a demonstration of 20 additions with words and what is left: {whole:.1f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
