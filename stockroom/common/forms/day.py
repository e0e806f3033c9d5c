"""Days in forms."""

import datetime

from django import forms
from django.core.exceptions import ValidationError

EARLIEST, LATEST = datetime.date(1950, 1, 1), datetime.date(2150, 1, 1)


class DayField(forms.DateField):
    """A day, picked or typed. Years far off are slips of the finger: they get a message."""

    def __init__(self, **kwargs):
        kwargs.setdefault("widget", forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}))
        super().__init__(**kwargs)

    def clean(self, value):
        day = super().clean(value)
        if day and not EARLIEST <= day <= LATEST:
            raise ValidationError("Check the year: it should lie between 1950 and 2150.")
        return day


def check_not_future(day: datetime.date | None, today: datetime.date) -> None:
    if day and day > today:
        raise ValidationError("This date is in the future: enter today or an earlier day.")


#: how far ahead readiness is worked out: beyond it nothing on the shelves says anything
FURTHEST_DAYS = 730


def check_day_ahead(on: datetime.date | None, today: datetime.date) -> None:
    """Raises ValidationError for a day that is over, or too far off to be meant."""
    if on is None:
        return
    if on < today:
        raise ValidationError("This date is past: choose today or a later day.")
    if on > today + datetime.timedelta(FURTHEST_DAYS):
        raise ValidationError("Check the year: this is more than two years ahead.")
