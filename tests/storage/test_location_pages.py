"""Places: the tree, what stands in one, and what is wrong there."""

import datetime

import pytest
from django.urls import reverse

from stockroom.hazards.models import ReagentHazard
from stockroom.inventory.models import Container, Location


def tree(client, **query) -> list[str]:
    locations = client.get(reverse("location-list"), query).context["locations"]
    return [location.path for location in locations]


def test_a_room_a_cabinet_and_a_shelf(keeper):
    add = reverse("location-add")
    keeper.post(add, {"name": "Prep room", "level": "room", "storage_kind": "general"})
    room = Location.objects.get()
    start = keeper.get(add, {"parent": room.pk}).context["form"]
    assert (start["level"].value(), start["parent"].value()) == ("cabinet", room.pk)
    data = {"name": "Acids", "level": "cabinet", "parent": room.pk, "storage_kind": "acids"}
    answer = keeper.post(add, data)
    cabinet = Location.objects.get(level="cabinet")
    assert answer.url == cabinet.get_absolute_url()
    keeper.post(add, {"name": "Top", "level": "shelf", "parent": cabinet.pk, "storage_kind": "acids"})
    assert tree(keeper) == ["Prep room", "Prep room › Acids", "Prep room › Acids › Top"]
    rename = {"name": "Cellar", "level": "room", "storage_kind": "general"}
    keeper.post(reverse("location-edit", args=[room.pk]), rename)
    assert tree(keeper) == ["Cellar", "Cellar › Acids", "Cellar › Acids › Top"]
    assert tree(keeper, q="acids top") == ["Cellar › Acids › Top"]


def test_rooms_with_like_names_keep_their_own_cabinets(keeper):
    for name in ("Prep", "Prep 2", "Prep room"):
        room = Location.objects.create(name=name, level="room")
        Location.objects.create(name="Cabinet", level="cabinet", parent=room)
    assert tree(keeper) == [
        "Prep",
        "Prep › Cabinet",
        "Prep 2",
        "Prep 2 › Cabinet",
        "Prep room",
        "Prep room › Cabinet",
    ]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "n" * 81}, "name"),
        ({"name": "a › b"}, "name"),
        ({"name": "top  SHELF"}, "name"),
        ({"level": "drawer"}, "level"),
        ({"level": "room"}, "parent"),
        ({"level": "cabinet"}, "parent"),
        ({"parent": ""}, "parent"),
        ({"parent": "99999"}, "parent"),
        ({"parent": "' OR 1=1"}, "parent"),
        ({"storage_kind": "anything"}, "storage_kind"),
        ({"note": "n" * 201}, "note"),
    ],
)
def test_bad_input_is_answered_beside_the_field(keeper, shelf, change, field):
    data = {"name": "Second", "level": "shelf", "parent": shelf.parent_id, "storage_kind": "general"}
    answer = keeper.post(reverse("location-add"), data | change)
    assert field in answer.context["form"].errors
    assert Location.objects.count() == 3


def test_a_cabinet_with_shelves_stays_a_cabinet(keeper, shelf):
    cabinet = shelf.parent
    data = {"name": cabinet.name, "level": "room", "storage_kind": "general"}
    answer = keeper.post(reverse("location-edit", args=[cabinet.pk]), data)
    assert "move them first" in str(answer.context["form"].errors["level"])


def test_a_place_is_retired_only_when_it_is_empty(keeper, shelf, make_reagent, make_container):
    container = make_container(make_reagent(), 10)
    page = keeper.post(reverse("location-retire", args=[shelf.pk]), follow=True).content.decode()
    assert "move them first" in page
    page = keeper.post(reverse("location-retire", args=[shelf.parent_id]), follow=True).content.decode()
    assert "retire them first" in page
    Container.objects.filter(pk=container.pk).update(state="gone")
    keeper.post(reverse("location-retire", args=[shelf.pk]))
    shelf.refresh_from_db()
    assert shelf.retired_on is not None
    assert shelf.path not in tree(keeper) and shelf.path in tree(keeper, shown="all")


@pytest.fixture
def trouble(make_reagent, make_container, today):
    """An acid and a base on one shelf, the acid expired."""
    acid = make_reagent("Strong acid", measure="volume", groups=["acid_strong"])
    base = make_reagent("Strong base", groups=["base_strong"])
    for reagent in (acid, base):
        ReagentHazard.objects.create(reagent=reagent, hazard_class="skin_corr_1a")
    day = datetime.timedelta(1)
    make_container(base, 1000)
    return make_container(acid, 1000, on=today - 9 * day, expires_on=today - day)


def test_what_is_wrong_is_flagged_in_the_tree_and_on_the_page(keeper, shelf, trouble):
    tree_page = keeper.get(reverse("location-list")).content.decode()
    assert "1 expired" in tree_page and "1 pair must not stand together" in tree_page
    for place in (shelf, shelf.parent.parent):
        page = keeper.get(place.get_absolute_url()).content.decode()
        assert "1 expired container stands here" in page
        assert "Incompatible storage</h2>" in page and "violent reaction" in page
        assert trouble.code in page


def test_apart_nothing_is_flagged(keeper, shelf, trouble):
    cabinet = Location.objects.create(name="Acids cabinet", level="cabinet", parent=shelf.parent.parent)
    other = Location.objects.create(name="Bottom shelf", level="shelf", parent=cabinet)
    Container.objects.filter(pk=trouble.pk).update(location=other)
    assert "must not stand" not in keeper.get(reverse("location-list")).content.decode()


@pytest.mark.parametrize("text", ["\0", "%", "'\"<script>", "x" * 5000])
def test_odd_searches_are_answered(keeper, shelf, text):
    page = keeper.get(reverse("location-list"), {"q": text, "shown": "\0"})
    assert page.status_code == 200
    assert '<script>"' not in page.content.decode()


def test_an_empty_tree_says_what_to_do_first(keeper):
    assert "Add a room" in keeper.get(reverse("location-list")).content.decode()
    assert "Nothing matches" in keeper.get(reverse("location-list"), {"q": "zz"}).content.decode()


def test_queries_do_not_grow_with_places_or_containers(keeper, make_reagent, make_container, count_queries):
    room = Location.objects.create(name="Room", level="room")
    trees, pages = [], []
    for rows in (2, 20):
        for number in range(room.children.count(), rows):
            place = Location.objects.create(name=f"Cabinet {number}", level="cabinet", parent=room)
            make_container(make_reagent(f"Reagent {number}", formula="NaCl"), 10, location=place)
        trees.append(count_queries(keeper, reverse("location-list")))
        pages.append(count_queries(keeper, room.get_absolute_url()))
    assert trees[0] == trees[1]
    assert pages[0] == pages[1]
