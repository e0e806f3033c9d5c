"""The tick “checked against the supplier's sheet in hand”, and what a change does to an earlier one."""

import datetime

from django import forms

from stockroom.common.person import name_of
from stockroom.wording.days import day_text

LABEL = "I have checked this today against the supplier's sheet in hand"


class CheckedMixin(forms.Form):
    """For forms of rows with `checked_by` and `checked_on`.

    An earlier check stands only as long as none of `hazard_fields` changes. `may_check` is whether the
    person holds `stockroom.check_hazards`; without it there is no tick.
    """

    hazard_fields: tuple[str, ...] = ()

    def offer_check(self, may_check: bool) -> None:
        if may_check:
            instance = self.instance
            who = instance.checked_by if instance.pk else None
            status = (
                f"Last checked {day_text(instance.checked_on)} by {name_of(who)}."
                if who and instance.checked_on
                else "Not verified against SDS."
            )
            self.fields["check"] = forms.BooleanField(label=LABEL, required=False, help_text=status)

    def keep_check(self, who, on: datetime.date) -> None:
        """Before saving: write the check, or take back one that no longer holds."""
        if self.cleaned_data.get("check"):
            self.instance.checked_by, self.instance.checked_on = who, on
        elif set(self.changed_data) & set(self.hazard_fields):
            self.instance.checked_by = self.instance.checked_on = None
