"""Which acts to show."""

import datetime

from django import forms
from django.contrib.auth import get_user_model
from django.utils import timezone

from stockroom.common.forms.day import DayField
from stockroom.people.activity import KINDS, Asked


class ActivityForm(forms.Form):
    person = forms.ModelChoiceField(
        get_user_model().objects.order_by("username"), required=False, empty_label="Everyone"
    )
    since = DayField(required=False, label="From")
    until = DayField(required=False, label="To")
    kind = forms.ChoiceField(choices=[("", "Everything"), *KINDS], required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["person"].label_from_instance = lambda who: who.get_full_name() or who.get_username()

    def clean(self):
        data = super().clean()
        since, until = data.get("since"), data.get("until")
        if since and until and until < since:
            self.add_error("until", "It ends before it starts: enter a later day.")
        return data

    def asked(self) -> Asked:
        """What was asked for; everything where it was not understood."""
        if not self.is_valid():
            return Asked()
        data = self.cleaned_data
        after = data["until"] + datetime.timedelta(1) if data["until"] else None
        return Asked(data["person"], _midnight(data["since"]), _midnight(after), data["kind"])


def _midnight(day: datetime.date | None) -> datetime.datetime | None:
    if day is None:
        return None
    return timezone.make_aware(datetime.datetime.combine(day, datetime.time()))
