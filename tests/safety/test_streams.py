from datetime import date

import pytest

from stockroom.chemistry.residue import Dissolved, Organic, Residue, Solid
from stockroom.safety.joining import WasteVessel, may_join
from stockroom.safety.streams import stream_for, streams, waste_label
from stockroom.safety.waste import Waste

LITRE = 1_000_000
CHLORIDE = Dissolved("chloride ion", "Cl-", "", 0.1)
SODIUM = Dissolved("sodium ion", "Na+", "", 0.1)
SILVER = Dissolved("silver ion", "Ag+", "", 0.05)
COPPER = Dissolved("copper(II) ion", "Cu+2", "", 0.05)


def watery(ph, *components, **more):
    return Waste(Residue(LITRE, ph, components=components, **more))


ACID = watery(1.0, SODIUM, CHLORIDE)
CYANIDE = watery(11.5, SODIUM, Dissolved("cyanide ion", "CN-", "", 0.1))
CASES = [
    ("acids", ACID),
    ("bases", watery(13, SODIUM)),
    ("neutral", watery(7, SODIUM, CHLORIDE)),
    ("metals", watery(5, COPPER)),
    ("metals_acid", watery(0.5, COPPER)),
    ("mercury", watery(5, Dissolved("mercury(II) ion", "Hg+2", "", 1e-5))),
    ("cyanide", CYANIDE),
    ("apart", watery(3, Dissolved("cyanide ion", "CN-", "", 0.1))),
    ("oxidisers", watery(3, Dissolved("permanganate ion", "MnO4-", "", 0.001))),
    (
        "apart",
        watery(
            3,
            Dissolved("permanganate ion", "MnO4-", "", 0.001),
            organics=(Organic("ethanol", "64-17-5", 20),),
        ),
    ),
    ("solvents", Waste(Residue(LITRE, None, organics=(Organic("acetone", "67-64-1", 100),)))),
    ("halogenated", Waste(Residue(LITRE, None, organics=(Organic("dichloromethane", "75-09-2", 100),)))),
    ("aqueous_organic", watery(7, SODIUM, organics=(Organic("phenol", "108-95-2", 2),))),
    (
        "metal_pieces",
        Waste(Residue(0, None, undissolved=(Solid("zinc", "Zn", "7440-66-6", 1),)), form="pieces"),
    ),
    (
        "solids_metal",
        Waste(Residue(0, None, undissolved=(Solid("copper(II) oxide", "CuO", "1317-38-0", 1),))),
    ),
    ("solids", Waste(Residue(0, None, undissolved=(Solid("sodium chloride", "NaCl", "7647-14-5", 1),)))),
    (
        "apart",
        Waste(Residue(0, None, undissolved=(Solid("sodium", "Na", "", 1),)), frozenset({"water_reactive"})),
    ),
    ("metal_powder", Waste(Residue(0, None, undissolved=(Solid("zinc", "Zn", "7440-66-6", 1),)))),
    ("apart", watery(1, CHLORIDE, undissolved=(Solid("zinc", "Zn", "7440-66-6", 1),))),
    ("apart", watery(10, SILVER, Dissolved("ammonium ion", "NH4+", "", 0.2))),
    ("silver", watery(3, SILVER, CHLORIDE)),
    ("apart", watery(None, SODIUM, CHLORIDE)),
    ("acids", watery(None, Dissolved("sulfuric acid", "H2SO4", "7664-93-9", 18))),
    ("acids_oxidizing", watery(None, Dissolved("nitric acid", "HNO3", "7697-37-2", 15))),
    ("apart", watery(2, SODIUM, Dissolved("thiocyanate ion", "SCN-", "", 0.1))),
    ("apart", watery(7, SODIUM, unknown=("sludge",))),
    ("apart", Waste(Residue(0, None))),
]


@pytest.mark.parametrize(("key", "waste"), CASES, ids=[f"{n}-{case[0]}" for n, case in enumerate(CASES)])
def test_stream(key, waste):
    stream, why = stream_for(waste)
    assert stream.key == key, why
    assert why


def vessel(stream, *contents, amount=0, capacity=4 * LITRE, closed=False):
    return WasteVessel(stream, contents, amount, capacity, closed)


def test_like_joins_like():
    assert may_join(ACID, vessel("acids", ACID), LITRE).ok


def test_another_stream_says_where_it_belongs():
    found = may_join(watery(13, SODIUM), vessel("acids", ACID), LITRE)
    assert not found.ok
    assert streams()["bases"].name in found.reasons[0]


def test_what_would_react_is_kept_out_whatever_the_stream_says():
    found = may_join(ACID, vessel("acids", CYANIDE), LITRE)
    assert not found.ok
    assert "hydrogen cyanide" in found.conflicts[0].consequence


@pytest.mark.parametrize(("amount", "ok"), [(2_600_000, True), (2_600_001, False)])
def test_a_tenth_is_left_empty(amount, ok):
    assert may_join(ACID, vessel("acids", amount=LITRE), amount).ok == ok


def test_a_closed_container_takes_nothing():
    assert "closed" in may_join(ACID, vessel("acids", closed=True), 1).reasons[0]


def test_what_stands_by_itself_is_never_joined():
    sodium = Waste(
        Residue(0, None, undissolved=(Solid("sodium", "Na", "", 1),)), frozenset({"water_reactive"})
    )
    assert may_join(sodium, vessel("apart"), 1).ok
    assert not may_join(sodium, vessel("apart", sodium), 1).ok


def test_label_words():
    label = waste_label([ACID, watery(1, COPPER)], date(2026, 1, 9))
    assert label.words == "Hazardous Waste"
    assert label.hazards == ("Corrosive",)
    assert label.contents == ("sodium ion", "chloride ion", "copper(II) ion")
    assert label.started_on == date(2026, 1, 9)
    assert "D002" in label.codes


def test_label_of_harmless_and_of_unknown_waste():
    assert waste_label([watery(7, SODIUM)], date(2026, 1, 9)).words == "Waste for collection"
    unknown = waste_label([watery(7, unknown=("sludge",))], date(2026, 1, 9))
    assert unknown.words == "Hazardous Waste" and "sludge" in unknown.contents[0]
    assert waste_label([], date(2026, 1, 9)).words == "Hazardous Waste"


def test_contents_that_nobody_knows_never_read_as_safe():
    """An acid or an oxidiser beside a sludge nobody has described; plain salt water may join it."""
    sludge = watery(7, unknown=("grey sludge",))
    for waste in (ACID, watery(1, COPPER)):
        stream, _ = stream_for(waste)
        found = may_join(waste, vessel(stream.key, sludge, sludge), LITRE)
        assert [reason for reason in found.reasons if "grey sludge" in reason] == list(found.reasons)
        assert len(found.reasons) == 1
    salts = watery(7, SODIUM, CHLORIDE)
    assert may_join(salts, vessel("neutral", sludge), LITRE).ok
