"""One written equation: it must be readable and balance; one can have it balanced."""

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse

from stockroom.chemistry.reaction import EquationError, balance, imbalance, parse_equation

#: takes two columns of a row
WIDE = {"data-wide": ""}


class EquationInput(forms.TextInput):
    """An equation, with a button that balances it where it stands."""

    template_name = "report/widgets/equation.html"

    def get_context(self, name, value, attrs):
        context = super().get_context(name, value, attrs)
        context["widget"]["balance_at"] = reverse("demos:demonstration-balance")
        return context


class ReactionForm(forms.Form):
    equation = forms.CharField(max_length=300, widget=EquationInput(attrs=WIDE))
    note = forms.CharField(required=False, max_length=200, widget=forms.TextInput(attrs=WIDE))

    def clean_equation(self):
        text = self.cleaned_data["equation"]
        try:
            found = parse_equation(text)
        except EquationError as error:
            raise ValidationError(_sentence(error)) from error
        if unequal := imbalance(found):
            raise ValidationError(f"It does not balance: {unequal}.{_balanced(found)}")
        return text


def _sentence(error: EquationError) -> str:
    return f"{str(error)[:1].upper()}{str(error)[1:]}".rstrip(".") + "."


def _balanced(equation) -> str:
    try:
        return f" Balanced it reads {balance(equation)}"
    except EquationError as error:
        return f" {_sentence(error)}"


def balanced_field(name: str, text: str):
    """The field of one equation as it stands after balancing, or with what is wrong with it beside it."""
    prefix = name.removesuffix("-equation")
    try:
        found = parse_equation(text)
        new = balance(found)
    except EquationError as error:
        form = ReactionForm({name: text}, prefix=prefix)
        form.full_clean()
        form.errors.pop("equation", None)
        form.add_error("equation", _sentence(error))
        return form["equation"]
    form = ReactionForm(initial={"equation": new.plain()}, prefix=prefix)
    form.fields["equation"].help_text = "Balanced." if imbalance(found) else "It balances as it stands."
    return form["equation"]
