"""Rooms and periods."""

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator

from demos.models import Period, Room


def _once(model, instance, name: str, noun: str) -> str:
    """The name with single blanks. Raises ValidationError where another has it, whatever the capitals."""
    name = " ".join(name.split())
    same = model.objects.filter(name__iexact=name).exclude(pk=instance.pk).first()
    if same:
        raise ValidationError(f"There is a {noun} “{same}” already: change that one.")
    return name


class RoomForm(forms.ModelForm):
    class Meta:
        model = Room
        fields = ["name", "volume_m3", "air_changes_per_hour", "has_fume_cupboard", "note"]
        help_texts = {
            "volume_m3": "Length x width x height. For the vapor in the room.",
            "air_changes_per_hour": "From whoever looks after the ventilation. Empty: not known.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, most in (("volume_m3", 100_000), ("air_changes_per_hour", 100)):
            self.fields[name].validators.append(MaxValueValidator(most))

    def clean_name(self):
        return _once(Room, self.instance, self.cleaned_data["name"], "room")


class PeriodForm(forms.ModelForm):
    class Meta:
        model = Period
        fields = ["name", "start", "end"]
        widgets = {name: forms.TimeInput(format="%H:%M", attrs={"type": "time"}) for name in ("start", "end")}

    def clean_name(self):
        return _once(Period, self.instance, self.cleaned_data["name"], "period")

    def clean(self):
        got = super().clean()
        start, end = got.get("start"), got.get("end")
        if start and end and end <= start:
            self.add_error("end", "It must end after it starts.")
        return got
