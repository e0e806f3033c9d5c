"""What the sewer authority allows: written down by the head, held to on the disposal sheet."""

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from stockroom.common.department import Department
from stockroom.hazards.models import ReagentHazard
from stockroom.inventory.models import Chemical, Component
from stockroom.waste import printouts, sewer_discharge
from stockroom.waste.models import DrainEntry, DrainPermission
from tests.paper.sheet_reading import pages

pytestmark = pytest.mark.django_db
ML = 1000


def days(n: int) -> datetime.timedelta:
    return datetime.timedelta(n)


@pytest.fixture
def leave(head, today) -> DrainPermission:
    return DrainPermission.objects.create(
        authority="Harl Valley Water",
        reference="HV/2026/117",
        dated_on=today - days(30),
        valid_until=today + days(300),
        covers="Neutral salts and neutralized acids, up to 5 L a day.",
        after_neutralising=True,
        recorded_by=head,
        recorded_on=today - days(20),
    )


def sent(client, today, **changes):
    data = {
        "authority": "Harl Valley Water",
        "reference": "HV/2026/117",
        "dated_on": today - days(1),
        "valid_until": today + days(365),
        "covers": "Neutral salts, up to 5 L a day.",
    }
    return client.post(reverse("drain-add"), data | changes)


def test_who_may_look_and_who_may_write(client, head, teacher, technician, leave, today):
    end = reverse("drain-end", args=[leave.pk])
    for person in (teacher, technician):
        client.force_login(person)
        page = client.get(reverse("drain-list")).content.decode()
        assert "HV/2026/117" in page and reverse("drain-add") not in page and end not in page
        assert client.get(reverse("drain-add")).status_code == 403
        assert sent(client, today).status_code == 403 and client.post(end).status_code == 403
    leave.refresh_from_db()
    assert DrainPermission.objects.count() == 1 and leave.ended_on is None
    client.force_login(head)
    page = client.get(reverse("drain-list")).content.decode()
    assert reverse("drain-add") in page and end in page


def test_signed_out_and_unknown(client, head):
    assert reverse("sign-in") in client.get(reverse("drain-list")).url
    client.force_login(head)
    assert client.post(reverse("drain-end", args=[987_654])).status_code == 404
    assert client.get(reverse("drain-end", args=[987_654])).status_code == 405


def test_nothing_written_down_means_collect(client, head, today):
    client.force_login(head)
    assert "Collect everything" in client.get(reverse("drain-list")).content.decode()
    assert "no letter of the sewer authority" in client.get(reverse("waste-list")).content.decode()
    assert sewer_discharge.permission_on(today) is None


def test_outside_the_us_the_rules_are_guidance(client, head):
    its = Department.current()
    its.country = "GB"
    its.save()
    client.force_login(head)
    assert "guidance" in client.get(reverse("drain-list")).content.decode()


def test_a_letter_is_written_down_and_ended(client, head, today):
    client.force_login(head)
    assert sent(client, today, after_neutralising="on").status_code == 302
    leave = DrainPermission.objects.get()
    assert (leave.recorded_by, leave.recorded_on, leave.after_neutralising) == (head, today, True)
    assert "HV/2026/117" in client.get(reverse("waste-list")).content.decode()
    found = sewer_discharge.permission_on(today)
    assert found.allowed and "HV/2026/117" in found.reference and found.recorded_by == "head"
    for _ in range(2):
        client.post(reverse("drain-end", args=[leave.pk]))
    leave.refresh_from_db()
    assert (leave.ended_on, leave.ended_by) == (today, head)
    assert sewer_discharge.permission_on(today) is None
    assert f"ended {today:%-d %b %Y} by head" in client.get(reverse("drain-list")).content.decode()


def test_it_holds_from_its_date_to_its_last_day(leave, today):
    for day, holds in (
        (leave.dated_on - days(1), False),
        (leave.dated_on, True),
        (leave.valid_until, True),
        (leave.valid_until + days(1), False),
    ):
        assert (sewer_discharge.permission_on(day) is not None) == holds, day
    leave.ended_on = today
    leave.save()
    assert sewer_discharge.permission_on(today - days(1)) and not sewer_discharge.permission_on(
        today + days(1)
    )


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"authority": ""}, "authority"),
        ({"authority": "x" * 121}, "authority"),
        ({"reference": ""}, "reference"),
        ({"dated_on": ""}, "dated_on"),
        ({"dated_on": "2999-01-01"}, "dated_on"),
        ({"dated_on": "soon"}, "dated_on"),
        ({"valid_until": ""}, "valid_until"),
        ({"valid_until": "2001-01-01"}, "valid_until"),
        ({"valid_until": "9999-12-31"}, "valid_until"),
        ({"covers": "yes"}, "covers"),
        ({"covers": "x" * 1001}, "covers"),
        ({"reference": "nul \0"}, "reference"),
    ],
)
def test_bad_input_is_said_beside_the_field(client, head, today, changes, name):
    client.force_login(head)
    answer = sent(client, today, **changes)
    assert answer.status_code == 200 and list(answer.context["form"].errors) == [name]
    assert not DrainPermission.objects.exists()


def test_a_letter_dated_tomorrow_is_refused(client, head, today):
    client.force_login(head)
    assert "dated_on" in sent(client, today, dated_on=today + days(1)).context["form"].errors


def test_hostile_words_are_escaped(client, head, today):
    client.force_login(head)
    sent(client, today, covers="<script>alert(1)</script> and more")
    assert "<script>alert" not in client.get(reverse("drain-list")).content.decode()


def test_the_same_queries_for_few_and_many(client, head, leave, today, count_queries):
    client.force_login(head)
    urls = [reverse("drain-list"), reverse("waste-list")]
    few = [count_queries(client, url) for url in urls]
    for number in range(10):
        leave.pk, leave.reference = None, f"HV/{number}"
        leave.save()
    assert [count_queries(client, url) for url in urls] == few


# --- what the disposal sheet makes of it


@pytest.fixture
def dissolved(make_reagent, make_container, technician, today):
    """`dissolved("Salt solution", "NaCl", "7647-14-5")`: a checked solution expired."""

    def make(name, formula, cas, value=1, hazards=(), checked=True):
        state = "listed" if hazards else "none"
        reagent = make_reagent(name, "volume", hazard_state=state, density=1)
        chemical = Chemical.objects.create(name=name, cas_rn=cas, formula=formula)
        Component.objects.create(reagent=reagent, chemical=chemical, value=value, unit="mol/L")
        if checked:
            reagent.checked_by, reagent.checked_on = technician, today
            reagent.save()
        for key in hazards:
            ReagentHazard.objects.create(
                reagent=reagent, hazard_class=key, checked_by=technician, checked_on=today
            )
        make_container(reagent, 500 * ML, on=today - days(90), expires_on=today - days(2))
        return reagent

    return make


def ways(today) -> dict[str, tuple[str, str]]:
    return {item.what: (item.route, item.how) for item in printouts.items(today)}


def test_the_disposal_sheet_follows_the_letter(client, technician, dissolved, leave, today):
    dissolved("Salt solution", "NaCl", "7647-14-5")
    dissolved("Dilute acid", "HCl", "7647-01-0", hazards=["skin_irrit_2"])
    dissolved("Copper solution", "CuSO4", "7758-98-7")
    dissolved("Unread solution", "KCl", "7447-40-7", checked=False)
    found = ways(today)
    assert {name: way for name, (way, _) in found.items()} == {
        "Salt solution": "Drain",
        "Dilute acid": "Neutralize, drain",
        "Copper solution": "Collect",
        "Unread solution": "Collect",
    }
    assert "HV/2026/117" in found["Salt solution"][1]
    client.force_login(technician)
    words = " ".join(pages(client.get(reverse("disposal-sheet")).content))
    assert "HV/2026/117" in words
    assert "up to 5 L a day" in words and "Collect the rest" in words
    DrainPermission.objects.update(after_neutralising=False)
    assert ways(today)["Dilute acid"][0] == "Collect" and ways(today)["Salt solution"][0] == "Drain"
    DrainPermission.objects.update(ended_on=today)
    assert {way for way, _ in ways(today).values()} == {"Collect"}


# --- discarding a bottle


def thrown_away(client, bottle, **changes):
    data = {"amount": "", "into": "", "why": "old", "on": timezone.localdate(), "vouched": "", "ph": ""}
    return client.post(reverse("container-act", args=[bottle.pk, "discard"]), data | changes)


def test_a_bottle_goes_down_the_drain_only_with_a_tick(client, technician, dissolved, leave, today):
    bottle = dissolved("Salt solution", "NaCl", "7647-14-5").containers.get()
    client.force_login(technician)
    page = client.get(reverse("container-act", args=[bottle.pk, "discard"])).content.decode()
    assert "its words cover it" in page and "Neutral salts and neutralized acids" in page
    for changes, name in (({"ph": ""}, "ph"), ({"ph": "2"}, "ph"), ({"ph": "7", "into": "9"}, "into")):
        answer = thrown_away(client, bottle, drained="on", **changes)
        assert name in answer.context["form"].errors and not DrainEntry.objects.exists()
    assert thrown_away(client, bottle, drained="on", ph="7").status_code == 302
    entry = DrainEntry.objects.get()
    assert (entry.permission, entry.amount, entry.belongs_to) == (leave, 500 * ML, bottle)
    assert bottle.code in client.get(reverse("drain-list")).content.decode()


def test_no_drain_is_offered_where_the_rules_or_the_data_do_not_open_it(client, technician, dissolved, leave):
    rows = [
        dissolved("Copper solution", "CuSO4", "7758-98-7"),
        dissolved("Unread solution", "KCl", "7447-40-7", checked=False),
    ]
    client.force_login(technician)
    for bottle in (row.containers.get() for row in rows):
        page = client.get(reverse("container-act", args=[bottle.pk, "discard"])).content.decode()
        assert "its words cover it" not in page
        thrown_away(client, bottle, drained="on", ph="7")
    assert not DrainEntry.objects.exists()
