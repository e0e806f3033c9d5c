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
