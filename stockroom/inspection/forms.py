"""Starting, walking, signing and abandoning the annual review."""

from django import forms

from stockroom.inspection.models import ShelfWalk
from stockroom.inspection.sheets.annual_walk import CHECKS

YES, NO = "ok", "not"
MAX_NOTE = 200


class ReviewStartForm(forms.Form):
    note = forms.CharField(max_length=1000, required=False, help_text="Who walks which shelves, for example.")


class WalkForm(forms.Form):
    """For each check in order or not, and a note; one that is not in order must say what is wrong."""

    def __init__(self, *args, walk: ShelfWalk, **kwargs):
        super().__init__(*args, **kwargs)
        said = {row["check"]: row for row in walk.checks}
        for number, check in enumerate(CHECKS):
            row = said.get(check)
            self.fields[f"check-{number}"] = forms.ChoiceField(
                label=check,
                choices=[(YES, "In order"), (NO, "Not in order")],
                widget=forms.RadioSelect,
                initial=(YES if row["ok"] else NO) if row else None,
                error_messages={"required": "Say whether it is in order."},
            )
            self.fields[f"note-{number}"] = forms.CharField(
                label="Note", required=False, max_length=MAX_NOTE, initial=row["note"] if row else ""
            )

    def clean(self):
        data = super().clean()
        for number in range(len(CHECKS)):
            name = f"note-{number}"
            if data.get(f"check-{number}") == NO and not data.get(name) and name not in self.errors:
                self.add_error(name, "Say what is not in order, and where.")
        return data

    def checks(self) -> list[dict]:
        """What `ShelfWalk.checks` keeps."""
        return [
            {
                "check": check,
                "ok": self.cleaned_data[f"check-{number}"] == YES,
                "note": self.cleaned_data[f"note-{number}"],
            }
            for number, check in enumerate(CHECKS)
        ]


class SignForm(forms.Form):
    note = forms.CharField(
        max_length=1000,
        required=False,
        widget=forms.Textarea,
        help_text="What is to be put right, by whom and until when.",
    )
    read = forms.BooleanField(
        label="I have read what was found, and sign it",
        error_messages={"required": "Tick this to sign."},
    )


class AbandonForm(forms.Form):
    why = forms.CharField(
        label="Why",
        max_length=200,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What stands in the way, and when it is taken up again.",
    )
