"""Titration curves of the textbooks, within 0.1 of a pH where they hold (they leave activities out)."""

import pytest

from stockroom.chemistry.aqueous import Addition, Substance, follow


def titrate(sample, titrant, volumes):
    """pH after each volume (mL) of a 0.1000 mol/L titrant; additions follow each other."""
    flask = Addition("sample", (Substance(sample[2], sample[0], "", sample[1]),), 50.0, 50.0, 25.0)
    steps, before = [flask], 0.0
    for volume in volumes:
        more = volume - before
        steps.append(Addition("titrant", (Substance("", titrant, "", more * 1e-4),), more, more, 25.0))
        before = volume
    return [state.ph for state in follow(steps)][1:]


# Skoog and others, Fundamentals of Analytical Chemistry, 9th ed., ch. 14, table 14-4 (from memory):
# 50.00 mL of 0.1000 mol/L acetic acid with 0.1000 mol/L sodium hydroxide.
WEAK = [
    (10.0, 4.16),
    (25.0, 4.76),
    (40.0, 5.36),
    (49.0, 6.45),
    (49.9, 7.46),
    (50.0, 8.73),
    (50.1, 10.00),
    (51.0, 11.00),
    (60.0, 11.96),
    (75.0, 12.30),
]
# The same, table 14-2: 50.00 mL of 0.0500 mol/L hydrochloric acid with 0.1000 mol/L sodium hydroxide.
STRONG = [
    (10.0, 1.60),
    (20.0, 2.15),
    (24.0, 2.87),
    (24.9, 3.87),
    (25.0, 7.00),
    (25.1, 10.12),
    (26.0, 11.12),
    (30.0, 11.80),
]
# Harris, Quantitative Chemical Analysis, 8th ed., ch. 10 (from memory): 0.1 mol/L ammonia, half neutralised
# at pKa 9.24, and its equivalence point at pH 5.28 (0.05 mol/L ammonium chloride).
AMMONIA = [(25.0, 9.24), (50.0, 5.28)]


@pytest.mark.parametrize(("volume", "ph"), WEAK)
def test_weak_acid_with_strong_base(volume, ph):
    assert titrate(("CH3COOH", 0.005, "acetic acid"), "NaOH", [volume])[0] == pytest.approx(ph, abs=0.1)


@pytest.mark.parametrize(("volume", "ph"), STRONG)
def test_strong_acid_with_strong_base(volume, ph):
    assert titrate(("HCl", 0.0025, ""), "NaOH", [volume])[0] == pytest.approx(ph, abs=0.1)


@pytest.mark.parametrize(("volume", "ph"), AMMONIA)
def test_weak_base_with_strong_acid(volume, ph):
    assert titrate(("NH3", 0.005, ""), "HCl", [volume])[0] == pytest.approx(ph, abs=0.1)


def test_the_whole_curve_at_once_is_the_same_as_point_by_point():
    volumes = [volume for volume, _ in WEAK]
    together = titrate(("CH3COOH", 0.005, "acetic acid"), "NaOH", volumes)
    assert together == pytest.approx(
        [titrate(("CH3COOH", 0.005, "acetic acid"), "NaOH", [v])[0] for v in volumes], abs=0.01
    )


def test_phosphoric_acid_has_two_steps():
    """Harris, 8th ed., ch. 10 (from memory): equivalence points near (pK1 + pK2)/2 = 4.7 and
    (pK2 + pK3)/2 = 9.8; 0.05 and 0.033 mol/L of salt move them by some tenths."""
    first, second = titrate(("H3PO4", 0.005, ""), "NaOH", [50.0, 100.0])
    assert first == pytest.approx(4.7, abs=0.2)
    assert second == pytest.approx(9.6, abs=0.3)


def test_carbonate_with_acid_has_two_steps():
    """Skoog, 9th ed., ch. 16: end points of sodium carbonate near pH 8.3 and near pH 4 (from memory)."""
    first, second = titrate(("Na2CO3", 0.005, ""), "HCl", [50.0, 100.0])
    assert first == pytest.approx(8.3, abs=0.2)
    assert second == pytest.approx(4.0, abs=0.2)


# Points that the dissociation constants alone give (CRC Handbook of Chemistry and Physics, 97th ed., section
# 5, from memory): half way to each equivalence the pH is near its pKa, at each equivalence near the mean of
# the two beside it. Leaving activities out is worth up to 0.25 with a doubly, 0.45 with a triply charged ion.
# (acid, name, CAS RN), pKa in order, (equivalents of base, expected pH, within)
POLYPROTIC = [
    (("C4H6O4", "succinic acid"), [(0.5, 4.21, 0.2), (1.0, 4.92, 0.15), (1.5, 5.64, 0.3)]),
    (("C3H4O4", "malonic acid"), [(0.5, 2.85, 0.3), (1.0, 4.27, 0.2), (1.5, 5.70, 0.3)]),
    (("H2C2O4", "oxalic acid"), [(1.0, 2.9, 0.3), (1.5, 4.27, 0.35)]),
    (("C8H6O4", "phthalic acid"), [(0.5, 3.05, 0.2), (1.0, 4.1, 0.15), (1.5, 5.41, 0.3)]),
    (("H2CO3", "carbonic acid"), [(0.5, 6.35, 0.15), (1.0, 8.34, 0.2), (1.5, 10.33, 0.3)]),
    (("H2SO3", "sulfurous acid"), [(1.0, 4.5, 0.25), (1.5, 7.2, 0.3)]),
    (("H3PO4", "phosphoric acid"), [(0.5, 2.3, 0.2), (1.0, 4.68, 0.2), (1.5, 7.21, 0.3), (2.0, 9.5, 0.3)]),
    (
        ("C6H8O7", "citric acid"),
        [(0.5, 3.13, 0.25), (1.0, 3.95, 0.2), (1.5, 4.76, 0.3), (2.0, 5.58, 0.4), (2.5, 6.40, 0.55)],
    ),
    (("H2SO4", "sulfuric acid"), [(1.0, 1.9, 0.25)]),
]


@pytest.mark.parametrize(("acid", "points"), POLYPROTIC, ids=[acid[1] for acid, _ in POLYPROTIC])
def test_acids_of_two_and_three_hydrogen_ions(acid, points):
    """50 mL of 0.02 mol/L acid with 0.1 mol/L sodium hydroxide: 10 mL an equivalent."""
    formula, name = acid
    found = titrate((formula, 0.001, name), "NaOH", [10 * equivalents for equivalents, *_ in points])
    for ph, (equivalents, expected, within) in zip(found, points, strict=True):
        assert ph == pytest.approx(expected, abs=within), equivalents


# Skoog and others, Fundamentals of Analytical Chemistry, 9th ed., figure 14-3: 50.00 mL of 0.1000 mol/L acids
# with 0.1000 mol/L base; the pH half way is the pKa.
MONOPROTIC = [
    ("HCOOH", "formic acid", 3.75, 8.2),
    ("C7H6O2", "benzoic acid", 4.20, 8.4),
    ("C3H6O3", "lactic acid", 3.86, 8.3),
    ("C2H4O2", "acetic acid", 4.76, 8.73),
    ("HNO2", "nitrous acid", 3.25, 8.0),
    ("HF", "hydrofluoric acid", 3.20, 7.95),
    ("HClO", "hypochlorous acid", 7.40, 10.05),
    ("NH4Cl", "ammonium chloride", 9.25, 10.97),
]


@pytest.mark.parametrize(("formula", "name", "half_way", "equivalence"), MONOPROTIC)
def test_weak_acids_of_one_hydrogen_ion(formula, name, half_way, equivalence):
    mol = 0.001 if name == "benzoic acid" else 0.005
    total = mol * 1e4
    half, whole = titrate((formula, mol, name), "NaOH", [total / 2, total])
    assert half == pytest.approx(half_way, abs=0.15)
    assert whole == pytest.approx(equivalence - (0.25 if mol < 0.005 else 0), abs=0.2)


def test_carbonate_with_acid_in_two_steps():
    """Harris, Quantitative Chemical Analysis, 8th ed. (from memory): sodium carbonate with hydrochloric acid
    falls to pH 8.3 with one, and to pH 4 with two; dilute enough that no carbon dioxide bubbles off."""
    ph = titrate(("Na2CO3", 0.001, ""), "HCl", [5.0, 10.0, 20.0])
    assert ph[0] == pytest.approx(10.33, abs=0.3)
    assert ph[1] == pytest.approx(8.3, abs=0.2)
    assert ph[2] == pytest.approx(4.1, abs=0.2)
