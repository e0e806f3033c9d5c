"""What may be changed on a container without a movement."""

from django import forms
from django.core.exceptions import ValidationError

from stockroom.common.days import day_text
from stockroom.common.forms.day import DayField, check_not_future
from stockroom.common.forms.edit_conflict import SinceOpenedMixin
from stockroom.inventory.models import Container, Supplier


class ContainerForm(SinceOpenedMixin, forms.ModelForm):
    opened_on = DayField(required=False, label="Opened on")
    expires_on = DayField(
        required=False,
        label="Expires (as marked)",
        help_text="Change it only where the supplier says so, and say why in the note.",
    )

    class Meta:
        model = Container
        fields = ["lot", "supplier", "opened_on", "expires_on", "material", "note"]
        help_texts = {"material": "For flammable liquids, whose bottles may only be so large. Empty: glass."}

    def __init__(self, *args, today, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["supplier"].queryset = Supplier.objects.filter(retired_on=None)

    def clean_opened_on(self):
        opened = self.cleaned_data["opened_on"]
        check_not_future(opened, self.today)
        received = self.instance.received_on
        if opened and opened < received:
            raise ValidationError(
                f"It was received on {day_text(received)}: it cannot have been opened before."
            )
        return opened

    def clean_expires_on(self):
        expires = self.cleaned_data["expires_on"]
        received = self.instance.received_on
        if expires and expires < received:
            raise ValidationError(f"It was received on {day_text(received)}: enter a later day, as marked.")
        return expires
