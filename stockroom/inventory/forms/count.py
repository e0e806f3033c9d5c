"""Starting a count, and writing down what was found."""

from django import forms

from stockroom.inventory import counting
from stockroom.inventory.forms.amount import AmountFormField
from stockroom.inventory.models import CountLine, Location


class CountStartForm(forms.Form):
    location = forms.ModelChoiceField(
        Location.objects.filter(retired_on=None), label="Which place", help_text="With every part of it."
    )
    note = forms.CharField(max_length=200, required=False)


class CountForm(forms.Form):
    """An amount and a note for each line. An empty amount is not counted yet; zero needs its unit."""

    def __init__(self, *args, lines: list[CountLine], **kwargs):
        super().__init__(*args, **kwargs)
        self.lines = lines
        for line in lines:
            container = line.container
            amount = AmountFormField(
                measure=container.reagent.measure,
                density=container.reagent.density,
                least=0,
                required=False,
                initial=line.counted,
                label=f"Counted in {container.code}",
            )
            note = forms.CharField(
                max_length=120, required=False, initial=line.note, label=f"Note on {container.code}"
            )
            self.fields[f"amount-{line.pk}"], self.fields[f"note-{line.pk}"] = amount, note

    def rows(self):
        """(line, amount field, note field) in the order of the shelves."""
        return [(line, self[f"amount-{line.pk}"], self[f"note-{line.pk}"]) for line in self.lines]

    def save(self) -> int:
        """Write what was changed; the number of lines written."""
        written = 0
        for line in self.lines:
            amount, note = self.cleaned_data[f"amount-{line.pk}"], self.cleaned_data[f"note-{line.pk}"]
            if amount != line.counted or note != line.note:
                counting.write(line, amount, note)
                written += 1
        return written
