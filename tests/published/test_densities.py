"""Tabled densities against an independent correlation.

M. Laliberté and W. E. Cooper, "Model for calculating the density of aqueous electrolyte solutions", J. Chem.
Eng. Data 49 (2004) 1141; coefficients as extended by Laliberté, J. Chem. Eng. Data 54 (2009) 1725 (read).
The tables under test come from handbooks, save hydrogen peroxide, potassium hydroxide and strong phosphoric
acid, which are left out here because they come from this correlation. Water: the same paper, after Kell
(1975).
"""

from math import exp

import pytest

from stockroom.chemistry.density import density

COEFFICIENTS = {
    "H2SO4": (70.8395152347122, 142.352693909248, 0.68779459618793, 0.00649299683206703, 1667.23864629522),
    "HCl": (
        0.000283872260482906,
        0.00394946957169882,
        2.85020047681807,
        -0.0157747012568046,
        -3766.20868665006,
    ),
    "HNO3": (
        0.272070788161643,
        -0.399605969016834,
        -2.33691977745914,
        0.00662112384275969,
        -3089.01794099058,
    ),
    "CH3COOH": (
        647.289243971958,
        -1054.58226029586,
        -1.74610768626879,
        0.000365566432763641,
        -822.999507010544,
    ),
    "C2H5OH": (-1.24260570302948, 4843.06732405122, 7.08048956592199, 0.020151921233815, 551.64710131505),
    "NaOH": (319.020509469838, 528.592358475315, -0.102197896602724, 0.000350420706415566, 765.970470238438),
    "NH3": (
        0.0637631725924523,
        0.0681799828976475,
        1.23759952767397,
        -0.00599852493721479,
        -3078.57767189507,
    ),
    "NaCl": (
        -0.00324112223655149,
        0.0636354335906616,
        1.01371399467365,
        0.0145951015210159,
        3317.34854426537,
    ),
}


def correlated(formula, percent, celsius=20):
    t, w = celsius, percent / 100
    water = (((-2.8054253e-10 * t + 1.0556302e-7) * t - 4.6170461e-5) * t - 0.0079870401) * t + 16.945176
    water = (water * t + 999.83952) / (1 + 0.01687985 * t)
    c0, c1, c2, c3, c4 = COEFFICIENTS[formula]
    apparent = (c0 * w + c1) * exp(1e-6 * (t + c4) ** 2) / (w + c2 + c3 * t)
    return 1 / ((1 - w) / water + w / apparent) / 1000


@pytest.mark.parametrize(
    ("formula", "percents"),
    [
        ("H2SO4", (2, 7, 15, 25, 35, 45, 55, 65, 75)),
        ("HCl", (3, 5, 13, 25, 37)),
        ("HNO3", (4, 17, 33, 50, 60, 68)),
        ("CH3COOH", (5, 25, 50, 75, 90)),
        ("C2H5OH", (5, 25, 50, 70, 96)),
        ("NaOH", (4, 15, 25, 45)),
        ("NH3", (3, 10, 25, 28)),
        ("NaCl", (3, 10, 18, 26)),
    ],
)
def test_handbook_densities_agree_with_the_correlation(formula, percents):
    for percent in percents:
        assert float(density(formula, percent).g_ml) == pytest.approx(correlated(formula, percent), rel=0.004)


@pytest.mark.parametrize(
    ("formula", "percent", "g_ml"),
    # Labels of the trade, common practice, no source.
    [
        ("HCl", 37, 1.18),
        ("HNO3", 70, 1.41),
        ("H2SO4", 98, 1.84),
        ("NH3", 25, 0.91),
        ("H3PO4", 85, 1.69),
        ("H2O2", 30, 1.11),
    ],
)
def test_what_the_bottle_says(formula, percent, g_ml):
    assert float(density(formula, percent).g_ml) == pytest.approx(g_ml, abs=0.006)
