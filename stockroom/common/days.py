"""A day as it is written everywhere in the app."""

import datetime


def day_text(on: datetime.date) -> str:
    """Such as “2 Dec 2026”, as the pages write it: no zero before the day."""
    return f"{on.day} {on:%b %Y}"
