import pytest

from stockroom.chemistry import published, saturation, solubility, species
from stockroom.chemistry.aqueous import Contents, settle

CATIONS = (
    *("Li+", "Na+", "K+", "NH4+", "Mg+2", "Ca+2", "Sr+2", "Ba+2", "Al+3", "Cr+3", "Mn+2"),
    *("Fe+2", "Fe+3", "Co+2", "Ni+2", "Cu+2", "Ag+", "Zn+2", "Pb+2", "Sn+2", "Hg+2", "Bi+3"),
)
ANIONS = (
    *("F-", "Cl-", "Br-", "I-", "OH-", "S-2", "CO3-2", "HCO3-", "SO3-2", "SO4-2", "S2O3-2", "PO4-3"),
    *("CrO4-2", "C2O4-2", "IO3-", "ClO3-", "NO2-", "NO3-", "Fe(CN)6-3", "Fe(CN)6-4", "SCN-"),
    *("C2H3O2-", "C4H4O6-2"),
)
PAIRS = [(cation, anion) for cation in CATIONS for anion in ANIONS]


@pytest.mark.parametrize("cation", CATIONS)
def test_every_pair_has_an_answer_with_its_source(cation):
    for anion in ANIONS:
        found = solubility.verdict(cation, anion)
        assert bool(found.source) is (found.kind != solubility.NOT_KNOWN), found
        assert bool(found.solids) is (found.kind == solubility.SOLID), found


def test_hardly_any_pair_is_not_known():
    unknown = [pair for pair in PAIRS if solubility.verdict(*pair).kind == solubility.NOT_KNOWN]
    assert len(unknown) < 0.02 * len(PAIRS), unknown


def test_what_is_not_known_is_said_and_stays_dissolved():
    contents = Contents({"Bi+3": 0.02, "SO3-2": 0.03, "NO3-": 0.06, "Na+": 0.06, "H+": 0.0}, water_g=1000.0)
    state = settle(contents)
    told = "nobody has told the app whether bismuth(III) sulfite dissolves"
    assert state.doubts == (told,)
    assert told in state.notes


def test_a_trace_raises_no_doubt():
    ions = {"Bi+3": 1e-6, "SO3-2": 0.03, "NO3-": 3e-6, "Na+": 0.06}
    assert settle(Contents(ions, water_g=1000.0)).doubts == ()


def test_a_pair_of_two_anions_is_refused():
    with pytest.raises(ValueError, match="not a cation and an anion"):
        solubility.verdict("Cl-", "Br-")


def test_every_row_of_the_tables_names_a_solid_and_a_source():
    solids = saturation.ions_by_phase()
    for phase, (value, source) in saturation.products().items():
        assert phase in solids
        assert 0 < value < 1
        assert source
    for row in saturation.solubilities():
        assert row.phase in solids
        assert row.source
        assert species.identify(row.formula, "", row.substance.partition("@")[2]).kind == species.ELECTROLYTE


def test_pairs_name_ions_that_there_are():
    for cations, anions, kind, _, source in published.table("pairs.csv"):
        assert {*cations.split(), *anions.split()} - {"*"} <= species.ions().keys()
        assert kind in (solubility.SOLUBLE, solubility.DECOMPOSES, solubility.NOT_KNOWN)
        assert bool(source) is (kind != solubility.NOT_KNOWN)
