"""Counts of a place, from the sheet to the corrections in the ledger."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stockroom.inventory import counting, ledger
from stockroom.inventory.models import Container, CountLine, Location, Movement, StockCount
from tests.paper.sheet_reading import pages

pytestmark = pytest.mark.django_db
G = 1_000_000


@pytest.fixture
def salt(make_reagent, make_container):
    return make_container(make_reagent("Potassium iodide"), 250 * G, lot="L-1")


@pytest.fixture
def acid(make_reagent, make_container):
    return make_container(make_reagent("Vinegar", measure="volume"), 500_000)


@pytest.fixture
def count(salt, acid, shelf, technician, today):
    return counting.start(shelf, who=technician, on=today)


def line_of(count, container) -> CountLine:
    return count.lines.get(container=container)


def entered(count, **amounts):
    """What the page posts: amounts by name of the reagent's fixture, the rest empty."""
    data = {}
    for line in count.lines.all():
        data |= {f"amount-{line.pk}": "", f"note-{line.pk}": ""}
    return data | amounts


PAGES = [
    ("count-list", False, {"head": 200, "teacher": 403, "technician": 200}),
    ("count-add", False, {"head": 403, "teacher": 403, "technician": 200}),
    ("count-detail", True, {"head": 200, "teacher": 403, "technician": 200}),
    ("count-sheet", True, {"head": 200, "teacher": 403, "technician": 200}),
]


@pytest.mark.parametrize("role", ["head", "teacher", "technician"])
@pytest.mark.parametrize(("name", "of_count", "expected"), PAGES)
def test_who_may_open_what(client, request, count, role, name, of_count, expected):
    client.force_login(request.getfixturevalue(role))
    url = reverse(name, args=[count.pk] if of_count else [])
    assert client.get(url).status_code == expected[role]


@pytest.mark.parametrize("role", ["head", "teacher"])
def test_only_the_technician_writes(client, request, count, salt, role):
    client.force_login(request.getfixturevalue(role))
    line = line_of(count, salt)
    data = entered(count) | {f"amount-{line.pk}": "1 g"}
    for name, pk in (("count-detail", count.pk), ("count-close", count.pk), ("count-abandon", count.pk)):
        assert client.post(reverse(name, args=[pk]), data).status_code == 403, name
    assert client.post(reverse("count-line", args=[line.pk]), data).status_code == 403
    line.refresh_from_db()
    assert line.counted is None and StockCount.objects.get().closed_on is None


def test_the_head_is_offered_nothing_to_enter(client, head, count):
    client.force_login(head)
    page = client.get(count.get_absolute_url()).content.decode()
    assert "Close the count" not in page and "<input" not in page.split("<main", 1)[1]


def test_an_empty_list_says_where_to_begin(client, technician):
    client.force_login(technician)
    assert b"No counts yet" in client.get(reverse("count-list")).content


def test_a_place_is_counted_from_start_to_close(client, technician, salt, acid, shelf):
    client.force_login(technician)
    answer = client.post(reverse("count-add"), {"location": shelf.parent.parent_id, "note": "yearly"})
    count = StockCount.objects.get()
    assert answer.url == count.get_absolute_url() and count.lines.count() == 2
    line = line_of(count, salt)
    client.post(count.get_absolute_url(), entered(count) | {f"amount-{line.pk}": "0.24 kg"})
    assert line_of(count, salt).counted == 240 * G and line_of(count, acid).counted is None
    page = client.get(count.get_absolute_url()).content.decode()
    assert "−10 g" in page and "1 of 2" in page
    salt.refresh_from_db()
    assert salt.balance == 250 * G, "nothing is corrected before the count is closed"
    client.post(reverse("count-close", args=[count.pk]))
    salt.refresh_from_db()
    acid.refresh_from_db()
    assert (salt.balance, acid.balance) == (240 * G, 500_000)
    movement = Movement.objects.get(kind="count")
    assert movement.belongs_to == count and movement.who == technician and movement.change == -10 * G
    closed = client.get(count.get_absolute_url()).content.decode()
    assert "Differences" in closed and "250 g" in closed and "240 g" in closed
    assert ledger.prove()[1] == []


def test_zero_is_counted_and_empty_is_not(client, technician, count, salt, acid):
    client.force_login(technician)
    client.post(count.get_absolute_url(), entered(count) | {f"amount-{line_of(count, salt).pk}": "0 g"})
    client.post(reverse("count-close", args=[count.pk]))
    salt.refresh_from_db()
    acid.refresh_from_db()
    assert (salt.balance, acid.balance) == (0, 500_000)


@pytest.mark.parametrize(
    "text", ["250", "250 mL", "-5 g", "5 parsecs", "<script>alert(1)</script>", "=1+1", "1e99 g", "../etc"]
)
def test_a_bad_amount_stays_typed_and_nothing_is_saved(client, technician, count, salt, acid, text):
    client.force_login(technician)
    bad, good = line_of(count, salt), line_of(count, acid)
    data = entered(count) | {f"amount-{bad.pk}": text, f"amount-{good.pk}": "400 mL"}
    page = client.post(count.get_absolute_url(), data)
    html = page.content.decode()
    assert page.status_code == 200 and "errorlist" in html
    assert 'value="400 mL"' in html and "<script>alert" not in html
    assert not CountLine.objects.exclude(counted=None).exists()


def test_one_line_is_saved_as_it_is_typed(client, technician, count, salt):
    client.force_login(technician)
    line = line_of(count, salt)
    url = reverse("count-line", args=[line.pk])
    row = client.post(url, {f"amount-{line.pk}": "240 g", f"note-{line.pk}": "cap loose"}).content.decode()
    assert row.strip().startswith("<tr") and "−10 g" in row
    line.refresh_from_db()
    assert (line.counted, line.note) == (240 * G, "cap loose")
    row = client.post(url, {f"amount-{line.pk}": "lots", f"note-{line.pk}": ""}).content.decode()
    assert 'value="lots"' in row and "errorlist" in row
    line.refresh_from_db()
    assert line.counted == 240 * G


def test_what_the_ledger_has_overtaken_is_counted_again(client, technician, count, salt):
    client.force_login(technician)
    line = line_of(count, salt)
    client.post(count.get_absolute_url(), entered(count) | {f"amount-{line.pk}": "240 g"})
    ledger.draw(salt, 50 * G, who=technician, why="a lesson")
    page = client.post(reverse("count-close", args=[count.pk]), follow=True).content.decode()
    assert salt.code in page and "count them again" in page
    line.refresh_from_db()
    salt.refresh_from_db()
    assert line.counted is None and salt.balance == 200 * G and not StockCount.objects.get().closed_on


def test_all_corrections_or_none(client, technician, count, salt, acid):
    client.force_login(technician)
    data = {f"amount-{line_of(count, salt).pk}": "1 g", f"amount-{line_of(count, acid).pk}": "1 mL"}
    client.post(count.get_absolute_url(), entered(count) | data)
    Container.objects.filter(pk=acid.pk).update(state=Container.State.GONE)
    page = client.post(reverse("count-close", args=[count.pk]), follow=True).content.decode()
    assert "is gone" in page
    salt.refresh_from_db()
    assert salt.balance == 250 * G and not Movement.objects.filter(kind="count").exists()


def test_what_comes_to_the_place_meanwhile_joins_the_count(
    client, technician, count, make_reagent, make_container
):
    client.force_login(technician)
    late = make_container(make_reagent("Borax"), G)
    client.post(count.get_absolute_url(), entered(count))
    assert count.lines.filter(container=late).exists()


def test_a_second_count_of_the_place_or_of_nothing_is_refused(client, technician, count, shelf):
    client.force_login(technician)
    empty = Location.objects.create(name="Annex", level="room")
    for place, words in ((shelf, "still open"), (empty, "Nothing stands in")):
        page = client.post(reverse("count-add"), {"location": place.pk}).content.decode()
        assert words in page
    for bad in ("", "x", "99999"):
        assert b"errorlist" in client.post(reverse("count-add"), {"location": bad}).content
    assert StockCount.objects.count() == 1


def test_a_closed_count_takes_nothing_more(client, technician, count, salt):
    client.force_login(technician)
    line = line_of(count, salt)
    data = entered(count) | {f"amount-{line.pk}": "240 g"}
    client.post(count.get_absolute_url(), data)
    client.post(reverse("count-close", args=[count.pk]))
    client.post(count.get_absolute_url(), data | {f"amount-{line.pk}": "1 g"})
    assert client.post(reverse("count-line", args=[line.pk]), data).status_code == 403
    client.post(reverse("count-close", args=[count.pk]))
    client.post(reverse("count-abandon", args=[count.pk]))
    line.refresh_from_db()
    assert line.counted == 240 * G and StockCount.objects.count() == 1
    assert Movement.objects.filter(kind="count").count() == 1


def test_an_open_count_can_be_thrown_away(client, technician, count):
    client.force_login(technician)
    client.post(reverse("count-abandon", args=[count.pk]))
    assert not StockCount.objects.exists() and not CountLine.objects.exists()


def test_unknown_counts_are_not_found(client, technician):
    client.force_login(technician)
    for name in ("count-detail", "count-sheet"):
        assert client.get(reverse(name, args=[99999])).status_code == 404
    for name in ("count-close", "count-abandon", "count-line"):
        assert client.post(reverse(name, args=[99999])).status_code == 404


def test_the_sheet_is_blind_unless_asked(client, technician, count, salt):
    client.force_login(technician)
    blind = " ".join(pages(client.get(reverse("count-sheet", args=[count.pk])).content))
    told = " ".join(pages(client.get(reverse("count-sheet", args=[count.pk]) + "?expected=1").content))
    assert "Potassium iodide" in blind and salt.code in blind.replace(" ", "") and "250 g" not in blind
    assert "250 g" in told


@pytest.mark.parametrize("name", ["count-list", "count-detail"])
def test_the_number_of_queries_does_not_grow(client, technician, make_reagent, make_container, today, name):
    client.force_login(technician)

    def page(rows):
        room = Location.objects.create(name=f"Room of {rows}", level="room")
        for number in range(rows):
            make_container(make_reagent(f"Reagent {rows}-{number}"), G, location=room)
        count = counting.start(room, who=technician, on=today)
        return reverse(name, args=[count.pk] if name == "count-detail" else [])

    taken = []
    client.get(page(1))
    for rows in (2, 20):
        url = page(rows)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(url).status_code == 200
        taken.append(len(queries))
    assert taken[0] == taken[1]
