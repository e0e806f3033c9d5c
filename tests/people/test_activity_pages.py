"""Activity log: one list of ledger, waste and noted acts; and its export."""

import csv
import datetime
import io

import openpyxl
import pytest
from django.contrib.admin.models import LogEntry
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from stockroom.common.activity_log import note
from stockroom.common.spreadsheet import guarded
from stockroom.inventory import ledger
from stockroom.people import activity

pytestmark = pytest.mark.django_db
G = 1_000_000


@pytest.fixture
def acts(make_reagent, make_container, technician, head, teacher, shelf, today):
    """Five acts: received, drawn, waste, a change by the head, a removal by the teacher."""
    bottle = make_container(make_reagent("Potassium iodide"), 100 * G)
    ledger.draw(bottle, 5 * G, who=technician, why="=cmd|' /C calc'!A1")
    waste = ledger.open_waste(
        stream="solids", capacity=5 * G, measure="mass", location=shelf, started_on=today
    )
    ledger.add_waste(waste, G, description="@rinsings", who=technician)
    note(head, bottle.reagent, "changed: reorder point")
    note(teacher, shelf, "removed <script>alert(1)</script>", 3)
    return bottle


def test_only_the_head_sees_it(client, head, teacher, technician):
    urls = [reverse("activity"), reverse("activity-export", args=["csv"])]
    for person, expected in ((head, 200), (teacher, 403), (technician, 403)):
        client.force_login(person)
        assert [client.get(url).status_code for url in urls] == [expected, expected]


def test_an_empty_page_says_so(client, head):
    client.force_login(head)
    assert b"Nothing has been done yet" in client.get(reverse("activity")).content


def test_everything_stands_in_one_list_newest_first(client, head, acts):
    client.force_login(head)
    answer = client.get(reverse("activity"))
    kinds = [act.kind for act in answer.context["acts"]]
    assert kinds == ["Removed", "Changed", "Waste added", "Drawn", "Received"]
    times = [act.at for act in answer.context["acts"]]
    assert times == sorted(times, reverse=True)
    page = answer.content.decode()
    assert acts.get_absolute_url() in page and "<script>alert" not in page


def test_a_line_written_down_later_says_for_which_day(client, head, acts, technician, today):
    client.force_login(head)
    ledger.draw(acts, G, who=technician, why="forgotten", on=today)
    assert "(on " not in client.get(reverse("activity")).content.decode()
    ledger.draw(acts, G, who=technician, why="forgotten", on=today - datetime.timedelta(3))
    assert "forgotten (on " in client.get(reverse("activity")).content.decode()


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        ("ledger", ["Drawn", "Received"]),
        ("ledger:draw", ["Drawn"]),
        ("waste", ["Waste added"]),
        ("noted", ["Removed", "Changed"]),
        ("noted:3", ["Removed"]),
    ],
)
def test_by_kind(client, head, acts, kind, expected):
    client.force_login(head)
    answer = client.get(reverse("activity"), {"kind": kind})
    assert [act.kind for act in answer.context["acts"]] == expected


def test_by_person_and_day(client, head, teacher, technician, acts, today):
    client.force_login(head)

    def shown(**asked):
        return [act.kind for act in client.get(reverse("activity"), asked).context["acts"]]

    assert shown(person=teacher.pk) == ["Removed"]
    assert shown(person=technician.pk) == ["Waste added", "Drawn", "Received"]
    LogEntry.objects.filter(user=teacher).update(action_time=timezone.now() - datetime.timedelta(10))
    assert "Removed" not in shown(since=today.isoformat())
    assert shown(until=(today - datetime.timedelta(5)).isoformat()) == ["Removed"]
    assert len(shown(since=today.isoformat(), until=today.isoformat())) == 4, "the last day counts whole"


@pytest.mark.parametrize(
    "asked",
    [{"person": "x"}, {"person": "99999"}, {"since": "soon"}, {"kind": "ledger:steal"}, {"kind": "<script>"}]
    + [{"since": "2026-05-02", "until": "2026-05-01"}, {"until": "9999-12-31"}],
)
def test_a_bad_question_gets_a_message(client, head, acts, asked):
    client.force_login(head)
    answer = client.get(reverse("activity"), asked)
    assert answer.status_code == 200 and b"errorlist" in answer.content
    assert client.get(reverse("activity"), {"page": "zzz"}).status_code == 200


def test_the_export_cannot_be_taken_for_formulas(client, head, acts):
    client.force_login(head)
    text = client.get(reverse("activity-export", args=["csv"])).content.decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(text)))
    assert rows[0] == ["When", "Who", "Act", "On", "What"] and len(rows) == 6
    book = openpyxl.load_workbook(io.BytesIO(client.get(reverse("activity-export", args=["xlsx"])).content))
    cells = [cell for row in book.active.iter_rows(values_only=True) for cell in row]
    for cell in [cell for row in rows for cell in row] + cells:
        assert not str(cell).startswith(("=", "+", "-", "@")), cell
    assert client.get(reverse("activity-export", args=["exe"])).status_code == 404
    one = client.get(reverse("activity-export", args=["csv"]), {"kind": "waste"}).content.decode()
    assert one.count("\n") == 2


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@x", "\t=1", " =1", "\r=1"])
def test_a_cell_that_begins_like_a_formula_is_marked(cell):
    assert guarded(cell).startswith("'")


def test_plain_cells_stay_as_they_are():
    assert [guarded(cell) for cell in ("5 g", "a=b", 12, "")] == ["5 g", "a=b", "12", ""]
    assert guarded("a\x00b") == "ab"


def test_pages_and_queries(client, head, technician, make_reagent, make_container):
    client.force_login(head)
    client.get(reverse("activity"))
    taken = []
    for rows in (2, 40):
        for number in range(rows):
            bottle = make_container(make_reagent(f"R{rows}-{number}"), G)
            note(head, bottle, "changed")
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("activity"))
        taken.append(len(queries))
    assert taken[0] == taken[1]
    first, second = (client.get(reverse("activity"), {"page": page}).context["acts"] for page in (1, 2))
    assert len(first) == 50 and len(second) == 34
    assert len(activity.acts(activity.keys(activity.Asked()))) == 84
