"""Containers: the list, what is marked on one, its whole ledger and the flags it carries."""

import datetime

import pytest
from django.urls import reverse

from stockroom.hazards.models import ReagentHazard
from stockroom.inventory import ledger
from stockroom.inventory.models import Container, Reagent


@pytest.fixture
def bottle(make_reagent, make_container):
    return make_container(make_reagent("Ethanol", measure="volume"), 2_500_000, lot="E-77")


def listed(client, **query):
    table = client.get(reverse("container-list"), query).context["table"]
    return [row.record.code for row in table.rows]


def test_the_page_shows_every_line_of_the_ledger(keeper, technician, bottle):
    ledger.draw(bottle, 350_000, who=technician, why="chromatography, year 9")
    ledger.give_back(bottle, 50_000, who=technician, why="not used")
    ledger.correct(bottle, 2_100_000, who=technician, why="counted")
    page = keeper.get(bottle.get_absolute_url()).content.decode()
    for words in ("Received", "−350 mL", "chromatography, year 9", "+50 mL", "−100 mL", "2.1 L", "E-77"):
        assert words in page, words
    assert page.count("Reverse<span") == 4


def test_a_long_ledger_is_paged(keeper, technician, bottle):
    for number in range(105):
        ledger.draw(bottle, 1000, who=technician, why=f"draw number {number}.")
    first = keeper.get(bottle.get_absolute_url()).content.decode()
    assert "draw number 104." in first and "draw number 3." not in first
    assert "draw number 3." in keeper.get(bottle.get_absolute_url(), {"page": "2"}).content.decode()
    assert keeper.get(bottle.get_absolute_url(), {"page": "x"}).status_code == 200


@pytest.mark.parametrize("text", ["E-77", "ethan", "tall cabinet"])
def test_search(keeper, bottle, make_reagent, make_container, text):
    other = make_container(make_reagent("Salt"), 5)
    other.location = other.location.parent.parent
    other.save()
    assert listed(keeper, q=text) == [bottle.code]
    assert listed(keeper, q=bottle.code.lower()) == [bottle.code]


def test_filters_by_expiry_and_state(keeper, technician, make_reagent, make_container, today):
    reagent = make_reagent("Salt")
    day = datetime.timedelta
    old = make_container(reagent, 5, on=today - day(90), expires_on=today - day(1))
    soon = make_container(reagent, 5, expires_on=today)
    later = make_container(reagent, 5, expires_on=today + day(31))
    dateless = make_container(reagent, 5)
    gone = make_container(reagent, 5)
    ledger.discard(gone, who=technician, why="spilt")
    assert listed(keeper, expiry="expired") == [old.code]
    assert listed(keeper, expiry="soon") == [soon.code]
    assert set(listed(keeper, expiry="good")) == {soon.code, later.code, dateless.code}
    assert gone.code not in listed(keeper)
    assert listed(keeper, state="gone") == [gone.code]
    assert len(listed(keeper, state="all")) == 5
    page = keeper.get(reverse("container-list")).content.decode()
    assert "Expired" in page and "Last day today" in page


def test_what_is_marked_can_be_changed_and_how_much_is_left_cannot(keeper, bottle, today):
    expires = today + datetime.timedelta(10)
    data = {"lot": "E-78", "expires_on": expires.isoformat(), "note": "relabelled", "balance": "1"}
    answer = keeper.post(reverse("container-edit", args=[bottle.pk]), data)
    assert answer.url == bottle.get_absolute_url()
    fresh = Container.objects.get()
    assert (fresh.lot, fresh.expires_on, fresh.usable_until) == ("E-78", expires, expires)
    assert fresh.balance == 2_500_000


def test_opening_starts_the_shorter_shelf_life(keeper, bottle, today):
    Reagent.objects.filter(pk=bottle.reagent_id).update(shelf_life_opened_days=30)
    keeper.post(reverse("container-edit", args=[bottle.pk]), {"opened_on": today.isoformat()})
    assert Container.objects.get().usable_until == today + datetime.timedelta(30)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"lot": "x" * 61}, "lot"),
        ({"lot": "a\x00b"}, "lot"),
        ({"supplier": "999999"}, "supplier"),
        ({"opened_on": "tomorrow"}, "opened_on"),
        ({"opened_on": "2999-12-31"}, "opened_on"),
        ({"opened_on": "1990-01-01"}, "opened_on"),
        ({"expires_on": "9999-12-31"}, "expires_on"),
        ({"expires_on": "2001-01-01"}, "expires_on"),
        ({"note": "n" * 201}, "note"),
    ],
)
def test_bad_input_is_answered_beside_the_field(keeper, bottle, change, field):
    before = Container.objects.values().get()
    answer = keeper.post(reverse("container-edit", args=[bottle.pk]), change)
    assert field in answer.context["form"].errors
    assert answer.context["form"][field].value() == change[field]
    assert Container.objects.values().get() == before


def test_what_must_not_stand_beside_it_is_said(keeper, make_reagent, make_container):
    acid = make_reagent("Strong acid", measure="volume", groups=["acid_strong"])
    base = make_reagent("Strong base", groups=["base_strong"])
    for reagent in (acid, base):
        ReagentHazard.objects.create(reagent=reagent, hazard_class="skin_corr_1a")
    bottle = make_container(acid, 1000)
    assert "Incompatible storage</h2>" not in keeper.get(bottle.get_absolute_url()).content.decode()
    make_container(base, 1000)
    page = keeper.get(bottle.get_absolute_url()).content.decode()
    assert "Incompatible storage</h2>" in page and "Strong base" in page and "40 CFR 264" in page


def test_an_unclassified_reagent_says_so(keeper, bottle):
    assert "Not classified yet" in keeper.get(bottle.get_absolute_url()).content.decode()


def test_an_empty_list_says_what_to_do_first(keeper, db):
    assert "Receive the first delivery" in keeper.get(reverse("container-list")).content.decode()


def test_queries_do_not_grow_with_the_rows(keeper, technician, make_reagent, make_container, count_queries):
    lists, pages = [], []
    first = make_container(make_reagent("Reagent 0"), 10_000)
    for rows in (3, 23):
        for number in range(Container.objects.count(), rows):
            make_container(make_reagent(f"Reagent {number}"), 1000)
            ledger.draw(first, 10, who=technician, why="class", belongs_to=first.reagent)
        lists.append(count_queries(keeper, reverse("container-list"), {"q": "Reagent"}))
        pages.append(count_queries(keeper, first.get_absolute_url()))
    assert lists[0] == lists[1]
    assert pages[0] == pages[1]
