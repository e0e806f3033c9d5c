"""The bench calculator: five tools, and from an answer to a make-up."""

import re
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stockroom.catalogue.into_models import add_reagent
from stockroom.catalogue.loader import load
from stockroom.hazards.models import ReagentHazard
from stockroom.inventory.models import Preparation, PreparationPart, Reagent
from stockroom.preparation import bench

pytestmark = pytest.mark.django_db
ML, G = 1000, 1_000_000
TOOLS = ("dilute", "dissolve", "convert", "neutralise", "mix")


@pytest.fixture
def strong(make_reagent):
    fields = {"formula": "HCl", "value": 37, "unit": "% w/w", "density": Decimal("1.18")}
    return make_reagent("Hydrochloric acid 37 %", "volume", hazard_state=Reagent.HazardState.NONE, **fields)


@pytest.fixture
def salt(make_reagent):
    return make_reagent("Sodium chloride", formula="NaCl")


@pytest.fixture
def water(make_reagent):
    return make_reagent("Water", "volume", formula="H2O", density=1, hazard_state=Reagent.HazardState.NONE)


@pytest.fixture
def ask(client, technician):
    client.force_login(technician)

    def get(tool, **query) -> str:
        answer = client.get(reverse("bench", args=[tool]), query)
        assert answer.status_code == 200
        return answer.content.decode()

    return get


def test_it_is_the_technicians_bench(client, head, teacher, technician):
    for person, code in ((head, 403), (teacher, 403), (technician, 200)):
        client.force_login(person)
        assert client.get(reverse("bench")).status_code == code
        assert {client.get(reverse("bench", args=[tool])).status_code for tool in TOOLS} == {code}
    assert client.get(reverse("bench", args=["cook"])).status_code == 404
    assert reverse("bench") in client.get("/").content.decode()


def test_diluting_says_what_to_take_in_which_order(ask, strong):
    page = ask("dilute", reagent=strong.name, strength="1 mol/L", volume="1 L")
    # 37 % of 1.18 g/mL at 36.46 g/mol is 12.0 mol/L: 83.5 mL in a liter
    assert "84 mL" in page or "83.5 mL" in page
    assert "acid into water, never water into acid" in page
    assert "1 L volumetric flask" in page
    assert "May be off by" in page
    assert "fume cupboard" in page
    assert page.index("of purified water into a beaker") < page.index("pour it into the water")


def test_heat_is_warned_of(ask, make_reagent):
    acid = make_reagent(
        "Sulfuric acid 96 %", "volume", formula="H2SO4", value=96, unit="% w/w", density=Decimal("1.835")
    )
    page = ask("dilute", reagent=acid.name, strength="6 mol/L", volume="500 mL")
    assert "Could boil" in page or "Gets hot" in page


def test_dilute_with_a_weaker_one(ask, make_reagent):
    two = make_reagent("Salt water 2 mol/L", "volume", formula="NaCl", value=2, unit="mol/L")
    half = make_reagent("Salt water 0.5 mol/L", "volume", formula="NaCl", value=Decimal("0.5"), unit="mol/L")
    page = ask(
        "dilute", reagent=two.name, strength="1 mol/L", volume="300 mL", weaker=half.name, as_asked="on"
    )
    assert "100 mL" in page, "a third of the stronger one"
    assert "make up to the mark with Salt water 0.5 mol/L" in page


def test_dissolving_a_solid(ask, salt):
    page = ask("dissolve", reagent=salt.name, strength="1 mol/L", volume="0.5 L")
    assert "29.2 g" in page
    assert "500 mL volumetric flask" in page
    assert "500 g/L" not in page


def test_converting_an_amount(ask, strong):
    page = ask("convert", reagent=strong.name, amount="100 mL")
    assert "118 g" in page
    assert "1.197 mol" in page, "118 g x 0.37 / 36.46 g/mol"
    assert "11.97 mol/L" in page


@pytest.mark.parametrize(
    ("name", "measure", "fields", "amount", "says"),
    [
        ("Copper(II) sulfate", "mass", {"formula": "CuSO4·5H2O"}, "0.1 mol", "24.97 g"),  # 249.69 g/mol
        ("Acid", "volume", {"formula": "HCl", "value": 2, "unit": "mol/L"}, "0.05 mol", "25 mL"),
        ("Ethanol", "volume", {"formula": "C2H6O", "density": Decimal("0.789")}, "1 mol", "58.39 mL"),
        ("Water", "volume", {"formula": "H2O", "density": 1}, "1 mol", "18"),
        ("Salt", "mass", {"formula": "NaCl"}, "250 mmol", "14.61 g"),
        ("Magnesium ribbon", "count", {"formula": "Mg", "piece_mass_g": Decimal("0.2431")}, "0.05 mol", "5"),
    ],
)
def test_moles_are_turned_into_what_is_measured_out(ask, make_reagent, name, measure, fields, amount, says):
    """Molar masses from the CRC Handbook."""
    reagent = make_reagent(name, measure, **fields)
    page = ask("convert", reagent=reagent.name, amount=amount)
    assert f"<h2>{says}" in page
    assert "errorlist" not in page


def test_moles_of_a_mixture_without_a_formula_are_refused_with_the_reason(ask, make_reagent):
    mystery = make_reagent("Mystery", "volume")
    assert "composition is not given" in ask("convert", reagent=mystery.name, amount="1 mol")


def test_converting_without_a_density_names_it(ask, make_reagent):
    oil = make_reagent("Oil", "volume", formula="C3H8O", kind="liquid")
    page = ask("convert", reagent=oil.name, amount="10 mL")
    assert "density is needed" in page


def test_neutralising(ask, make_reagent):
    acid = make_reagent(
        "Acid 1 mol/L", "volume", formula="HCl", value=1, unit="mol/L", hazard_state=Reagent.HazardState.NONE
    )
    page = ask("neutralise", reagent=acid.name, amount="100 mL", low="6", high="9")
    assert "sodium hydrogencarbonate" in page
    assert "carbon dioxide" in page
    assert "does not make it fit for the drain" in page


def test_mixing_says_what_comes_and_what_must_not_meet(ask, strong, make_reagent):
    bleach = make_reagent("Bleach", "volume", formula="NaClO", value=5, unit="% w/v", groups=["hypochlorite"])
    Reagent.objects.update(hazard_state=Reagent.HazardState.CLASSIFIED)
    Reagent.objects.filter(pk=strong.pk).update(groups=["acid_strong"])
    page = ask("mix", reagent=strong.name, amount="10 mL", second=bleach.name, second_amount="10 mL")
    assert "chlorine" in page


def test_mixing_acid_and_base(ask, make_reagent):
    acid = make_reagent("Acid", "volume", formula="HCl", value=Decimal("0.1"), unit="mol/L")
    base = make_reagent("Base", "volume", formula="NaOH", value=Decimal("0.1"), unit="mol/L")
    query = {"reagent": "Acid", "amount": "20 mL", "second": "Base", "second_amount": "10 mL"}
    page = ask("mix", **query)
    # 1 mmol of acid left in 30 mL
    assert "1.6" in page
    assert "0.0667 mol/L" in page
    assert acid.name in page
    assert base.name in page


# --- what cannot be


@pytest.mark.parametrize(
    ("tool", "query", "says"),
    [
        ("dilute", {"strength": "20 mol/L"}, "take a stronger stock"),
        ("dilute", {"strength": "10 %"}, "Say which per cent"),
        ("dilute", {"strength": "1"}, "Add a unit"),
        ("dilute", {"strength": "pure"}, "Write a number and a unit"),
        ("dilute", {"strength": "-1 mol/L"}, "nought or more"),
        ("dilute", {"strength": "0 mol/L"}, "above nought"),
        ("dilute", {"strength": "120 % w/w"}, "100 %"),
        ("dilute", {"volume": "5 g"}, "a volume"),
        ("dilute", {"volume": "900 L"}, "several lots"),
        ("dilute", {"volume": "0 mL"}, "greater than zero"),
        ("dilute", {"reagent": "Sodium chloride"}, "use “dissolve”"),
        ("dilute", {"reagent": "<script>x</script>"}, "There is no reagent"),
        ("dilute", {"reagent": ""}, "required"),
        ("dissolve", {}, "use “dilute”"),
        ("dissolve", {"reagent": "Lime", "strength": "90 g/L"}, "will not dissolve"),
        ("convert", {"amount": "a pinch"}, "cannot be set aside"),
        ("neutralise", {"amount": "100 mL", "low": "9", "high": "6"}, "must be above the lower one"),
        (
            "neutralise",
            {"reagent": "Sodium chloride", "amount": "5 g", "low": "6", "high": "9"},
            "not a liquid",
        ),
        ("neutralise", {"amount": "9 mL", "ph": "nan", "low": "6", "high": "9"}, "Enter a number"),
        ("mix", {"amount": "5 mL"}, "required"),
        ("mix", {"amount": "5 mL", "second": "Sodium chloride", "second_amount": "5 mL"}, "needed"),
    ],
)
def test_what_cannot_be_is_said_beside_the_field(ask, strong, salt, make_reagent, tool, query, says):
    make_reagent("Lime", formula="Ca(OH)2")
    usual = {"reagent": strong.name}
    if tool in ("dilute", "dissolve"):
        usual |= {"strength": "1 mol/L", "volume": "1 L"}
    page = ask(tool, **usual | query)
    assert says in page
    assert 'class="errorlist"' in page
    assert "<script>x" not in page
    assert "In this order" not in page


def test_a_reagent_without_a_composition_says_so(ask, make_reagent):
    mystery = make_reagent("Mystery", "volume")
    assert "has no chemical with a formula" in ask(
        "dilute", reagent=mystery.name, strength="1 mol/L", volume="1 L"
    )
    assert "its composition is not given" in ask("convert", reagent=mystery.name, amount="1 L")
    assert "cannot be followed: collect it" in ask(
        "neutralise", reagent=mystery.name, amount="1 L", low="6", high="9"
    )


# --- on to the make-up


@pytest.fixture
def product(strong):
    reagent = Reagent.objects.create(name="Hydrochloric acid 1 mol/L", kind="solution", measure="volume")
    reagent.components.create(chemical=strong.components.get().chemical, value=1, unit="mol/L")
    return reagent


def test_the_label_bears_the_name_of_the_bottle(ask, strong, product):
    page = ask("dilute", reagent=strong.name, strength="1 mol/L", volume="250 mL")
    assert f"label: {product.name}," in page
    page = ask("dilute", reagent=strong.name, strength="2 mol/L", volume="250 mL")
    assert "label: Hydrochloric acid 2 mol/L," in page


def test_a_solution_of_the_salt_is_found_from_its_hydrate(ask, make_reagent):
    crystals = make_reagent("Copper(II) sulfate", formula="CuSO4·5H2O")
    hydrate = crystals.components.get().chemical
    hydrate.name = "copper(II) sulfate pentahydrate"
    hydrate.save()
    made = make_reagent("Copper sulfate solution", "volume", formula="CuSO4", value=1, unit="mol/L")
    salt = made.components.get().chemical
    salt.name = "copper(II) sulfate"
    salt.save()
    Preparation.objects.create(reagent=made, yield_amount=1000 * ML)
    page = ask("dissolve", reagent=crystals.name, strength="1 mol/L", volume="100 mL")
    assert "Make up Copper sulfate solution by its preparation" in page
    assert "label: Copper sulfate solution," in page


def test_mixing_names_in_its_gas_column_what_it_warns_of(ask, make_reagent):
    fields = {"unit": "mol/L", "hazard_state": Reagent.HazardState.NONE}
    bleach = make_reagent("Bleach", "volume", formula="NaClO", value=Decimal("0.7"), **fields)
    acid = make_reagent("Acid", "volume", formula="HCl", value=2, **fields)
    page = ask("mix", reagent=bleach.name, amount="50 mL", second=acid.name, second_amount="50 mL")
    assert "chlorine gas, which is poisonous" in page
    assert re.search(r"up to \d+ mL chlorine", page)
    assert "The amounts below leave out what reacts by electron transfer." in page
    assert "If it goes all the way, up to" in page
    assert " at 20 °C" in page
    sulfide = make_reagent("Sulfide", "volume", formula="Na2S", value=Decimal("0.1"), **fields)
    page = ask("mix", reagent=sulfide.name, amount="50 mL", second=acid.name, second_amount="20 mL")
    assert "hydrogen sulfide, which is poisonous" in page
    assert "hydrogen sulfide may come off" in page or "mL hydrogen sulfide" in page


def test_cyanide_with_acid_is_warned_of_though_it_cannot_be_followed(ask, make_reagent):
    fields = {"unit": "mol/L", "value": 1, "hazard_state": Reagent.HazardState.NONE}
    cyanide = make_reagent("Cyanide", "volume", formula="KCN", **fields)
    acid = make_reagent("Acid", "volume", formula="HCl", **fields)
    page = ask("mix", reagent=cyanide.name, amount="5 mL", second=acid.name, second_amount="5 mL")
    assert "gives off hydrogen cyanide, which kills" in page


def test_an_answer_starts_the_make_up_that_makes_it(ask, client, strong, product, water):
    preparation = Preparation.objects.create(reagent=product, yield_amount=1000 * ML)
    PreparationPart.objects.create(preparation=preparation, reagent=strong, amount=84 * ML)
    page = ask("dilute", reagent=strong.name, strength="1 mol/L", volume="250 mL")
    address = reverse("preparation-make-up", args=[preparation.pk]) + "?amount=250+mL"
    assert address in page
    assert "250 mL" in client.get(address).content.decode()


def test_an_answer_becomes_a_preparation(ask, client, strong, product, water):
    page = ask("dilute", reagent=strong.name, strength="36.46 g/L", volume="1 L")
    start = page.index(reverse("preparation-add"))
    address = page[start : page.index('"', start)].replace("&amp;", "&")
    form = client.get(address)
    assert form.context["form"]["reagent"].value() == product.name
    assert form.context["form"]["yield_amount"].value() == "1 L"
    assert "acid into water" in form.context["form"]["method"].value()
    data = {
        "reagent": product.name,
        "yield_amount": "1 L",
        "lead_days": "0",
        "method": "Mix.",
        "parts-TOTAL_FORMS": "3",
        "parts-INITIAL_FORMS": "0",
        "parts-MIN_NUM_FORMS": "1",
        "parts-MAX_NUM_FORMS": "20",
    }
    for number, row in enumerate(form.context["formset"].forms):
        data |= {f"parts-{number}-{name}": row[name].value() or "" for name in ("reagent", "amount")}
    assert client.post(address, data).status_code == 302
    parts = {part.reagent: part.amount for part in Preparation.objects.get().parts.all()}
    assert set(parts) == {strong, water}
    assert parts[strong] + parts[water] == 1000 * ML


def test_without_such_a_reagent_it_says_to_add_one(ask, strong):
    page = ask("dilute", reagent=strong.name, strength="2 mol/L", volume="1 L")
    assert "There is no reagent" in page
    assert f"{reverse('reagent-add')}?chemical={strong.components.get().chemical.pk}" in page


def test_a_preparation_may_be_started_with_anything_and_saves_nothing(client, technician):
    client.force_login(technician)
    for query in (
        {"reagent": "9" * 40, "makes": "<b>", "method": "x" * 9000, "part": "<i>", "part_amount": "?"},
        {"part": ["a"] * 50, "part_amount": ["1 g"] * 50},
    ):
        page = client.get(reverse("preparation-add"), query)
        assert page.status_code == 200
        assert "<i>" not in page.content.decode()
    assert not Preparation.objects.exists()


def test_more_on_the_shelves_asks_no_more_of_the_database(ask, client, strong, make_reagent):
    query = {"reagent": strong.name, "strength": "1 mol/L", "volume": "1 L"}

    def count() -> int:
        with CaptureQueriesContext(connection) as queries:
            ask("dilute", **query)
        return len(queries)

    def add(number):
        reagent = make_reagent(f"Acid {number}", "volume")
        reagent.components.create(chemical=strong.components.get().chemical, value=number + 2, unit="g/L")
        ReagentHazard.objects.create(reagent=reagent, hazard_class="met_corr_1", source="from memory")

    add(0)
    count()
    few = count()
    for number in range(1, 20):
        add(number)
    assert count() == few


def test_pieces_have_a_mass_and_moles_once_one_is_weighed(client, technician, make_reagent):
    strip = make_reagent("Zinc strip", "count", formula="Zn")
    client.force_login(technician)
    query = {"reagent": strip.name, "amount": "2 pieces"}
    page = client.get(reverse("bench", args=["convert"]), query).content.decode()
    assert "the mass of one piece is needed" in page
    strip.piece_mass_g = "6.538"
    strip.save()
    page = client.get(reverse("bench", args=["convert"]), query).content.decode()
    assert "13.076 g" in page or "13.08 g" in page
    assert "0.2 mol" in page
    assert "% v/v" not in page, "a solid has no per cent by volume"


def test_every_reagent_of_the_catalogue_is_turned_into_moles_and_back(db):
    """All but those without a formula, a density or a composition, which must say so."""
    for row in load().reagents.values():
        add_reagent(row)
    refused = {}
    for reagent in Reagent.objects.prefetch_related(*bench.PREFETCH).select_related("solvent"):
        try:
            amount = bench.amount_of(reagent, Decimal(1))
        except bench.BenchError as error:
            refused[reagent.name] = str(error)
            continue
        told = dict(bench.convert_amount(reagent, amount).facts)
        moles = [float(text.split(" mol")[0]) for text in told.values() if re.match(r"[\d.]+ mol", text)]
        assert any(mol == pytest.approx(1, rel=2e-3) for mol in moles), (reagent, told)
    reasons = ("has no chemical with a formula", "mass of one piece is needed", "density of the pure liquid")
    assert all(any(reason in text for reason in reasons) for text in refused.values()), refused
    assert len(refused) < 0.15 * len(load().reagents)
