"""Starting a waste container, and putting waste into one."""

import datetime
import re

from django import forms
from django.core.exceptions import ValidationError

from stockroom.common.amount_field import Measure
from stockroom.common.forms.day import DayField, check_not_future
from stockroom.inventory import ledger
from stockroom.inventory.forms.amount import AmountFormField, read_amount
from stockroom.inventory.forms.autocomplete import ReagentField
from stockroom.inventory.models import Location, Reagent, WasteContainer
from stockroom.safety.streams import APART, streams
from stockroom.safety.waste import Waste
from stockroom.waste import composition
from stockroom.wording.days import day_text

#: lines of a mixture that one entry tells
MOST_PARTS = 12


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
    """Beside `field`: a refusal stands; a doubt alone asks for a reason in the form's `vouched`."""
    in_doubt = verdict.doubts and not form.cleaned_data["vouched"]
    for reason in (*verdict.refused, *(verdict.doubts if in_doubt else ())):
        form.add_error(field, reason)
    if in_doubt and not verdict.refused:
        form.add_error("vouched", way_out)


class HoldsField(forms.CharField):
    """Reagents with amounts, one a line: “50 mL of sodium chloride 0.1 mol/L”. Clean value: pairs."""

    _LINE = re.compile(r"(?P<amount>\d[\d.,]*\s*[a-zA-Zµ]+)\s+(?:of\s+)?(?P<name>\S.*)")

    def __init__(self, **kwargs):
        kwargs.setdefault("widget", forms.Textarea(attrs={"rows": 4}))
        super().__init__(max_length=2_000, required=False, **kwargs)

    def clean(self, value):
        lines = [line.strip() for line in super().clean(value).splitlines() if line.strip()]
        if len(lines) > MOST_PARTS:
            raise ValidationError(f"At most {MOST_PARTS} lines: leave out what is there in traces only.")
        return [self._part(number, line) for number, line in enumerate(lines, start=1)]

    def _part(self, number: int, line: str) -> tuple[Reagent, int]:
        match = self._LINE.fullmatch(line)
        if not match:
            raise ValidationError(
                f"Line {number}: write the amount first, then the reagent, such as “50 mL of vinegar”."
            )
        try:
            reagent = ReagentField().clean(match["name"])
            return reagent, read_amount(match["amount"], reagent.measure, reagent.density)
        except ValidationError as error:
            raise ValidationError(f"Line {number}: {' '.join(error.messages)}") from error


def vouched_choices():
    """What a person may vouch for: the streams of wastes that are told by what they are for."""
    yield "", "Contents unknown: keep it by itself"
    for stream in streams().values():
        if stream.key != APART:
            yield stream.key, f"{stream.name}: {stream.takes}"


class AddWasteForm(forms.Form):
    """What goes in, told one way: a reagent, what it holds, what a person vouches for, or not at all."""

    reagent = ReagentField(
        required=False,
        label="Which reagent is it",
        help_text="Leave it empty for a mixture, and list below what that holds.",
    )
    holds = HoldsField(
        label="What the mixture holds",
        help_text="One reagent a line, the amount first: 50 mL of sodium chloride 0.1 mol/L.",
    )
    kind = forms.ChoiceField(
        choices=vouched_choices,
        required=False,
        label="If you cannot list it: what you vouch that it is",
        help_text="Measure its pH too. What nobody can name is treated as hazardous: contents unknown.",
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
        label="Reason for overriding the check",
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
        told = [name for name in ("reagent", "holds", "kind") if data.get(name)]
        if not self.errors and not told and not data.get("description"):
            self.add_error("description", "Choose the reagent, or say what it is.")
        if len(told) > 1:
            self.add_error(
                told[1], "Describe it one way only: the reagent, what it holds, or what you vouch for."
            )
        if data.get("kind") and data.get("ph") is None and streams()[data["kind"]].ph:
            self.add_error("ph", "Measure it: what nobody can list is judged by its pH.")
        if not self.errors:
            self._judge()
        return data

    def _judge(self) -> None:
        """Ask the rules. A refusal stands; a doubt asks for a reason."""
        self.waste = self._waste()
        verdict = composition.may_join(self.waste, self.container, self.cleaned_data["amount"])
        say_verdict(self, None, verdict, "Put it into a container that suits, or say why it belongs here.")

    def _waste(self) -> Waste:
        data = self.cleaned_data
        ph = None if data["ph"] is None else float(data["ph"])
        volume = data["amount"] if self.container.measure == Measure.VOLUME else 0
        if data["holds"]:
            return composition.of_several(data["holds"], volume, ph)
        if data["kind"]:
            return composition.vouched(data["kind"], volume, ph)
        reagent = data["reagent"]
        if reagent is None:
            return composition.described(data["description"], volume, ph)
        try:
            amount = read_amount(self["amount"].data, reagent.measure, reagent.density)
        except ValidationError:
            # Measured one way on the shelf and another way here, without a density between them.
            return composition.described(reagent.name, volume, ph, reagent)
        return composition.of_reagent(reagent, amount, ph)

    def _words(self) -> str:
        """What the log calls it."""
        data = self.cleaned_data
        parts = ", ".join(str(reagent) for reagent, _ in data["holds"])
        kind = f"{composition.stream_name(data['kind'])}, vouched for" if data["kind"] else ""
        words = [str(data["reagent"] or ""), parts, kind, data["description"]]
        return ": ".join(word for word in words if word)[:120]

    def post(self, who):
        """Raises LedgerError."""
        data = self.cleaned_data
        words = [self._words()]
        if data["vouched"]:
            words.append(f"(belongs here: {data['vouched']})")
        return ledger.add_waste(
            self.container,
            data["amount"],
            description=" ".join(words),
            who=who,
            on=data["on"],
            ph=data["ph"],
            composition=composition.as_data(self.waste),
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
