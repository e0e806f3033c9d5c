"""40 CFR 264 Appendix V: incompatible waste, each group A with each group B.

Source: Code of Federal Regulations, title 40, part 264, Appendix V (its own groups).
Each case is one example of the A list against one of the B list.
"""

import pytest

from stockroom.safety.groups import Matter, Part, reactivity
from stockroom.safety.storage import MIX, Item, findings


def item(name, *groups):
    return Item(name, name, name, groups=frozenset(groups), transport_class="none", classified=True)


def made_of(name, *parts, form="solution", water=False):
    """Something by its composition alone: parts are (formula, CAS RN, per cent by weight)."""
    matter = Matter(tuple(Part(f, cas, "", percent=p) for f, cas, p in parts), form, None, water)
    return item(name, *reactivity(matter).groups)


SODIUM_HYDROXIDE = made_of("sodium hydroxide", ("NaOH", "1310-73-2", 100), form="solid")
SULFURIC = made_of("sulfuric acid", ("H2SO4", "7664-93-9", 96), water=True)
NITRIC = made_of("nitric acid", ("HNO3", "7697-37-2", 70), water=True)
ACETIC = made_of("glacial acetic acid", ("C2H4O2", "64-19-7", 100), form="liquid")
ZINC_POWDER = made_of("zinc powder", ("Zn", "7440-66-6", 100), form="powder")
MAGNESIUM = made_of("magnesium ribbon", ("Mg", "7439-95-4", 100), form="pieces")
SODIUM = made_of("sodium", ("Na", "7440-23-5", 100), form="pieces")
HYDRIDE = made_of("calcium hydride", ("CaH2", "7789-78-8", 100), form="solid")
ETHANOL = made_of("ethanol", ("C2H6O", "64-17-5", 100), form="liquid")
WATER = made_of("water", ("H2O", "7732-18-5", 100), form="liquid", water=True)
ALDEHYDE = made_of("benzaldehyde", ("C7H6O", "100-52-7", 100), form="liquid")
CHLOROFORM = made_of("trichloroethane", ("C2H3Cl3", "71-55-6", 100), form="liquid")
NITROBENZENE = made_of("nitrobenzene", ("C6H5NO2", "98-95-3", 100), form="liquid")
CYCLOHEXENE = made_of("cyclohexene", ("C6H10", "110-83-8", 100), form="liquid")
CYANIDE = made_of("potassium cyanide", ("KCN", "151-50-8", 100), form="solid")
SULFIDE = made_of("sodium sulfide", ("Na2S", "1313-82-2", 100), form="solid")
OXIDISERS = [
    made_of("potassium chlorate", ("KClO3", "3811-04-9", 100), form="solid"),
    made_of("bromine", ("Br2", "7726-95-6", 100), form="liquid"),
    made_of("chromium trioxide", ("CrO3", "1333-82-0", 100), form="solid"),
    made_of("bleach", ("NaOCl", "7681-52-9", 5), water=True),
    made_of("potassium nitrate", ("KNO3", "7757-79-1", 100), form="solid"),
    NITRIC,
    made_of("sodium perchlorate", ("NaClO4", "7601-89-0", 100), form="solid"),
    made_of("potassium permanganate", ("KMnO4", "7722-64-7", 100), form="solid"),
    made_of("hydrogen peroxide 30 %", ("H2O2", "7722-84-1", 30), water=True),
    made_of("ammonium persulfate", ("(NH4)2S2O8", "7727-54-0", 100), form="solid"),
]

CASES = [
    (1, SODIUM_HYDROXIDE, SULFURIC),
    (1, SODIUM_HYDROXIDE, NITRIC),
    (1, made_of("ammonia", ("NH3", "7664-41-7", 28), water=True), SULFURIC),
    (2, ZINC_POWDER, SULFURIC),
    (2, MAGNESIUM, NITRIC),
    (2, ZINC_POWDER, SODIUM_HYDROXIDE),
    (2, HYDRIDE, SULFURIC),
    (3, ETHANOL, SULFURIC),
    (3, ETHANOL, SODIUM_HYDROXIDE),
    (3, ETHANOL, SODIUM),
    (3, WATER, SODIUM),
    (3, WATER, HYDRIDE),
    (4, ETHANOL, NITRIC),
    (4, ALDEHYDE, SULFURIC),
    (4, CHLOROFORM, SODIUM_HYDROXIDE),
    (4, NITROBENZENE, SODIUM_HYDROXIDE),
    (4, CYCLOHEXENE, NITRIC),
    (4, CHLOROFORM, ZINC_POWDER),
    (4, ALDEHYDE, SODIUM),
    (5, CYANIDE, SULFURIC),
    (5, SULFIDE, NITRIC),
    (5, SULFIDE, made_of("dilute hydrochloric acid", ("HCl", "7647-01-0", 3.6), water=True)),
    *((6, oxidiser, ACETIC) for oxidiser in OXIDISERS),
    *((6, oxidiser, ETHANOL) for oxidiser in OXIDISERS),
    *((6, oxidiser, ZINC_POWDER) for oxidiser in OXIDISERS),
    *((6, oxidiser, SULFURIC) for oxidiser in OXIDISERS if oxidiser is not NITRIC),
]


@pytest.mark.parametrize(("group", "a", "b"), CASES, ids=lambda value: getattr(value, "name", str(value)))
def test_group_a_with_group_b(group, a, b):
    rule = f"40 CFR 264 App. V, group {group}"
    assert rule in {finding.rule for finding in findings(a, b)}
    assert rule in {finding.rule for finding in findings(b, a)}


@pytest.mark.parametrize("concentrated", [SULFURIC, NITRIC, SODIUM_HYDROXIDE], ids=lambda item: item.name)
def test_water_with_concentrated_acid_or_base_in_one_vessel(concentrated):
    """Group 3-A water with 3-B concentrated 1-A or 1-B; the introduction of the appendix allows acid
    into water, so that two closed bottles side by side are no conflict here."""
    rule = "40 CFR 264 App. V, group 3"
    assert rule in {finding.rule for finding in findings(WATER, concentrated, MIX)}
    assert rule not in {finding.rule for finding in findings(WATER, concentrated)}


@pytest.mark.parametrize(
    ("a", "b", "gas"),
    [
        (CYANIDE, SULFURIC, "hydrogen cyanide"),
        (SULFIDE, SULFURIC, "hydrogen sulfide"),
        (ZINC_POWDER, SULFURIC, "hydrogen"),
    ],
    ids=lambda value: getattr(value, "name", value),
)
def test_the_consequence_names_the_gas(a, b, gas):
    """The potential consequences printed under groups 2 and 5."""
    assert any(gas in finding.consequence for finding in findings(a, b))


@pytest.mark.parametrize(
    ("a", "b"),
    [
        (SODIUM_HYDROXIDE, WATER),
        (ETHANOL, CYCLOHEXENE),
        (SULFURIC, ACETIC),
        (CYANIDE, SODIUM_HYDROXIDE),
        (ZINC_POWDER, MAGNESIUM),
    ],
    ids=lambda item: item.name,
)
def test_pairs_the_appendix_does_not_list(a, b):
    assert findings(a, b) == ()
