"""Writing down why something listed is kept all the same."""

from django import forms
from django.core.exceptions import ValidationError

from stockroom.hazards.models import WrittenReason

LEAST_LETTERS = 15


class ReasonForm(forms.ModelForm):
    class Meta:
        model = WrittenReason
        fields = ["text"]
        labels = {"text": "Why it is kept, and how it is kept safe"}
        help_texts = {
            "text": "What it is needed for, what was tried instead, how much, where, who may use it. "
            "It stays, with your name and the day."
        }

    def clean_text(self):
        text = self.cleaned_data["text"].strip()
        if len(text) < LEAST_LETTERS:
            raise ValidationError("Give more detail: what it is needed for, and how it is kept safe.")
        return text
