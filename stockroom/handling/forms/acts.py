"""Forms of the acts that write the ledger. Each says what it needs; the ledger has the last word."""

import datetime

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils.html import format_html

from stockroom.common.forms.day import DayField, check_not_future
from stockroom.handling.forms.container import material_field
from stockroom.inventory import ledger
from stockroom.inventory.ageing_items import forbidding, untouchable
from stockroom.inventory.forms.amount import AmountFormField, resolve_amount
from stockroom.inventory.forms.autocomplete import ReagentField
from stockroom.inventory.models import Container, LedgerError, Location, Supplier, WasteContainer
from stockroom.storage.forms.advice import PlacedMixin
from stockroom.waste import composition, sewer_discharge
from stockroom.wording.days import day_text

MAX_AT_ONCE = 50
#: what is written down of a container when it comes, beside how much of what and where
RECEIVED = ("lot", "supplier", "on", "expires_on", "opened_on", "material", "note")


PLACES = Location.objects.filter(retired_on=None)


class ReceiveForm(PlacedMixin):
    """One delivery of equal containers."""

    reagent = ReagentField()
    amount = AmountFormField(label="In each container", help_text="As on the label, such as 2.5 L or 500 g.")
    how_many = forms.IntegerField(label="How many containers", min_value=1, max_value=MAX_AT_ONCE, initial=1)
    location = forms.ModelChoiceField(
        PLACES, label="Into which place", help_text="The safest first, once the reagent is chosen."
    )
    lot = forms.CharField(max_length=60, required=False, help_text="Lot or batch number on the label.")
    supplier = forms.ModelChoiceField(Supplier.objects.filter(retired_on=None), required=False)
    on = DayField(label="Received on")
    expires_on = DayField(label="Expires (as marked)", required=False)
    opened_on = DayField(label="Opened on, if it is open already", required=False)
    material = material_field()
    note = forms.CharField(max_length=200, required=False)

    def __init__(self, *args, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["on"].initial = today
        self.fields["reagent"].widget.attrs |= {
            "hx-get": reverse("receive-places"),
            "hx-trigger": "change",
            "hx-target": "#id_location",
            "hx-swap": "outerHTML",
            "hx-include": "[name=location]",
        }

    def clean_on(self):
        check_not_future(self.cleaned_data["on"], self.today)
        return self.cleaned_data["on"]

    def clean_opened_on(self):
        check_not_future(self.cleaned_data["opened_on"], self.today)
        return self.cleaned_data["opened_on"]

    def clean(self):
        data = super().clean()
        resolve_amount(self, "amount", data.get("reagent"))
        on, expires, opened = data.get("on"), data.get("expires_on"), data.get("opened_on")
        if on and expires and expires < on:
            self.add_error("expires_on", "It had expired when it came: check both days.")
        if on and opened and opened < on:
            self.add_error("opened_on", "It cannot have been opened before it came: check both days.")
        if data.get("reagent"):
            self.offer_places(data["reagent"])
        self.check_place(data.get("reagent"))
        return data

    def post(self, who) -> list[Container]:
        """Receive them all or none. Raises LedgerError."""
        data = self.cleaned_data
        fields = {name: data[name] for name in RECEIVED}
        return [
            ledger.receive(data["reagent"], data["location"], data["amount"], who=who, **fields)
            for _ in range(data["how_many"])
        ]


class ActForm(forms.Form):
    """An act on one container. Subclasses name the act and post it."""

    title = button = permission = ""
    #: where the ledger's refusal is shown
    blamed = None
    danger = False

    def __init__(self, *args, container: Container, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.container, self.today = container, today
        if "amount" in self.fields:
            self.fields["amount"].measured_like(container.reagent)
        if "on" in self.fields:
            self.fields["on"].initial = today
        next(iter(self.fields.values())).widget.attrs["autofocus"] = True

    def clean_on(self):
        on = self.cleaned_data["on"]
        check_not_future(on, self.today)
        received = self.container.received_on
        if on < received:
            raise ValidationError(f"It came on {day_text(received)}: enter that day or a later one.")
        return on

    def post(self, who):
        raise NotImplementedError

    def refuse(self, error: LedgerError) -> None:
        self.add_error(self.blamed if self.blamed in self.fields else None, str(error))


class DrawForm(ActForm):
    title, button, permission, blamed = "Draw from", "Draw it", "stockroom.draw_stock", "amount"

    amount = AmountFormField(help_text="Such as 250 mL or 12.5 g.")
    why = forms.CharField(max_length=200, label="What for")
    on = DayField(label="Taken on")

    def post(self, who):
        data = self.cleaned_data
        return ledger.draw(self.container, data["amount"], who=who, why=data["why"], on=data["on"])


class GiveBackForm(ActForm):
    title, button, permission, blamed = "Give back to", "Put it back", "stockroom.draw_stock", "amount"

    amount = AmountFormField(help_text="At most what was drawn. Never put back what has been poured out.")
    why = forms.CharField(max_length=200, label="Why", initial="not used")
    on = DayField(label="Given back on")

    def post(self, who):
        data = self.cleaned_data
        return ledger.give_back(self.container, data["amount"], who=who, why=data["why"], on=data["on"])


class MoveForm(PlacedMixin, ActForm):
    title, button, permission, blamed = "Move", "Move it", "stockroom.move_stock", "location"

    location = forms.ModelChoiceField(PLACES, label="To which place")
    why = forms.CharField(max_length=200, label="Why", initial="moved")
    on = DayField(label="Moved on")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.offer_places(self.container.reagent)
        if self.initial.get("location") == self.container.location_id:
            del self.initial["location"]

    def clean(self):
        data = super().clean()
        self.check_place(self.container.reagent)
        return data

    def post(self, who):
        data = self.cleaned_data
        return ledger.move(self.container, data["location"], who=who, why=data["why"], on=data["on"])


class CorrectForm(ActForm):
    title, button, permission, blamed = "Correct", "Set the balance", "stockroom.count_stock", "amount"

    amount = AmountFormField(
        label="What is really left", least=0, help_text="Zero, with its unit, is an answer."
    )
    why = forms.CharField(max_length=200, label="Why", initial="counted")
    on = DayField(label="Counted on")

    def post(self, who):
        data = self.cleaned_data
        line = ledger.correct(self.container, data["amount"], who=who, why=data["why"], on=data["on"])
        if line is None:
            raise LedgerError("This is what the ledger says already: there is nothing to correct.")
        return line


class DiscardForm(ActForm):
    title, button, permission, blamed = "Discard", "Discard it", "stockroom.discard_stock", "amount"
    danger = True

    amount = AmountFormField(required=False, help_text="Empty: all that is left, and the container is gone.")
    into = forms.ModelChoiceField(
        WasteContainer.objects.none(),
        required=False,
        label="Into which waste container",
        help_text="Collect it unless the safety data sheet and local rules both allow the drain.",
    )
    why = forms.CharField(max_length=120, label="Why")
    on = DayField(label="Discarded on")
    vouched = forms.CharField(
        max_length=60,
        required=False,
        label="Why it belongs into that waste container all the same",
        help_text="Only where the rules are in doubt and you know better.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["into"].queryset = WasteContainer.objects.filter(
            closed_on=None, collected_on=None, measure=self.container.reagent.measure
        )
        self.fields["into"].label_from_instance = lambda waste: (
            f"{waste.code} {composition.stream_name(waste.stream)}"
        )
        self.opening = self._opening()
        if self.opening:
            self._offer_drain(self.opening)

    def _offer_drain(self, opening: sewer_discharge.Opening) -> None:
        letter = opening.letter
        self.fields["drained"] = forms.BooleanField(
            required=False,
            label="It goes down the drain: I have read the letter, and its words cover it",
            help_text=format_html("{}: “{}” {}", letter, letter.covers, " ".join(opening.route.steps)),
        )
        self.fields["ph"] = forms.DecimalField(
            required=False,
            label="Its pH as it is poured",
            min_value=-2,
            max_value=16,
            max_digits=4,
            decimal_places=2,
            help_text="Only for the drain.",
        )

    def _opening(self) -> sewer_discharge.Opening | None:
        """The letter that opens the drain for it. None for what nobody has classified and checked."""
        reagent = self.container.reagent
        if (
            not (reagent.is_classified and reagent.is_verified)
            or self.container.state == Container.State.QUARANTINED
        ):
            return None
        waste = composition.of_reagent(reagent, self.container.balance, unused=True)
        return next(iter(sewer_discharge.openings(waste, self.today, composition.rules())), None)

    def clean(self):
        data = super().clean()
        if data.get("into") and not self.errors:
            self._judge(data["into"])
        if data.get("drained") and not self.errors:
            self._check_drain(data)
        return data

    def _check_drain(self, data: dict) -> None:
        if data.get("into"):
            self.add_error("into", "Into a waste container or down the drain: choose one of the two.")
        if data["ph"] is None:
            self.add_error("ph", "Measure it: nothing is poured without its pH.")
        elif wrong := sewer_discharge.refused_ph(data["ph"], composition.rules()):
            self.add_error("ph", wrong)

    def _judge(self, into: WasteContainer) -> None:
        """Whether the waste container may take it. A refusal stands; a doubt asks for a reason."""
        amount = self.cleaned_data["amount"]
        amount = self.container.balance if amount is None else amount
        waste = composition.of_reagent(self.container.reagent, amount, unused=True)
        verdict = composition.may_join(
            waste, composition.with_entries(WasteContainer.objects.all()).get(pk=into.pk), amount
        )
        for reason in verdict.refused:
            self.add_error("into", reason)
        if verdict.doubts and not self.cleaned_data["vouched"]:
            for reason in verdict.doubts:
                self.add_error("into", reason)
            self.add_error("vouched", "Choose a waste container that suits, or say why it belongs there.")

    def post(self, who):
        data = self.cleaned_data
        why = data["why"]
        if data["into"] and data["vouched"]:
            why += f" (into {data['into']}: {data['vouched']})"
        line = ledger.discard(
            self.container, data["amount"], who=who, why=why, on=data["on"], into=data["into"]
        )
        if data.get("drained") and line.change:
            sewer_discharge.pour(
                self.opening.letter,
                -line.change,
                self.container.reagent.measure,
                description=f"{self.container.reagent} ({self.container.code})",
                ph=data["ph"],
                who=who,
                rules=composition.rules(),
                on=data["on"],
                belongs_to=self.container,
            )
        return line


class CollectedForm(ActForm):
    """For what nobody may touch: only that a disposal firm has taken it away is written down."""

    title, button, permission = "Record as collected", "It has been collected", "stockroom.discard_stock"
    danger = True

    why = forms.CharField(max_length=120, label="Who took it away", help_text="The firm, and its paper.")
    on = DayField(label="Collected on")

    def post(self, who):
        data = self.cleaned_data
        return ledger.discard(self.container, who=who, why=f"collected: {data['why']}", on=data["on"])


class QuarantineForm(ActForm):
    title, button, permission = "Quarantine", "Quarantine it", "stockroom.quarantine_stock"

    why = forms.CharField(max_length=200, label="Why", help_text="Such as: crystals at the cap, label gone.")

    def post(self, who):
        return ledger.quarantine(self.container, who=who, why=self.cleaned_data["why"])


class ReleaseForm(ActForm):
    title, button, permission = "Release", "Release it", "stockroom.quarantine_stock"

    why = forms.CharField(max_length=200, label="Why", help_text="Such as: checked, and relabeled.")

    def post(self, who):
        return ledger.release(self.container, who=who, why=self.cleaned_data["why"])


#: the last part of the address -> form
ACTS: dict[str, type[ActForm]] = {
    "draw": DrawForm,
    "give-back": GiveBackForm,
    "move": MoveForm,
    "correct": CorrectForm,
    "discard": DiscardForm,
    "quarantine": QuarantineForm,
    "release": ReleaseForm,
}


def form_of(act: str, container: Container, today: datetime.date) -> type[ActForm] | None:
    """The form of an act on this container; None where there is no such act, or it must not be done."""
    if untouchable(container, today):
        return CollectedForm if act == "discard" else None
    return ACTS.get(act)


def acts_open_to(user, container: Container, today: datetime.date) -> list[tuple[str, str]]:
    """(address, words) of the acts that make sense for this container now, for what the person may do."""
    words = {"give-back": "Give back", "correct": "Correct the balance"}
    if untouchable(container, today):
        words = {"discard": CollectedForm.title}
    return [
        (act, words.get(act, act.capitalize()))
        for act in _sensible(container, today)
        if user.has_perm(ACTS[act].permission)
    ]


def _sensible(container: Container, today: datetime.date) -> list[str]:
    """The acts that the state, the dates and the tests of a container leave open."""
    state = container.state
    if state == Container.State.GONE:
        return []
    if untouchable(container, today):
        return ["discard"]
    shut = forbidding(container, today)
    found = ["release"] if state == Container.State.QUARANTINED else []
    if state == Container.State.IN_USE and not shut and not container.is_expired(today):
        found.append("draw")
    found += [] if shut else ["give-back"]
    found += ["move", "correct", "discard"]
    return found + (["quarantine"] if state == Container.State.IN_USE else [])
