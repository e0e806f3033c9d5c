"""Which labels, on which label paper."""

from django import forms
from django.utils import timezone

from stockroom.common.forms.day import DayField
from stockroom.common.forms.label_paper import BY_SIZE, LabelPaperForm, layout_choices
from stockroom.inventory.ageing_items import hands_off_words, untouchable_ids
from stockroom.inventory.models import Container, Location
from stockroom.inventory.stock import within

#: more than anyone peels off in one go
MOST_LABELS = 200


class LabelsForm(LabelPaperForm):
    """Which containers, too: by number, by place, by the day they came or were made."""

    numbers = forms.CharField(
        required=False,
        max_length=2000,
        label="Containers",
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Their numbers, such as C-000012, with spaces or commas between.",
    )
    place = forms.ModelChoiceField(
        Location.objects.filter(retired_on=None),
        required=False,
        label="Or all in a place",
        empty_label="No place",
    )
    since = DayField(required=False, label="Or all that came or were made since")
    until = DayField(required=False, label="until")
    made_here = forms.BooleanField(required=False, label="Only what was made up here")
    layout = forms.ChoiceField(
        choices=lambda: [(BY_SIZE, "Each as large as its bottle allows, size by size"), *layout_choices()],
        label="Label paper",
    )

    field_order = ["numbers", "place", "since", "until", "made_here"]

    def clean(self):
        data = super().clean()
        if self.errors:
            return data
        chosen = self._by_number() if data["numbers"] else self._by_filter()
        if chosen is not None and not self.errors:
            self._keep(chosen)
        return data

    def _by_number(self):
        asked = list(dict.fromkeys(self.cleaned_data["numbers"].replace(",", " ").upper().split()))
        known = set(
            Container.objects.filter(code__in=asked[: MOST_LABELS + 1]).values_list("code", flat=True)
        )
        if missing := [code for code in asked[: MOST_LABELS + 1] if code not in known]:
            self.add_error("numbers", f"There is no container {', '.join(missing)[:200]}.")
        return Container.objects.filter(code__in=known)

    def _by_filter(self):
        data = self.cleaned_data
        if not (data["place"] or data["since"]):
            self.add_error("numbers", "Enter numbers, or choose a place or a day.")
            return None
        rows = Container.objects.exclude(state=Container.State.GONE)
        if data["place"]:
            rows = rows.filter(within(data["place"], "location__"))
        if data["since"]:
            rows = rows.filter(received_on__gte=data["since"])
        if data["until"]:
            rows = rows.filter(received_on__lte=data["until"])
        return rows.filter(batch__isnull=False) if data["made_here"] else rows

    def _keep(self, chosen) -> None:
        off = untouchable_ids(timezone.localdate())
        if self.cleaned_data["numbers"] and (named := chosen.filter(pk__in=off)):
            codes = ", ".join(container.code for container in named)
            self.add_error("numbers", f"{hands_off_words()} No label for {codes}.")
        chosen = chosen.exclude(pk__in=off)
        chosen = list(chosen.order_by("location__path", "reagent__name", "code")[: MOST_LABELS + 1])
        if not chosen:
            self.add_error(None, "No container is like this: choose another place or day.")
        if len(chosen) > MOST_LABELS:
            self.add_error(None, f"More than {MOST_LABELS} labels: choose a smaller place or fewer days.")
        self.cleaned_data["containers"] = [container.pk for container in chosen]
