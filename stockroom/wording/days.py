"""A day as it is written everywhere in the app: no zero before it, the month in letters."""

import datetime


def day_text(on: datetime.date) -> str:
    """Such as “2 Dec 2026”."""
    return f"{on.day} {on:%b %Y}"


def weekday_text(on: datetime.date) -> str:
    """Such as “Wed 2 Dec 2026”."""
    return f"{on:%a} {day_text(on)}"
