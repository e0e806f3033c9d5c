import django_tables2 as tables
from django import forms
from django.urls import reverse
from django.utils.html import format_html

from stockroom.common.search import MAX_TEXT
from stockroom.hazards.datasheets import CHANGED, DUE, FINE, MISSING, ORDER, UNCHECKED
from stockroom.inventory.stock import Words
from stockroom.templatetags.amounts import words
from stockroom.wording.sentences import and_more

WORDS = {
    MISSING: Words("Missing", "bad"),
    CHANGED: Words("Changed since checked", "bad"),
    DUE: Words("Due for review", "warn"),
    UNCHECKED: Words("Never checked", "warn"),
    FINE: Words("Current and verified", "good"),
}


class DatasheetTable(tables.Table):
    """Rows are `stockroom.hazards.datasheets.Standing`."""

    reagent = tables.Column(
        linkify=lambda record: record.reagent.get_absolute_url(), order_by="reagent__name"
    )
    state = tables.Column(order_by="rank")
    supplier = tables.Column(accessor="sheet__supplier", default="", orderable=False)
    revised = tables.DateColumn(
        accessor="sheet__revision_date", format="j M Y", default="", orderable=False, verbose_name="Revised"
    )
    checked = tables.DateColumn(
        accessor="sheet__checked_on", format="j M Y", default="never", orderable=False, verbose_name="Checked"
    )
    places = tables.Column(verbose_name="Where", orderable=False)
    cure = tables.Column(empty_values=(), verbose_name="", orderable=False)

    caption, noun = "Safety data sheets", "reagents"

    def render_state(self, value):
        return words(WORDS[value])

    def render_places(self, value):
        return and_more(value, between="; ")

    def render_cure(self, record):
        user = self.request.user
        if record.state == FINE:
            return ""
        if record.state in (CHANGED, UNCHECKED) and user.has_perm("stockroom.check_hazards"):
            url, text = reverse("reagent-check", args=[record.reagent.pk]), "Check it"
        elif user.has_perm("stockroom.add_safetydatasheet"):
            url, text = reverse("sheet-add", args=[record.reagent.pk]), "Add a sheet"
        else:
            return ""
        return format_html(
            '<a href="{}">{}<span class="visually-hidden"> of {}</span></a>', url, text, record.reagent
        )


class DatasheetForm(forms.Form):
    q = forms.CharField(
        label="Search",
        required=False,
        max_length=MAX_TEXT,
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    state = forms.ChoiceField(
        label="State",
        required=False,
        choices=[("", "Something to do"), *((state, WORDS[state].text) for state in ORDER), ("all", "All")],
    )

    def narrow(self, standings):
        """Those asked for, what wants doing first."""
        data = self.cleaned_data if self.is_valid() else {}
        state, text = data.get("state", ""), data.get("q", "").lower()
        wanted = {"": set(ORDER) - {FINE}, "all": set(ORDER)}.get(state, {state})
        rows = [
            row
            for row in standings
            if row.state in wanted and all(word in row.reagent.name.lower() for word in text.split())
        ]
        return sorted(rows, key=lambda row: row.rank)
