"""What each demonstration of the sample tells a teacher to do agrees with what the app computes for it.

The texts are read as a person would read them; the other side is what the pages themselves ask.
"""

import re
from collections import defaultdict

import pytest

from demos.models import Demonstration
from demos.report import beaker, briefing, cleanup, outcome_report
from demos.sample import library
from demos.simulation.restated_steps import names_of, portion_text
from stockroom.chemistry.quantity import parse_amount
from stockroom.inventory.models import Chemical
from stockroom.safety.gases import gases
from stockroom.safety.sewer import COLLECT
from stockroom.safety.streams import streams
from stockroom.waste import composition, sewer_discharge

pytestmark = pytest.mark.django_db

TITLES = [row["title"] for row in library.demonstrations()]
EACH = pytest.mark.parametrize("title", TITLES)
_QUANTITY = r"(?<![\w.])(\d+(?:\.\d+)?\s(?:ml|l|mg|g|kg))"
_FORBIDS = re.compile(r"\b(?:never|not|nothing|no)\b", re.IGNORECASE)
_REUSED = re.compile(r"\bback into\b|\bput it back\b|\bkept\b", re.IGNORECASE)
#: what cleanup must say of each characteristic, by its code
_CHARACTER = {"D001": r"oxidiz|feeds fire|burns", "D002": r"pH \d", "D003": r"\bgas\b|reacts"}
_NOTED_ML, _NOTED_LITRES, _NOTED_RISE = 50.0, 0.25, 10.0


def read(title: str) -> Demonstration:
    rows = Demonstration.objects.prefetch_related(*beaker.PREFETCH)
    return rows.get(title=title)


def foreseen(row: Demonstration, loaded, chosen=None) -> beaker.Foreseen:
    """As the outcome page of today has it."""
    return beaker.foresee(
        row, chosen=chosen, rules=composition.rules(), permission=sewer_discharge.permission_on(loaded)
    )


def plain(text: str) -> str:
    """One spelling, whoever wrote it."""
    return text.lower().replace("oxidis", "oxidiz").replace("colour", "color")


def streams_named(text: str) -> set[str]:
    return {row.key for row in streams().values() if plain(row.name) in plain(text)}


def cautions(row: Demonstration) -> str:
    parts = (row.safety_note, row.ventilation_note, row.ignition_note, row.protection)
    return "\n".join(parts)


def sentences(text: str) -> list[str]:
    return [part for part in re.split(r"(?<=[.;])\s", text) if part]


@EACH
def test_steps_pour_what_is_set_aside(loaded, title):
    """Named amounts and followed ones together: never more than the first showing has, nor less than 2/5."""
    row = read(title)
    owners = defaultdict(list)
    for ingredient in row.ingredients.all():
        for name in names_of(str(ingredient.reagent)):
            owners[plain(name)].append(ingredient)
    pattern = "|".join(re.escape(name) for name in sorted(owners, key=len, reverse=True))
    poured = defaultdict(int)
    for step in row.steps.all():
        if step.adds_id:
            poured[step.adds_id] += step.adds_amount * step.portions
            said = portion_text(step.adds_amount, step.adds.reagent.measure)
            assert re.search(rf"(?<![\d.]){re.escape(said)}\b", step.text), (step, said)
        for amount, name in re.findall(rf"{_QUANTITY} of (?:the )?({pattern})\b", plain(step.text)):
            (ingredient,) = owners[name]
            if ingredient.pk != step.adds_id:
                times = {"seven": 7}.get(next(iter(re.findall(r"each of (\w+)", step.text)), ""), 1)
                poured[ingredient.pk] += times * parse_amount(amount, ingredient.reagent.measure)
    for ingredient in row.ingredients.all():
        amount = poured[ingredient.pk]
        assert amount <= ingredient.first_amount, (ingredient, amount)
        if ingredient.reagent.measure != "count":
            assert amount >= 0.4 * ingredient.first_amount, (ingredient, amount)


@EACH
def test_every_ingredient_is_spoken_of(loaded, title):
    row = read(title)
    told = plain(" ".join(step.text for step in row.steps.all()))
    for ingredient in row.ingredients.all():
        words = re.findall(r"[a-z]{4,}", plain(str(ingredient.reagent)))
        assert any(word.rstrip("s") in told for word in words), ingredient


@EACH
def test_cleanup_goes_where_the_app_sends_it(loaded, title):
    row = read(title)
    disposal = foreseen(row, loaded).disposal
    named = streams_named(row.clean_up)
    assert row.cleanup_route in ("collect", "reuse"), "the school's code, which no drain is opened by"
    assert not cleanup.disagreements(row, composition.rules())
    assert row.cleanup_stream in named or (row.cleanup_route == "reuse" and _REUSED.search(row.clean_up))
    if disposal is None:
        return
    assert disposal.stream.key in named, (disposal.stream.name, row.clean_up)
    if disposal.route.way == COLLECT:
        down = [one for one in sentences(row.clean_up) if re.search(r"\b(?:drain|sink)\b", one)]
        assert all(_FORBIDS.search(one) for one in down), down


@EACH
def test_cleanup_holds_for_every_alternative(loaded, title):
    row = read(title)
    for ingredient in row.ingredients.all():
        for other in ingredient.alternatives.all():
            disposal = foreseen(row, loaded, {ingredient.pk: other.reagent_id}).disposal
            if disposal:
                assert disposal.stream.key in streams_named(row.clean_up), (other, disposal.stream.name)


@EACH
def test_the_ph_that_cleanup_names_is_the_one_computed(loaded, title):
    row = read(title)
    disposal = foreseen(row, loaded).disposal
    named = [float(number) for number in re.findall(r"pH (\d+(?:\.\d+)?)", row.clean_up)]
    if named and disposal:
        assert any(abs(ph - disposal.waste.residue.ph) <= 0.6 for ph in named), disposal.waste.residue.ph


@EACH
def test_cleanup_knows_the_characteristics(loaded, title):
    row = read(title)
    disposal = foreseen(row, loaded).disposal
    for code in disposal.character.codes if disposal else ():
        wanted = _CHARACTER.get(code.code, re.escape(code.code))
        assert re.search(wanted, row.clean_up), (code, row.clean_up)


@EACH
def test_cleanup_needs_nothing_that_is_not_set_out(loaded, title):
    """A substance that cleanup names is an ingredient of it, or is what is left or made."""
    row = read(title)
    found = foreseen(row, loaded)
    there = {"water", "air"}
    for ingredient in row.ingredients.all():
        there |= {part.chemical.name.lower() for part in ingredient.reagent.components.all()}
        there |= set(map(str.lower, names_of(str(ingredient.reagent))))
    if found.outcome and found.outcome.residue:
        left = found.outcome.residue
        there |= {one.name.lower() for one in (*left.components, *left.undissolved, *left.gases)}
    there |= {gas.name for gas in briefing.given_off(row)}
    text = " ".join(one for one in sentences(row.clean_up.lower()) if not _FORBIDS.search(one))
    named = {
        name for name in map(str.lower, Chemical.objects.values_list("name", flat=True)) if len(name) > 3
    }
    for name in named:
        if re.search(rf"\b{re.escape(name)}\b", text):
            assert any(name in one for one in there), name


@EACH
def test_leftover_peroxide_is_never_shut_in(loaded, title):
    row = read(title)
    found = foreseen(row, loaded)
    left = found.outcome.residue.components if found.outcome and found.outcome.residue else ()
    if any(one.formula == "H2O2" and one.mol > 1e-4 for one in left):
        assert "vented" in row.clean_up and "open" in row.clean_up


@EACH
def test_cautions_name_the_gas_and_how_much(loaded, title):
    row = read(title)
    found = foreseen(row, loaded)
    made: dict[str, float] = defaultdict(float)
    if found.outcome:
        for report in found.outcome.reactions:
            for product in report.outcome.products if report.outcome and report.outcome.extent else ():
                made[gases()[product.key].name if product.key in gases() else product.key] += (
                    product.volume_ml or 0
                )
        for gas in found.outcome.residue.gases if found.outcome.residue else ():
            made[gas.name] = gas.volume_ml
    told = cautions(row)
    for name, volume in made.items():
        if volume < _NOTED_ML:
            continue
        assert name in told.lower(), (name, volume)
        said = [float(number) for number in re.findall(rf"(\d+(?:\.\d+)?) L of {name}", told)]
        if volume >= 1000 * _NOTED_LITRES or said:
            assert any(abs(1000 * litres - volume) <= max(0.15 * volume, 50) for litres in said), volume


@EACH
def test_cautions_tell_the_heat(loaded, title):
    row = read(title)
    outcome = foreseen(row, loaded).outcome
    if outcome is None:
        return
    told = cautions(row)
    rises = [report.rise_c for report in outcome.reactions if report.rise_c and report.rise_c > _NOTED_RISE]
    said = [float(number) for number in re.findall(r"(?:by|by about|by up to) (\d+) °C", told)]
    for rise in rises:
        assert any(abs(number - rise) <= 0.15 * rise for number in said), rise
    for point in outcome.points:
        if point.state.temperature_c > 45:
            assert f"{point.state.temperature_c:.0f} °C" in told, point.state.temperature_c


@EACH
def test_the_outcome_page_says_the_same_stream_in_words(loaded, title):
    row = read(title)
    disposal = foreseen(row, loaded).disposal
    if disposal:
        assert disposal.stream.name in dict(outcome_report.disposal_facts(disposal)).popitem()[1]


def test_nothing_is_left_of_what_the_vitamin_is_to_undo(loaded):
    residue = foreseen(read("Iodine undone by a vitamin"), loaded).outcome.residue
    left = {one.formula: one.mol for one in residue.components}
    assert left.get("H2O2", 0) < 1e-6 and left.get("I2", 0) < 1e-6
    assert 6 <= residue.ph <= 9
