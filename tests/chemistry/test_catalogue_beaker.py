"""Every reagent of the catalogue in a beaker of water: a pH, or a reason in words why there is none."""

import pytest

from stockroom.catalogue.loader import load
from stockroom.chemistry.aqueous import Contents, settle
from stockroom.chemistry.portion import Part, Portion, PortionError, addition_of

CATALOGUE = load()
AMOUNTS = {"mass": 1_000_000, "volume": 10_000, "count": 1}
#: a number would mean nothing: what reacts with water, mixtures, ions that change their kind with the pH
WITHOUT = {
    "acetic anhydride",
    "ammonium heptamolybdate tetrahydrate",
    "ammonium metavanadate",
    "ammonium metavanadate 0.1 mol/L in sulfuric acid 1 mol/L",
    "bromine",
    "bromine water, about 0.5 % (w/v)",
    "calcium carbide, lumps",
    "picric acid, wetted with 33 % water",
    "potassium periodate",
    "sebacoyl chloride",
    "sebacoyl chloride 5 % (v/v) in heptane",
    "soap solution",
    "sodium dithionite",
    "sodium hexametaphosphate",
    "sodium stearate (soap flakes)",
    "tannic acid",
    "tannic acid 1 % (w/v)",
}


def in_water(reagent):
    """The pH of a little of it in 100 g of water, and why there is none."""
    chemicals = [(CATALOGUE.chemicals[part.chemical], part) for part in reagent.components]
    parts = tuple(Part(c.name, c.formula, c.cas or "", part.value, part.unit) for c, part in chemicals)
    solvent = CATALOGUE.chemicals[reagent.solvent].name if reagent.solvent else ""
    portion = Portion(
        reagent.name, reagent.measure, AMOUNTS[reagent.measure], parts, solvent, reagent.density
    )
    try:
        addition = addition_of(portion)
    except PortionError as error:
        return None, str(error)
    state = settle(Contents(water_g=100, volume_ml=100).with_addition(addition))
    return state.ph, state.why_no_ph


@pytest.mark.parametrize("reagent", CATALOGUE.reagents.values(), ids=lambda reagent: reagent.key)
def test_each_has_a_ph_or_a_reason(reagent):
    ph, why = in_water(reagent)
    if ph is None:
        assert reagent.measure == "count" or reagent.name in WITHOUT, why
        assert why
    else:
        assert reagent.name not in WITHOUT
        assert -1 <= ph <= 14.5
