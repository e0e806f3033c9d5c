"""What was measured on a reagent, to work out its hazard classes."""

from django import forms


class MeasuredForm(forms.Form):
    ph = forms.FloatField(
        label="Measured pH",
        required=False,
        min_value=-2,
        max_value=16,
        help_text="Leave empty to have it worked out where that can be done.",
    )
