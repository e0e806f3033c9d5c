"""Time-sensitive chemicals: what is due, the log of tests, the technician's day."""

import datetime

import pytest
from django.urls import reverse

from stockroom.common.append_only import WrittenOnceError
from stockroom.common.department import Department
from stockroom.inventory import counting, ledger
from stockroom.inventory.models import Chemical, Component, ContainerTest, LedgerError, Location
from stockroom.inventory.stock import state_of
from stockroom.safety.ageing import add_months

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
    assert "Nothing is overdue" in client.get(reverse("ageing")).content.decode()


@pytest.mark.parametrize(
    ("opened", "received", "words"),
    [
        (200, 250, "Test overdue"),  # six months for this class
        (170, 200, "Test due"),
        (400, 500, "DO NOT TOUCH"),  # twelve months
        (None, 400, "DO NOT TOUCH"),
    ],
)
def test_late_and_near_are_told_apart(client, technician, make_ether, opened, received, words):
    make_ether(opened, received)
    client.force_login(technician)
    page = client.get(reverse("ageing")).content.decode()
    assert words in page and "Peroxide former" in page and "Kelly" in page
    assert ("Do not use it before it is tested" in page) == (words == "Test overdue")
    assert ("DO NOT TOUCH" in page) == (words == "DO NOT TOUCH")


def test_what_nobody_may_touch_is_offered_for_nothing(client, technician, make_ether):
    container = make_ether(400, 500)
    client.force_login(technician)
    page = client.get(reverse("ageing")).content.decode()
    for act in ("quarantine", "discard", "move"):
        assert reverse("container-act", args=[container.pk, act]) not in page
    assert reverse("container-test", args=[container.pk]) not in page


def test_a_passed_test_puts_the_next_off(client, technician, make_ether, today):
    container = make_ether(200, 250)
    client.force_login(technician)
    assert add(client, container, today, note="<i>strip</i>").status_code == 302
    test = ContainerTest.objects.get()
    assert (test.who, test.peroxide_ppm) == (technician, 5)
    assert "Nothing is overdue" in client.get(reverse("ageing")).content.decode()
    page = client.get(container.get_absolute_url()).content.decode()
    assert "Passed" in page and "5.0 mg/L" in page and "&lt;i&gt;strip" in page


def test_a_failed_test_says_do_not_touch_and_never_set_it_apart(client, technician, make_ether, today):
    container = make_ether(50)
    client.force_login(technician)
    form = client.get(reverse("container-test", args=[container.pk])).content.decode()
    assert "Failed: do not touch it" in form
    answer = add(client, container, today, outcome="failed", peroxide_ppm="150")
    assert answer.url == container.get_absolute_url()
    pages = [client.get(url).content.decode() for url in (answer.url, reverse("ageing"))]
    for page in pages:
        assert "DO NOT TOUCH" in page and "150 ppm" in page
        assert "set it apart" not in page.lower()
    container.refresh_from_db()
    assert container.state == "quarantined" and "do not touch" in container.state_reason


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


ACTS = ("draw", "give-back", "move", "correct", "quarantine", "release")


@pytest.fixture(params=["past its day", "failed"])
def untouchable(request, old_ether, technician, today):
    """An ether that nobody may touch."""
    if request.param == "past its day":
        return old_ether(800, 700)
    bottle = old_ether(100, 50)
    ContainerTest.objects.create(
        container=bottle, tested_on=today, outcome="failed", peroxide_ppm=150, who=technician
    )
    return bottle


def test_its_page_says_so_first_and_offers_nothing_but_that_it_was_collected(
    client, technician, head, untouchable
):
    Department.objects.update_or_create(pk=1, defaults={"emergency_contact": "Reception, 101"})
    pk = untouchable.pk
    for person in (technician, head):
        client.force_login(person)
        page = client.get(untouchable.get_absolute_url()).content.decode()
        main = page[page.index("<main") :]
        first = main.index("DO NOT TOUCH")
        assert first < main.index("<h1") and "<a " not in main[main.index(">") : first].replace("<a href", "")
        assert "Leave it where it is. Keep people away. Call: Reception, 101." in main
        for act in ACTS:
            assert reverse("container-act", args=[pk, act]) not in main
        for name in ("container-test", "container-edit", "container-label"):
            assert reverse(name, args=[pk]) not in main
        for wrong in ("Discard now", "Look for", "Peroxide strips", "Test every"):
            assert wrong not in main


def test_the_same_person_is_called_on_every_page(client, technician, head, untouchable):
    Department.objects.update_or_create(pk=1, defaults={"emergency_contact": "Reception, 101."})
    client.force_login(head)
    for url in (untouchable.get_absolute_url(), reverse("ageing"), reverse("review")):
        assert "Call: Reception, 101." in client.get(url).content.decode(), url
    with pytest.raises(LedgerError, match="Call: Reception, 101"):
        ledger.move(untouchable, untouchable.location, who=technician)


def test_a_form_that_was_opened_before_is_refused(client, technician, untouchable, shelf, today):
    other = Location.objects.create(name="Other", level="room")
    data = {"amount": "10 mL", "why": "x", "on": today, "location": other.pk, "outcome": "passed"}
    client.force_login(technician)
    lines = untouchable.movements.count()
    tests = untouchable.tests.count()
    for act in ACTS:
        answer = client.post(reverse("container-act", args=[untouchable.pk, act]), data)
        assert answer.status_code == 409 and "DO NOT TOUCH" in answer.content.decode(), act
    for name, more in (("container-test", {"tested_on": today, "peroxide_ppm": "0"}), ("container-edit", {})):
        answer = client.post(reverse(name, args=[untouchable.pk]), data | more)
        assert answer.status_code == 409 and "DO NOT TOUCH" in answer.content.decode(), name
    untouchable.refresh_from_db()
    assert (untouchable.movements.count(), untouchable.tests.count()) == (lines, tests)
    assert (untouchable.balance, untouchable.location, untouchable.state) == (500_000, shelf, "in_use")


@pytest.mark.parametrize("act", ["draw", "give_back", "move", "correct", "release", "discard"])
def test_the_ledger_refuses_by_every_other_way_too(technician, untouchable, shelf, act):
    other = Location.objects.create(name="Other", level="room")
    what = {"move": (other,), "release": (), "correct": (400_000,)}.get(act, (10_000,))
    with pytest.raises(LedgerError, match="^DO NOT TOUCH. Leave it where it is"):
        getattr(ledger, act)(untouchable, *what, who=technician, why="x")


def test_it_is_not_poured_into_a_waste_container(technician, untouchable, shelf, today):
    waste = ledger.open_waste(
        stream="solvents", capacity=2_000_000, measure="volume", location=shelf, started_on=today
    )
    with pytest.raises(LedgerError, match="DO NOT TOUCH"):
        ledger.discard(untouchable, who=technician, why="x", into=waste)


def test_that_it_was_collected_is_written_down(client, technician, untouchable, today):
    client.force_login(technician)
    url = reverse("container-act", args=[untouchable.pk, "discard"])
    assert url in client.get(untouchable.get_absolute_url()).content.decode()
    page = client.get(url).content.decode()
    assert "DO NOT TOUCH" in page and 'name="into"' not in page and 'name="amount"' not in page
    assert client.post(url, {"why": "a firm, paper 7", "on": today}).status_code == 302
    untouchable.refresh_from_db()
    assert untouchable.state == "gone" and "paper 7" in untouchable.state_reason
    assert "DO NOT TOUCH" not in client.get(untouchable.get_absolute_url()).content.decode()


def test_no_label_and_no_count_sends_anybody_to_it(client, technician, untouchable, shelf, today):
    client.force_login(technician)
    alone = client.get(reverse("container-label", args=[untouchable.pk]))
    many = client.get(reverse("labels"), {"numbers": untouchable.code, "layout": "by size", "start": 1})
    for answer in (alone, many):
        assert answer["Content-Type"].startswith("text/html") and "DO NOT TOUCH" in answer.content.decode()
    with pytest.raises(counting.CountError, match="Nothing stands"):
        counting.start(shelf, who=technician, on=today)


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
