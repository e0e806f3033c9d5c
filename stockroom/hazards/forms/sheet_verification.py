"""Ticking what agrees with the supplier's sheet in hand."""

from django import forms
from django.core.exceptions import ValidationError

from stockroom.hazards.models import SafetyDataSheet
from stockroom.hazards.sheet_verification import Ticks
from stockroom.inventory.models import Reagent

NO_CLASS = "Section 2 of the sheet names no hazard class; storage, transport and handling agree with it"


class CheckForm(forms.Form):
    """Up to three ticks. `stamp` is what the page showed, so that nobody ticks what they have not read."""

    classes = forms.BooleanField(required=False)
    handling = forms.BooleanField(
        required=False, label="Storage, transport and handling agree with sections 4 to 14 of the sheet"
    )
    sheet = forms.BooleanField(required=False, label="This is the supplier's newest sheet")
    stamp = forms.CharField(max_length=16, widget=forms.HiddenInput)

    def __init__(self, *args, reagent: Reagent, classes: int, newest: SafetyDataSheet | None, **kwargs):
        super().__init__(*args, **kwargs)
        self.newest = newest
        if reagent.hazard_state == Reagent.HazardState.NONE:
            self.fields["handling"].label = NO_CLASS
        if classes:
            self.fields["classes"].label = (
                "The hazard class is the one in section 2 of the sheet"
                if classes == 1
                else f"All {classes} hazard classes are those in section 2 of the sheet, and none is missing"
            )
        else:
            del self.fields["classes"]
        if newest is None:
            del self.fields["sheet"]

    def clean(self):
        data = super().clean()
        if not self.errors and not self.ticks.words:
            raise ValidationError("Tick what agrees with the sheet. What differs, change first.")
        return data

    @property
    def ticks(self) -> Ticks:
        data = self.cleaned_data
        return Ticks(
            bool(data.get("classes")), bool(data.get("handling")), self.newest if data.get("sheet") else None
        )
