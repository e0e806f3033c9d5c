"""A limit of the department's own in the waste rules."""

from decimal import Decimal

from django import forms
from django.utils.html import format_html

from stockroom.safety.waste_limits import WasteLimit, refused
from stockroom.waste.models import OwnWasteLimit


class OwnWasteLimitForm(forms.ModelForm):
    class Meta:
        model = OwnWasteLimit
        fields = ["value", "reason"]

    def __init__(self, *args, limit: WasteLimit, country: str, others: dict[str, float], **kwargs):
        super().__init__(*args, **kwargs)
        self.limit, self.country, self.others = limit, country, others
        self.fields["value"].help_text = format_html("Published: {} ({}).", limit.text, limit.source)
        if self.instance.pk:
            self.initial["value"] = self.instance.value.normalize()

    def clean_value(self) -> Decimal:
        value = self.cleaned_data["value"]
        if wrong := refused(self.limit, float(value), self.country, self.others):
            raise forms.ValidationError(wrong)
        return value
