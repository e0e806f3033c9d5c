"""Hazard classes of a reagent with where they come from, and safety data sheets."""

from itertools import groupby

from django import forms
from django.core.exceptions import ValidationError

from stockroom.common.forms.day import DayField, check_not_future
from stockroom.common.forms.edit_conflict import RowsTakenOutMixin
from stockroom.common.forms.verified import CheckedMixin
from stockroom.hazards.models import ReagentHazard, SafetyDataSheet
from stockroom.inventory.models import Reagent, Supplier
from stockroom.safety.label import HAZARD_CLASSES


def class_choices():
    """Every GHS class with its categories, grouped as the table has them."""
    yield "", "---------"
    for name, rows in groupby(HAZARD_CLASSES.values(), key=lambda row: row.class_name):
        yield name, [(row.key, f"{row.name}: {row.statement}" if row.statement else row.name) for row in rows]


class HazardForm(CheckedMixin, forms.ModelForm):
    hazard_class = forms.ChoiceField(choices=class_choices, widget=forms.Select(attrs={"data-wide": ""}))

    hazard_fields = ("hazard_class", "source")

    class Meta:
        model = ReagentHazard
        fields = ["hazard_class", "source"]

    def __init__(self, *args, may_check: bool, **kwargs):
        super().__init__(*args, **kwargs)
        self.offer_check(may_check)


class _Hazards(RowsTakenOutMixin, forms.BaseInlineFormSet):
    def get_unique_error_message(self, unique_check):
        return "This class is listed twice: remove one row."

    def kept(self) -> int:
        """Rows that stand after saving."""
        return sum(
            1
            for form in self.forms
            if form.is_valid()
            and (form.instance.pk or form.has_changed())
            and not form.cleaned_data.get("DELETE")
        )


HazardFormSet = forms.inlineformset_factory(
    Reagent,
    ReagentHazard,
    form=HazardForm,
    formset=_Hazards,
    extra=1,
    max_num=40,
    absolute_max=80,
    validate_max=True,
    can_delete_extra=False,
)


class HazardStateForm(forms.Form):
    """Which of three is true. “None applies” is a finding and needs a source and a check; silence is not."""

    STATES = (
        (Reagent.HazardState.CLASSIFIED, "The classes below apply"),
        (Reagent.HazardState.NONE, "It was looked up, and no hazard class applies"),
        (Reagent.HazardState.UNKNOWN, "Not classified yet: treat as hazardous"),
    )
    state = forms.ChoiceField(choices=STATES, widget=forms.RadioSelect, label="Hazards")
    source = forms.CharField(
        max_length=200,
        required=False,
        label="Source, where none applies",
        help_text="Supplier's sheet with its date, or the published table.",
    )
    check = forms.BooleanField(
        required=False, label="I have the supplier's sheet in hand and it names no class"
    )

    def __init__(self, *args, may_check: bool, **kwargs):
        super().__init__(*args, **kwargs)
        self.may_check = may_check

    def clean(self):
        data = super().clean()
        if data.get("state") == Reagent.HazardState.NONE:
            if not data.get("source"):
                self.add_error("source", "Say where you read that no hazard class applies.")
            if not (data.get("check") and self.may_check):
                self.add_error(
                    "check",
                    "This needs the supplier's sheet in hand: without it, leave “not classified yet”.",
                )
        return data

    def resolve_with(self, rows: int) -> None:
        """Compare the answer with the number of classes given; adds an error where they disagree."""
        state = self.cleaned_data.get("state")
        if state == Reagent.HazardState.CLASSIFIED and not rows:
            self.add_error("state", "Choose at least one class below, or another answer.")
        elif state and state != Reagent.HazardState.CLASSIFIED and rows:
            self.add_error("state", "There are classes below: remove them first, or say that they apply.")


class SheetForm(CheckedMixin, forms.ModelForm):
    revision_date = DayField(required=False, help_text="As printed on the sheet.")

    hazard_fields = ("supplier", "revision_date", "file")

    class Meta:
        model = SafetyDataSheet
        fields = ["supplier", "revision_date", "file", "note"]
        labels = {"file": "The sheet as a PDF"}
        widgets = {"file": forms.FileInput(attrs={"accept": "application/pdf,.pdf"})}
        help_texts = {"file": "8 MB at most. Without it, note where the paper copy is."}

    def __init__(self, *args, may_check: bool, today, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["supplier"].queryset = Supplier.objects.filter(retired_on=None)
        if self.instance.file:
            # A sheet that people may have checked is never swapped: a revision is a new record.
            del self.fields["file"]
        self.offer_check(may_check)

    def clean_revision_date(self):
        check_not_future(self.cleaned_data["revision_date"], self.today)
        return self.cleaned_data["revision_date"]

    def clean(self):
        data = super().clean()
        if not self.errors and not (data.get("file") or self.instance.file or data.get("note")):
            raise ValidationError("Choose the PDF, or say in the note where the paper sheet is.")
        return data
