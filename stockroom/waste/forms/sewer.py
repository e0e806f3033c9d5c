"""Writing down what the sewer authority allows."""

import datetime

from django import forms
from django.core.exceptions import ValidationError

from stockroom.common.forms.day import DayField, check_not_future
from stockroom.waste.models import DrainPermission

LEAST_LETTERS = 15


class DrainPermissionForm(forms.ModelForm):
    dated_on = DayField(label="Date of the letter")
    valid_until = DayField(
        label="Valid until", help_text="Where the letter names no day: the day on which you will ask again."
    )

    class Meta:
        model = DrainPermission
        fields = ["authority", "reference", "dated_on", "valid_until", "covers", "after_neutralising"]

    def __init__(self, *args, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_dated_on(self):
        check_not_future(self.cleaned_data["dated_on"], self.today)
        return self.cleaned_data["dated_on"]

    def clean_valid_until(self):
        day = self.cleaned_data["valid_until"]
        if day < self.today:
            raise ValidationError("This date is past: a letter that no longer holds allows nothing.")
        return day

    def clean_covers(self):
        text = self.cleaned_data["covers"].strip()
        if len(text) < LEAST_LETTERS:
            raise ValidationError("Give more detail: what may go to the drain, how much, on what terms.")
        return text
