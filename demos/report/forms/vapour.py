"""Asking what an amount would make of a room's air."""

from django import forms

from demos.models import Room
from stockroom.inventory.forms.amount import AmountFormField, settle_amount
from stockroom.inventory.forms.autocomplete import ReagentField

MAX_VOLUME_M3, MAX_CHANGES, MAX_MINUTES = 100_000, 100, 10_080


class VapourForm(forms.Form):
    reagent = ReagentField()
    amount = AmountFormField(label="How much evaporates", help_text="Such as 50 mL or 10 g.")
    room = forms.ModelChoiceField(
        Room.objects.filter(retired_on=None), required=False, help_text="Or give its volume below."
    )
    volume_m3 = forms.FloatField(
        label="Volume of another room (m³)", required=False, min_value=1, max_value=MAX_VOLUME_M3
    )
    changes = forms.FloatField(
        label="Its air changes an hour",
        required=False,
        min_value=0,
        max_value=MAX_CHANGES,
        help_text="Empty counts as none.",
    )
    minutes = forms.FloatField(
        label="Over how many minutes",
        required=False,
        min_value=0,
        max_value=MAX_MINUTES,
        help_text="Empty: all at once, the worst.",
    )

    def clean(self):
        data = super().clean()
        settle_amount(self, "amount", data.get("reagent"))
        room, volume = data.get("room"), data.get("volume_m3")
        if room is None and volume is None and not {"room", "volume_m3"} & self.errors.keys():
            self.add_error("room", "Choose a room, or give the volume of another.")
        elif room is not None and volume is not None:
            self.add_error("volume_m3", "Choose a room or give a volume, not both.")
        elif room is not None and room.volume_m3 is None:
            self.add_error("room", "The volume of this room is not written down: give it below instead.")
        return data
