"""What becomes dangerous with time: what is due, the log of tests, the technician's day."""

import datetime

import pytest
from django.urls import reverse

from stockroom import ledger
from stockroom.models import Chemical, Component, ContainerTest, LedgerError, WrittenOnceError
from stockroom.safety.ageing import add_months
from stockroom.stock import state_of

pytestmark = pytest.mark.django_db
ML = 1_000
DAY = datetime.timedelta(1)


@pytest.fixture
def ether(make_reagent):
    """A peroxide former by its registry number alone."""
    reagent = make_reagent("Ether", "volume", kind="liquid")
    chemical = Chemical.objects.create(name="diethyl ether", cas_rn="60-29-7", formula="C4H10O")
    Component.objects.create(reagent=reagent, chemical=chemical)
    return reagent


@pytest.fixture
def make_ether(ether, make_container, today):
    def make(opened=None, received=None):
        came = today - (received or 100) * DAY
        opened_on = None if opened is None else today - opened * DAY
        return make_container(ether, 500 * ML, on=came, opened_on=opened_on)

    return make


def add(client, container, today, **changes):
    data = {"tested_on": today, "outcome": "passed", "peroxide_ppm": "5", "result": "", "note": ""}
    return client.post(reverse("container-test", args=[container.pk]), data | changes)


def test_who_may_look_and_who_may_write(client, head, teacher, technician, make_ether):
    container = make_ether(opened=50)
    for person, may in ((head, 403), (teacher, 403), (technician, 200)):
        client.force_login(person)
        page = client.get(reverse("ageing"))
        assert page.status_code == 200
        url = reverse("container-test", args=[container.pk])
        assert client.get(url).status_code == may
        assert client.post(url, {"tested_on": "x"}).status_code == may
        assert (url in client.get(container.get_absolute_url()).content.decode()) == (may == 200)
    assert not ContainerTest.objects.exists()


def test_signed_out(client, make_ether):
    for url in (reverse("ageing"), reverse("container-test", args=[make_ether().pk])):
        assert reverse("sign-in") in client.get(url).url


def test_nothing_due(client, technician, make_ether):
    make_ether()
    client.force_login(technician)
    assert "Nothing is late" in client.get(reverse("ageing")).content.decode()


@pytest.mark.parametrize(
    ("opened", "received", "words"),
    [
        (200, 250, "Test overdue"),  # six months for this class
        (170, 200, "Test due"),
        (400, 500, "Discard now"),  # twelve months
        (None, 400, "Discard now"),
    ],
)
def test_late_and_near_are_told_apart(client, technician, make_ether, opened, received, words):
    make_ether(opened, received)
    client.force_login(technician)
    page = client.get(reverse("ageing")).content.decode()
    assert words in page and "Peroxide former" in page and "Kelly" in page
    assert ("Do not open, move or shake" in page) == (words != "Test due")
    assert ("may be dangerous to open" in page) == (words == "Discard now")


def test_what_may_be_dangerous_is_not_offered_for_discarding(client, technician, make_ether):
    container = make_ether(400, 500)
    client.force_login(technician)
    page = client.get(reverse("ageing")).content.decode()
    assert reverse("container-act", args=[container.pk, "quarantine"]) in page
    assert reverse("container-act", args=[container.pk, "discard"]) not in page


def test_a_passed_test_puts_the_next_off(client, technician, make_ether, today):
    container = make_ether(200, 250)
    client.force_login(technician)
    assert add(client, container, today, note="<i>strip</i>").status_code == 302
    test = ContainerTest.objects.get()
    assert (test.who, test.peroxide_ppm) == (technician, 5)
    assert "Nothing is late" in client.get(reverse("ageing")).content.decode()
    page = client.get(container.get_absolute_url()).content.decode()
    assert "Passed" in page and "5.0 mg/L" in page and "&lt;i&gt;strip" in page


def test_a_failed_test_leads_to_quarantine(client, technician, make_ether, today):
    container = make_ether(50)
    client.force_login(technician)
    answer = add(client, container, today, outcome="failed", peroxide_ppm="150")
    assert answer.url == reverse("container-act", args=[container.pk, "quarantine"])
    page = client.get(reverse("ageing")).content.decode()
    assert "Failed its test" in page and "150 ppm" in page


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"tested_on": ""}, "tested_on"),
        ({"tested_on": "2999-01-01"}, "tested_on"),
        ({"tested_on": "1999-01-01"}, "tested_on"),
        ({"outcome": ""}, "outcome"),
        ({"outcome": "maybe"}, "outcome"),
        ({"peroxide_ppm": "200"}, "outcome"),
        ({"peroxide_ppm": "-1"}, "peroxide_ppm"),
        ({"peroxide_ppm": "1e99"}, "peroxide_ppm"),
        ({"peroxide_ppm": "NaN"}, "peroxide_ppm"),
        ({"peroxide_ppm": "much"}, "peroxide_ppm"),
        ({"peroxide_ppm": ""}, "result"),
        ({"result": "x" * 999}, "result"),
    ],
)
def test_bad_input_is_said_beside_the_field(client, technician, make_ether, today, changes, name):
    container = make_ether(50)
    client.force_login(technician)
    answer = add(client, container, today, **changes)
    assert answer.status_code == 200 and name in answer.context["form"].errors
    assert not ContainerTest.objects.exists()


def test_unknown_and_gone_are_not_found(client, technician, make_ether, today):
    container = make_ether(50)
    ledger.discard(container, None, who=technician, why="collected")
    client.force_login(technician)
    for pk in (container.pk, 10**30):
        url = reverse("container-test", args=[container.pk]).replace(f"/{container.pk}/", f"/{pk}/")
        assert client.get(url).status_code == 404


def test_the_log_is_written_once(technician, make_ether, today):
    test = ContainerTest.objects.create(
        container=make_ether(50), tested_on=today, outcome="passed", who=technician
    )
    test.outcome = "failed"
    with pytest.raises(WrittenOnceError):
        test.save()
    with pytest.raises(WrittenOnceError):
        test.delete()


def test_it_stands_on_the_technicians_day(client, technician, teacher, make_ether):
    container = make_ether(200, 250)
    client.force_login(technician)
    assert reverse("container-test", args=[container.pk]) in client.get("/").content.decode()
    client.force_login(teacher)
    assert "Test overdue" not in client.get("/").content.decode()


def test_the_same_queries_for_few_and_many(client, technician, make_ether, count_queries):
    client.force_login(technician)
    make_ether(200, 250)
    few = count_queries(client, reverse("ageing"))
    for _ in range(12):
        make_ether(200, 250)
    assert count_queries(client, reverse("ageing")) == few


# --- what is dangerous to open is not to be had


@pytest.fixture
def old_ether(make_reagent, make_container, today):
    """`old_ether(received=800, opened=700)`: no shelf life, no date marked; only its CAS RN gives it away."""

    def make(received=800, opened=None):
        reagent = make_reagent(f"Ether {received}", "volume", kind="liquid", hazard_state="none")
        chemical, _ = Chemical.objects.get_or_create(name="diethyl ether", cas_rn="60-29-7")
        Component.objects.create(reagent=reagent, chemical=chemical)
        return make_container(
            reagent,
            500_000,
            on=today - datetime.timedelta(received),
            opened_on=today - datetime.timedelta(opened) if opened else None,
        )

    return make


@pytest.mark.parametrize(("received", "opened"), [(800, 700), (800, None), (800, 100)])
def test_a_peroxide_former_past_its_day_is_no_stock(client, technician, old_ether, today, received, opened):
    bottle = old_ether(received, opened)
    assert bottle.is_expired(today) and "Expired" in state_of(bottle, today).text
    with pytest.raises(LedgerError):
        ledger.draw(bottle, 1_000, who=technician, why="x")
    client.force_login(technician)
    page = client.get(reverse("container-act", args=[bottle.pk, "move"])).content.decode()
    assert "Do not open, move or shake it" in page


def test_a_fresh_one_is(technician, old_ether, today):
    bottle = old_ether(100, 50)
    ledger.draw(bottle, 1_000, who=technician, why="x")
    bottle.refresh_from_db()
    assert bottle.usable_until == add_months(today - datetime.timedelta(50), 12)


def test_what_failed_its_test_is_not_drawn_from_though_nobody_set_it_apart(technician, old_ether, today):
    bottle = old_ether(100, 50)
    ContainerTest.objects.create(
        container=bottle, tested_on=today, outcome="failed", peroxide_ppm=150, who=technician
    )
    with pytest.raises(LedgerError, match="150 ppm"):
        ledger.draw(bottle, 1_000, who=technician, why="x")


def test_writing_down_what_it_holds_changes_its_last_day(make_reagent, make_container, today):
    reagent = make_reagent("Clear liquid", "volume", kind="liquid")
    bottle = make_container(reagent, 500_000, on=today - datetime.timedelta(800))
    assert not bottle.is_expired(today)
    chemical = Chemical.objects.create(name="tetrahydrofuran", cas_rn="109-99-9")
    Component.objects.create(reagent=reagent, chemical=chemical)
    bottle.refresh_from_db()
    assert bottle.is_expired(today)
