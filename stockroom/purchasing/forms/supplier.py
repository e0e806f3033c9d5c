"""Suppliers and their offers."""

from django import forms
from django.core.exceptions import ValidationError

from stockroom.common.forms.day import DayField, check_not_future
from stockroom.common.forms.edit_conflict import SinceOpenedMixin
from stockroom.inventory.forms.amount import AmountFormField, resolve_amount
from stockroom.inventory.forms.autocomplete import ReagentField
from stockroom.inventory.models import Offer, Supplier


class SupplierForm(SinceOpenedMixin, forms.ModelForm):
    class Meta:
        model = Supplier
        fields = ["name", "account", "email", "phone", "note"]

    def clean_name(self):
        name = " ".join(self.cleaned_data["name"].split())
        if Supplier.objects.filter(name__iexact=name).exclude(pk=self.instance.pk).exists():
            raise ValidationError(f"There is a supplier “{name}” already: change that one.")
        return name


class OfferForm(SinceOpenedMixin, forms.ModelForm):
    reagent = ReagentField()
    pack_amount = AmountFormField(label="Pack size", help_text="What one pack holds, such as 2.5 L.")
    price_date = DayField(required=False, label="Price as of")

    class Meta:
        model = Offer
        fields = [
            "supplier",
            "reagent",
            "catalogue_number",
            "pack_amount",
            "price",
            "lead_days",
            "price_date",
        ]

    def __init__(self, *args, today, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["supplier"].queryset = Supplier.objects.filter(retired_on=None)
        self.fields["lead_days"].max_value = 730
        if self.instance.pk:
            reagent = self.instance.reagent
            shown = AmountFormField(measure=reagent.measure).prepare_value(self.instance.pack_amount)
            self.initial["pack_amount"] = shown

    def clean_price_date(self):
        check_not_future(self.cleaned_data["price_date"], self.today)
        return self.cleaned_data["price_date"]

    def clean_lead_days(self):
        days = self.cleaned_data["lead_days"]
        if days > 730:
            raise ValidationError("Enter at most 730 days.")
        return days

    def clean(self):
        data = super().clean()
        resolve_amount(self, "pack_amount", data.get("reagent"))
        same = {name: data.get(name) for name in ("supplier", "reagent", "catalogue_number", "pack_amount")}
        if not self.errors and Offer.objects.filter(**same).exclude(pk=self.instance.pk).exists():
            raise ValidationError("This offer is listed already: change that one.")
        return data
