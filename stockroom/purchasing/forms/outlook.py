"""How far to look ahead."""

import datetime

from django import forms

from stockroom.common.department import Department
from stockroom.common.forms.day import DayField
from stockroom.purchasing.outlook import DEFAULT_DAYS

MOST_DAYS = 400


class UntilForm(forms.Form):
    """One day, at most a year and a bit ahead. `horizon` is always usable: what is wrong falls back."""

    until = DayField(required=False, label="Look ahead to")

    def __init__(self, data=None, *, today: datetime.date):
        super().__init__(data)
        self.today = today
        self.fields["until"].initial = self.usual

    @property
    def usual(self) -> datetime.date:
        end = Department.current().term_end
        near = self.today + datetime.timedelta(DEFAULT_DAYS)
        return end if end and self.today < end <= self.today + datetime.timedelta(MOST_DAYS) else near

    def clean_until(self):
        until = self.cleaned_data["until"]
        if until and until < self.today:
            raise forms.ValidationError("This date is past: choose today or a later day.")
        if until and until > self.today + datetime.timedelta(MOST_DAYS):
            raise forms.ValidationError(f"Choose a day within {MOST_DAYS} days.")
        return until

    @property
    def horizon(self) -> datetime.date:
        if self.is_bound and self.is_valid() and self.cleaned_data.get("until"):
            return self.cleaned_data["until"]
        return self.usual
