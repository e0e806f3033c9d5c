"""What the library is narrowed by."""

import datetime

from django import forms

from demos.models import Demonstration, Topic
from stockroom.common.forms.day import DayField, check_day_ahead
from stockroom.common.search import MAX_TEXT

DURATIONS = [(str(n), f"up to {n} minutes") for n in (5, 10, 20, 40, 60)]
READY, WITHIN_REACH = "ready", "possible"


class LibraryForm(forms.Form):
    q = forms.CharField(
        label="Search", required=False, max_length=MAX_TEXT, widget=forms.TextInput(attrs={"type": "search"})
    )
    topic = forms.ModelChoiceField(Topic.objects.all(), required=False, empty_label="Every topic")
    audience = forms.ChoiceField(choices=[("", "Everyone"), *Demonstration.Audience.choices], required=False)
    minutes = forms.ChoiceField(label="Duration", choices=[("", "Any length"), *DURATIONS], required=False)
    on = DayField(label="To be shown on", required=False)
    can = forms.ChoiceField(
        label="Can be shown",
        required=False,
        choices=[
            ("", "Show all"),
            (READY, "Ready as the shelves stand"),
            (WITHIN_REACH, "Ready, made up or ordered in time"),
        ],
    )
    shown = forms.ChoiceField(
        label="Show", required=False, choices=[("", "In use"), ("retired", "Retired"), ("all", "All")]
    )

    def __init__(self, data, *, today: datetime.date):
        super().__init__(data)
        self.today = today

    def clean_on(self):
        on = self.cleaned_data["on"]
        check_day_ahead(on, self.today)
        return on

    @property
    def day(self) -> datetime.date:
        """The day asked about; today where none, or none that can be, was given."""
        return self.cleaned_data.get("on") or self.today

    @property
    def is_asked(self) -> bool:
        return any(value for name, value in self.cleaned_data.items() if name != "on")
