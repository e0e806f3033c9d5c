"""Functional groups read from structures. What each compound holds: any organic chemistry text."""

import pytest

from stockroom.chemistry.structure import StructureError, read

#: name: (structure, groups it has, groups it has not)
COMPOUNDS = {
    "ethanol": ("CCO", "alcohol, primary alcohol", "ether, phenol"),
    "propan-2-ol": ("CC(C)O", "secondary alcohol", "ether"),
    "phenol": ("C1=CC=C(C=C1)O", "phenol, aromatic", "alcohol, alkene"),
    "phenol, aromatic letters": ("c1ccccc1O", "phenol, aromatic", "alcohol, alkene"),
    "diethyl ether": ("CCOCC", "ether, alpha ether", "alcohol, ester"),
    "ethyl acetate": ("CCOC(=O)C", "ester", "ether, ketone, carboxylic acid"),
    "acetic acid": ("CC(=O)O", "carboxylic acid", "alcohol, ester"),
    "acetic anhydride": ("CC(=O)OC(=O)C", "anhydride", "ester, ketone"),
    "acetyl chloride": ("CC(=O)Cl", "acyl halide", "organic halide, ketone"),
    "formaldehyde": ("C=O", "formaldehyde", "ketone, aldehyde"),
    "benzaldehyde": ("C1=CC=C(C=C1)C=O", "aldehyde, aromatic", "ketone, alkene"),
    "acetone": ("CC(=O)C", "ketone", "aldehyde"),
    "1,4-benzoquinone": ("C1=CC(=O)C=CC1=O", "ketone, alkene", "aromatic"),
    "urea": ("C(=O)(N)N", "urea", "amine, amide, ketone"),
    "acetanilide": ("CC(=O)NC1=CC=CC=C1", "amide", "amine, aromatic amine"),
    "aniline": ("C1=CC=C(C=C1)N", "aromatic amine", "amine, amide"),
    "nitrobenzene": ("C1=CC=C(C=C1)[N+](=O)[O-]", "nitro, aromatic nitro", "amine, nitrate ester"),
    "nitroglycerine": ("C(C(CO[N+](=O)[O-])O[N+](=O)[O-])O[N+](=O)[O-]", "nitrate ester", "nitro, alcohol"),
    "2,4-dinitrophenylhydrazine": (
        "C1=CC(=C(C=C1[N+](=O)[O-])[N+](=O)[O-])NN",
        "hydrazine, nitro",
        "amine",
    ),
    "luminol": ("C1=CC2=C(C(=C1)N)C(=O)NNC2=O", "amide, aromatic amine", "hydrazine"),
    "acetonitrile": ("CC#N", "nitrile", "cyanide, alkyne"),
    "potassium cyanide": ("[C-]#N.[K+]", "cyanide", "nitrile"),
    "potassium thiocyanate": ("C(#N)[S-].[K+]", "thiocyanate", "cyanide, thiol"),
    "sodium azide": ("[N-]=[N+]=[N-].[Na+]", "azide", "amine"),
    "styrene": ("C=CC1=CC=CC=C1", "alkene, vinyl, aromatic", "alkyne"),
    "cyclohexene": ("C1CCC=CC1", "alkene", "vinyl, aromatic"),
    "ethyne": ("C#C", "alkyne, terminal alkyne", "nitrile"),
    "chloroform": ("C(Cl)(Cl)Cl", "polyhalogenated, organic halide", "alkyl halide, acyl halide"),
    "1-bromobutane": ("CCCCBr", "alkyl halide", "polyhalogenated"),
    "chlorobenzene": ("C1=CC=C(C=C1)Cl", "organic halide", "alkyl halide"),
    "benzoyl peroxide": ("C1=CC=C(C=C1)C(=O)OOC(=O)C2=CC=CC=C2", "peroxide", "anhydride, ether"),
    "oxirane": ("C1CO1", "epoxide", "ether"),
    "furan": ("C1=COC=C1", "aromatic", "ether, alkene"),
    "pyridine": ("C1=CC=NC=C1", "aromatic", "amine, alkene, imine"),
    "naphthalene": ("C1=CC=C2C=CC=CC2=C1", "aromatic", "alkene"),
    "glucose": ("O=C[C@H](O)[C@@H](O)[C@H](O)[C@H](O)CO", "aldehyde, secondary alcohol", "carboxylic acid"),
    "toluenesulfonic acid": ("CC1=CC=C(C=C1)S(=O)(=O)O", "sulfonic acid", "sulfonate"),
    "dimethyl sulfoxide": ("CS(=O)C", "sulfoxide", "thioether"),
    "butyllithium": ("[Li]CCCC", "organometallic", "alcohol"),
    "carbon dioxide": ("C(=O)=O", "carbon dioxide", "ketone, aldehyde"),
}


def words(text):
    return {word.strip() for word in text.split(",")}


@pytest.mark.parametrize("name", COMPOUNDS)
def test_functional_groups(name):
    smiles, has, has_not = COMPOUNDS[name]
    found = read(smiles).groups.keys()
    assert words(has) <= found
    assert not words(has_not) & found


def test_counts_and_ions():
    assert read("C(C(CO)O)O").groups["alcohol"] == 3
    assert read("CC(=O)[O-].[Na+]").ions == (("Na", 1),)
    assert read("CCO").carbons == 2 and read("CCO").heavy_atoms == 3


@pytest.mark.parametrize(
    "text", ["", "CC(", "C1CC", "not a structure", "1CC", "[Xx-]()", "C" * 5000, "C=!C", "("]
)
def test_what_is_no_structure_is_an_error_or_nothing_never_a_guess(text):
    try:
        found = read(text)
    except StructureError:
        return
    assert found.groups.keys() <= {"hydrocarbon"}
