"""Which ingredient, and what instead of it."""

from django import forms

from demos.models import Ingredient
from stockroom.inventory.forms.autocomplete import ReagentField
from stockroom.inventory.models import Reagent


class InsteadForm(forms.Form):
    ingredient = forms.ModelChoiceField(
        Ingredient.objects.none(), label="Instead of", empty_label="Choose one"
    )
    reagent = ReagentField(label="Will this do")

    def __init__(self, *args, demonstration, **kwargs):
        super().__init__(*args, **kwargs)
        rows = demonstration.ingredients.select_related("reagent")
        self.fields["ingredient"].queryset = rows
        self.fields["ingredient"].label_from_instance = lambda row: row.reagent.name
        self.fields["reagent"].queryset = Reagent.objects.filter(retired_on=None)

    def clean(self):
        got = super().clean()
        if got.get("ingredient") and got.get("ingredient").reagent == got.get("reagent"):
            self.add_error("reagent", "This is what it takes already: name another.")
        return got
