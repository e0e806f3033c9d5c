"""Which days to prepare, and what was really used afterwards."""

import datetime

from django import forms
from django.utils.html import format_html

from demos.models import Booking
from demos.planning import booking as bookings
from demos.prep.prep_list import BookingPrep
from stockroom.common.forms.day import DayField
from stockroom.inventory.forms.amount import AmountFormField
from stockroom.inventory.models import Container, Reagent
from stockroom.inventory.stock import still_good
from stockroom.preparation.forms.batch import taken_and_others

LENGTHS = {"1": "one day", "7": "a week"}


class DaysForm(forms.Form):
    """A first day and a length. `start` and `end` are always usable: what is wrong falls back to today."""

    on = DayField(required=False, label="From")
    days = forms.ChoiceField(required=False, label="For", choices=list(LENGTHS.items()))

    def __init__(self, data=None, *, today: datetime.date):
        super().__init__(data)
        self.today = today
        self.fields["on"].initial = today
        self.fields["days"].initial = "1"
        self.is_usable = self.is_bound and self.is_valid()

    @property
    def length(self) -> int:
        return int((self.is_usable and self.cleaned_data.get("days")) or 1)

    @property
    def start(self) -> datetime.date:
        return (self.is_usable and self.cleaned_data.get("on")) or self.today

    @property
    def end(self) -> datetime.date:
        return self.start + datetime.timedelta(self.length - 1)


class RunForm(forms.Form):
    """What was really used, container by container, as planned unless changed. `post` writes it."""

    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 3}), max_length=2000)

    def __init__(self, data=None, *, prep: BookingPrep, today: datetime.date):
        super().__init__(data)
        self.prep, self.today = prep, today
        self.rows = list(prep.rows)
        wanted = {row.take.reagent.pk for row in self.rows}
        usable = Container.objects.filter(
            still_good(prep.booking.on), reagent__in=wanted, state=Container.State.IN_USE, balance__gt=0
        ).select_related("reagent", "location")
        self.containers: dict[int, list[Container]] = {key: [] for key in wanted}
        for container in usable:
            self.containers[container.reagent_id].append(container)
        for row in self.rows:
            for container in self.containers[row.take.reagent.pk]:
                self._add_field(row, container)

    def _add_field(self, row, container: Container) -> None:
        name = f"take_{container.pk}"
        planned = sum(source.amount for source in row.sources if source.container == container)
        if name in self.fields:  # one reagent asked for by two ingredients
            self.fields[name].initial = (self.fields[name].initial or 0) + (
                0 if row.take.returns else planned
            )
            return
        field = AmountFormField(
            required=False,
            label=f"From {container.code}",
            initial=None if row.take.returns or not planned else planned,
            least=0,
            help_text=format_html("{}, {} remaining", container.location, container.balance_text),
        )
        field.measured_like(container.reagent)
        self.fields[name] = field

    def by_reagent(self) -> list[tuple[Reagent, int, bool, list, list]]:
        """(reagent, planned, comes back, fields to take from, those of other containers), a reagent once."""
        planned: dict[int, list] = {}
        for row in self.rows:
            take = row.take
            entry = planned.setdefault(take.reagent.pk, [take.reagent, 0, take.returns])
            entry[1] += take.amount
        return [
            (
                reagent,
                amount,
                returns,
                *taken_and_others([self[f"take_{c.pk}"] for c in self.containers[reagent.pk]]),
            )
            for reagent, amount, returns in planned.values()
        ]

    def clean(self):
        data = super().clean()
        for containers in self.containers.values():
            for container in containers:
                name = f"take_{container.pk}"
                if (data.get(name) or 0) > container.balance:
                    self.add_error(name, f"Only {container.balance_text} is in it: enter that or less.")
        return data

    def used(self) -> list[bookings.Used]:
        found = []
        for reagent, _, returns, *_ in self.by_reagent():
            draws = tuple(
                (container, self.cleaned_data[f"take_{container.pk}"])
                for container in self.containers[reagent.pk]
                if self.cleaned_data.get(f"take_{container.pk}")
            )
            found.append(bookings.Used(reagent, draws, returned=returns and not draws))
        return found

    def post(self, who) -> Booking:
        """Raises bookings.BookingError or LedgerError."""
        booking = self.prep.booking
        bookings.record_run(booking, self.used(), who=who, today=self.today, note=self.cleaned_data["note"])
        return booking
