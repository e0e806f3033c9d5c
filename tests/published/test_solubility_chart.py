"""A published solubility chart, cell by cell, against the beaker and against what the app knows of each pair.

The chart is the "Solubility Chart" of older editions of the CRC Handbook of Chemistry and Physics, as courses
hand it out (S soluble in water; A insoluble in water, soluble in acids; P partially soluble in water; I
insoluble in water and dilute acids; a slightly soluble in acids only; d decomposes in water; n not isolated).
Each salt is put together from 0.1 mol/kg of its ions, with sodium and nitrate beside them. Its columns of
oxides and silicates, and its rows of mercury(I) and tin(IV), have no ions here.
"""

import pytest

from stockroom.chemistry import solubility, species
from stockroom.chemistry.aqueous import Contents, settle

_ANIONS = (
    *("C2H3O2-", "Br-", "CO3-2", "ClO3-", "Cl-", "CrO4-2"),
    *("OH-", "I-", "NO3-", "PO4-3", "SO4-2", "S-2"),
)
_CHART = {
    "Al+3": "S S n S S n A S S A S d",
    "NH4+": "S S S S S S S S S S S S",
    "Ba+2": "S S P S S A S S S A a d",
    "Ca+2": "S S P S S S S S S P P P",
    "Cu+2": "S S n S S n A n S A S A",
    "Fe+2": "S S P S S n A S S A S A",
    "Fe+3": "S S n S S A A S S P P d",
    "Pb+2": "S S A S P A P P S A P A",
    "Mg+2": "S S P S S S A S S P S d",
    "Mn+2": "S S P S S n A S S P S A",
    "Hg+2": "S S n S S P A P S A d I",
    "K+": "S S S S S S S S S S S S",
    "Ag+": "P a A S a P n I S A P A",
    "Na+": "S S S S S S S S S S S S",
    "Sr+2": "S S P S S P S S S A P S",
    "Sn+2": "d S n S S A A S d A S A",
    "Zn+2": "S S P S S P A S S A S A",
}
_CELLS = [
    (cation, anion, letter)
    for cation, letters in _CHART.items()
    for anion, letter in zip(_ANIONS, letters.split(), strict=True)
]
#: cells where the beaker sides with the same handbook's 98th ed., Aqueous Solubility of Inorganic Compounds
_LATER = {
    ("Ca+2", "CrO4-2"): "not in that table; minteq.v4.dat lets 0.07 mol/kg dissolve",
    ("Ca+2", "OH-"): "the chart's S is lime water's 0.02 mol/kg",
    ("Fe+3", "SO4-2"): "dissolves well; the chart has it with its basic salts",
    ("Hg+2", "Br-"): "0.017 mol/kg dissolve at 25 °C",
    ("Pb+2", "Br-"): "0.026 mol/kg dissolve at 25 °C",
    ("Sn+2", "I-"): "0.026 mol/kg dissolve at 20 °C",
}


def mixed(cation, anion, strength=0.1):
    """The beaker with `strength` mol/kg of the ion of the higher charge, and as much charge of the other."""
    known = species.ions()
    charge = strength * max(known[cation].charge, -known[anion].charge)
    ions = {"Na+": charge, "NO3-": charge}
    contents = Contents(water_g=1000.0, volume_ml=1000.0, temperature_c=25.0)
    contents = contents.changed({**ions, cation: charge / known[cation].charge})
    return settle(contents.changed({anion: -charge / known[anion].charge}))


def test_the_chart_is_whole():
    assert len(_CELLS) == 17 * 12
    assert not {letter for *_, letter in _CELLS} - set("SAPIadn")


@pytest.mark.parametrize(("cation", "anion", "letter"), _CELLS)
def test_what_the_chart_says(cation, anion, letter):
    state = mixed(cation, anion)
    metal = species.ions()[cation].atoms.keys() - {"H", "N"}
    solids = [s.formula for s in state.solids if s.mol > 1e-5 and any(m in s.formula for m in metal)]
    told = solubility.verdict(cation, anion)
    if (cation, anion) in _LATER:
        assert told.kind in (solubility.SOLID, solubility.SOLUBLE)
    elif letter == "P":
        assert told.kind in (solubility.SOLID, solubility.DECOMPOSES)
    elif letter == "d":
        assert solids or told.kind == solubility.DECOMPOSES
    elif letter == "n":
        assert told.kind != solubility.NOT_KNOWN
    elif letter == "S":
        assert told.dissolves is not False
        assert not [formula for formula in solids if formula in told.solids]
    else:
        assert solids
        assert told.kind in (solubility.SOLID, solubility.DECOMPOSES)
