"""The questions of the bench calculator, one form a tool. All are asked in the address: nothing is saved."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from stockroom.chemistry.concentration import BARE_UNITS, parse_strength
from stockroom.chemistry.quantity import (
    SUBSTANCE,
    VOLUME,
    QuantityError,
    measure_of,
    parse,
    ureg,
)
from stockroom.inventory.forms.amount import AmountFormField, resolve_amount
from stockroom.inventory.forms.autocomplete import ReagentField
from stockroom.inventory.models import Reagent
from stockroom.preparation import bench

#: a liter at a time is bench work; more than this is not
MOST_VOLUME = 50_000_000


class StrengthFormField(forms.CharField):
    """A strength as people write it, "0.1 mol/L" or "5 % w/v"; clean value: concentration.Strength."""

    def __init__(self, **kwargs):
        kwargs.setdefault("help_text", "For example 0.1 mol/L, 5 % w/v or 20 g/L.")
        super().__init__(max_length=60, **kwargs)

    def clean(self, value):
        text = super().clean(value)
        try:
            strength = parse_strength(text)
        except QuantityError as error:
            raise ValidationError(str(error)) from error
        if strength.unit in BARE_UNITS:
            raise ValidationError("Write a number and a unit, such as 0.1 mol/L.")
        return strength


def _reagents():
    rows = Reagent.objects.filter(retired_on=None).select_related("solvent")
    return rows.prefetch_related(*bench.PREFETCH)


class ToolForm(forms.Form):
    """A tool of the bench. lead: what it does. blames: the field that a refused answer is about."""

    lead = ""
    blames = "reagent"

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, ReagentField):
                field.queryset = _reagents()

    def resolve(self, name: str, reagent: Reagent | None) -> None:
        """Turn the amount of field `name` into the stored int; moles are of the reagent's own chemical."""
        text = self.cleaned_data.get(name)
        quantity = parse(text).quantity if isinstance(text, str) else None
        if reagent is None or quantity is None or measure_of(quantity) != SUBSTANCE:
            resolve_amount(self, name, reagent)
            return
        try:
            mol = Decimal(str(quantity.to(ureg.mole).magnitude))
            self.cleaned_data[name] = bench.amount_of(reagent, mol)
        except bench.BenchError as error:
            self.add_error(name, str(error))

    def reckon(self) -> bench.Answer:
        raise NotImplementedError

    def answer(self) -> bench.Answer | None:
        """The answer to a valid form; None where chemistry refuses, with the message beside its field."""
        try:
            return self.reckon()
        except bench.BenchError as error:
            self.add_error("reagent", str(error))
        except QuantityError as error:
            self.add_error(self.blames, str(error))
        return None


class _MakeForm(ToolForm):
    blames = "strength"

    def clean_volume(self):
        volume = self.cleaned_data["volume"]
        if volume > MOST_VOLUME:
            raise ValidationError("That is more than 50 L: make it in several lots.")
        return volume


class DiluteForm(_MakeForm):
    lead = "A weaker solution from one on the shelf, with water or with a weaker one of the same chemical."

    reagent = ReagentField(label="From")
    strength = StrengthFormField(label="To the strength")
    volume = AmountFormField(label="How much", measure=VOLUME)
    weaker = ReagentField(label="With", required=False, help_text="Empty: with water.")
    as_asked = forms.BooleanField(label="Exact volume, do not round up", required=False)

    def reckon(self):
        got = self.cleaned_data
        return bench.dilute(
            got["reagent"], got["strength"], got["volume"], got["weaker"], round_up=not got["as_asked"]
        )


class DissolveForm(_MakeForm):
    lead = (
        "A solution in water from a solid. Percent and g/L are of the solid as weighed, its water included."
    )

    reagent = ReagentField(label="Solid")
    strength = StrengthFormField(label="To the strength")
    volume = AmountFormField(label="How much", measure=VOLUME)
    as_asked = forms.BooleanField(label="Exact volume, do not round up", required=False)

    def reckon(self):
        got = self.cleaned_data
        return bench.dissolve(got["reagent"], got["strength"], got["volume"], round_up=not got["as_asked"])


class ConvertForm(ToolForm):
    lead = "An amount of a reagent as mass, volume and moles, and its strength in every unit."

    reagent = ReagentField()
    amount = AmountFormField(label="How much", help_text="For example 25 g, 100 mL or 0.1 mol.")

    def clean(self):
        got = super().clean()
        self.resolve("amount", got.get("reagent"))
        return got

    def reckon(self):
        return bench.convert_amount(self.cleaned_data["reagent"], self.cleaned_data["amount"])


class NeutraliseForm(ToolForm):
    lead = "How much of what brings a solution into a range of pH."

    reagent = ReagentField(label="What")
    amount = AmountFormField(label="How much")
    ph = forms.FloatField(
        label="pH measured", required=False, min_value=-1, max_value=15, help_text="Empty: it is worked out."
    )
    low = forms.FloatField(label="Not below pH", min_value=0, max_value=14, initial=6)
    high = forms.FloatField(label="Not above pH", min_value=0, max_value=14, initial=9)

    def clean(self):
        got = super().clean()
        self.resolve("amount", got.get("reagent"))
        if got.get("low") is not None and got.get("high") is not None and got["low"] >= got["high"]:
            self.add_error("high", "This must be above the lower one: 6 to 9, for example.")
        return got

    def reckon(self):
        got = self.cleaned_data
        return bench.neutralise(got["reagent"], got["amount"], got["ph"], got["low"], got["high"])


class MixForm(ToolForm):
    lead = "What happens on pouring two or three together, in this order."

    reagent = ReagentField(label="First")
    amount = AmountFormField(label="How much")
    second = ReagentField(label="Then")
    second_amount = AmountFormField(label="How much")
    third = ReagentField(label="And then", required=False)
    third_amount = AmountFormField(label="How much", required=False)

    def clean(self):
        got = super().clean()
        for name, amount in (("reagent", "amount"), ("second", "second_amount"), ("third", "third_amount")):
            self.resolve(amount, got.get(name))
        if got.get("third") and not got.get("third_amount") and "third_amount" not in self.errors:
            self.add_error("third_amount", "Say how much of it.")
        if got.get("third_amount") and not got.get("third") and "third" not in self.errors:
            self.add_error("third", "Say of what.")
        return got

    def reckon(self):
        got = self.cleaned_data
        portions = [(got["reagent"], got["amount"]), (got["second"], got["second_amount"])]
        if got["third"]:
            portions.append((got["third"], got["third_amount"]))
        return bench.mix(portions)


#: slug of the address -> (label, form)
TOOLS = {
    "dilute": ("Dilute", DiluteForm),
    "dissolve": ("Dissolve", DissolveForm),
    "convert": ("Convert", ConvertForm),
    "neutralise": ("Neutralize", NeutraliseForm),
    "mix": ("Mix", MixForm),
}
