"""People and their roles, by the head; and the department's settings."""

import pytest
from django.contrib.admin.models import LogEntry
from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stockroom.common.department import Department
from stockroom.people import roles

pytestmark = pytest.mark.django_db
User = get_user_model()
PHRASE = "quiet-copper-lamp-41"
NEW = {"username": "i.okafor", "first_name": "Ines", "last_name": "Okafor", "email": "io@hollin.example"}
NEW |= {"roles": [roles.TEACHER], "password1": PHRASE, "password2": PHRASE}

PAGES = ["person-list", "person-add", "person-edit", "person-password", "department-edit"]


@pytest.mark.parametrize("name", PAGES)
def test_only_the_head_opens_them(client, head, teacher, technician, name):
    url = reverse(name, args=[teacher.pk] if name in ("person-edit", "person-password") else [])
    for person, expected in ((head, 200), (teacher, 403), (technician, 403)):
        client.force_login(person)
        assert client.get(url).status_code == expected
        if expected == 403:
            assert client.post(url, NEW).status_code == 403
    client.logout()
    assert client.get(url).url.startswith(reverse("sign-in"))
    assert not User.objects.filter(username="i.okafor").exists()


def test_the_list_shows_roles_and_last_sign_in(client, head, teacher):
    client.force_login(head)
    page = client.get(reverse("person-list")).content.decode()
    assert "Teacher" in page and "never" in page and "May sign in" in page
    assert (
        "teacher"
        not in client.get(reverse("person-list"), {"role": roles.HEAD}).content.decode().split("<tbody")[1]
    )
    assert b"Nothing matches" in client.get(reverse("person-list"), {"q": "nobody at all"}).content


def test_a_person_is_added_and_signs_in(client, head):
    client.force_login(head)
    client.post(reverse("person-add"), NEW)
    person = User.objects.get(username="i.okafor")
    assert [group.name for group in person.groups.all()] == [roles.TEACHER]
    assert not person.is_staff and not person.is_superuser
    entry = LogEntry.objects.get()
    assert (
        entry.user == head
        and "added as Teacher" in entry.change_message
        and PHRASE not in entry.change_message
    )
    client.logout()
    assert client.login(username="i.okafor", password=PHRASE)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"username": ""}, "username"),
        ({"username": "HEAD"}, "username"),
        ({"username": "<script>"}, "username"),
        ({"username": "x" * 500}, "username"),
        ({"email": "nowhere"}, "email"),
        ({"roles": []}, "roles"),
        ({"roles": ["Owner"]}, "roles"),
        ({"password1": "12345678", "password2": "12345678"}, "password2"),
        ({"password1": "i.okafor1", "password2": "i.okafor1"}, "password2"),
        ({"password2": "another-one-99"}, "password2"),
        ({"password1": "", "password2": ""}, "password1"),
    ],
)
def test_a_bad_person_is_not_added(client, head, change, field):
    client.force_login(head)
    answer = client.post(reverse("person-add"), NEW | change)
    assert answer.status_code == 200 and field in answer.context["form"].errors
    assert b'<script>"' not in answer.content and PHRASE.encode() not in answer.content
    assert User.objects.count() == 1 and not LogEntry.objects.exists()


def test_nobody_becomes_an_administrator_by_a_form(client, head, teacher):
    client.force_login(head)
    extra = {"is_superuser": "on", "is_staff": "on", "user_permissions": "1", "groups": "1"}
    client.post(reverse("person-add"), NEW | extra)
    change = {"first_name": "T", "last_name": "", "email": "", "roles": [roles.TEACHER]}
    client.post(reverse("person-edit", args=[teacher.pk]), change | extra)
    assert (
        not User.objects.filter(is_superuser=True).exists()
        and not User.objects.filter(is_staff=True).exists()
    )
    assert not any(person.user_permissions.exists() for person in User.objects.all())


@pytest.mark.parametrize("rank", ["is_superuser", "is_staff"])
def test_an_administrator_is_out_of_the_heads_reach(client, head, rank):
    chief = User.objects.create_user("chief", password=PHRASE, **{rank: True})
    client.force_login(head)
    for name in ("person-edit", "person-password"):
        assert client.get(reverse(name, args=[chief.pk])).status_code == 403
    data = {"new_password1": "taken-over-now-77", "new_password2": "taken-over-now-77", "roles": [roles.HEAD]}
    for name in ("person-edit", "person-password", "person-active"):
        assert client.post(reverse(name, args=[chief.pk]), data).status_code == 403
    chief.refresh_from_db()
    assert chief.check_password(PHRASE) and chief.is_active and not chief.groups.exists()
    page = client.get(reverse("person-list")).content.decode()
    assert "administrator" in page and reverse("person-edit", args=[chief.pk]) not in page


def test_names_and_roles_change_and_are_noted(client, head, teacher):
    extra = Group.objects.create(name="Fire wardens")
    teacher.groups.add(extra)
    client.force_login(head)
    data = {"first_name": "Ada", "last_name": "Rowe", "email": "", "roles": [roles.TEACHER, roles.TECHNICIAN]}
    client.post(reverse("person-edit", args=[teacher.pk]), data)
    teacher.refresh_from_db()
    assert teacher.get_full_name() == "Ada Rowe"
    held = {group.name for group in teacher.groups.all()}
    assert held == {roles.TEACHER, roles.TECHNICIAN, "Fire wardens"}, "other groups stay"
    assert "roles from Teacher to Teacher, Technician" in LogEntry.objects.get().change_message


def test_one_head_always_remains(client, head, teacher):
    client.force_login(head)
    data = {"first_name": "", "last_name": "", "email": "", "roles": [roles.TEACHER]}
    page = client.post(reverse("person-edit", args=[head.pk]), data)
    assert "last department head" in page.content.decode()
    assert head.groups.filter(name=roles.HEAD).exists()
    client.post(reverse("person-active", args=[head.pk]))
    head.refresh_from_db()
    assert head.is_active
    second = User.objects.create_user("second", password=PHRASE, is_active=False)
    second.groups.add(Group.objects.get(name=roles.HEAD))
    page = client.post(reverse("person-edit", args=[head.pk]), data)
    assert "last department head" in page.content.decode(), "one who cannot sign in does not count"
    client.post(reverse("person-active", args=[second.pk]))
    client.post(reverse("person-edit", args=[head.pk]), data)
    assert not head.groups.filter(name=roles.HEAD).exists()


def test_a_new_password_is_checked_and_set(client, head, teacher):
    client.force_login(head)
    url = reverse("person-password", args=[teacher.pk])
    for bad in (("12345", "12345"), ("quiet-lamp-1", "other-lamp-2"), ("", "")):
        answer = client.post(url, {"new_password1": bad[0], "new_password2": bad[1]})
        assert answer.status_code == 200 and b"errorlist" in answer.content
    client.post(url, {"new_password1": PHRASE, "new_password2": PHRASE})
    teacher.refresh_from_db()
    assert teacher.check_password(PHRASE)
    assert LogEntry.objects.get().change_message == "set a new password"


def test_a_person_is_shut_out_and_let_in(client, head, teacher):
    client.force_login(head)
    url = reverse("person-active", args=[teacher.pk])
    assert client.get(url).status_code == 405
    client.post(url)
    teacher.refresh_from_db()
    assert not teacher.is_active
    assert "teacher" in client.get(reverse("person-list") + "?shown=out").content.decode()
    client.logout()
    assert not client.login(username="teacher", password="a-long-phrase-7")
    client.force_login(head)
    client.post(url)
    teacher.refresh_from_db()
    assert teacher.is_active


def test_unknown_people_are_not_found(client, head):
    client.force_login(head)
    for name in ("person-edit", "person-password"):
        assert client.get(reverse(name, args=[99999])).status_code == 404
    assert client.post(reverse("person-active", args=[99999])).status_code == 404


def test_the_number_of_queries_does_not_grow(client, head):
    client.force_login(head)
    client.get(reverse("person-list"))
    taken = []
    for rows in (1, 20):
        for number in range(rows):
            person = User.objects.create_user(f"p{rows}-{number}")
            person.groups.add(Group.objects.get(name=roles.TEACHER))
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("person-list"))
        taken.append(len(queries))
    assert taken[0] == taken[1]


SETTINGS = {"school": "Hollin Bank School", "name": "Chemistry", "emergency_contact": "Reception, 101"}
SETTINGS |= {
    "country": "no",
    "currency": "nok",
    "paper": "A4",
    "term_name": "Autumn",
    "sheet_review_months": "24",
    "working_days": ["6", "0", "1", "2", "3"],
}
SETTINGS |= {"term_start": "2026-08-20", "term_end": "2026-12-20"}


def test_the_settings_are_saved_and_noted(client, head):
    client.force_login(head)
    client.post(reverse("department-edit"), SETTINGS)
    department = Department.current()
    assert (department.country, department.currency, department.sheet_review_months) == ("NO", "NOK", 24)
    assert "country from US to NO" in LogEntry.objects.get().change_message
    assert department.working_days == "01236"
    assert "Thursday, Friday to Monday" in LogEntry.objects.get().change_message
    assert "Hollin Bank School" in client.get(reverse("department-edit")).content.decode()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"country": "USA"}, "country"),
        ({"country": "1!"}, "country"),
        ({"currency": "$"}, "currency"),
        ({"paper": "A3"}, "paper"),
        ({"working_days": []}, "working_days"),
        ({"working_days": ["7"]}, "working_days"),
        ({"sheet_review_months": "0"}, "sheet_review_months"),
        ({"sheet_review_months": "-5"}, "sheet_review_months"),
        ({"term_end": "2026-08-01"}, "term_end"),
        ({"term_end": "tomorrow"}, "term_end"),
        ({"term_start": "0001-01-01"}, "term_start"),
        ({"school": ""}, "school"),
        ({"school": "x" * 10_000}, "school"),
    ],
)
def test_bad_settings_are_not_saved(client, head, change, field):
    client.force_login(head)
    answer = client.post(reverse("department-edit"), SETTINGS | change)
    assert answer.status_code == 200 and field in answer.context["form"].errors
    assert Department.current().school == "Our school"
