"""Making up: how much, from which containers, into which place."""

import datetime

from django import forms
from django.core.exceptions import ValidationError
from django.utils.html import format_html

from stockroom.common.forms.day import DayField, check_not_future
from stockroom.handling.forms.acts import PLACES
from stockroom.inventory import ledger
from stockroom.inventory.forms.amount import AmountFormField
from stockroom.inventory.models import Batch, Container, Preparation
from stockroom.preparation.batch import Need
from stockroom.storage.forms.advice import PlacedMixin
from stockroom.wording.days import day_text

#: a part that differs from the recipe by more than this is taken for a slip until said otherwise
TOLERANCE_PERCENT = 10


def taken_and_others(fields: list) -> tuple[list, list]:
    """Bound fields of containers, parted: those with an amount or a message, and the rest.

    Where none has any, the first stands for itself: it would be taken first.
    """
    taken = [field for field in fields if field.value() or field.errors] or fields[:1]
    return taken, [field for field in fields if field not in taken]


class MakeUpForm(PlacedMixin, forms.Form):
    amount = AmountFormField(label="How much")
    location = forms.ModelChoiceField(PLACES, label="Into which place")
    on = DayField(label="Made on")
    expires_on = DayField(
        required=False, label="Expires", help_text="Empty: by the shelf life of the reagent."
    )
    for_what = forms.CharField(required=False, max_length=120, label="For what")
    note = forms.CharField(required=False, max_length=500)
    meant = forms.BooleanField(required=False, label="The amounts differ from the recipe on purpose")

    def __init__(self, *args, preparation: Preparation, needs: list[Need], today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.preparation, self.needs, self.today = preparation, needs, today
        self.differs: list[str] = []
        self.fields["amount"].measured_like(preparation.reagent)
        self.fields["on"].initial = today
        self.offer_places(preparation.reagent)
        for need in needs:
            for container in need.containers:
                self.fields[self._name(container)] = self._take_field(need, container)

    @staticmethod
    def _name(container: Container) -> str:
        return f"take_{container.pk}"

    def _take_field(self, need: Need, container: Container) -> AmountFormField:
        until = f", expires {day_text(container.usable_until)}" if container.usable_until else ""
        take = AmountFormField(
            required=False,
            label=f"From {container.code}",
            initial=need.picks.get(container.pk),
            help_text=format_html("{}, {} remaining{}", container.location, container.balance_text, until),
        )
        take.measured_like(need.reagent)
        return take

    def foot_fields(self):
        names = ["location", "despite", "on", "expires_on", "for_what", "note"] + ["meant"] * bool(
            self.differs
        )
        return [self[name] for name in names if name in self.fields]

    def needs_with_fields(self):
        """(need, bound fields of the containers to take from, those of the other containers)"""
        return [
            (need, *taken_and_others([self[self._name(container)] for container in need.containers]))
            for need in self.needs
        ]

    def clean_on(self):
        check_not_future(self.cleaned_data["on"], self.today)
        return self.cleaned_data["on"]

    def clean(self):
        data = super().clean()
        on, expires = data.get("on"), data.get("expires_on")
        if on and expires and expires < on:
            self.add_error("expires_on", "This is before the day it is made: check both days.")
        self.check_place(self.preparation.reagent)
        for need in self.needs:
            self._check_need(need, data)
        if self.differs and not data.get("meant") and not self.errors:
            raise ValidationError(
                f"{'; '.join(self.differs)}. Correct it, or tick that it is meant.", code="differs"
            )
        return data

    def _check_need(self, need: Need, data: dict) -> None:
        names = [self._name(container) for container in need.containers]
        if any(name in self.errors for name in names):
            return
        taken = sum(data.get(name) or 0 for name in names)
        if not taken:
            where = "say how much from which container" if names else "receive or make up some first"
            self.add_error(None, f"{need.reagent.text_of(need.amount)} of {need.reagent} is needed: {where}.")
        elif abs(taken - need.amount) * 100 > TOLERANCE_PERCENT * need.amount:
            text_of = need.reagent.text_of
            self.differs.append(f"{need.reagent}: {text_of(taken)} instead of {text_of(need.amount)}")

    def parts(self) -> list[tuple[Container, int]]:
        return [
            (container, self.cleaned_data[self._name(container)])
            for need in self.needs
            for container in need.containers
            if self.cleaned_data.get(self._name(container))
        ]

    def post(self, who) -> Batch:
        """Make it up. Raises LedgerError."""
        data = self.cleaned_data
        return ledger.make_up(
            self.preparation,
            data["amount"],
            self.parts(),
            location=data["location"],
            who=who,
            on=data["on"],
            expires_on=data["expires_on"],
            note=data["note"],
            for_what=data["for_what"],
        )
