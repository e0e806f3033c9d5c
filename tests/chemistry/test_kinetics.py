from dataclasses import replace

import pytest

from stockroom.chemistry.aqueous import Addition, Contents, Substance
from stockroom.chemistry.kinetics import KineticsError, dissolving, rate_of


def acid(mol):
    return Contents().with_addition(Addition("acid", (Substance("", "HNO3", "", mol),), 100.0, 100.0))


def test_the_ph_rises_as_the_solid_dissolves():
    curve = dissolving(acid(0.01), 0.004, rate_of("MgCO3"))
    assert [p.seconds for p in curve.points] == sorted(p.seconds for p in curve.points)
    assert [p.ph for p in curve.points] == sorted(p.ph for p in curve.points)
    assert curve.points[0].share_dissolved == 0
    assert curve.points[-1].share_dissolved > 0.98
    assert "illustration" in curve.caption


def test_cold_slows_it():
    warm = dissolving(acid(0.01), 0.004, rate_of("MgCO3"), 30.0)
    cold = dissolving(acid(0.01), 0.004, rate_of("MgCO3"), 8.0)
    assert cold.points[-1].seconds > 1.3 * warm.points[-1].seconds


def test_twice_the_area_takes_half_the_time():
    rate = rate_of("MgCO3")
    one = dissolving(acid(0.01), 0.004, rate)
    two = dissolving(acid(0.01), 0.004, replace(rate, area_m2_g=2 * rate.area_m2_g))
    assert one.points[-1].seconds == pytest.approx(2 * two.points[-1].seconds)


def test_what_the_acid_cannot_take_stays():
    curve = dissolving(acid(0.002), 0.004, rate_of("CaCO3"))
    # The acid takes a quarter of it, and the carbonic acid of that a little more.
    assert 0.25 < curve.points[-1].share_dissolved < 0.4
    assert curve.points[-1].ph > curve.points[0].ph + 2


def test_no_published_rate_no_curve():
    with pytest.raises(KineticsError, match="no curve"):
        rate_of("CuO")
    with pytest.raises(KineticsError, match="not a formula"):
        rate_of("marble")


@pytest.mark.parametrize(
    ("mol", "area", "temperature", "says"),
    [(0, 1, 20, "above nought"), (0.1, 0, 20, "above nought"), (0.1, 1, 200, "0 to 100")],
)
def test_impossible_parameters(mol, area, temperature, says):
    with pytest.raises(KineticsError, match=says):
        dissolving(acid(0.01), mol, replace(rate_of("CaCO3"), area_m2_g=area), temperature)


def test_no_water_no_curve():
    with pytest.raises(KineticsError, match="water"):
        dissolving(Contents(), 0.1, rate_of("CaCO3"))
