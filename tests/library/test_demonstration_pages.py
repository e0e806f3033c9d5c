"""The library, one demonstration, and writing one on one screen."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from demos.consumption.takes import chosen_of
from demos.models import (
    Alternative,
    Booking,
    Demonstration,
    Equipment,
    Ingredient,
    Reaction,
    Run,
    RunLine,
    Step,
    Topic,
)
from stockroom.hazards.models import ReagentHazard
from stockroom.inventory.models import Reagent, Reservation

pytestmark = pytest.mark.django_db
ML = 1000
LIBRARY = "demos:demonstration-list"


@pytest.fixture
def acid(make_reagent):
    return make_reagent("Hydrochloric acid 1 mol/L", "volume", formula="HCl", value=1, unit="mol/L")


@pytest.fixture
def nitric(make_reagent):
    return make_reagent("Nitric acid 1 mol/L", "volume")


@pytest.fixture
def curds(make_reagent):
    return make_reagent("Copper(II) hydroxide", "mass", formula="Cu(OH)2", groups=["base_dilute"])


@pytest.fixture
def show(make_demonstration, acid):
    return make_demonstration(ingredients=[(acid, 100 * ML, 40 * ML, 0)])


@pytest.fixture
def screen(acid, nitric):
    """What the screen sends for a small demonstration, with changes; a value of None leaves a field out."""

    def make(**changes):
        topic = Topic.objects.get_or_create(name="Acids and bases")[0]
        rows = {
            "ingredients": [{"reagent": acid.name, "first": "100 mL", "repeat": "0.04 L", "group": ""}],
            "alternatives": [
                {"usual": acid.name, "reagent": nitric.name, "amount": "12 mL", "per_amount": "10 mL"}
            ],
            "equipment": [{"name": "Beaker 250 mL", "quantity": "2"}],
            "steps": [
                {"number": "2", "text": "Watch.", "portions": "1"},
                {
                    "number": "1",
                    "text": "Pour.",
                    "adds": acid.name,
                    "adds_amount": "10 mL",
                    "portions": "5",
                },
            ],
            "reactions": [{"equation": "H+(aq) + OH-(aq) -> H2O(l)", "note": ""}],
        }
        rows |= {key: changes.pop(key) for key in list(changes) if key in rows}
        data = {
            "title": "Milky way",
            "summary": "Turns clear.",
            "topics": [topic.pk],
            "new_topics": "",
            "audience": "upper",
            "minutes": "10",
            "prep_minutes": "15",
            "spill_percent": "0",
            "explanation": "",
            "protection": "Goggles.",
            "ventilation": "room",
            "ventilation_note": "",
            "ignition_note": "",
            "distance_m": "2",
            "safety_note": "",
            "clean_up": "Collect.",
            "source_note": "",
            **changes,
        }
        for prefix, several in rows.items():
            data |= {f"{prefix}-TOTAL_FORMS": len(several) + 1, f"{prefix}-INITIAL_FORMS": 0}
            data |= {f"{prefix}-{len(several)}-{'quantity' if prefix == 'equipment' else 'portions'}": "1"}
            for number, row in enumerate(several):
                data |= {f"{prefix}-{number}-{name}": value for name, value in row.items()}
        return data

    return make


ADD = "demos:demonstration-add"


def test_a_step_says_how_warm_it_is(client, teacher, screen, acid):
    client.force_login(teacher)
    steps = [
        {
            "number": "1",
            "text": "Pour.",
            "adds": acid.name,
            "adds_amount": "10 mL",
            "portions": "2",
            "temperature_c": "-5",
        },
        {"number": "2", "text": "Into the bath.", "portions": "1", "temperature_c": "65.5"},
    ]
    assert client.post(reverse(ADD), screen(steps=steps)).status_code == 302
    page = client.get(Demonstration.objects.get().get_absolute_url()).content.decode()
    assert "Adds 10 mL of Hydrochloric acid 1 mol/L at −5 °C, 2 times." in page
    assert "Brings the beaker to 65.5 °C." in page


@pytest.mark.parametrize("celsius", ["-21", "101", "hot", "1e9", "20.55"])
def test_a_temperature_that_cannot_be_is_refused_beside_its_field(client, teacher, screen, celsius):
    client.force_login(teacher)
    steps = [{"number": "1", "text": "Wait.", "portions": "1", "temperature_c": celsius}]
    answer = client.post(reverse(ADD), screen(steps=steps))
    assert answer.status_code == 200
    assert "id_steps-0-temperature_c_error" in answer.content.decode()
    assert not Demonstration.objects.exists()


def test_who_may_open_what(client, head, teacher, technician, show):
    pages = {
        reverse(LIBRARY): (200, 200, 200),
        show.get_absolute_url(): (200, 200, 200),
        reverse(ADD): (403, 200, 200),
        reverse("demos:demonstration-edit", args=[show.pk]): (403, 200, 200),
        reverse("demos:demonstration-retire", args=[show.pk]): (403, 405, 405),
    }
    for place, person in enumerate((head, teacher, technician)):
        client.force_login(person)
        for url, codes in pages.items():
            got = client.get(url).status_code
            assert got == codes[place] or (url.endswith("retire/") and got in (403, 405)), f"{person} {url}"
    client.force_login(head)
    assert client.post(reverse("demos:demonstration-retire", args=[show.pk])).status_code == 403
    assert client.post(reverse(ADD), {}).status_code == 403


def test_unknown_ids(client, teacher):
    client.force_login(teacher)
    for name in ("detail", "edit"):
        assert client.get(reverse(f"demos:demonstration-{name}", args=[424242])).status_code == 404
    assert client.post(reverse("demos:demonstration-retire", args=[424242])).status_code == 404


# --- the library


def test_the_library_says_whether_each_can_be_shown(
    client, teacher, show, acid, make_demonstration, make_container
):
    make_demonstration("Bare hands")
    client.force_login(teacher)
    page = client.get(reverse(LIBRARY)).content.decode()
    assert "Cannot be ready" in page
    assert 'state-good">Ready' in page
    assert "Bare hands" in client.get(reverse(LIBRARY), {"can": "ready"}).content.decode()
    assert "Cloudy to clear" not in client.get(reverse(LIBRARY), {"can": "ready"}).content.decode()
    make_container(acid, 200 * ML)
    assert "Cloudy to clear" in client.get(reverse(LIBRARY), {"can": "ready"}).content.decode()


def test_the_library_asks_about_another_day(client, teacher, show, acid, make_container, make_booking, today):
    make_container(acid, 150 * ML, expires_on=today + datetime.timedelta(6))
    client.force_login(teacher)

    def shown(days):
        on = (today + datetime.timedelta(days)).isoformat()
        return "Cloudy to clear" in client.get(reverse(LIBRARY), {"can": "ready", "on": on}).content.decode()

    assert shown(0) and shown(6)
    assert not shown(7)
    make_booking(show, days=2)
    assert shown(1)
    assert not shown(3)


def test_the_library_is_narrowed(client, teacher, show, make_demonstration):
    long = make_demonstration("Slow crystals", audience="public")
    Demonstration.objects.filter(pk=long.pk).update(minutes=50)
    long.topics.set([Topic.objects.create(name="Solubility")])
    client.force_login(teacher)

    def found(**query):
        page = client.get(reverse(LIBRARY), query).content.decode()
        return {title for title in ("Cloudy to clear", "Slow crystals") if title in page}

    assert found(q="hydrochloric") == {"Cloudy to clear"}
    assert found(q="solubility") == {"Slow crystals"}
    assert found(topic=Topic.objects.get(name="Solubility").pk) == {"Slow crystals"}
    assert found(audience="public") == {"Slow crystals"}
    assert found(minutes="20") == {"Cloudy to clear"}
    assert found(q="nothing of the kind") == set()
    assert "Nothing matches" in client.get(reverse(LIBRARY), {"q": "zzz"}).content.decode()


@pytest.mark.parametrize(
    "query",
    [
        {"topic": "99999"},
        {"topic": "x"},
        {"minutes": "-1"},
        {"on": "2020-01-01"},
        {"on": "9999-12-31"},
        {"on": "<script>alert(1)</script>"},
        {"page": "999"},
        {"page": "x"},
        {"q": "<script>alert(1)</script>" * 20},
        {"can": "x", "shown": "y", "audience": "z"},
    ],
)
def test_the_library_stands_hostile_queries(client, teacher, show, query):
    client.force_login(teacher)
    answer = client.get(reverse(LIBRARY), query)
    assert answer.status_code == 200
    assert "<script>alert(1)" not in answer.content.decode()
    assert client.get(show.get_absolute_url(), query).status_code == 200


def test_an_empty_library_says_what_to_do(client, teacher, head):
    client.force_login(teacher)
    assert "Write the first" in client.get(reverse(LIBRARY)).content.decode()
    client.force_login(head)
    page = client.get(reverse(LIBRARY)).content.decode()
    assert "No demonstrations yet" in page
    assert "Write the first" not in page


def test_a_cure_is_named(client, teacher, show, nitric, make_container):
    Alternative.objects.create(
        ingredient=show.ingredients.get(), reagent=nitric, amount=12 * ML, per_amount=10 * ML
    )
    make_container(nitric, 1000 * ML)
    client.force_login(teacher)
    page = client.get(reverse(LIBRARY)).content.decode()
    assert "Sooner with Nitric acid 1 mol/L instead of Hydrochloric acid 1 mol/L" in page


def test_queries_do_not_grow(client, teacher, acid, nitric, make_demonstration, make_booking, make_container):
    """5 demonstrations and bookings against 30, in the library and on a detail page."""
    make_container(acid, 250 * ML)
    client.force_login(teacher)
    counts = []
    for upto in (5, 30):
        while (number := Demonstration.objects.count()) < upto:
            more = make_demonstration(f"Number {number}", ingredients=[(acid, 100 * ML, 0, 0)])
            Alternative.objects.create(
                ingredient=more.ingredients.get(), reagent=nitric, amount=1, per_amount=1
            )
            make_booking(Demonstration.objects.order_by("pk").first(), days=30 + number)
        row = []
        for url in (reverse(LIBRARY), Demonstration.objects.order_by("pk").first().get_absolute_url()):
            client.get(url)
            with CaptureQueriesContext(connection) as seen:
                client.get(url)
            row.append(len(seen))
        counts.append(row)
    assert counts[0] == counts[1]


# --- one demonstration


def test_the_page_holds_what_a_teacher_needs(client, teacher, show, acid, curds, nitric, make_booking):
    row = show.ingredients.get()
    Alternative.objects.create(ingredient=row, reagent=nitric, amount=12 * ML, per_amount=10 * ML)
    Ingredient.objects.create(demonstration=show, reagent=curds, first_amount=2_000_000)
    Reaction.objects.create(demonstration=show, equation="Cu(OH)2(s) + 2 H+(aq) -> Cu^2+(aq) + 2 H2O(l)")
    Equipment.objects.create(demonstration=show, name="Beaker 250 mL", quantity=2)
    Step.objects.create(demonstration=show, number=1, text="Pour.", adds=row, adds_amount=10 * ML, portions=5)
    ReagentHazard.objects.create(reagent=acid, hazard_class="met_corr_1")
    make_booking(show, days=4, class_name="12A")
    client.force_login(teacher)
    page = client.get(show.get_absolute_url()).content.decode()
    for words in (
        "100 mL",
        "40 mL",
        "or 12 mL Nitric acid 1 mol/L for each 10 mL",
        "Cu(OH)<sub>2</sub>(s)",
        "Cu<sup>2+</sup>(aq)",
        "2 × Beaker 250 mL",
        "Adds 10 mL of Hydrochloric acid 1 mol/L, 5 times",
        "H290",
        "Not verified against SDS",
        "Not classified yet",
        "Goggles, gloves.",
        "12A",
        "Book it",
    ):
        assert words in page, words


def test_meant_reactions_are_kept_apart_from_those_nobody_wants(
    client, teacher, make_demonstration, make_reagent
):
    acid = make_reagent("Acid", "volume", formula="HCl", groups=["acid_strong"])
    base = make_reagent("Base", "volume", formula="NaOH", groups=["base_strong"])
    show = make_demonstration(ingredients=[(acid, 1, 0, 0), (base, 1, 0, 0)])
    client.force_login(teacher)
    page = client.get(show.get_absolute_url()).content.decode()
    assert "Keep these apart" in page
    Reaction.objects.create(demonstration=show, equation="H3O+ + OH- -> 2 H2O")
    page = client.get(show.get_absolute_url()).content.decode()
    assert "Keep these apart" not in page
    assert "Meant to react, and not harmless" in page


def test_what_nothing_is_known_of_is_said_apart(client, teacher, make_demonstration, make_reagent):
    acid = make_reagent("Acid", "volume", formula="HCl", groups=["acid_strong"])
    show = make_demonstration(ingredients=[(acid, 1, 0, 0), (make_reagent("Mystery", "mass"), 1, 0, 0)])
    client.force_login(teacher)
    page = client.get(show.get_absolute_url()).content.decode()
    assert "Too little is written down to say what these do with the others: Mystery." in page
    assert "Keep these apart" not in page


def test_text_of_a_demonstration_is_escaped(client, teacher, show):
    Demonstration.objects.update(explanation="<script>alert(1)</script>", title="<b>bold</b>")
    Reaction.objects.create(demonstration=show, equation="<img src=x> -> H2")
    client.force_login(teacher)
    for url in (show.get_absolute_url(), reverse(LIBRARY)):
        page = client.get(url).content.decode()
        assert "<script>alert(1)" not in page
        assert "<b>bold" not in page
        assert "<img src=x>" not in page


def test_usual_against_planned(client, teacher, technician, show, acid, make_booking, today):
    for days in (-3, -2, -1):
        booking = make_booking(show, days=days)
        run = Run.objects.create(booking=booking, recorded_by=technician)
        RunLine.objects.create(run=run, reagent=acid, planned=100 * ML, used=60 * ML)
    client.force_login(teacher)
    page = client.get(show.get_absolute_url()).content.decode()
    assert "60 %" in page
    assert "300 mL" in page
    assert "usually less than planned" in page


def test_retire_and_bring_back(client, teacher, show):
    client.force_login(teacher)
    url = reverse("demos:demonstration-retire", args=[show.pk])
    client.post(url, follow=True)
    assert "Cloudy to clear" not in client.get(reverse(LIBRARY)).content.decode()
    assert "Cloudy to clear" in client.get(reverse(LIBRARY), {"shown": "retired"}).content.decode()
    assert "Book it" not in client.get(show.get_absolute_url()).content.decode()
    client.post(url)
    show.refresh_from_db()
    assert show.retired_on is None


# --- writing one


def test_writing_one_saves_every_row(client, technician, screen, acid, nitric):
    client.force_login(technician)
    answer = client.post(reverse(ADD), screen(new_topics="Indicators, acids and BASES"))
    show = Demonstration.objects.get()
    assert answer.url == show.get_absolute_url()
    assert show.written_by == technician
    assert [topic.name for topic in show.topics.all()] == ["Acids and bases", "Indicators"]
    row = show.ingredients.get()
    assert (row.reagent, row.first_amount, row.repeat_amount, row.group_amount) == (
        acid,
        100 * ML,
        40 * ML,
        0,
    )
    other = row.alternatives.get()
    assert (other.reagent, other.amount, other.per_amount) == (nitric, 12 * ML, 10 * ML)
    assert [(s.number, s.text, s.adds, s.adds_amount, s.portions) for s in show.steps.all()] == [
        (1, "Pour.", row, 10 * ML, 5),
        (2, "Watch.", None, None, 1),
    ]
    assert str(show.equipment.get()) == "2 × Beaker 250 mL"
    assert show.reactions.get().equation == "H+(aq) + OH-(aq) -> H2O(l)"


def _rows(page_form):
    """What a browser would send back of a shown page, unchanged."""
    data = {}
    for form in [
        page_form.form,
        *(f for rows in page_form.sets.values() for f in [rows.management_form, *rows]),
    ]:
        for field in form:
            value = field.value()
            if isinstance(value, list):
                value = [getattr(one, "pk", one) for one in value]
            if value is True:
                value = "on"
            if value is not None and value is not False:
                data[field.html_name] = value
    return data


def test_saving_what_is_shown_changes_nothing(client, teacher, screen):
    client.force_login(teacher)
    client.post(reverse(ADD), screen())
    show = Demonstration.objects.get()
    url = reverse("demos:demonstration-edit", args=[show.pk])

    def everything():
        return [
            list(rows.values_list(*fields))
            for rows, fields in (
                (show.ingredients, ("pk", "first_amount", "repeat_amount", "group_amount", "returns")),
                (Alternative.objects, ("ingredient", "reagent", "amount", "per_amount")),
                (show.steps, ("number", "text", "adds", "adds_amount", "portions")),
                (show.equipment, ("name", "quantity")),
                (show.reactions, ("equation", "note")),
            )
        ]

    before = everything()
    sent = _rows(client.get(url).context["screen"])
    answer = client.post(url, sent)
    assert answer.status_code == 302
    assert everything() == before


@pytest.mark.parametrize(
    ("changes", "where", "name", "words"),
    [
        ({"title": ""}, None, "title", "required"),
        ({"title": "x" * 121}, None, "title", "at most 120"),
        ({"minutes": "-5"}, None, "minutes", "greater than or equal to"),
        ({"minutes": "1e99"}, None, "minutes", "whole number"),
        ({"minutes": "99999"}, None, "minutes", "less than or equal to 600"),
        ({"spill_percent": "101"}, None, "spill_percent", "100"),
        ({"distance_m": "nan"}, None, "distance_m", "number"),
        ({"distance_m": "-1"}, None, "distance_m", "greater than or equal to 0"),
        ({"topics": []}, None, "topics", "Choose a topic"),
        ({"topics": ["99999"]}, None, "topics", "not one of the available choices"),
        ({"new_topics": "x" * 80}, None, "new_topics", "60 characters"),
        ({"protection": ""}, None, "protection", "required"),
        ({"clean_up": "x" * 5001}, None, "clean_up", "5000"),
        ({"audience": "cats"}, None, "audience", "valid choice"),
        (
            {"ingredients": [{"reagent": "Unobtainium", "first": "1 g"}]},
            "ingredients",
            "reagent",
            "There is no reagent",
        ),
        ({"ingredients": [{"reagent": "", "first": "1 g"}]}, "ingredients", "reagent", "required"),
        ({"ingredients": [{"reagent": "ACID", "first": "5"}]}, "ingredients", "first", "unit"),
        ({"ingredients": [{"reagent": "ACID", "first": "-5 mL"}]}, "ingredients", "first", "negative"),
        ({"ingredients": [{"reagent": "ACID", "first": "5 g"}]}, "ingredients", "first", "density"),
        (
            {"ingredients": [{"reagent": "ACID", "first": "5 furlongs"}]},
            "ingredients",
            "first",
            "Unknown unit",
        ),
        (
            {"ingredients": [{"reagent": "ACID", "first": "1e30 L"}]},
            "ingredients",
            "first",
            "more than can be kept",
        ),
        ({"ingredients": [{"reagent": "ACID"}]}, "ingredients", "first", "Enter how much"),
        (
            {"equipment": [{"name": "Beaker", "quantity": "0"}]},
            "equipment",
            "quantity",
            "greater than or equal to 1",
        ),
        ({"steps": [{"text": "Pour.", "portions": "51"}]}, "steps", "portions", "less than or equal to 50"),
        ({"steps": [{"text": "", "number": "1", "portions": "1"}]}, "steps", "text", "required"),
        (
            {"steps": [{"text": "Pour.", "portions": "1", "adds_amount": "5 mL"}]},
            "steps",
            "adds",
            "which ingredient",
        ),
        (
            {"steps": [{"text": "Pour.", "portions": "1", "adds": "NITRIC"}]},
            "steps",
            "adds",
            "not among the ingredients",
        ),
        (
            {"reactions": [{"equation": "H2 + O2 -> H2O"}]},
            "reactions",
            "equation",
            "Balanced it reads 2 H₂ + O₂ → 2 H₂O",
        ),
        ({"reactions": [{"equation": "=HYPERLINK()"}]}, "reactions", "equation", ""),
        ({"reactions": [{"equation": "Xx -> Yy"}]}, "reactions", "equation", ""),
        (
            {
                "alternatives": [
                    {"usual": "NITRIC", "reagent": "ACID", "amount": "1 mL", "per_amount": "1 mL"}
                ]
            },
            "alternatives",
            "usual",
            "not among the ingredients",
        ),
        (
            {"alternatives": [{"usual": "ACID", "reagent": "ACID", "amount": "1 mL", "per_amount": "1 mL"}]},
            "alternatives",
            "reagent",
            "the usual one",
        ),
        (
            {
                "alternatives": [
                    {"usual": "ACID", "reagent": "NITRIC", "amount": "0 mL", "per_amount": "1 mL"}
                ]
            },
            "alternatives",
            "amount",
            "greater than zero",
        ),
    ],
)
def test_bad_input_stands_beside_its_field(
    client, teacher, screen, show, acid, nitric, make_booking, changes, where, name, words
):
    names = {"ACID": acid.name, "NITRIC": nitric.name}
    if where:
        changes = {where: [{key: names.get(v, v) for key, v in row.items()} for row in changes[where]]}
    make_booking(show)
    before = (Ingredient.objects.count(), list(Reservation.objects.values_list("amount", flat=True)))
    client.force_login(teacher)
    for url in (reverse(ADD), reverse("demos:demonstration-edit", args=[show.pk])):
        answer = client.post(url, screen(**changes))
        assert answer.status_code == 200, "it was saved"
        page = answer.context["screen"]
        errors = page.sets[where].forms[0].errors if where else page.form.errors
        assert words in " ".join(errors[name])
        assert "Nothing is saved yet" in answer.content.decode()
    assert Demonstration.objects.count() == 1
    assert (Ingredient.objects.count(), list(Reservation.objects.values_list("amount", flat=True))) == before


def test_the_same_ingredient_twice(client, teacher, screen, acid):
    client.force_login(teacher)
    twice = [{"reagent": acid.name, "first": "1 mL"}, {"reagent": acid.name.upper(), "first": "2 mL"}]
    answer = client.post(reverse(ADD), screen(ingredients=twice))
    assert "already" in answer.context["screen"].sets["ingredients"].forms[1].errors["reagent"][0]


def test_a_retired_reagent_is_no_new_ingredient(client, teacher, screen, acid, today):
    Reagent.objects.filter(pk=acid.pk).update(retired_on=today)
    client.force_login(teacher)
    answer = client.post(reverse(ADD), screen())
    assert "is retired" in answer.context["screen"].sets["ingredients"].forms[0].errors["reagent"][0]


@pytest.mark.parametrize(
    "broken",
    [
        {"ingredients-TOTAL_FORMS": "100000000"},
        {"ingredients-TOTAL_FORMS": "-1"},
        {"ingredients-TOTAL_FORMS": "x"},
        {"steps-INITIAL_FORMS": "99999"},
        {"steps-TOTAL_FORMS": ""},
    ],
)
def test_a_tampered_count_of_rows_saves_nothing(client, teacher, screen, broken):
    client.force_login(teacher)
    assert client.post(reverse(ADD), {**screen(), **broken}).status_code == 200
    assert client.post(reverse(ADD), {}).status_code == 200
    assert not Demonstration.objects.exists()


def test_the_same_title_twice(client, teacher, screen, show):
    client.force_login(teacher)
    errors = client.post(reverse(ADD), screen(title="  cloudy   TO clear")).context["screen"].form.errors
    assert "already" in errors["title"][0]


def test_a_change_reserves_again_and_warns(client, teacher, show, screen, acid, make_booking, make_container):
    make_container(acid, 150 * ML)
    future, past = make_booking(show, days=3, class_name="8D"), make_booking(show, days=-3)
    client.force_login(teacher)
    rows = [{"reagent": acid.name, "first": "200 mL"}]
    page = client.post(
        reverse("demos:demonstration-edit", args=[show.pk]),
        screen(ingredients=rows, alternatives=[], title="Cloudy to clear"),
        follow=True,
    ).content.decode()
    amounts = dict(Reservation.objects.values_list("belongs_id", "amount"))
    assert amounts == {future.pk: 200 * ML, past.pk: 100 * ML}
    assert "Its 1 booking to come" in page
    assert "It cannot be ready for 8D" in page


def test_a_removed_row_goes_and_a_kept_one_keeps_its_choices(
    client, teacher, screen, acid, nitric, curds, make_booking
):
    client.force_login(teacher)
    client.post(
        reverse(ADD),
        screen(
            ingredients=[{"reagent": acid.name, "first": "1 mL"}, {"reagent": curds.name, "first": "2 g"}]
        ),
    )
    show = Demonstration.objects.get()
    row = show.ingredients.get(reagent=acid)
    booking = make_booking(show, chosen={row.pk: nitric.pk})
    url = reverse("demos:demonstration-edit", args=[show.pk])
    sent = _rows(client.get(url).context["screen"])
    sent["ingredients-1-DELETE"] = "on"
    assert client.post(url, sent).status_code == 302
    assert [r.reagent for r in show.ingredients.all()] == [acid]
    assert chosen_of(Booking.objects.get(pk=booking.pk)) == {row.pk: nitric.pk}
    assert [r.reagent for r in Reservation.objects.all()] == [nitric]


def test_two_teachers_at_once(client, teacher, technician, screen, acid, nitric):
    client.force_login(teacher)
    client.post(reverse(ADD), screen())
    show = Demonstration.objects.get()
    url = reverse("demos:demonstration-edit", args=[show.pk])
    mark = client.get(url).context["form"]["seen"].value()

    client.force_login(technician)
    other = client.get(url).context["form"]["seen"].value()
    equipment = [{"name": "Tall jar", "quantity": "1"}]
    assert client.post(url, screen(equipment=equipment, seen=other)).status_code == 302

    client.force_login(teacher)
    answer = client.post(url, screen(title="Clear way", seen=mark))
    page = answer.content.decode()
    assert "technician changed it at" in page
    assert "Clear way" in page
    show.refresh_from_db()
    assert (show.title, show.equipment.get().name) == ("Milky way", "Tall jar")

    again = answer.context["form"]["seen"].value()
    client.post(url, screen(title="Clear way", seen=again))
    show.refresh_from_db()
    assert (show.title, show.equipment.get().name) == ("Clear way", "Beaker 250 mL")
