"""The annual review, from its start through every shelf to the head's signature."""

import datetime

import pytest
from django.contrib.admin.models import LogEntry
from django.urls import reverse

from stockroom.inspection import annual_walk
from stockroom.inspection.models import AnnualReview, ClosedError, ShelfWalk
from stockroom.inspection.sheets.annual_walk import CHECKS
from stockroom.inventory import ledger
from stockroom.inventory.models import Location
from tests.paper.sheet_reading import pages

pytestmark = pytest.mark.django_db
G = 1_000_000


@pytest.fixture
def salt(make_reagent, make_container, today):
    return make_container(
        make_reagent("Table salt"),
        250 * G,
        on=today - datetime.timedelta(9),
        expires_on=today - datetime.timedelta(1),
    )


@pytest.fixture
def low_shelf(shelf):
    return Location.objects.create(name="Low shelf", level="shelf", parent=shelf.parent, storage_kind="acids")


@pytest.fixture
def begun(salt, low_shelf, head, today) -> AnnualReview:
    return annual_walk.start(who=head, on=today)


def answers(wrong: dict[int, str] | None = None, **changes) -> dict[str, str]:
    data = {}
    for number in range(len(CHECKS)):
        note = (wrong or {}).get(number, "")
        data |= {f"check-{number}": "not" if note else "ok", f"note-{number}": note}
    return data | changes


def walk_all(client, its):
    for walk in its.walks.all():
        assert client.post(walk.get_absolute_url(), answers()).status_code == 302


PAGES = [
    ("annual-list", {"head": 200, "teacher": 403, "technician": 200}),
    ("annual-add", {"head": 200, "teacher": 403, "technician": 403}),
    ("annual-detail", {"head": 200, "teacher": 403, "technician": 200}),
    ("annual-walk", {"head": 200, "teacher": 403, "technician": 200}),
    ("annual-sign", {"head": 200, "teacher": 403, "technician": 403}),
    ("annual-abandon", {"head": 200, "teacher": 403, "technician": 403}),
    ("annual-sheet", {"head": 200, "teacher": 403, "technician": 200}),
]


@pytest.mark.parametrize("role", ["head", "teacher", "technician"])
@pytest.mark.parametrize(("name", "expected"), PAGES)
def test_who_may_open_what(client, request, begun, role, name, expected):
    client.force_login(request.getfixturevalue(role))
    pk = begun.walks.first().pk if name == "annual-walk" else begun.pk
    url = reverse(name, args=[] if name in ("annual-list", "annual-add") else [pk])
    assert client.get(url).status_code == expected[role]
    if expected[role] == 403:
        assert client.post(url, answers(read="on", why="no time")).status_code == 403
    begun.refresh_from_db()
    assert begun.is_open and not begun.walks.exclude(walked_on=None).exists()


def test_signed_out_and_unknown(client, head, begun):
    assert reverse("sign-in") in client.get(begun.get_absolute_url()).url
    client.force_login(head)
    for name in ("annual-detail", "annual-walk", "annual-sign", "annual-abandon", "annual-sheet"):
        assert client.get(reverse(name, args=[987_654])).status_code == 404, name


def test_the_technician_is_not_offered_to_start_or_sign(client, technician, begun):
    client.force_login(technician)
    walk_all(client, begun)
    assert "Start a review" not in client.get(reverse("annual-list")).content.decode()
    assert "Sign it" not in client.get(begun.get_absolute_url()).content.decode()


def test_without_reviews_and_without_places(client, head):
    client.force_login(head)
    assert "No annual review yet" in client.get(reverse("annual-list")).content.decode()
    page = client.post(reverse("annual-add"), {"note": ""}).content.decode()
    assert "No shelf is set up yet" in page and not AnnualReview.objects.exists()


def test_every_shelf_is_walked_once_cabinets_and_rooms_are_not(begun, shelf, low_shelf):
    assert {walk.place for walk in begun.walks.all()} == {shelf, low_shelf}


def test_a_cabinet_in_which_something_stands_is_walked_too(make_container, salt, shelf, head, today):
    make_container(salt.reagent, G, location=shelf.parent)
    assert {walk.place for walk in annual_walk.start(who=head, on=today).walks.all()} == {shelf, shelf.parent}


def test_a_review_from_start_to_signature(client, head, technician, salt, shelf, low_shelf, today):
    head.first_name, head.last_name = "Ruth", "Adeyemi"
    head.save()
    client.force_login(head)
    answer = client.post(reverse("annual-add"), {"note": "both of us"})
    its = AnnualReview.objects.get()
    assert answer.url == its.get_absolute_url()
    page = client.get(answer.url).content.decode()
    assert "Table salt" in page and "Expired with something left" in page and "0 of 2 shelves" in page
    client.force_login(technician)
    first, second = its.walks.all()
    assert (first.place, second.place) == (low_shelf, shelf)
    url = client.post(first.get_absolute_url(), answers({3: "no eye wash"})).url
    assert url == second.get_absolute_url(), "on to the next shelf"
    client.force_login(head)
    refused = client.post(reverse("annual-sign", args=[its.pk]), {"read": "on"}).content.decode()
    assert "1 shelf is not walked yet" in refused
    assert client.post(second.get_absolute_url(), answers()).url == its.get_absolute_url()
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.walked_by, first.walked_on, second.walked_by) == (technician, today, head)
    assert [row["note"] for row in first.not_in_order] == ["no eye wash"]
    assert any("Table salt" in row["what"] for row in second.findings) and first.findings == []
    assert (
        client.post(reverse("annual-sign", args=[its.pk]), {"read": "on", "note": "Fit one"}).status_code
        == 302
    )
    its.refresh_from_db()
    assert (its.signed_by, its.signed_on, its.signed_name, its.note) == (
        head,
        today,
        "Ruth Adeyemi",
        "Fit one",
    )
    page = client.get(its.get_absolute_url()).content.decode()
    assert "by Ruth Adeyemi" in page and "no eye wash" in page and "Walk it" not in page


def test_once_signed_nothing_changes(client, head, begun, today):
    client.force_login(head)
    walk_all(client, begun)
    client.post(reverse("annual-sign", args=[begun.pk]), {"read": "on"})
    walk = begun.walks.first()
    before = walk.checks
    assert client.post(walk.get_absolute_url(), answers({0: "a crack"})).url == begun.get_absolute_url()
    client.post(reverse("annual-sign", args=[begun.pk]), {"read": "on", "note": "again"})
    walk.refresh_from_db()
    begun.refresh_from_db()
    assert walk.checks == before and begun.note == ""
    with pytest.raises(ClosedError):
        begun.save()
    with pytest.raises(ClosedError):
        begun.delete()
    with pytest.raises(ClosedError):
        walk.save()
    with pytest.raises(ClosedError):
        walk.delete()
    with pytest.raises(ClosedError):
        annual_walk.write(walk, [], who=head, on=today)
    for change in (
        lambda: AnnualReview.objects.update(note="other"),
        lambda: AnnualReview.objects.filter(pk=begun.pk).delete(),
        lambda: ShelfWalk.objects.update(walked_on=None),
        lambda: begun.walks.all().delete(),
    ):
        with pytest.raises(ClosedError):
            change()


def test_a_review_is_abandoned_with_a_reason_and_another_begun(client, head, begun, today):
    client.force_login(head)
    walk = begun.walks.first()
    client.post(walk.get_absolute_url(), answers({1: "torn label"}))
    url = reverse("annual-abandon", args=[begun.pk])
    for data in ({"why": ""}, {"why": "  "}, {"why": "x" * 201}, {"why": "nul \0"}):
        assert list(client.post(url, data).context["form"].errors) == ["why"]
    assert client.post(url, {"why": "<b>The store</b> is rebuilt until May"}).url == begun.get_absolute_url()
    begun.refresh_from_db()
    assert (begun.abandoned_on, begun.abandoned_by, begun.signed_on) == (today, head, None)
    page = client.get(begun.get_absolute_url()).content.decode()
    assert "Abandoned" in page and "&lt;b&gt;The store" in page and "torn label" in page
    assert "Walk it" not in page and "Abandon it" not in page and "Sign it" not in page
    words = " ".join(pages(client.get(reverse("annual-sheet", args=[begun.pk])).content))
    assert "Abandoned by head" in words and "Department head" not in words
    assert "abandoned: <b>The store" in LogEntry.objects.latest("pk").change_message
    assert annual_walk.standing(today).text == "Last annual review: never", "it does not count"
    listed = client.get(reverse("annual-list"), {"state": "abandoned"}).content.decode()
    assert f"Abandoned {today.day} " in listed
    assert not client.get(reverse("annual-list"), {"state": "open"}).context["table"].rows
    assert annual_walk.start(who=head, on=today).is_open


def test_once_abandoned_nothing_changes(client, head, begun, today):
    client.force_login(head)
    annual_walk.abandon(begun, who=head, on=today, why="moving")
    begun.refresh_from_db()
    walk = begun.walks.first()
    assert client.post(walk.get_absolute_url(), answers()).url == begun.get_absolute_url()
    for name, data in (("annual-sign", {"read": "on"}), ("annual-abandon", {"why": "again"})):
        assert client.post(reverse(name, args=[begun.pk]), data).url == begun.get_absolute_url()
    walk.refresh_from_db()
    begun.refresh_from_db()
    assert walk.walked_on is None and begun.signed_on is None and begun.abandoned_for == "moving"
    for change in (begun.save, begun.delete, walk.save, walk.delete):
        with pytest.raises(ClosedError, match="abandoned"):
            change()
    with pytest.raises(ClosedError):
        annual_walk.abandon(begun, who=head, on=today, why="again")


def test_what_papers_lack_is_said_beside_the_container_not_as_a_finding(
    client, head, begun, salt, shelf, today
):
    here = annual_walk.shelves([shelf], today)[shelf.pk]
    assert [row.what for row in here.findings if "Table salt" in row.what and "sheet" in row.what] == []
    assert here.containers[0][4] == "no sheet"
    client.force_login(head)
    walk = begun.walks.get(place=shelf)
    assert "no sheet" in client.get(walk.get_absolute_url()).content.decode()
    client.post(walk.get_absolute_url(), answers())
    walk.refresh_from_db()
    assert walk.containers[0][4] == "no sheet"
    walk.containers = [row[:4] for row in walk.containers]  # as written before papers were kept
    walk.save()
    assert "no sheet" not in " ".join(pages(client.get(reverse("annual-sheet", args=[begun.pk])).content))


def test_conflicts_are_gathered_around_what_is_in_most_of_them():
    pairs = [("bleach", "acid 1"), ("bleach", "acid 2"), ("iron", "bleach"), ("ether", "nitric")]
    assert annual_walk._gathered(pairs) == [("bleach", ["acid 1", "acid 2", "iron"]), ("ether", ["nitric"])]


def test_the_blank_sheet_takes_several_shelves_a_page(client, head, shelf, salt, make_container, begun):
    """33 shelves and 161 containers took 23 pages when each finding about papers had a row of its own."""
    client.force_login(head)
    for number in range(9):
        place = Location.objects.create(name=f"Shelf {number}", level="shelf", parent=shelf.parent)
        for _ in range(3):
            make_container(salt.reagent, G, location=place)
    client.get(begun.get_absolute_url())
    assert len(pages(client.get(reverse("annual-sheet", args=[begun.pk])).content)) <= 3


def test_what_was_found_stays_as_it_was_that_day(client, head, begun, salt, shelf):
    client.force_login(head)
    walk_all(client, begun)
    ledger.correct(salt, 0, who=head, why="used up")
    shelf.name = "Renamed"
    shelf.save()
    page = client.get(begun.get_absolute_url()).content.decode()
    assert "Expired with something left" in page and "Top shelf" in page and "Renamed" not in page
    words = " ".join(pages(client.get(reverse("annual-sheet", args=[begun.pk])).content))
    assert "250 g" in words and "in order" in words and "Department head" in words


def test_the_sheet_of_a_signed_review(client, head, begun):
    client.force_login(head)
    blank = " ".join(pages(client.get(reverse("annual-sheet", args=[begun.pk])).content))
    assert CHECKS[0] in blank and "Signed" not in blank and "none on record" in blank
    walk_all(client, begun)
    client.post(begun.walks.first().get_absolute_url(), answers({1: "<b>no</b> cap & torn label"}))
    client.post(reverse("annual-sign", args=[begun.pk]), {"read": "on"})
    words = " ".join(pages(client.get(reverse("annual-sheet", args=[begun.pk]) + "?paper=Letter").content))
    assert "Reviewed and signed by head" in words and "<b>no</b> cap & torn label" in words


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"check-0": ""}, "check-0"),
        ({"check-1": "maybe"}, "check-1"),
        ({"check-2": "not"}, "note-2"),
        ({"check-2": "not", "note-2": "   "}, "note-2"),
        ({"note-3": "x" * 201}, "note-3"),
        ({"check-3": "not", "note-3": "x" * 201}, "note-3"),
        ({"check-0": "<script>alert(1)</script>"}, "check-0"),
        ({"note-0": "nul \0"}, "note-0"),
    ],
)
def test_bad_answers_are_said_beside_the_field(client, technician, begun, changes, name):
    client.force_login(technician)
    walk = begun.walks.first()
    answer = client.post(walk.get_absolute_url(), answers(**changes))
    assert answer.status_code == 200 and list(answer.context["form"].errors) == [name]
    assert "<script>alert" not in answer.content.decode()
    walk.refresh_from_db()
    assert walk.walked_on is None


def test_signing_asks_for_its_tick(client, head, begun):
    client.force_login(head)
    walk_all(client, begun)
    for data in ({}, {"read": "on", "note": "x" * 1001}):
        assert client.post(reverse("annual-sign", args=[begun.pk]), data).status_code == 200
    begun.refresh_from_db()
    assert begun.signed_on is None


def test_one_review_at_a_time(client, head, begun):
    client.force_login(head)
    page = client.post(reverse("annual-add"), {"note": "x"}).content.decode()
    assert "is not signed yet" in page and "or abandon it" in page and AnnualReview.objects.count() == 1


def test_shelves_that_come_and_go_meanwhile(client, head, begun, shelf, low_shelf, today):
    client.force_login(head)
    walk_all(client, begun)
    Location.objects.filter(pk=low_shelf.pk).update(retired_on=today)
    late = Location.objects.create(name="New shelf", level="shelf", parent=shelf.parent)
    page = client.post(reverse("annual-sign", args=[begun.pk]), {"read": "on"}).content.decode()
    assert "1 shelf is not walked yet" in page
    client.get(begun.get_absolute_url())
    assert {walk.place for walk in begun.walks.all()} == {shelf, low_shelf, late}, "what was walked stays"
    Location.objects.filter(pk=late.pk).update(retired_on=today)
    client.get(begun.get_absolute_url())
    assert not ShelfWalk.objects.filter(place=late).exists()


def test_a_finding_about_a_cabinet_is_said_on_each_of_its_shelves(begun, shelf, low_shelf, today):
    found = annual_walk.shelves([shelf, low_shelf], today)
    assert any("Table salt" in row.what for row in found[shelf.pk].findings)
    other = Location.objects.create(name="Top shelf 2", level="shelf", parent=shelf.parent)
    case = annual_walk.review.Case("too much", "/", place=shelf.parent.path)
    apart = annual_walk.review.Case("only here", "/", place=shelf.path)
    finding = annual_walk.review.Finding("limits", "Over", "Move some", "/", "bad", (case, apart))
    said = {
        place: [row.what for row in annual_walk._at(place.path, set(), [finding])] for place in (shelf, other)
    }
    assert said == {shelf: ["Over: too much", "Over: only here"], other: ["Over: too much"]}


def signed(head, on) -> AnnualReview:
    return AnnualReview.objects.create(
        started_on=on, started_by=head, signed_on=on, signed_by=head, signed_name="head"
    )


@pytest.mark.parametrize(
    ("days", "says"),
    [(None, "never"), (0, "today"), (1, "1 day ago"), (365, "365 days ago"), (366, "366 days ago: due")],
)
def test_when_the_last_one_was_is_said_to_the_head(client, head, today, days, says):
    if days is not None:
        signed(head, today - datetime.timedelta(days))
    assert annual_walk.standing(today).text == f"Last annual review{':' if days is None else ''} {says}"
    client.force_login(head)
    for name in ("review", "home"):
        assert annual_walk.standing(today).text in client.get(reverse(name)).content.decode(), name


def test_the_list_tells_open_from_signed(client, head, begun, today):
    signed(head, today - datetime.timedelta(400))
    client.force_login(head)
    page = client.get(reverse("annual-list")).content.decode()
    assert "0 of 2" in page and "Open" in page and "Signed" in page
    only = client.get(reverse("annual-list"), {"state": "signed"}).content.decode()
    assert "0 of 2" not in only
    assert client.get(reverse("annual-list"), {"state": "\0", "q": "<b>", "page": "x"}).status_code in (
        200,
        404,
    )


def test_the_same_queries_for_few_and_many(client, head, begun, shelf, salt, make_container, count_queries):
    client.force_login(head)
    walk = begun.walks.get(place=shelf)
    urls = [
        reverse("annual-list"),
        begun.get_absolute_url(),
        walk.get_absolute_url(),
        reverse("annual-sheet", args=[begun.pk]),
    ]
    few = [count_queries(client, url) for url in urls]
    for number in range(8):
        place = Location.objects.create(name=f"Shelf {number}", level="shelf", parent=shelf.parent)
        make_container(salt.reagent, G, location=place)
        make_container(salt.reagent, G)
    assert [count_queries(client, url) for url in urls] == few
