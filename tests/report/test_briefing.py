"""What the safety reminder says of one booking: the same before it is saved, on its page and on paper."""

import pytest
from django.urls import reverse

from demos.consumption.takes import chosen_of, takes
from demos.models import Alternative, Booking, Reaction
from demos.report.briefing import ONLY_AS_WRITTEN, brief, given_off
from stockroom.inventory.models import Chemical, Component
from tests.paper.sheet_reading import pages

pytestmark = pytest.mark.django_db
ML = 1_000


@pytest.fixture
def bleach(make_reagent):
    bleach = make_reagent(
        "Bleach",
        "volume",
        groups=["hypochlorite"],
        incompatibles="acids",
        protection="Goggles.",
        first_aid="Rinse for <b>20</b> minutes.",
        spill="Absorb.",
        disposal="Collect.",
    )
    bleach.hazards.create(hazard_class="ox_sol_2", source="from memory")
    return bleach


@pytest.fixture
def water(make_reagent):
    return make_reagent("Water", "volume", groups=["inert", "aqueous"], first_aid="None of its own.")


@pytest.fixture
def acid(make_reagent):
    return make_reagent("Acid", "volume", groups=["acid_strong"], first_aid="Rinse for <b>20</b> minutes.")


def of(booking):
    booking = Booking.objects.get(pk=booking.pk)
    taken = takes(booking, booking.demonstration.ingredients.all(), chosen_of(booking))
    return brief(booking.demonstration, taken, booking.room)


def texts(section):
    return [said.text for said in (*section.whole, *section.each)]


def test_every_heading_the_reminder_owes(make_demonstration, make_booking, bleach, water):
    show = make_demonstration(
        ingredients=[(bleach, 5 * ML, 0, 0), (water, 5 * ML, 0, 0)],
        ignition_note="No flame.",
        safety_note="Slowly. Never mix it with ammonia.",
    )
    told = of(make_booking(show))
    assert [section.title for section in told.sections] == [
        *("Distance", "PPE", "Ventilation", "Ignition sources", "Cautions"),
        *("Do not mix", "First aid", "Spill", "Cleanup"),
    ]
    assert texts(told.distance)[0].startswith("Students keep back ")
    assert texts(told.protection) == ["Goggles, gloves.", "Bleach: Goggles."]
    assert texts(told.ignition) == ["No flame.", "Bleach: may intensify fire; oxidizer"]
    assert texts(told.cautions) == ["Slowly."]
    assert texts(told.do_not_mix) == [ONLY_AS_WRITTEN, "Never mix it with ammonia.", "Bleach: acids"]
    assert texts(told.first_aid) == ["Bleach: Rinse for <b>20</b> minutes."], "nothing to say of water"
    assert texts(told.waste) == ["Collect.", "Left unused, Bleach: Collect."]
    assert told.unknown == (water,)


def test_the_same_words_of_two_reagents_are_said_once(make_demonstration, make_booking, bleach, acid):
    show = make_demonstration(ingredients=[(bleach, 5 * ML, 0, 0), (acid, 5 * ML, 0, 0)])
    assert texts(of(make_booking(show)).first_aid) == ["Bleach, Acid: Rinse for <b>20</b> minutes."]


def test_pairs_of_which_the_same_is_to_be_said_share_a_line(
    make_demonstration, make_booking, make_reagent, bleach, acid
):
    other = make_reagent("Other acid", "volume", groups=["acid_strong"])
    show = make_demonstration(ingredients=[(row, 5 * ML, 0, 0) for row in (bleach, acid, other)])
    found = [text for text in texts(of(make_booking(show)).do_not_mix) if "hlorine" in text]
    assert len(found) == 1
    assert "Bleach and Acid" in found[0] and "Bleach and Other acid" in found[0]


def test_what_is_chosen_instead_is_judged_not_what_is_written(
    make_demonstration, make_booking, bleach, water, acid
):
    """Harmless as written, poisonous with the alternative: what stands on the bench counts."""
    show = make_demonstration(ingredients=[(bleach, 5 * ML, 0, 0), (water, 5 * ML, 0, 0)])
    ingredient = show.ingredients.get(reagent=water)
    Alternative.objects.create(ingredient=ingredient, reagent=acid, amount=1, per_amount=1)
    assert not any("hlorine" in text for text in texts(of(make_booking(show)).do_not_mix))
    told = of(make_booking(show, chosen={ingredient.pk: acid.pk}))
    assert any("Bleach and Acid" in text and "hlorine" in text for text in texts(told.do_not_mix))


@pytest.mark.parametrize(
    ("equation", "gases"),
    [
        ("CaCO3(s) + 2 HCl(aq) -> CaCl2(aq) + H2O(l) + CO2(g)", ["carbon dioxide"]),
        ("Zn + 2 HCl -> ZnCl2 + H2", ["hydrogen"]),
        ("CO2(aq) + H2O(l) -> H2CO3(aq)", []),
        ("H2O(l) + CO2(g) -> CO2(aq) + H2O(l)", []),
        ("MnO2 + 4 HCl -> MnCl2 + Cl2 + 2 H2O", ["chlorine"]),
    ],
)
def test_gases_that_the_equations_show(make_demonstration, equation, gases):
    show = make_demonstration()
    Reaction.objects.create(demonstration=show, equation=equation)
    assert [gas.name for gas in given_off(show)] == gases


def test_the_teacher_reads_it_before_saving_and_after_and_on_paper(
    client, teacher, make_demonstration, make_booking, bleach, acid, room, period, today
):
    show = make_demonstration(ingredients=[(bleach, 5 * ML, 0, 0), (acid, 5 * ML, 0, 0)])
    Reaction.objects.create(demonstration=show, equation="MnO2 + 4 HCl -> MnCl2 + Cl2 + 2 H2O")
    client.force_login(teacher)
    sent = {
        "demonstration": show.pk,
        "on": today.isoformat(),
        "period": period.pk,
        "room": room.pk,
        "class_name": "10B",
        "showings": 1,
        "groups": 0,
        "scale": 1,
        "note": "",
    }
    before = client.post(reverse("demos:booking-check"), sent).content.decode()
    booking = make_booking(show)
    after = client.get(booking.get_absolute_url()).content.decode()
    for page in (before, after):
        for part in (
            "Do not mix",
            "First aid",
            "Spill",
            "Cleanup",
            "Bleach and Acid",
            "Chlorine comes off",
        ):
            assert part in page, part
        assert "&lt;b&gt;20&lt;/b&gt;" in page and "<b>20</b>" not in page
        assert "No safety data sheet on file: Bleach, Acid." in page
    words = " ".join(pages(client.get(reverse("demos:booking-reminder", args=[booking.pk])).content))
    for part in ("made in it", "Toxic", "Fatal if inhaled", "Bleach and Acid", "<b>20</b> minutes"):
        assert part in words or part == "Toxic", part


def test_gas_of_a_chemical_on_the_shelf_is_no_gas_given_off(make_demonstration, make_reagent):
    """Only what an equation makes comes off."""
    oxygen = make_reagent("Oxygen", "volume")
    chemical = Chemical.objects.create(name="Oxygen", formula="O2", cas_rn="7782-44-7")
    Component.objects.create(reagent=oxygen, chemical=chemical, unit="pure")
    show = make_demonstration(ingredients=[(oxygen, 5 * ML, 0, 0)])
    Reaction.objects.create(demonstration=show, equation="2 Mg + O2 -> 2 MgO")
    assert given_off(show) == ()
