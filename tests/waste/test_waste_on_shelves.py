"""Waste containers stand on shelves too: what must not stand beside them, and what is said of it."""

import pytest
from django.urls import reverse

from stockroom.inventory import ledger
from stockroom.inventory.models import Location
from stockroom.storage.advice import Shelves, conflicts_at
from stockroom.storage.storage_items import conflicts_where, conflicts_within, waste_items
from stockroom.waste import composition as wasting
from tests.paper.sheet_reading import pages

pytestmark = pytest.mark.django_db
ML, L = 1_000, 1_000_000


@pytest.fixture
def bleach(make_reagent, make_container):
    reagent = make_reagent("Bleach", "volume", groups=["hypochlorite"], storage_kind="bases")
    return make_container(reagent, 500 * ML)


@pytest.fixture
def make_waste(shelf, technician, today):
    """`make_waste("acids")`: with 100 mL in it; `composition` is what the log keeps of that."""

    def make(stream, place=shelf, composition=None):
        row = ledger.open_waste(stream=stream, capacity=L, measure="volume", location=place, started_on=today)
        ledger.add_waste(row, 100 * ML, description="x", who=technician, composition=composition)
        return row

    return make


def test_bleach_beside_acid_waste_is_a_conflict_everywhere(
    client, head, bleach, make_waste, shelf, make_reagent
):
    waste = make_waste("acids")
    (found,) = conflicts_where(bleach)
    assert found.severity == "severe" and waste.code in found.item_b.name
    assert len(conflicts_within(Location.objects.all())) == 1
    assert conflicts_at(make_reagent("More bleach", "volume", groups=["hypochlorite"]), shelf)
    client.force_login(head)
    for url in (reverse("conflict-list"), shelf.get_absolute_url(), bleach.get_absolute_url()):
        page = client.get(url).content.decode()
        assert waste.code in page and "chlorine" in page, url
    assert "stays here; move the other" in client.get(reverse("conflict-list")).content.decode()
    assert client.get(reverse("review")).status_code == 200
    assert client.get(reverse("review-sheet")).status_code == 200


def test_the_plan_moves_the_bottle_and_never_the_waste(client, head, bleach, make_waste, shelf):
    make_waste("acids")
    (left,) = Shelves.read().plan().left
    client.force_login(head)
    assert client.get(reverse("move-plan")).status_code == 200
    words = " ".join(pages(client.get(reverse("move-plan-sheet")).content))
    assert "one of the two goes" in words and "chlorine" in words.lower()
    # Another tray of the same cabinet is no cure: chlorine finds its way.
    tray = Location.objects.create(name="Tray", level="shelf", parent=shelf.parent, storage_kind="bases")
    assert Shelves.read().plan().moves == ()
    tray.delete()
    room = shelf.parent.parent
    bases = Location.objects.create(name="Bases", level="cabinet", parent=room, storage_kind="bases")
    (move,) = Shelves.read().plan().moves
    assert (move.item.id, move.target.id) == (bleach.pk, bases.pk) and left.severity == "severe"


def test_waste_of_two_streams_in_one_tray(make_waste):
    make_waste("solvents"), make_waste("oxidisers"), make_waste("neutral")
    (found,) = conflicts_within(Location.objects.all())
    assert found.severity == "severe" and found.reach == "cabinet"
    assert any("Fire" in one.consequence or "explo" in one.consequence for one in (found, *found.also))


def test_what_stands_by_itself_is_what_went_in_or_not_known(make_waste, bleach):
    known = wasting.as_data(wasting.described("x", 100 * ML, 7)) | {"unknown": [], "groups": ["inert"]}
    make_waste("apart", composition=known)
    assert not conflicts_where(bleach)
    make_waste("apart")
    (found,) = conflicts_where(bleach)
    assert found.rule == "not classified yet"


def test_empty_and_collected_ones_do_not_count(shelf, today, bleach, make_waste):
    ledger.open_waste(stream="acids", capacity=L, measure="volume", location=shelf, started_on=today)
    gone = make_waste("acids")
    gone.collected_on = today
    gone.save()
    assert not waste_items() and not conflicts_where(bleach)
