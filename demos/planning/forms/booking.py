"""Booking a demonstration, copying a booking, saying how it went."""

import datetime

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from demos.consumption.takes import ingredients_of
from demos.models import Booking, Demonstration, Period, Room
from stockroom.common.forms.day import DayField, check_day_ahead

#: at most so many copies at once: a year of weeks
MOST_COPIES = 53
#: fields without which nothing can be worked out
RECKONED_WITH = ("demonstration", "on", "showings", "groups", "scale")


class BookingForm(forms.ModelForm):
    """A booking with one choice of reagent for each ingredient that has alternatives.

    The choices follow the demonstration that was sent, so that one form serves the page and its live check.
    """

    on = DayField(label="Date")

    class Meta:
        model = Booking
        fields = [
            "demonstration",
            "on",
            "period",
            "room",
            "class_name",
            "showings",
            "groups",
            "scale",
            "note",
        ]
        widgets = {
            "demonstration": forms.Select(attrs={"data-wide": ""}),
            "note": forms.TextInput(attrs={"data-wide": ""}),
        }
        help_texts = {
            "showings": "How many times it is shown, one after the other.",
            "groups": "Groups that get their own set. 0 where only you show it.",
            "scale": "1 is as written; 2 is twice as large.",
        }

    def __init__(self, *args, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        for name in ("demonstration", "period", "room"):
            self.fields[name].empty_label = f"Choose a {name}"
        self.fields["demonstration"].queryset = self._in_use(Demonstration, "demonstration_id")
        self.fields["room"].queryset = self._in_use(Room, "room_id")
        self.fields["period"].queryset = self._in_use(Period, "period_id")
        self.ingredients = self._ingredients()
        for row in self.ingredients:
            if others := row.alternatives.all():
                self.fields[self.name_of(row)] = self._choice(row, others)

    @staticmethod
    def name_of(ingredient) -> str:
        return f"instead-{ingredient.pk}"

    def _in_use(self, model, key):
        return model.objects.filter(Q(retired_on=None) | Q(pk=getattr(self.instance, key)))

    def _ingredients(self):
        """Ingredients of the demonstration that is sent or shown; none where there is none."""
        sent = self.data.get(self.add_prefix("demonstration")) if self.is_bound else None
        value = (
            sent
            if self.is_bound
            else self.get_initial_for_field(self.fields["demonstration"], "demonstration")
        )
        try:
            self.demonstration = self.fields["demonstration"].clean(value)
        except ValidationError:
            self.demonstration = None
        return ingredients_of(self.demonstration) if self.demonstration else []

    def _choice(self, row, others):
        options = [("", f"{row.reagent} (as written)")]
        options += [(o.reagent_id, f"{o.reagent}{f': {o.note}' if o.note else ''}") for o in others]
        return forms.TypedChoiceField(
            label=f"For {row.reagent}", choices=options, coerce=int, empty_value=None, required=False
        )

    @property
    def choices(self):
        """Bound fields of the ingredients that have alternatives."""
        return [self[self.name_of(row)] for row in self.ingredients if self.name_of(row) in self.fields]

    @property
    def plain_fields(self):
        return [self[name] for name in self._meta.fields]

    def chosen(self) -> dict[int, int]:
        """Ingredient id -> reagent id where another than the usual one is chosen and may be."""
        found = {row.pk: self.cleaned_data.get(self.name_of(row)) for row in self.ingredients}
        return {key: value for key, value in found.items() if value}

    def clean_on(self):
        on = self.cleaned_data["on"]
        # One that is past already may still get a note or another room; it may not be moved into the past.
        if self.instance.pk is None or on != self.instance.on:
            check_day_ahead(on, self.today)
        return on

    def clean_class_name(self):
        return " ".join(self.cleaned_data["class_name"].split())

    def so_far(self) -> Booking | None:
        """The booking as far as it is filled in, if that is enough to work it out. Call after is_valid()."""
        got = self.cleaned_data
        if any(got.get(name) is None for name in RECKONED_WITH):
            return None
        return Booking(
            pk=self.instance.pk,
            teacher_id=self.instance.teacher_id,
            class_name=got.get("class_name") or "this class",
            **{name: got[name] for name in RECKONED_WITH},
            **{name: got[name] for name in ("period", "room") if got.get(name)},
        )


class CopyForm(forms.Form):
    """Other days for the same booking: some days, every week until a day, or both."""

    first = DayField(label="On", required=False)
    second = DayField(label="and on", required=False)
    third = DayField(label="and on", required=False)
    fourth = DayField(label="and on", required=False)
    every = forms.TypedChoiceField(
        label="And then",
        choices=[("0", "no more"), ("7", "every week"), ("14", "every second week")],
        coerce=int,
        required=False,
        empty_value=0,
        help_text="Counted from the day of this booking.",
    )
    until = DayField(label="until", required=False)

    def __init__(self, *args, booking: Booking, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.booking, self.today = booking, today

    def _clean_day(self, name):
        on = self.cleaned_data[name]
        check_day_ahead(on, self.today)
        if on == self.booking.on and name != "until":
            raise ValidationError("That is the day of this booking itself: choose another.")
        return on

    def clean_first(self):
        return self._clean_day("first")

    def clean_second(self):
        return self._clean_day("second")

    def clean_third(self):
        return self._clean_day("third")

    def clean_fourth(self):
        return self._clean_day("fourth")

    def clean_until(self):
        return self._clean_day("until")

    def clean(self):
        got = super().clean()
        if self.errors:
            return got
        days = {got[name] for name in ("first", "second", "third", "fourth") if got.get(name)}
        every, until = got.get("every") or 0, got.get("until")
        if every and not until:
            self.add_error("until", "Say until which day.")
        elif until and not every:
            self.add_error("every", "Choose every week or every second week, or leave the last day empty.")
        elif every:
            days |= set(self._weekly(every, until))
        if not days and not self.errors:
            raise ValidationError("Give at least one day to copy it to.")
        if len(days) > MOST_COPIES:
            raise ValidationError(f"That is {len(days)} copies: {MOST_COPIES} at most at once.")
        got["days"] = sorted(days)
        return got

    def _weekly(self, every, until):
        on = self.booking.on + datetime.timedelta(every)
        while on <= until:
            if on >= self.today:
                yield on
            on += datetime.timedelta(every)


class HowItWentForm(forms.ModelForm):
    class Meta:
        model = Booking
        fields = ["how_it_went"]
        labels = {"how_it_went": "How it went"}
        help_texts = {"how_it_went": "What the next teacher should know."}
        widgets = {"how_it_went": forms.Textarea(attrs={"rows": 5})}

    def clean_how_it_went(self):
        text = self.cleaned_data["how_it_went"].strip()
        if len(text) > 4000:
            raise ValidationError("That is too long: 4000 characters at most.")
        return text
