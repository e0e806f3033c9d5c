import threading

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockroom.chemistry import concentrated, database, published, species
from stockroom.chemistry.aqueous import (
    Addition,
    BeakerError,
    Contents,
    Substance,
    _engine_elements,
    follow,
    gas_volume_ml,
    phases,
    settle,
    to_residue,
)
from stockroom.chemistry.concentrated import source_text
from stockroom.chemistry.formula import parse_formula


def pour(*parts, water=100.0, label="mixture", temperature=25.0):
    substances = tuple(Substance("", formula, "", mol) for formula, mol in parts)
    return Addition(label, substances, water, water, temperature)


@pytest.mark.parametrize("name", database.DERIVED)
def test_the_shipped_databases_are_what_the_package_gives(name):
    assert published.text(name) == database.DERIVED[name]()


def test_a_solid_the_source_lacks_is_an_error():
    with pytest.raises(ValueError, match="Unobtainium"):
        database.derive(source_text("minteq.v4.dat"), frozenset({"Unobtainium"}), "")


def test_every_solid_is_spelled_the_same_for_people_and_for_the_engine():
    for phase in phases():
        atoms = {}
        for ion, count in phase.ions:
            for symbol, number in species.ions()[ion].atoms.items():
                atoms[symbol] = atoms.get(symbol, 0) + count * number
        assert {s: n for s, n in atoms.items() if n} == parse_formula(phase.formula).atoms, phase
        assert sum(count * species.ions()[ion].charge for ion, count in phase.ions) == 0, phase


def test_every_ion_says_its_atoms_and_charge_as_its_formula_does():
    for ion in species.ions().values():
        parsed = parse_formula(ion.formula)
        assert (ion.atoms, ion.charge) == (parsed.atoms, parsed.charge)
        simpler = species.simplest(ion.formula)
        assert sum(species.ions()[part].charge * n for part, n in simpler.items()) == ion.charge
        for symbol in {*ion.atoms, "H", "O"}:
            total = sum(species.ions()[part].atoms.get(symbol, 0) * n for part, n in simpler.items())
            assert total == ion.atoms.get(symbol, 0), ion


def test_every_ion_is_made_of_elements_the_database_has():
    masters = database.dilute_text().split("SOLUTION_SPECIES")[0].splitlines()
    supplement = published.text("supplement.dat").splitlines()
    known = {line.split()[0] for line in (*masters, *supplement) if line.strip()}
    for ion in species.ions().values():
        for formula, _ in ion.engine:
            assert _engine_elements(formula) <= known, ion


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("CuSO4·5H2O", {"Cu+2": 1, "SO4-2": 1, "H2O": 5}),
        ("KAl(SO4)2·12H2O", {"K+": 1, "Al+3": 1, "SO4-2": 2, "H2O": 12}),
        ("Cu2(OH)2CO3", {"Cu+2": 2, "OH-": 2, "CO3-2": 1}),
        ("(NH4)2Fe(SO4)2·6H2O", {"NH4+": 2, "Fe+2": 1, "SO4-2": 2, "H2O": 6}),
        ("NH3", {"NH4+": 1, "H+": -1}),
        ("CO2", {"CO3-2": 1, "H+": 2, "H2O": -1}),
        ("CH3COOH", {"C2H3O2-": 1, "H+": 1}),
        ("K4[Fe(CN)6]", {"K+": 4, "Fe(CN)6-4": 1}),
        ("Cu2O", {"Cu+": 2, "O-2": 1}),
        ("Na2S2O5", {"Na+": 2, "S2O5-2": 1}),
        ("HCl(aq)", {"H+": 1, "Cl-": 1}),
    ],
)
def test_a_formula_is_split_into_ions(formula, expected):
    assert dict(species.identify(formula).ions) == expected


@pytest.mark.parametrize("formula", ["C2H4O2", "C6H12O6", "XeF2", "C6H7NaO6", "C6H8O7·H2O", "Qq", ""])
def test_what_is_not_known_or_has_isomers_is_not_guessed(formula):
    identity = species.identify(formula)
    assert identity.kind == species.UNKNOWN
    assert identity.note


def test_a_name_tells_isomers_apart():
    assert species.identify("C2H4O2", "acetic acid").kind == species.ELECTROLYTE
    assert species.identify("C6H12O6", "glucose").kind == species.ORGANIC
    assert dict(species.identify("C6H8O7·H2O", "citric acid monohydrate").ions) == {
        "H+": 3,
        "C6H5O7-3": 1,
        "H2O": 1,
    }
    # An alginate has the atoms of an ascorbate.
    assert species.identify("C6H7NaO6", "sodium alginate").kind == species.ORGANIC
    assert species.identify("C6H7NaO6", "sodium ascorbate").kind == species.ELECTROLYTE


def test_oxidation_states_stay_apart():
    # All at equilibrium, nitrate would oxidise iron(II) and acidify the beaker.
    state = settle(Contents().with_addition(pour(("Fe(NO3)2", 0.01))))
    assert {d.formula for d in state.dissolved} == {"Fe+2", "NO3-"}
    assert state.ph > 4


def test_portions_of_acid_dissolve_the_hydroxide():
    states = follow([pour(("Cu(OH)2", 0.02)), *[pour(("HNO3", 0.01), water=10)] * 5])
    solid = [state.solid("Cu(OH)2") for state in states]
    assert solid == sorted(solid, reverse=True)
    assert solid[0] > 0.0199
    assert solid[3] == pytest.approx(0.005, abs=2e-4)
    assert solid[4] == solid[5] == 0
    assert states[3].ph > 5
    assert states[5].ph < 2
    assert states[5].volume_ml == pytest.approx(150)


def test_carbon_dioxide_bubbles_off_and_stays_gone():
    states = follow([pour(("NaHCO3", 0.1)), pour(("HCl", 0.12)), pour(("NaOH", 0.2))])
    assert states[0].gas == ()
    assert states[1].gas[0].formula == "CO2"
    lost = states[1].gas[0].mol
    assert 0.08 < lost < 0.1
    carbon = [d.mol for d in states[2].dissolved if d.formula == "CO3-2"]
    assert carbon == [pytest.approx(0.1 - lost)]


def test_an_amphoteric_hydroxide_comes_and_goes():
    states = follow([pour(("ZnSO4", 0.01)), pour(("NaOH", 0.02)), pour(("NaOH", 0.2))])
    assert [state.solid("Zn(OH)2") > 0.009 for state in states] == [False, True, False]


def test_excess_ammonia_takes_up_copper_hydroxide():
    states = follow([pour(("CuSO4", 0.01)), pour(("NH3", 0.02)), pour(("NH3", 0.2))])
    assert states[1].solid("Cu(OH)2") > 0.009
    assert states[2].solids == ()


SALTS = st.sampled_from(
    [
        "HCl",
        "NaOH",
        "CH3COOH",
        "NaHCO3",
        "CaCl2",
        "MgSO4",
        "NH3",
        "Na2HPO4",
        "CuSO4",
        "FeCl3",
        "AgNO3",
        "Pb(NO3)2",
    ]
)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(SALTS, st.floats(1e-4, 0.02)), min_size=1, max_size=6))
def test_elements_are_conserved(parts):
    """Whatever is poured, the metal or acid group is dissolved, undissolved or gone as gas."""
    state = settle(Contents().with_addition(pour(*parts)))
    assert state.ph is not None or concentrated.ABOVE in state.why_no_ph
    for element, formula in (("Cu", "Cu+2"), ("Ca", "Ca+2"), ("Pb", "Pb+2"), ("Ag", "Ag+"), ("C", None)):
        # The carbon counted is that of carbonate: acetic acid's is left out, and so is an acetate's.
        put_in = sum(mol * parse_formula(f).atoms.get(element, 0) for f, mol in parts if f != "CH3COOH")
        found = sum(
            s.mol * parse_formula(s.formula).atoms.get(element, 0)
            for s in (*state.solids, *state.gas)
            if not (element == "C" and "C2H3O2" in s.formula)
        )
        found += sum(d.mol for d in state.dissolved if d.formula == (formula or "CO3-2"))
        assert found == pytest.approx(put_in, rel=1e-4, abs=1e-8)


@settings(max_examples=20, deadline=None)
@given(st.permutations([("HCl", 0.01), ("Na2HPO4", 0.01), ("CuSO4", 0.005), ("NaOH", 0.015)]))
def test_the_order_of_pouring_does_not_matter_without_gas(order):
    last = follow([pour(part, water=50) for part in order])[-1]
    again = follow([pour(*order, water=200)])[-1]
    assert last.ph == pytest.approx(again.ph, abs=1e-4)


def test_an_unknown_substance_stops_the_ph_and_is_named():
    state = settle(Contents().with_addition(pour(("XeF2", 0.01), ("HCl", 0.01))))
    assert state.ph is None
    assert "XeF2" in state.why_no_ph
    assert to_residue(state).unknown


def test_a_little_dye_and_a_little_ethanol_do_not_stop_it():
    drops = Addition(
        "indicator", (Substance("ethanol", mass_g=0.2), Substance("phenolphthalein", mol=1e-6)), 0.1, 0.3
    )
    state = follow([pour(("HCl", 0.01)), drops])[-1]
    assert state.ph == pytest.approx(1.05, abs=0.1)
    assert not state.approximate
    residue = to_residue(state)
    assert [o.name for o in residue.organics] == ["ethanol"]
    assert residue.organics[0].percent_w_w == pytest.approx(0.2, abs=0.02)


def test_no_water_no_ph():
    state = follow([Addition("powder", (Substance("", "NaCl", "", 0.1),))])[0]
    assert state.ph is None
    assert "no water" in state.why_no_ph


def test_a_spirit_has_no_ph():
    spirit = Addition("spirit", (Substance("ethanol", mass_g=80.0),), 20.0, 120.0)
    assert "solvent" in follow([spirit])[0].why_no_ph


def test_concentrated_acid_is_marked():
    assert follow([pour(("HCl", 0.5))])[0].approximate
    assert not follow([pour(("HCl", 0.01))])[0].approximate
    strong = follow([pour(("H2SO4", 1.7), water=5)])[0]
    assert strong.ph is None
    assert "too concentrated" in strong.why_no_ph


@pytest.mark.parametrize(
    ("parts", "word"),
    [
        ((("Na2S", 0.01), ("HCl", 0.02)), "hydrogen sulfide"),
        ((("Na2SO3", 0.01), ("HCl", 0.02)), "sulfur dioxide"),
        ((("AgNO3", 0.01), ("NH3", 0.1)), "explodes"),
    ],
)
def test_cautions_a_person_must_know(parts, word):
    assert any(word in note for note in settle(Contents().with_addition(pour(*parts))).notes)
    calm = settle(Contents().with_addition(pour((parts[0][0], 0.01))))
    assert not any(word in note for note in calm.notes)


def test_mixing_settles_at_one_temperature():
    cold, warm = pour(temperature=5.0), pour(water=300, temperature=25.0)
    assert follow([cold, warm])[-1].temperature_c == pytest.approx(20)
    hot_salt = Addition("salt", (Substance("", "NaCl", "", 1.0),), 0.0, 0.0, 80.0)
    # 58.44 g at 1.0 J/(g K) give what 100 g of water at 4.18 J/(g K) take up
    assert follow([pour(temperature=20.0), hot_salt])[-1].temperature_c == pytest.approx(
        (418 * 20 + 58.44 * 80) / (418 + 58.44), abs=0.01
    )


def test_ice_cools_by_melting_until_it_is_gone():
    ice = Addition("ice", (), 30.0, 30.0, 0.0)
    cooled = follow([pour(temperature=25.0), ice])[-1]
    # 100 g give 418 J/K, 30 g take 334 J/g and then 125.4 J/K
    assert cooled.temperature_c == pytest.approx((418 * 25 - 30 * 334) / (418 + 125.4), abs=0.01)
    assert cooled.contents.ice_g == 0
    much = follow([pour(temperature=25.0), ice.times(2)])[-1]
    assert much.temperature_c == 0
    assert much.contents.ice_g == pytest.approx(60 - 418 * 25 / 334)
    again = follow([pour(temperature=60.0)], much.contents)[-1]
    assert again.contents.ice_g == 0 < again.temperature_c
    assert much.contents.brought_to(5.0).ice_g == 0


@given(st.lists(st.tuples(st.floats(1, 500), st.floats(0, 100)), min_size=2, max_size=6))
def test_no_heat_comes_or_goes_by_mixing(pours):
    additions = [Addition("water", (), grams, grams, celsius) for grams, celsius in pours]
    heat = sum(g * (4.18 * c if c else -334) for g, c in pours)
    contents = Contents()
    for addition in additions:
        contents = contents.with_addition(addition)
    held = 4.18 * contents.water_g * contents.temperature_c - 334 * contents.ice_g
    assert held == pytest.approx(heat, rel=1e-6, abs=1e-3)


def test_sending_moves_together_changes_no_answer():
    acid = Addition("acid", (Substance("", "HCl", "", 0.004),), 10.0, 10.0)
    for first in ("Mg(OH)2", "CaCO3", "Na2CO3", "NH3"):
        additions = [Addition("", (Substance("", first, "", 0.01),), 100.0, 100.0), *[acid] * 6]
        contents, one_by_one = Contents(), []
        for addition in additions:
            one_by_one.append(settle(contents.with_addition(addition), addition.label))
            contents = one_by_one[-1].contents
        assert follow(additions) == tuple(one_by_one)


def test_impossible_additions_are_refused():
    with pytest.raises(BeakerError, match="negative"):
        Contents().with_addition(pour(("HCl", -1)))
    with pytest.raises(BeakerError, match="negative"):
        Contents().with_addition(pour(("HCl", float("nan"))))
    with pytest.raises(BeakerError, match="unit"):
        Contents().with_addition(pour(("HCl", 1), water=1e9))
    with pytest.raises(BeakerError, match="temperature"):
        Contents().with_addition(pour(("HCl", 1), temperature=400))


def test_ten_moles_of_gas_are_refused():
    with pytest.raises(BeakerError, match="smaller amounts"):
        gas_volume_ml(10)
    with pytest.raises(BeakerError, match="smaller amounts"):
        follow([pour(("NaHCO3", 10), water=20_000), pour(("HCl", 10), water=1000)])


def test_threads_share_one_engine():
    wanted = [follow([pour(("CH3COOH", n / 1000))])[0].ph for n in range(1, 9)]
    got = {}
    threads = [
        threading.Thread(target=lambda n=n: got.update({n: follow([pour(("CH3COOH", n / 1000))])[0].ph}))
        for n in range(1, 9)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [got[n] for n in range(1, 9)] == wanted


def test_complexes_with_ammonia_are_their_ions():
    def told(formula):
        return {ion: int(n) for ion, n in species.identify(formula).ions}

    assert told("Cu(NH3)4+2") == {"Cu+2": 1, "NH4+": 4, "H+": -4}
    assert told("[Ag(NH3)2]+") == {"Ag+": 1, "NH4+": 2, "H+": -2}
    assert told("[Cu(NH3)4]SO4") == {"Cu+2": 1, "SO4-2": 1, "NH4+": 4, "H+": -4}
    assert told("NH4NO3") == {"NH4+": 1, "NO3-": 1}
    assert species.identify("C3H9N").kind == species.UNKNOWN
