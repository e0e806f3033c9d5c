"""The form an acid mostly has: the tabled pKa against the beaker at half neutralisation.

Constants: CRC Handbook of Chemistry and Physics, 97th ed., section 5, "Dissociation Constants" (from memory);
the engine's come from another compilation (NIST 46 by way of MINTEQ).
"""

import pytest

from stockroom.chemistry import species
from stockroom.chemistry.aqueous import Addition, Contents, Substance, settle
from stockroom.chemistry.naming import free_ions, main_form
from stockroom.chemistry.residue import Dissolved, Residue

PKA = {
    ("CO3-2", 2): 6.35,
    ("CO3-2", 1): 10.33,
    ("SO3-2", 1): 7.2,
    ("PO4-3", 2): 7.21,
    ("C2H3O2-", 1): 4.756,
    ("CHO2-", 1): 3.75,
    ("C7H5O2-", 1): 4.204,
    ("C3H5O3-", 1): 3.86,
    ("C6H7O6-", 1): 4.04,
    ("C6H5O7-3", 2): 4.76,
    ("C6H5O7-3", 1): 6.40,
    ("C4H4O4-2", 1): 5.64,
    ("C8H4O4-2", 1): 5.43,
    ("ClO-", 1): 7.40,
    ("C6H5O-", 1): 9.99,
}


@pytest.mark.parametrize(("ion", "hydrogens"), PKA)
def test_half_neutralised_it_stands_at_its_constant_and_changes_its_name(ion, hydrogens):
    charge = -species.ions()[ion].charge
    mol = 0.003
    held = {ion: mol, "H+": (hydrogens - 0.5) * mol, "Na+": (charge - hydrogens + 0.5) * mol}
    ph = settle(Contents(water_g=1000.0, volume_ml=1000.0, temperature_c=25.0).changed(held)).ph
    assert ph == pytest.approx(PKA[ion, hydrogens], abs=0.3)  # activities are left out of a constant
    name = species.ions()[ion].name
    assert main_form(ion, name, ph - 0.5) != main_form(ion, name, ph + 0.5)


def test_free_hydrogen_and_hydroxide_ions():
    """0.100 mol/L hydrochloric acid and sodium hydroxide hold 0.100 mol/L of them (any textbook)."""
    for formula, name, ion in (("HCl", "hydrogen ion", "Cl-"), ("NaOH", "hydroxide ion", "Na+")):
        there = Addition("", (Substance("", formula, "", 0.1),), 1000.0, 1000.0)
        ph = settle(Contents().with_addition(there)).ph
        found = free_ions(
            Residue(1_000_000, ph, 20.0, (Dissolved("", ion, "", 0.1), Dissolved("", "K+", "", 0.1)))
        )
        assert found[0][0] == name
        assert found[0][1] == pytest.approx(0.1, rel=0.05)
    assert free_ions(Residue(1_000_000, 7.0)) == ()
