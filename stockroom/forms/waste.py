"""Starting a waste container, and putting waste into one."""

import datetime

from django import forms
from django.core.exceptions import ValidationError

from stockroom import ledger, wasting
from stockroom.days import day_text
from stockroom.forms.amount import AmountFormField, read_amount
from stockroom.forms.day import DayField, check_not_future
from stockroom.forms.named import ReagentField
from stockroom.models import Location, Measure, Reagent, WasteContainer
from stockroom.safety.streams import streams
from stockroom.safety.waste import Waste


def stream_choices():
    yield "", "---------"
    for stream in streams().values():
        yield stream.key, f"{stream.name}: {stream.takes}"


class WasteStartForm(forms.Form):
    stream = forms.ChoiceField(choices=stream_choices, label="For which waste")
    measure = forms.ChoiceField(choices=Measure, initial=Measure.VOLUME, label="Measured")
    capacity = AmountFormField(label="How much it holds", help_text="Such as 5 L. It is full at nine tenths.")
    location = forms.ModelChoiceField(
        Location.objects.filter(retired_on=None),
        label="Where it stands",
        help_text="Near where the waste arises.",
    )
    started_on = DayField(label="Started on")
    note = forms.CharField(max_length=200, required=False)

    def __init__(self, *args, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["started_on"].initial = today

    def clean_started_on(self):
        check_not_future(self.cleaned_data["started_on"], self.today)
        return self.cleaned_data["started_on"]

    def clean(self):
        data = super().clean()
        text, measure = data.get("capacity"), data.get("measure")
        if text and measure:
            try:
                data["capacity"] = read_amount(text, measure)
            except ValidationError as error:
                self.add_error("capacity", error)
        return data

    def start(self) -> WasteContainer:
        """Raises LedgerError."""
        return ledger.open_waste(**self.cleaned_data)


def say_verdict(form: forms.Form, field: str | None, verdict, way_out: str) -> None:
    """Beside `field`: a refusal stands, a doubt asks for a reason in the form's `vouched`."""
    in_doubt = verdict.doubts and not form.cleaned_data["vouched"]
    for reason in (*verdict.refused, *(verdict.doubts if in_doubt else ())):
        form.add_error(field, reason)
    if in_doubt:
        form.add_error("vouched", way_out)


class AddWasteForm(forms.Form):
    """What goes in. A reagent says what it is made of; without one it counts as not known."""

    reagent = ReagentField(
        required=False,
        label="Which reagent is it",
        help_text="Leave it empty for a mixture, and describe that below.",
    )
    description = forms.CharField(
        max_length=120, required=False, help_text="What it is and where it comes from."
    )
    amount = AmountFormField()
    ph = forms.DecimalField(
        label="pH, if measured", required=False, min_value=-2, max_value=16, max_digits=4, decimal_places=2
    )
    on = DayField(label="Added on")
    vouched = forms.CharField(
        max_length=60,
        required=False,
        label="Why it belongs here all the same",
        help_text="Only where the rules are in doubt and you know better.",
    )

    def __init__(self, *args, container: WasteContainer, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.container, self.today = container, today
        self.fields["amount"].measure = container.measure
        self.fields["on"].initial = today

    def clean_on(self):
        on = self.cleaned_data["on"]
        check_not_future(on, self.today)
        if on < self.container.started_on:
            raise ValidationError(
                f"It was started on {day_text(self.container.started_on)}: enter that day or a later one."
            )
        return on

    def clean(self):
        data = super().clean()
        reagent = data.get("reagent")
        if not reagent and "reagent" not in self.errors and not data.get("description"):
            self.add_error("description", "Choose the reagent, or say what it is.")
        if not self.errors:
            self._judge(reagent)
        return data

    def _judge(self, reagent: Reagent | None) -> None:
        """Ask the rules. A refusal stands; a doubt asks for a reason."""
        data = self.cleaned_data
        self.waste = self._waste(reagent)
        verdict = wasting.may_join(self.waste, self.container, data["amount"])
        say_verdict(self, None, verdict, "Put it into a container that suits, or say why it belongs here.")

    def _waste(self, reagent: Reagent | None) -> Waste:
        data = self.cleaned_data
        ph = None if data["ph"] is None else float(data["ph"])
        volume = data["amount"] if self.container.measure == Measure.VOLUME else 0
        if reagent is None:
            return wasting.described(data["description"], volume, ph)
        try:
            amount = read_amount(self["amount"].data, reagent.measure, reagent.density)
        except ValidationError:
            # Measured one way on the shelf and another way here, without a density between them.
            return wasting.described(reagent.name, volume, ph, reagent)
        return wasting.of_reagent(reagent, amount, ph)

    def post(self, who):
        """Raises LedgerError."""
        data = self.cleaned_data
        words = [str(data["reagent"] or ""), data["description"]]
        words = [": ".join(word for word in words if word)]
        if data["vouched"]:
            words.append(f"(belongs here: {data['vouched']})")
        return ledger.add_waste(
            self.container,
            data["amount"],
            description=" ".join(words),
            who=who,
            on=data["on"],
            ph=data["ph"],
            composition=wasting.as_data(self.waste),
        )


class CollectedForm(forms.Form):
    on = DayField(label="Collected on")
    by = forms.CharField(max_length=120, label="By whom", help_text="The licensed contractor or authority.")

    def __init__(self, *args, container: WasteContainer, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.container, self.today = container, today
        self.fields["on"].initial = today

    def clean_on(self):
        on = self.cleaned_data["on"]
        check_not_future(on, self.today)
        last = self.container.entries.order_by("-added_on").values_list("added_on", flat=True).first()
        if on < (last or self.container.started_on):
            raise ValidationError("Waste was added after that day: enter a later one.")
        return on
