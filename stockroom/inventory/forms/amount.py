"""Amounts in forms: text such as “2.5 L” in, the stored whole number out."""

from django import forms
from django.core.exceptions import ValidationError

from stockroom.chemistry.quantity import MAX_TEXT, QuantityError, format_amount, parse, parse_amount
from stockroom.inventory.models import Reagent

#: as many figures as a stored amount can have, so that showing and saving again changes nothing
EXACT = 28


class AmountFormField(forms.CharField):
    """An amount as people write it.

    With a `measure` the clean value is the stored int. Without one (the reagent is chosen in the same
    form) it is the text, known to be an amount, and the form's `clean` calls `settle_amount`.
    `least` is the smallest stored int allowed: 1, or 0 where nothing left is an answer.
    """

    def __init__(self, *, measure: str | None = None, density=None, least: int = 1, **kwargs):
        kwargs.setdefault("max_length", MAX_TEXT)
        super().__init__(**kwargs)
        self.measure, self.density, self.least = measure, density, least

    def measured_like(self, reagent: Reagent) -> None:
        """Read and show amounts of this reagent from now on."""
        self.measure, self.density = reagent.measure, reagent.density

    def widget_attrs(self, widget):
        return {**super().widget_attrs(widget), "autocomplete": "off"}

    def prepare_value(self, value):
        if isinstance(value, int):
            return format_amount(value, self.measure, figures=EXACT) if self.measure else ""
        return value

    def clean(self, value):
        text = super().clean(value)
        if text in self.empty_values:
            return None
        try:
            if self.measure is None:
                parse(text)
                return text
        except QuantityError as error:
            raise ValidationError(str(error)) from error
        return read_amount(text, self.measure, self.density, self.least)

    def has_changed(self, initial, data):
        return (self.prepare_value(initial) or "") != (data or "").strip()


def read_amount(text: str, measure: str, density=None, least: int = 1) -> int:
    """The stored int for `text`. Raises ValidationError with the message to show."""
    try:
        amount = parse_amount(text, measure, reagent_density_g_ml=density)
    except QuantityError as error:
        raise ValidationError(str(error)) from error
    if amount < least:
        raise ValidationError("Enter an amount greater than zero.")
    return amount


def settle_amount(form: forms.BaseForm, name: str, reagent: Reagent | None, least: int = 1) -> None:
    """Turn the text of field `name` into the stored int, now that the reagent is known."""
    text = form.cleaned_data.get(name)
    if reagent is None or not isinstance(text, str):
        return
    try:
        form.cleaned_data[name] = read_amount(text, reagent.measure, reagent.density, least)
    except ValidationError as error:
        form.add_error(name, error)
