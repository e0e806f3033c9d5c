"""The calendar feed against RFC 5545, Internet Calendaring and Scheduling Core Object Specification, 2009."""

import datetime

import pytest

from demos.models import Booking, Demonstration, Period, Room
from demos.planning import calendar_feed

NOW = datetime.datetime(2031, 1, 1, tzinfo=datetime.UTC)


@pytest.fixture
def content() -> bytes:
    booking = Booking(
        pk=7,
        demonstration=Demonstration(title="Ü" * 110),
        on=datetime.date(2031, 1, 7),
        period=Period(name="P1", start=datetime.time(9), end=datetime.time(10)),
        room=Room(name="Lab; 1, left"),
        class_name="10B",
        note="first\nEND:VCALENDAR",
    )
    return calendar_feed.calendar_of([booking], "Shows", "school.example", NOW)


def unfolded(content: bytes) -> list[str]:
    return content.replace(b"\r\n ", b"").decode().split("\r\n")


def test_lines_end_with_crlf_and_hold_at_most_75_octets(content):
    # RFC 5545, 3.1: lines are delimited by CRLF and should not exceed 75 octets without it.
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert max(len(line) for line in content.split(b"\r\n")) <= 75


def test_the_properties_that_must_be_there(content):
    # RFC 5545, 3.6 (PRODID and VERSION in the calendar) and 3.6.1 (UID and DTSTAMP in every event, DTSTART
    # where the calendar has METHOD as here too); from memory.
    lines = unfolded(content)
    event = lines[lines.index("BEGIN:VEVENT") : lines.index("END:VEVENT")]
    assert "VERSION:2.0" in lines
    assert any(line.startswith("PRODID:") for line in lines)
    for name in ("UID:", "DTSTAMP:20310101T000000Z", "DTSTART:"):
        assert sum(line.startswith(name) for line in event) == 1, name


def test_text_is_escaped(content):
    # RFC 5545, 3.3.11: comma, semicolon and backslash get a backslash, a line break becomes \n; from memory.
    lines = unfolded(content)
    assert r"LOCATION:Lab\; 1\, left" in lines
    assert r"DESCRIPTION:first\nEND:VCALENDAR" in lines
    assert lines.count("END:VCALENDAR") == 1
