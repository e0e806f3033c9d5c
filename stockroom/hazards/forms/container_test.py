"""Writing down a test of a container."""

import datetime

from django import forms
from django.core.exceptions import ValidationError

from stockroom.common.days import day_text
from stockroom.common.forms.day import DayField, check_not_future
from stockroom.inventory.models import Container, ContainerTest
from stockroom.safety.ageing import PEROXIDE_STOP_PPM


class ContainerTestForm(forms.ModelForm):
    tested_on = DayField(label="Tested on")

    class Meta:
        model = ContainerTest
        fields = ["tested_on", "outcome", "peroxide_ppm", "result", "note"]
        labels = {"peroxide_ppm": "Peroxide found (mg/L)", "result": "What was seen"}
        help_texts = {
            "peroxide_ppm": "As the test strip says. Empty where it was not measured; 0 is an answer.",
            "result": "Such as: clear, cap whole, oil covers it.",
        }
        widgets = {"outcome": forms.RadioSelect}

    def __init__(self, *args, container: Container, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.container, self.today = container, today
        self.initial["tested_on"] = today
        self.fields["outcome"].choices = ContainerTest.Outcome.choices

    def clean_tested_on(self):
        on = self.cleaned_data["tested_on"]
        check_not_future(on, self.today)
        if on < self.container.received_on:
            came = self.container.received_on
            raise ValidationError(f"It came on {day_text(came)}: enter that day or a later one.")
        return on

    def clean(self):
        data = super().clean()
        ppm = data.get("peroxide_ppm")
        passed = data.get("outcome") == ContainerTest.Outcome.PASSED
        if passed and ppm is not None and ppm >= PEROXIDE_STOP_PPM:
            self.add_error("outcome", f"From {PEROXIDE_STOP_PPM} mg/L of peroxide on it has failed.")
        if ppm is None and not data.get("result") and not self.errors:
            self.add_error("result", "Say what was seen, or enter the peroxide that was found.")
        return data
