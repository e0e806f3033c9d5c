"""40 CFR 264 Appendix V: incompatible waste, each group A with each group B.

Source: Code of Federal Regulations, title 40, part 264, Appendix V (its own groups).
Each case is one example of the A list against one of the B list.
"""

import pytest

from stockroom.safety.storage import MIX, Item, findings


def item(name, *groups):
    return Item(name, name, name, groups=frozenset(groups), transport_class="none", classified=True)


SODIUM_HYDROXIDE = item("sodium hydroxide", "base_strong")
SULFURIC = item("sulfuric acid", "acid_strong")
NITRIC = item("nitric acid", "acid_oxidising")
ACETIC = item("glacial acetic acid", "acid_organic", "organic")
ZINC_POWDER = item("zinc powder", "metal_powder")
MAGNESIUM = item("magnesium ribbon", "metal_active")
SODIUM = item("sodium", "metal_active", "water_reactive")
HYDRIDE = item("calcium hydride", "hydride", "water_reactive")
ETHANOL = item("ethanol", "alcohol", "flammable", "organic")
WATER = item("water", "aqueous")
ALDEHYDE = item("benzaldehyde", "aldehyde", "organic")
CHLOROFORM = item("trichloroethane", "halogenated_organic")
NITROBENZENE = item("nitrobenzene", "nitro_organic")
CYCLOHEXENE = item("cyclohexene", "unsaturated", "flammable")
CYANIDE = item("potassium cyanide", "cyanide")
SULFIDE = item("sodium sulfide", "sulfide")
OXIDISERS = [
    item("potassium chlorate", "chlorate"),
    item("bromine water", "halogen"),
    item("chromium trioxide", "chromate"),
    item("bleach", "hypochlorite"),
    item("potassium nitrate", "nitrate"),
    NITRIC,
    item("sodium perchlorate", "perchlorate"),
    item("potassium permanganate", "permanganate"),
    item("hydrogen peroxide 30 %", "peroxide"),
    item("ammonium persulfate", "oxidiser"),
]

CASES = [
    (1, SODIUM_HYDROXIDE, SULFURIC),
    (1, SODIUM_HYDROXIDE, NITRIC),
    (1, item("ammonia", "ammonia"), SULFURIC),
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
    (5, SULFIDE, item("dilute hydrochloric acid", "acid_dilute")),
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
