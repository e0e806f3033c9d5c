"""Where what is left of a booking went: into which waste container, or down the drain under which letter."""

import datetime
from dataclasses import dataclass

from django import forms
from django.core.exceptions import ValidationError

from demos.models import Booking
from demos.report.residue import LeftOver, text_of
from stockroom.common.amount_field import Measure
from stockroom.common.forms.day import DayField, check_not_future
from stockroom.inventory import ledger
from stockroom.inventory.forms.amount import AmountFormField, read_amount
from stockroom.inventory.models import WasteContainer
from stockroom.inventory.stock import Words
from stockroom.safety.waste import WasteRules
from stockroom.waste import composition, sewer_discharge
from stockroom.waste.forms.waste import say_verdict
from stockroom.waste.models import DrainPermission
from stockroom.wording.days import day_text

DRAIN = "drain-"


@dataclass(frozen=True)
class Option:
    """One way to go. reasons: what speaks against it. words: those of the letter, for the drain.

    suits: whether the container is of the stream that the waste belongs to.
    """

    value: str
    title: str
    state: Words
    reasons: tuple[str, ...] = ()
    words: str = ""
    suits: bool = False


class LeftOverForm(forms.Form):
    """The rules are asked about every open container; what they refuse cannot be chosen away."""

    where = forms.ChoiceField(widget=forms.RadioSelect, label="Where it goes")
    amount = AmountFormField(help_text="As measured or judged, such as 350 mL.")
    ph = forms.DecimalField(
        label="pH, if measured", required=False, min_value=-2, max_value=16, max_digits=4, decimal_places=2
    )
    on = DayField(label="Put away on")
    vouched = forms.CharField(
        max_length=60,
        required=False,
        label="Reason for overriding the check",
        help_text="Only where the rules are in doubt and you know better.",
    )
    covered = forms.BooleanField(
        required=False, label="I have read the letter: its words cover this waste, and this much of it"
    )

    def __init__(
        self,
        data=None,
        *,
        booking: Booking,
        left: LeftOver,
        containers: list[WasteContainer],
        letters: list[sewer_discharge.Opening],
        rules: WasteRules,
        today: datetime.date,
    ):
        super().__init__(data)
        self.booking, self.left, self.rules, self.today = booking, left, rules, today
        self.containers = {str(row.pk): row for row in containers}
        self.letters = {f"{DRAIN}{one.letter.pk}": one for one in letters}
        if not letters:
            del self.fields["covered"]
        self.options = sorted((self._option(row) for row in containers), key=_safest_first)
        self.options += [_drain_option(key, one) for key, one in self.letters.items()]
        self.fields["where"].choices = [(one.value, one.title) for one in self.options]
        self.fields["amount"].initial = text_of(left)
        self.fields["on"].initial = today
        if self.options and self.options[0].state.tone == "good":
            self.fields["where"].initial = self.options[0].value

    def _option(self, container: WasteContainer) -> Option:
        amount = self.left.volume_ul if container.measure == Measure.VOLUME else 0
        verdict = composition.may_join(self.left.waste, container, amount, self.rules)
        state = Words("It suits", "good")
        if verdict.refused:
            state = Words("Not into this one", "bad")
        elif verdict.doubts:
            state = Words("In doubt", "warn")
        stream = composition.stream_name(container.stream)
        title = f"{container.code} {stream}: {container.contents_text} of {container.capacity_text}"
        return Option(
            str(container.pk),
            f"{title}, {container.location}",
            state,
            (*verdict.refused, *verdict.doubts),
            suits=container.stream == self.left.stream.key,
        )

    @property
    def chosen(self) -> str:
        return self["where"].value() or ""

    def clean_on(self):
        on = self.cleaned_data["on"]
        check_not_future(on, self.today)
        if on < self.booking.on:
            raise ValidationError(
                f"The class was on {day_text(self.booking.on)}: enter that day or a later one."
            )
        return on

    def clean(self):
        data = super().clean()
        if not self.errors:
            where = data["where"]
            if where in self.letters:
                self._check_drain()
            else:
                self._check_container(self.containers[where])
        return data

    def _read(self, measure: str) -> int | None:
        try:
            return read_amount(self.cleaned_data["amount"], measure)
        except ValidationError as error:
            self.add_error("amount", error)
            return None

    def _portion(self, volume_ul: int) -> LeftOver:
        ph = self.cleaned_data["ph"]
        return self.left.of_volume(volume_ul, None if ph is None else float(ph))

    def _check_container(self, container: WasteContainer) -> None:
        """A refusal stands; a doubt asks for a reason."""
        data = self.cleaned_data
        if data["on"] < container.started_on:
            self.add_error("on", f"{container} was started on {day_text(container.started_on)}.")
        amount = self._read(container.measure)
        if amount is None:
            return
        volume = amount if container.measure == Measure.VOLUME else self.left.volume_ul
        self.amount, self.waste = amount, self._portion(volume).waste
        verdict = composition.may_join(self.waste, container, amount, self.rules)
        say_verdict(self, "where", verdict, "Choose a container that suits, or say why it belongs there.")

    def _check_drain(self) -> None:
        """The rules once more with the pH as measured; the words of the letter are for a person to read."""
        data = self.cleaned_data
        self.amount = self._read(Measure.VOLUME)
        if data["ph"] is None:
            self.add_error("ph", "Measure it: nothing is poured without its pH.")
        elif wrong := sewer_discharge.refused_ph(data["ph"], self.rules):
            self.add_error("ph", wrong)
        if not data.get("covered"):
            self.add_error("covered", "Read the letter's words above and tick this, or collect the waste.")

    def post(self, who):
        """Raises LedgerError."""
        data = self.cleaned_data
        more = {"who": who, "on": data["on"], "ph": data["ph"], "belongs_to": self.booking}
        what = f"left of {self.booking.demonstration}, {self.booking.class_name}, {day_text(self.booking.on)}"
        if data["where"] in self.letters:
            letter: DrainPermission = self.letters[data["where"]].letter
            return sewer_discharge.pour(
                letter, self.amount, Measure.VOLUME, description=what, rules=self.rules, **more
            )
        if data["vouched"]:
            what = f"{what[:130]} (belongs here: {data['vouched']})"
        container = self.containers[data["where"]]
        return ledger.add_waste(
            container, self.amount, description=what, composition=composition.as_data(self.waste), **more
        )


def _safest_first(option: Option) -> tuple:
    return (("good", "warn", "bad").index(option.state.tone), not option.suits, option.title)


def _drain_option(value: str, opening: sewer_discharge.Opening) -> Option:
    title = f"To the drain, under the letter of {opening.letter}"
    first = "Neutralize it first" if opening.route.way == "neutralise" else "Only if the letter covers it"
    return Option(value, title, Words(first, "warn"), opening.route.steps, opening.letter.covers)
