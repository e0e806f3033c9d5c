from decimal import Decimal

import pytest

from demos.report import outcome_report
from demos.simulation.outcome import OutcomeError, Step, foresee
from stockroom.chemistry.portion import Part, Portion


def solution(name, formula, molar, ml, chemical="", cas=""):
    parts = (Part(chemical or name, formula, cas, Decimal(str(molar)), "mol/L"),)
    return Portion(name, "volume", int(ml * 1000), parts, "water", Decimal("1.0"))


def solid(name, formula, grams):
    return Portion(name, "mass", int(grams * 1e6), (Part(name, formula, "", None, "pure"),), "")


WATER = Portion("water", "volume", 200_000, (Part("water", "H2O", "7732-18-5", None, "pure"),), "")
BLUE = Portion(
    "bromothymol blue 0.04 %",
    "volume",
    1000,
    (
        Part("bromothymol blue", "C27H28Br2O5S", "76-59-5", Decimal("0.04"), "% w/v"),
        Part("ethanol", "C2H5OH", "64-17-5", Decimal(20), "% v/v"),
    ),
    "water",
    Decimal("0.98"),
)
LIME = (
    Step(1, "Pour the water.", WATER),
    Step(2, "Stir in the slaked lime.", solid("calcium hydroxide", "Ca(OH)2", 1.5)),
    Step(3, "Add the indicator.", BLUE),
    Step(4, "Add the acid.", solution("nitric acid", "HNO3", 1, 6), 4),
)


def test_the_beaker_is_followed_portion_by_portion():
    out = foresee(LIME)
    assert [(p.step, p.portion) for p in out.points] == [
        (1, 1),
        (2, 1),
        (3, 1),
        (4, 1),
        (4, 2),
        (4, 3),
        (4, 4),
    ]
    assert [p.colour.words if p.colour else "" for p in out.points] == ["", ""] + ["blue"] * 5
    assert "white calcium hydroxide" in out.points[1].solids_words
    assert any("hardly moves" in words for words in out.points[5].sees)
    assert out.indicator.key == "bromothymol_blue"


def test_how_many_more_portions_it_stands_is_true():
    stands = foresee(LIME).stands
    assert stands.solid == "calcium hydroxide"
    last = Step(4, "Add the acid.", solution("nitric acid", "HNO3", 1, 6), 4 + stands.portions)
    assert foresee((*LIME[:3], last)).points[-1].state.solid("Ca(OH)2") > 1e-6
    more = Step(4, "Add the acid.", solution("nitric acid", "HNO3", 1, 6), 5 + stands.portions)
    final = foresee((*LIME[:3], more))
    assert final.points[-1].state.solid("Ca(OH)2") == 0
    assert any("beaker clears" in words for words in final.points[-1].sees)


def test_the_indicator_turns_once_the_solid_is_gone():
    steps = (*LIME[:3], Step(4, "Add the acid.", solution("nitric acid", "HNO3", 1, 6), 9))
    out = foresee(steps)
    assert out.points[-1].colour.words == "yellow"
    assert any("from blue to yellow" in words for p in out.points for words in p.sees)
    assert out.points[-1].state.ph < 2
    assert out.stands is None


def test_a_metal_goes_by_its_equation():
    steps = (
        Step(1, "", solution("hydrochloric acid", "HCl", 1, 50)),
        Step(2, "", solid("magnesium", "Mg", 0.2431)),
    )
    out = foresee(steps, ("Mg(s) + 2 HCl(aq) -> MgCl2(aq) + H2(g)",))
    assert out.reactions[0].outcome.limiting == ("Mg",)
    assert out.gas[0].mol == pytest.approx(0.01, rel=1e-3)
    assert any("hydrogen" in words for words in out.points[-1].sees)
    magnesium = [d.mol for d in out.residue.components if d.formula == "Mg+2"]
    assert magnesium == [pytest.approx(0.01, rel=1e-3)]
    assert out.points[-1].state.solids == ()
    assert out.reactions[0].rise_c == pytest.approx(22, abs=2)
    assert out.transfers == ()


def test_without_its_equation_a_metal_stays_and_this_is_said():
    steps = (
        Step(1, "", solution("hydrochloric acid", "HCl", 1, 50)),
        Step(2, "", solid("magnesium", "Mg", 0.2)),
    )
    out = foresee(steps)
    assert [s.formula for s in out.points[-1].state.solids] == ["Mg"]
    assert any("magnesium may react by electron transfer" in one.words for one in out.transfers)


def test_electron_transfer_in_ions():
    steps = (
        Step(1, "", solution("permanganate", "KMnO4", 0.002, 50)),
        Step(2, "", solution("sulfuric acid", "H2SO4", 1, 20)),
        Step(3, "", solution("oxalic acid", "C2H2O4", 0.05, 10, "oxalic acid", "144-62-7")),
    )
    out = foresee(steps, ("2 MnO4- + 16 H+ + 5 C2O4^2- -> 2 Mn2+ + 10 CO2(g) + 8 H2O",))
    assert any("purple of the permanganate ion fades" in words for words in out.points[-1].sees)
    left = {d.formula: d.mol for d in out.residue.components}
    assert "MnO4-" not in left
    assert left["Mn+2"] == pytest.approx(1e-4, rel=1e-3)
    assert left["C2O4-2"] == pytest.approx(5e-4 - 2.5e-4, rel=1e-2)


def test_displacement():
    steps = (
        Step(1, "", solution("copper(II) sulfate", "CuSO4", 0.1, 100)),
        Step(2, "", solid("zinc", "Zn", 2.0)),
    )
    out = foresee(steps, ("Zn(s) + Cu2+(aq) -> Zn2+(aq) + Cu(s)",))
    solids = {s.formula: s.mol for s in out.residue.undissolved}
    assert solids["Cu"] == pytest.approx(0.01, rel=1e-3)
    assert solids["Zn"] == pytest.approx(2.0 / 65.38 - 0.01, rel=1e-2)
    assert out.reactions[0].outcome.limiting == ("Cu2+",)


def test_a_precipitate_is_told_with_its_colour():
    steps = (
        Step(1, "", solution("lead(II) nitrate", "Pb(NO3)2", 0.1, 50)),
        Step(2, "", solution("potassium iodide", "KI", 0.1, 20)),
    )
    sees = " ".join(foresee(steps).points[-1].sees)
    assert "golden yellow solid forms: lead(II) iodide" in sees


def test_an_equation_is_balanced_on_the_way_and_this_is_said():
    report = foresee(LIME, ("Ca(OH)2(s) + HNO3(aq) -> Ca(NO3)2(aq) + H2O(l)",)).reactions[0]
    assert not report.was_balanced
    assert "balanced here" in report.problem
    assert [int(t.coefficient) for t in report.equation.reactants] == [1, 2]
    assert report.outcome.limiting == ("HNO3",)


def test_a_bad_equation_does_not_stop_the_rest():
    out = foresee(LIME, ("Ca(OH)2 -> gold", "H2 + O2 -> H2O + H2O2"))
    assert out.reactions[0].equation is None
    assert "not a formula" in out.reactions[0].problem
    assert "more than one way" in out.reactions[1].problem
    assert out.residue.ph is not None


def test_what_cannot_be_followed_ends_the_ph_with_a_reason():
    strange = Portion(
        "aqua mystica", "volume", 1000, (Part("xenon difluoride", "XeF2", "", Decimal(1), "mol/L"),)
    )
    out = foresee((LIME[0], Step(2, "", strange), Step(3, "", solution("acid", "HCl", 1, 1))))
    assert out.points[0].state.ph is not None
    assert out.points[1].state.ph is None
    assert "xenon difluoride" in out.points[2].state.why_no_ph
    assert out.residue.ph is None
    assert out.residue.unknown


def test_a_missing_density_ends_the_ph_with_a_reason():
    neat = Portion(
        "glacial acetic acid", "volume", 1000, (Part("acetic acid", "CH3COOH", "", None, "pure"),), ""
    )
    out = foresee((LIME[0], Step(2, "", neat)))
    assert "density" in out.points[-1].state.why_no_ph


def test_a_step_without_an_addition_is_passed_over():
    out = foresee((Step(1, "Put on goggles."), LIME[0], Step(3, "Stir.")))
    assert len(out.points) == 1
    assert out.points[0].label == "water"


def test_nothing_poured():
    out = foresee((Step(1, "Look."),), ("2 H2(g) + O2(g) -> 2 H2O(l)",))
    assert out.points == ()
    assert out.residue is None
    assert out.reactions[0].outcome.extent == 0


def test_impossible_demonstrations_are_refused():
    with pytest.raises(OutcomeError, match="at most"):
        foresee((Step(1, "", WATER, 500),))
    with pytest.raises(OutcomeError, match="at least one portion"):
        foresee((Step(1, "", WATER, 0),))
    flood = (
        Step(1, "", solution("acid", "HCl", 6, 5000)),
        Step(2, "", solid("sodium hydrogencarbonate", "NaHCO3", 2000)),
    )
    with pytest.raises(OutcomeError, match="step 2: .*smaller amounts"):
        foresee(flood)


def test_a_strong_acid_being_used_up_is_not_called_a_buffer():
    acid, base = solution("acid", "HCl", 0.01, 100), solution("base", "NaOH", 0.01, 10)
    out = foresee((Step(1, "", acid), Step(2, "", base, portions=5)))
    assert not any("buffer" in words for point in out.points for words in point.sees)
    weak, its_base = solution("weak", "CH3COOH", 0.1, 100), solution("base", "NaOH", 0.1, 10)
    out = foresee((Step(1, "", weak), Step(2, "", its_base, portions=6)))
    assert any("it is a buffer" in words for words in out.points[5].sees)


def test_a_hydroxide_that_forms_is_what_holds_the_ph():
    copper, base = solution("copper(II) sulfate", "CuSO4", 0.1, 50), solution("base", "NaOH", 0.1, 10)
    out = foresee((Step(1, "", copper), Step(2, "", base, portions=3)))
    assert any("the solid that forms takes up the alkali" in words for words in out.points[3].sees)


def test_iodine_that_dissolves_is_not_what_holds_the_ph():
    """Iodine takes up no acid: ascorbic acid makes iodide of it, and the pH stays for another reason."""
    steps = (
        Step(1, "", solution("potassium iodide", "KI", 0.005, 100)),
        Step(2, "", solution("hydrochloric acid", "HCl", 0.5, 50)),
        Step(3, "", solution("hydrogen peroxide", "H2O2", 0.1, 10)),
        Step(4, "", solid("ascorbic acid", "HC6H7O6", 0.5)),
    )
    equations = ("H2O2 + 2 I- + 2 H+ -> I2 + 2 H2O", "I2 + HC6H7O6 -> 2 I- + 2 H+ + C6H6O6")
    points = foresee(steps, equations).points
    assert "iodine" in points[2].solids_words and "iodine" not in points[3].solids_words
    assert not any("the solid dissolves and makes up for it" in words for words in points[3].sees)


def test_complexes_have_their_own_colour():
    copper, base = solution("copper(II) sulfate", "CuSO4", 0.1, 20), solution("ammonia", "NH3", 2, 20)
    seen = " ".join(foresee((Step(1, "", copper), Step(2, "", base))).points[-1].sees)
    assert "deep blue: tetraamminecopper(II) ion" in seen
    iron, rhodanide = (
        solution("iron(III) nitrate", "Fe(NO3)3", 0.01, 20),
        solution("thiocyanate", "KSCN", 0.01, 20),
    )
    seen = " ".join(foresee((Step(1, "", iron), Step(2, "", rhodanide))).points[-1].sees)
    assert "blood red: iron(III) thiocyanate" in seen


def test_equations_run_again_while_one_makes_what_another_takes():
    """Peroxide makes iodine that thiosulfate takes, as long as there is thiosulfate: 1 mmol and 2 mmol."""
    steps = (
        Step(1, "", solution("potassium iodide", "KI", 0.001, 100)),
        Step(2, "", solution("hydrochloric acid", "HCl", 0.1, 100)),
        Step(3, "", solution("sodium thiosulfate", "Na2S2O3", 0.02, 100)),
        Step(4, "", solution("hydrogen peroxide", "H2O2", 0.01, 100)),
    )
    out = foresee(
        steps,
        ("H2O2 + 2 I- + 2 H+ -> I2 + 2 H2O", "I2 + 2 Na2S2O3 -> 2 NaI + Na2S4O6"),
    )
    left = {part.formula: part.mol for part in out.residue.components}
    assert left.get("I2", 0) < 1e-5
    assert left.get("S2O3-2", 0) < 1e-4
    assert left["I-"] == pytest.approx(1e-4, rel=0.2)


def test_ions_whose_equation_is_written_need_no_warning():
    iodide, acid = solution("potassium iodide", "KI", 0.1, 20), solution("acid", "HCl", 0.001, 20)
    iodate = solution("potassium iodate", "KIO3", 0.1, 20)
    steps = (Step(1, "", iodide), Step(2, "", acid), Step(3, "", iodate))
    assert any("may react by electron transfer" in one.words for one in foresee(steps).transfers)
    told = foresee(steps, ("IO3- + 5 I- + 6 H+ -> 3 I2 + 3 H2O",))
    assert told.transfers == ()


def test_hydrogencarbonate_poured_into_acid_is_not_called_an_acid():
    acid = solution("acid", "HCl", 0.1, 5)
    soda = solution("soda", "NaHCO3", 0.5, 0.5)
    out = foresee((Step(1, "", WATER), Step(2, "", acid), Step(3, "", soda, portions=6)))
    words = " ".join(sentence for point in out.points[2:] for sentence in point.sees)
    assert "takes up the alkali" in words
    assert "takes up the acid" not in words


def test_a_step_that_adds_nothing_warms_what_is_there():
    salt = solid("potassium nitrate", "KNO3", 130)
    out = foresee((Step(1, "", WATER), Step(2, "", salt), Step(3, "", temperature_c=65.0)))
    assert out.points[1].state.solid("KNO3") > 0.3
    assert "beaker clears" in " ".join(out.points[2].sees)
    assert out.residue.temperature_c == 20, "what is left stands until it is as warm as the room"
    assert out.residue.undissolved
    with pytest.raises(OutcomeError, match="step 2: the beaker: 150 °C is outside"):
        foresee((Step(1, "", WATER), Step(2, "", temperature_c=150.0)))


def test_ice_is_said_to_be_there_and_to_have_gone():
    ice = Step(2, "", Portion("water", "volume", 200_000, WATER.parts, ""), temperature_c=0.0)
    warm = Step(3, "", WATER, portions=2, temperature_c=60.0)
    out = foresee((Step(1, "", WATER), ice, warm))
    assert "Ice is left in it" in " ".join(out.points[1].sees)
    assert out.points[1].label == "water as ice at 0 °C"
    assert "The last of the ice melts." in [words for point in out.points[2:] for words in point.sees]


def test_a_metal_counted_in_pieces_does_not_take_the_ph_away():
    strip = Portion("zinc strip", "count", 1, (Part("zinc", "Zn", "", None, "pure"),), "")
    out = foresee((Step(1, "", solution("acid", "HCl", 0.1, 50)), Step(2, "", strip)))
    assert out.points[1].state.ph == pytest.approx(1.1, abs=0.1)
    assert any("mass of one piece is needed" in note for note in out.notes)


PEROXIDE = solution("hydrogen peroxide", "H2O2", 1.8, 100)
FALLS_APART = ("2 H2O2(aq) -> 2 H2O(l) + O2(g)",)


def test_a_written_equation_warms_the_beaker_and_its_froth_is_warned_of():
    """0.18 mol of peroxide gives 94.66 kJ/mol, by the enthalpies of formation, to about 100 g of water."""
    steps = (Step(1, "", PEROXIDE), Step(2, "", solid("manganese dioxide", "MnO2", 1)))
    steps = (steps[1], steps[0])
    out = foresee(steps, FALLS_APART)
    assert out.points[-1].state.temperature_c == pytest.approx(20 + 0.18 * 94.66 / 0.4, abs=2.5)
    assert any("It warms to about" in words for words in out.points[-1].sees)
    assert any("frothing over" in note and "2.2 L" in note for note in out.notes)
    assert out.gas[0].volume_ml == pytest.approx(2166, rel=0.01)


def test_more_heat_than_the_water_takes_is_warned_of():
    strong = solution("hydrogen peroxide", "H2O2", 8, 100)
    out = foresee((Step(1, "", strong),), FALLS_APART)
    assert out.points[-1].state.temperature_c == 100
    assert any("boiling over" in note for note in out.notes)


def test_dissolving_and_crystallising_leave_the_temperature_to_what_is_poured():
    """How much of a salt dissolves is for the equilibrium to say, so its written heat is not all put in."""
    steps = (Step(1, "", WATER), Step(2, "", solid("potassium nitrate", "KNO3", 200)))
    out = foresee(steps, ("KNO3(s) -> K+(aq) + NO3-(aq)",))
    assert out.points[-1].state.temperature_c == pytest.approx(20, abs=0.5)
    left_out = "The temperatures of the beaker leave this heat out."
    assert left_out in outcome_report.reaction(out.reactions[0]).notes
    fizzes = foresee((Step(1, "", solution("hydrogen peroxide", "H2O2", 1, 100)),), FALLS_APART)
    assert left_out not in outcome_report.reaction(fizzes.reactions[0]).notes


def test_portions_warm_bit_by_bit_and_all_together_as_much_as_at_once():
    acid, lye = solution("acid", "HCl", 1, 50), solution("lye", "NaOH", 1, 50)
    written = ("HCl(aq) + NaOH(aq) -> NaCl(aq) + H2O(l)",)
    once = foresee((Step(1, "", acid), Step(2, "", lye)), written)
    fifth = solution("lye", "NaOH", 1, 10)
    parts = foresee((Step(1, "", acid), Step(2, "", fifth, 5)), written)
    warm = [point.state.temperature_c for point in parts.points]
    assert warm == sorted(warm)
    assert warm[-1] == pytest.approx(once.points[-1].state.temperature_c, abs=0.1)
    # 55.8 kJ/mol, CRC Handbook (from memory), on 100 g of water: a well-known classroom figure of 6 to 7 °C
    assert warm[-1] == pytest.approx(26.6, abs=0.3)


def test_a_poisonous_gas_is_named_though_its_equation_is_written():
    steps = (
        Step(1, "", solution("bleach", "NaClO", 0.5, 50)),
        Step(2, "", solution("acid", "HCl", 2, 50)),
    )
    out = foresee(steps, ("ClO-(aq) + Cl-(aq) + 2 H+(aq) -> Cl2(g) + H2O(l)",))
    assert any("chlorine, a poisonous gas" in note for note in out.notes)


def test_what_nobody_has_told_the_app_is_said():
    bismuth = solution("bismuth nitrate", "Bi(NO3)3", 0.1, 50)
    sulfite = solution("sodium sulfite", "Na2SO3", 0.1, 50)
    notes = foresee((Step(1, "", bismuth), Step(2, "", sulfite))).notes
    assert "nobody has told the app whether bismuth(III) sulfite dissolves" in notes
