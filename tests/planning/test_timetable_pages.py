"""Rooms and periods."""

import pytest
from django.urls import reverse

from demos.models import Period, Room

pytestmark = pytest.mark.django_db
PAGE = "demos:timetable"


def test_who_may_change_them(client, head, teacher, technician, room, period):
    urls = [
        reverse(PAGE),
        reverse("demos:room-add"),
        reverse("demos:period-add"),
        reverse("demos:room-edit", args=[room.pk]),
        reverse("demos:period-edit", args=[period.pk]),
    ]
    for person, code in ((head, 200), (technician, 200), (teacher, 403)):
        client.force_login(person)
        assert [client.get(url).status_code for url in urls] == [code] * 5
    assert client.post(reverse("demos:room-retire", args=[room.pk])).status_code == 403
    assert client.get(reverse("demos:room-edit", args=[999])).status_code == 403


def test_unknown_ids(client, head):
    client.force_login(head)
    for noun in ("room", "period"):
        assert client.get(reverse(f"demos:{noun}-edit", args=[4711])).status_code == 404
        assert client.post(reverse(f"demos:{noun}-retire", args=[4711])).status_code == 404


def test_an_empty_page_says_what_to_do(client, head):
    client.force_login(head)
    page = client.get(reverse(PAGE)).content.decode()
    assert "No periods yet" in page
    assert "No rooms yet" in page


def test_add_and_change(client, head):
    client.force_login(head)
    client.post(
        reverse("demos:room-add"),
        {"name": " Lab  2 ", "volume_m3": "180.5", "air_changes_per_hour": "", "has_fume_cupboard": "on"},
    )
    room = Room.objects.get()
    assert (room.name, float(room.volume_m3), room.has_fume_cupboard) == ("Lab 2", 180.5, True)
    client.post(reverse("demos:period-add"), {"name": "Period 1", "start": "08:00", "end": "08:45"})
    period = Period.objects.get()
    client.post(
        reverse("demos:period-edit", args=[period.pk]), {"name": "First", "start": "08:05", "end": "08:50"}
    )
    page = client.get(reverse(PAGE)).content.decode()
    for words in ("Lab 2", "180.5 m³", "not known", "First", "08:05"):
        assert words in page


@pytest.mark.parametrize(
    ("noun", "data", "name"),
    [
        ("room", {"name": ""}, "name"),
        ("room", {"name": "LAB  1"}, "name"),
        ("room", {"name": "x" * 61}, "name"),
        ("room", {"name": "Hall", "volume_m3": "-3"}, "volume_m3"),
        ("room", {"name": "Hall", "volume_m3": "nan"}, "volume_m3"),
        ("room", {"name": "Hall", "volume_m3": "1e12"}, "volume_m3"),
        ("room", {"name": "Hall", "air_changes_per_hour": "1000"}, "air_changes_per_hour"),
        ("period", {"name": "period 1", "start": "10:00", "end": "11:00"}, "name"),
        ("period", {"name": "P2", "start": "25:00", "end": "11:00"}, "start"),
        ("period", {"name": "P2", "start": "10:00", "end": "10:00"}, "end"),
        ("period", {"name": "P2", "start": "10:00", "end": "09:00"}, "end"),
        ("period", {"name": "P2", "start": "10:00", "end": "<script>"}, "end"),
    ],
)
def test_bad_input_stands_beside_the_field(client, head, room, period, noun, data, name):
    client.force_login(head)
    answer = client.post(reverse(f"demos:{noun}-add"), data)
    assert name in answer.context["form"].errors
    assert "<script>" not in answer.content.decode().replace("<script src", "").replace("<script ", "")
    assert (Room.objects.count(), Period.objects.count()) == (1, 1)


def test_names_are_escaped(client, head):
    Room.objects.create(name="<script>alert(1)</script>")
    client.force_login(head)
    assert "<script>alert(1)" not in client.get(reverse(PAGE)).content.decode()


def test_one_with_bookings_to_come_stays(client, head, make_demonstration, make_booking, room, period):
    make_booking(make_demonstration())
    client.force_login(head)
    for noun, thing in (("room", room), ("period", period)):
        page = client.post(reverse(f"demos:{noun}-retire", args=[thing.pk]), follow=True).content.decode()
        assert "has 1 booking to come" in page
        thing.refresh_from_db()
        assert thing.retired_on is None


def test_retire_hides_and_bringing_back_shows(client, head, room, period, make_demonstration, make_booking):
    make_booking(make_demonstration(), days=-9)
    client.force_login(head)
    for noun, thing in (("room", room), ("period", period)):
        url = reverse(f"demos:{noun}-retire", args=[thing.pk])
        client.post(url, follow=True)
        assert str(thing) not in client.get(reverse(PAGE)).content.decode()
        assert str(thing) in client.get(reverse(PAGE), {"shown": "all"}).content.decode()
        client.post(url, follow=True)
        assert str(thing) in client.get(reverse(PAGE)).content.decode()
