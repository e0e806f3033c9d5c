"""The department's own settings."""

from django import forms
from django.core.validators import RegexValidator

from stockroom.common.department import Department
from stockroom.common.forms.day import DayField
from stockroom.common.forms.edit_conflict import SinceOpenedMixin

DAYS = tuple(enumerate(("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")))


class DepartmentForm(SinceOpenedMixin, forms.ModelForm):
    country = forms.CharField(
        max_length=2,
        validators=[RegexValidator(r"^[A-Za-z]{2}\Z", "Enter two letters, such as US or NO.")],
        help_text="Two letters. Outside the US the waste rules are guidance, and their limits yours to set.",
    )
    currency = forms.CharField(
        max_length=3,
        validators=[RegexValidator(r"^[A-Za-z]{3}\Z", "Enter three letters, such as USD or EUR.")],
        help_text="Three letters, such as USD.",
    )
    term_start = DayField(required=False, label="Term from")
    term_end = DayField(required=False, label="Term to")
    working_days = forms.TypedMultipleChoiceField(
        choices=DAYS,
        coerce=str,
        widget=forms.CheckboxSelectMultiple,
        help_text="The last day to order or to make something up falls on one of these.",
        error_messages={"required": "Choose at least one day."},
    )
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
            "working_days",
            "sheet_review_months",
        ]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial["working_days"] = list(self.instance.working_days)

    def in_words(self, name: str, value) -> str:
        """A setting as it is read: in the activity log."""
        return ", ".join(dict(DAYS)[int(day)] for day in value) if name == "working_days" else str(value)

    def clean_working_days(self):
        return "".join(sorted(self.cleaned_data["working_days"]))

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
