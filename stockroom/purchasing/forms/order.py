"""The reorder list and orders."""

import datetime

from django import forms
from django.core.exceptions import ValidationError
from django.utils.html import format_html

from stockroom.common.forms.day import DayField, check_not_future
from stockroom.handling.forms.container import material_field
from stockroom.inventory.models import Container, Location, Offer
from stockroom.purchasing import receiving
from stockroom.purchasing.models import Budget, Order, OrderLine
from stockroom.purchasing.reorder import Proposal
from stockroom.storage.forms.advice import PlacedMixin

MOST_PACKS = 999


class PacksForm(forms.Form):
    """How many packs of each proposed offer, and of any other offer of the same reagents."""

    def __init__(self, data=None, *, proposals: list[Proposal]):
        super().__init__(data)
        self.proposals = proposals
        for proposal in proposals:
            for buy in proposal.buys:
                self.fields[f"offer-{buy.offer.pk}"] = forms.IntegerField(
                    label=f"Packs of {buy.offer}",
                    min_value=0,
                    max_value=MOST_PACKS,
                    initial=buy.packs,
                    widget=forms.NumberInput(attrs={"class": "packs"}),
                )

    def wanted(self) -> dict[Offer, tuple[int, datetime.date | None, str]]:
        """What `reorder.draw_up` takes."""
        return {
            buy.offer: (
                self.cleaned_data[f"offer-{buy.offer.pk}"],
                proposal.needed_on,
                proposal.reason,
            )
            for proposal in self.proposals
            for buy in proposal.buys
        }


class OrderLineForm(forms.ModelForm):
    """A line of an order that is still being drawn up. Price and pack come from the offer."""

    class Meta:
        model = OrderLine
        fields = ["offer", "packs"]

    def __init__(self, *args, order: Order, **kwargs):
        super().__init__(*args, **kwargs)
        self.order = order
        self.fields["packs"].max_value = MOST_PACKS
        self.fields["packs"].widget = forms.NumberInput(attrs={"min": 1, "max": MOST_PACKS})
        self.fields["offer"].required = True
        self.fields["offer"].queryset = Offer.objects.filter(
            supplier=order.supplier, retired_on=None
        ).select_related("reagent", "supplier")
        self.fields["offer"].label_from_instance = lambda offer: (
            f"{offer.reagent}, {offer.pack_text}, {offer.price}"
        )

    def clean_packs(self):
        packs = self.cleaned_data["packs"]
        if not 1 <= packs <= MOST_PACKS:
            raise ValidationError(f"Enter 1 to {MOST_PACKS} packs.")
        return packs

    def save(self, commit=True):
        offer = self.cleaned_data["offer"]
        line = self.instance
        line.order, line.reagent = self.order, offer.reagent
        line.pack_amount, line.unit_price = offer.pack_amount, offer.price
        return super().save(commit)


class OrderedForm(forms.Form):
    ordered_on = DayField(label="Ordered on")
    expected_on = DayField(label="Expected on")

    def __init__(self, *args, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_ordered_on(self):
        check_not_future(self.cleaned_data["ordered_on"], self.today)
        return self.cleaned_data["ordered_on"]

    def clean(self):
        data = super().clean()
        on, expected = data.get("ordered_on"), data.get("expected_on")
        if on and expected and expected < on:
            self.add_error("expected_on", "It cannot come before it is ordered: enter a later day.")
        return data


class ReceiveLineForm(PlacedMixin):
    """Packs of one line that have come: each becomes a container."""

    packs = forms.IntegerField(label="Packs received", min_value=1, max_value=MOST_PACKS)
    location = forms.ModelChoiceField(
        Location.objects.filter(retired_on=None), label="Stands in", help_text="The safest first."
    )
    lot = forms.CharField(label="Lot", required=False, max_length=60)
    expires_on = DayField(label="Expires (as marked)", required=False)
    opened_on = DayField(label="Opened on, if it is open already", required=False)
    material = material_field()
    note = forms.CharField(max_length=200, required=False)
    on = DayField(label="Received on")

    def __init__(self, *args, line: OrderLine, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.line, self.today = line, today
        self.fields["packs"].help_text = format_html("{} still to come.", line.open_packs)
        self.offer_places(line.reagent)

    def clean_packs(self):
        packs = self.cleaned_data["packs"]
        if packs > self.line.open_packs:
            raise ValidationError(
                f"Only {self.line.open_packs} of these packs are still to come: enter that or fewer."
            )
        return packs

    def clean_on(self):
        check_not_future(self.cleaned_data["on"], self.today)
        return self.cleaned_data["on"]

    def clean_opened_on(self):
        check_not_future(self.cleaned_data["opened_on"], self.today)
        return self.cleaned_data["opened_on"]

    def clean_expires_on(self):
        expires = self.cleaned_data["expires_on"]
        if expires and expires < self.today:
            raise ValidationError("It has expired already: send it back, or check the date.")
        return expires

    def clean(self):
        data = super().clean()
        self.check_place(self.line.reagent)
        return data

    def post(self, who) -> list[Container]:
        """Put them on the shelf. Raises OrderError or LedgerError."""
        data = self.cleaned_data
        told = {name: data[name] for name in ("on", "lot", "expires_on", "opened_on", "material", "note")}
        return receiving.receive_packs(self.line, data["packs"], who=who, location=data["location"], **told)


class BudgetForm(forms.ModelForm):
    start = DayField(label="From")
    end = DayField(label="To")

    class Meta:
        model = Budget
        fields = ["name", "start", "end", "amount"]

    def clean(self):
        data = super().clean()
        start, end = data.get("start"), data.get("end")
        if start and end and end < start:
            self.add_error("end", "It ends before it starts: enter a later day.")
        return data
