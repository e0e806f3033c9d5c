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
        raise ValidationError("This day has not come yet: enter today or an earlier day.")
