"""How a reagent is made up: the product, and the parts on the same screen."""

from django import forms
from django.core.exceptions import ValidationError

from stockroom.common.forms.edit_conflict import RowsTakenOutMixin, SinceOpenedMixin
from stockroom.inventory.forms.amount import AmountFormField, resolve_amount
from stockroom.inventory.forms.autocomplete import ReagentField
from stockroom.inventory.models import Preparation, PreparationPart
from stockroom.inventory.recipes import circles_of

MAX_LEAD_DAYS = 60


class PreparationForm(SinceOpenedMixin, forms.ModelForm):
    opened_with = ("parts",)
    reagent = ReagentField(label="Makes which reagent")
    yield_amount = AmountFormField(
        label="How much it makes", help_text="The parts below are for this amount."
    )

    class Meta:
        model = Preparation
        fields = ["reagent", "name", "yield_amount", "lead_days", "method"]
        widgets = {"method": forms.Textarea(attrs={"rows": 7})}
        help_texts = {
            "method": "One step a line. Acid into water, never the other way.",
            "lead_days": "Standing overnight is 1.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            shown = AmountFormField(measure=self.instance.reagent.measure)
            self.initial["yield_amount"] = shown.prepare_value(self.instance.yield_amount)

    def clean_reagent(self):
        reagent = self.cleaned_data["reagent"]
        if self.instance.pk and reagent.pk != self.instance.reagent_id and self.instance.batches.exists():
            raise ValidationError("It has been made up already: retire this preparation and write a new one.")
        return reagent

    def clean_lead_days(self):
        days = self.cleaned_data["lead_days"]
        if days > MAX_LEAD_DAYS:
            raise ValidationError(f"Enter at most {MAX_LEAD_DAYS} days.")
        return days

    def clean(self):
        data = super().clean()
        resolve_amount(self, "yield_amount", data.get("reagent"))
        return data


class PartForm(forms.ModelForm):
    reagent = ReagentField()
    amount = AmountFormField()

    class Meta:
        model = PreparationPart
        fields = ["reagent", "amount"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            shown = AmountFormField(measure=self.instance.reagent.measure)
            self.initial["amount"] = shown.prepare_value(self.instance.amount)

    def clean(self):
        data = super().clean()
        resolve_amount(self, "amount", data.get("reagent"))
        return data


class _Parts(RowsTakenOutMixin, forms.BaseInlineFormSet):
    def get_unique_error_message(self, unique_check):
        return "A reagent is listed twice: remove one row."

    def kept(self) -> list[PartForm]:
        return [
            form
            for form in self.forms
            if form.is_valid() and form.cleaned_data.get("reagent") and not form.cleaned_data.get("DELETE")
        ]

    def resolve_with(self, product) -> bool:
        """Check the parts against the product; False where a message was added beside a part."""
        asked = {form: form.cleaned_data["reagent"] for form in self.kept()}
        wrong = circles_of(product, asked.values(), without=self.instance)
        for form, part in asked.items():
            if part in wrong:
                form.add_error("reagent", wrong[part])
        return not any(form.errors for form in self.forms if form not in self.deleted_forms)


PartFormSet = forms.inlineformset_factory(
    Preparation,
    PreparationPart,
    form=PartForm,
    formset=_Parts,
    extra=2,
    max_num=20,
    absolute_max=40,
    validate_max=True,
    min_num=1,
    validate_min=True,
    can_delete_extra=False,
)
