"""Skin and eyes by the limits of 29 CFR 1910.1200 App. A, where no data on the mixture itself decide.

Source: App. A.2.4.3, tables A.2.3 and A.2.4 (corrosive from 5 % of category 1; strong acids and bases from
1 %), A.3.4.3, tables A.3.3 and A.3.4 (eye damage from 3 %; strong ones from 1 %), from memory.
"""

import pytest

from stockroom.catalogue.classing import worked_out
from stockroom.catalogue.loader import load
from stockroom.safety.classify import WATER, Constituent, classify
from stockroom.safety.mixture import EU, US

CORROSIVE = ("skin_corr_1b", "eye_dam_1")
HCL = ("hydrochloric acid", CORROSIVE, "7647-01-0", "acids")
ACETIC = ("acetic acid", ("skin_corr_1a", "eye_dam_1"), "64-19-7", "acids")
FORMALDEHYDE = ("formaldehyde", CORROSIVE, "50-00-0", "toxics")
PEROXIDE = ("hydrogen peroxide", ("eye_dam_1", "skin_irrit_2"), "7722-84-1", "oxidisers")
PHENOL = ("phenol", CORROSIVE, "108-95-2", "toxics")
BURNS, IRRITATES = {"skin_corr_1", "eye_dam_1"}, {"skin_irrit_2", "eye_irrit_2a"}


def skin_and_eyes(chemical, percent, limits, ph):
    name, classes, cas, kind = chemical
    part = Constituent(name, percent, classes, cas=cas, kind=kind)
    found = classify([part], solvent=WATER, ph=ph, reserve=0.0, limits=limits).classes
    return {key for key in found if key.startswith(("skin_corr", "skin_irrit", "eye"))}


@pytest.mark.parametrize(
    ("chemical", "percent", "ph", "in_us", "in_eu"),
    [
        (HCL, 1.0, 0.5, BURNS, set()),
        (HCL, 0.36, 1.0, set(), set()),
        (HCL, 12.0, -0.5, BURNS, IRRITATES),
        (HCL, 37.0, -1.0, {"skin_corr_1b", "eye_dam_1"}, {"skin_corr_1b", "eye_dam_1"}),
        (ACETIC, 6.0, 2.4, set(), set()),  # pH 2.4: data on the mixture
        (FORMALDEHYDE, 5.0, 4.0, BURNS, IRRITATES),
        (PHENOL, 3.0, 5.0, {"skin_corr_1b", "eye_dam_1"}, {"skin_corr_1b", "eye_dam_1"}),
        (PEROXIDE, 3.0, 5.0, set(), set()),  # tested in solution
    ],
)
def test_the_generic_limit_holds_in_the_us_where_it_is_the_stricter(chemical, percent, ph, in_us, in_eu):
    assert skin_and_eyes(chemical, percent, US, ph) == in_us
    assert skin_and_eyes(chemical, percent, EU, ph) == in_eu


#: of the 1 mol/L acids pH is below 1 and the acid more than 1 %: Young et al. (1988) call them corrosive too
@pytest.mark.parametrize(
    "key", ["hydrochloric_acid_1m", "sulfuric_acid_1m", "nitric_acid_1m", "sodium_hydroxide_1m"]
)
def test_molar_strong_acids_and_bases_are_corrosive_and_their_packing_group_says_the_same(key):
    row = load().reagents[key]
    found = worked_out(row)
    assert "eye_dam_1" in found.classes
    assert any(name.startswith("skin_corr_1") for name in found.classes)
    assert found.label().signal_word == "Danger"
    assert (row.transport_class, row.packing_group in ("II", "III")) == ("8", True)


@pytest.mark.parametrize(
    "key", ["hydrochloric_acid_0_1m", "vinegar_white", "lemon_juice", "hydrogen_peroxide_3"]
)
def test_what_people_keep_at_home_stays_below(key):
    found = worked_out(load().reagents[key]).classes
    assert not [name for name in found if name.startswith(("skin_corr", "eye_dam"))]
