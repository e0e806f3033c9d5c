"""The department's own limits, set by the head."""

from itertools import groupby

from django import forms

from stockroom.chemistry.quantity import format_amount
from stockroom.inventory.forms.amount import EXACT, AmountFormField, read_amount
from stockroom.safety.label import HAZARD_CLASSES
from stockroom.safety.storage import reactivity_groups
from stockroom.storage.models import DepartmentLimit

#: say nothing of what a thing does
_PLAIN = ("inert", "solid", "aqueous")


def _groups():
    return [
        (key, f"{key.replace('_', ' ')}: {text}")
        for key, text in reactivity_groups().items()
        if key not in _PLAIN
    ]


def _classes():
    for name, rows in groupby(HAZARD_CLASSES.values(), key=lambda row: row.class_name):
        yield name, [(row.key, row.name) for row in rows]


class DepartmentLimitForm(forms.ModelForm):
    most = AmountFormField(
        label="At most", least=0, help_text="Such as 5 L or 500 g. With a zero: none of it may be there."
    )
    groups = forms.MultipleChoiceField(
        choices=_groups,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Counts what is one of these",
    )
    hazards = forms.MultipleChoiceField(
        choices=_classes,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Counts what has one of these hazard classes",
    )

    class Meta:
        model = DepartmentLimit
        fields = ["name", "most", "measure", "scope", "reason", "groups", "hazards"]
        help_texts = {"measure": "Only what is measured so is added up."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial["most"] = format_amount(self.instance.most, self.instance.measure, figures=EXACT)

    def clean(self):
        data = super().clean()
        if isinstance(data.get("most"), str) and data.get("measure"):
            try:
                data["most"] = read_amount(data["most"], data["measure"], least=0)
            except forms.ValidationError as error:
                self.add_error("most", error)
        if not data.get("groups") and not data.get("hazards"):
            self.add_error("groups", "Choose what it counts: at least one of these, or a hazard class below.")
        return data
