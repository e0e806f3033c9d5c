"""Places: room, cabinet, shelf."""

from django import forms
from django.core.exceptions import ValidationError

from stockroom.common.forms.edit_conflict import SinceOpenedMixin
from stockroom.inventory.models import Location


class LocationForm(SinceOpenedMixin, forms.ModelForm):
    class Meta:
        model = Location
        fields = ["name", "level", "parent", "storage_kind", "note"]
        labels = {"parent": "Stands in", "storage_kind": "What may be stored there"}
        help_texts = {"parent": "A cabinet stands in a room, a shelf in a cabinet. A room stands in nothing."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        parents = Location.objects.filter(retired_on=None).exclude(level=Location.Level.SHELF)
        if self.instance.pk:
            parents = parents.exclude(pk=self.instance.pk)
        self.fields["parent"].queryset = parents

    def clean_level(self):
        level = self.cleaned_data["level"]
        if self.instance.pk and level != self.instance.level and self.instance.children.exists():
            raise ValidationError("Other places stand in it: move them first.")
        return level

    def clean_name(self):
        return " ".join(self.cleaned_data["name"].split())

    def clean(self):
        data = super().clean()
        name, parent = data.get("name"), data.get("parent")
        if name:
            path = f"{parent.path} › {name}" if parent else name
            if Location.objects.filter(path__iexact=path).exclude(pk=self.instance.pk).exists():
                self.add_error("name", f"There is a place “{path}” already: choose another name.")
        return data
