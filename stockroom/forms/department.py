"""The department's own settings."""

from django import forms
from django.core.validators import RegexValidator

from stockroom.forms.day import DayField
from stockroom.models import Department


class DepartmentForm(forms.ModelForm):
    country = forms.CharField(
        max_length=2,
        validators=[RegexValidator(r"^[A-Za-z]{2}\Z", "Enter two letters, such as US or NO.")],
        help_text="Two letters. Outside the US the waste rules shown are guidance only.",
    )
    currency = forms.CharField(
        max_length=3,
        validators=[RegexValidator(r"^[A-Za-z]{3}\Z", "Enter three letters, such as USD or EUR.")],
        help_text="Three letters, such as USD.",
    )
    term_start = DayField(required=False, label="Term from")
    term_end = DayField(required=False, label="Term to")
    sheet_review_months = forms.IntegerField(
        min_value=1, max_value=120, label="Review safety data sheets every (months)"
    )

    class Meta:
        model = Department
        fields = [
            "school",
            "name",
            "emergency_contact",
            "country",
            "currency",
            "paper",
            "term_name",
            "term_start",
            "term_end",
            "sheet_review_months",
        ]

    def clean_country(self):
        return self.cleaned_data["country"].upper()

    def clean_currency(self):
        return self.cleaned_data["currency"].upper()

    def clean(self):
        data = super().clean()
        start, end = data.get("term_start"), data.get("term_end")
        if start and end and end < start:
            self.add_error("term_end", "The term ends before it starts: enter a later day.")
        return data
