"""From what was poured to where it goes: the outcome's residue under the waste rules."""

from datetime import date
from decimal import Decimal

import pytest

from demos.simulation.outcome import Step, foresee
from stockroom.chemistry.portion import Part, Portion
from stockroom.safety.sewer import SewerPermission, propose_route
from stockroom.safety.streams import stream_for
from stockroom.safety.waste import Waste, characterise

ALLOWED = SewerPermission(True, "letter of the water company", "K. Lind", date(2026, 1, 5))


def solution(name, formula, molar, ml):
    parts = (Part(name, formula, "", Decimal(str(molar)), "mol/L"),)
    return Portion(name, "volume", int(ml * 1000), parts, "water", Decimal("1.0"))


def left_of(*portions, equations=()):
    steps = tuple(Step(n, "", portion) for n, portion in enumerate(portions, 1))
    return Waste(foresee(steps, equations).residue)


ACID = solution("hydrochloric acid", "HCl", 0.5, 100)
BASE = solution("sodium hydroxide", "NaOH", 0.5, 99.99)
COPPER = solution("copper(II) sulfate", "CuSO4", 0.1, 50)
LEAD = solution("lead(II) nitrate", "Pb(NO3)2", 0.1, 50)
IODIDE = solution("potassium iodide", "KI", 0.1, 50)
SILVER = solution("silver nitrate", "AgNO3", 0.05, 20)
PERMANGANATE = solution("potassium permanganate", "KMnO4", 0.02, 50)
SODA = solution("sodium hydrogencarbonate", "NaHCO3", 0.5, 100)


@pytest.mark.parametrize(
    ("portions", "codes", "stream", "way"),
    [
        ((ACID,), {"D002"}, "acids", "neutralise"),
        ((ACID, BASE), set(), "neutral", "neutralise"),
        ((SODA,), set(), "bases", "drain"),
        ((COPPER,), set(), "metals", "collect"),
        ((COPPER, ACID), {"D002"}, "metals_acid", "collect"),
        ((LEAD, IODIDE), {"D008"}, "metals", "collect"),
        ((SILVER,), {"D011"}, "silver", "collect"),
        ((PERMANGANATE,), set(), "oxidisers", "collect"),
    ],
    ids=[
        "acid",
        "all but neutral",
        "soda",
        "copper",
        "copper in acid",
        "lead iodide",
        "silver",
        "permanganate",
    ],
)
def test_where_it_goes(portions, codes, stream, way):
    waste = left_of(*portions)
    assert {code.code for code in characterise(waste).codes} == codes
    assert stream_for(waste)[0].key == stream
    assert propose_route(waste, ALLOWED).way == way
    assert propose_route(waste).way == "collect"


def test_a_solid_left_over_keeps_it_from_the_drain():
    chalk = Portion(
        "chalk", "mass", 5_000_000, (Part("calcium carbonate", "CaCO3", "471-34-1", None, "pure"),), ""
    )
    waste = left_of(SODA, chalk)
    assert "solids" in {barrier.key for barrier in propose_route(waste, ALLOWED).reasons}
