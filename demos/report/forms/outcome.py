"""What one asks of an outcome: a range of pH to neutralize to, parameters of the slow-and-fast curve."""

from dataclasses import replace

from django import forms

from demos.report.forms.equation import ReactionForm
from demos.simulation.dissolving import Meeting
from stockroom.chemistry.kinetics import Rate


class AskedForm(forms.Form):
    """A form of questions in the address: what is not asked yet stands at its usual value."""

    usual: dict = {}

    def __init__(self, query, *args, **kwargs):
        super().__init__({**self.usual, **{key: query[key] for key in query}}, *args, **kwargs)

    @property
    def kept(self) -> list[tuple[str, str]]:
        """What was asked, for another form of the page to carry along."""
        return [(name, str(self.data[name])) for name in self.fields if name in self.data]


class FollowForm:
    """Equations named in an address, to be followed beside those of the demonstration.

    equations: those that can be read and balance. wrong: what is amiss with the first that cannot, or "".
    """

    most = 6

    def __init__(self, query):
        self.equations: tuple[str, ...] = ()
        self.wrong = ""
        for text in dict.fromkeys(query.getlist("follow")[: self.most]):
            form = ReactionForm({"equation": text})
            if form.is_valid():
                self.equations += (form.cleaned_data["equation"],)
            else:
                self.wrong = self.wrong or " ".join(form.errors["equation"]).rstrip(".")


class RangeForm(AskedForm):
    usual = {"low": "6", "high": "9"}

    low = forms.FloatField(label="Not below pH", min_value=0, max_value=14)
    high = forms.FloatField(label="Not above pH", min_value=0, max_value=14)

    def clean(self):
        got = super().clean()
        if got.get("low") is not None and got.get("high") is not None and got["low"] >= got["high"]:
            self.add_error("high", "This must be above the lower one: 6 to 9, for example.")
        return got


class KineticsForm(AskedForm):
    """Parameters of the rate of one meeting of solid and solution; the published ones until changed."""

    after = forms.ChoiceField(label="While this dissolves")
    area = forms.FloatField(label="Area of a gram (m²)", min_value=1e-6, max_value=1e4)
    acid_log_k = forms.FloatField(label="log k with acid", min_value=-20, max_value=5)
    neutral_log_k = forms.FloatField(label="log k without", min_value=-20, max_value=5)
    warm = forms.FloatField(label="Warm (°C)", min_value=0, max_value=90)
    cold = forms.FloatField(label="Cold (°C)", min_value=0, max_value=90)

    def __init__(self, query, meetings: tuple[Meeting, ...]):
        self.meetings = {meeting.key: meeting for meeting in meetings}
        meeting = self.meetings.get(query.get("after"), meetings[0])
        rate = meeting.rate
        self.usual = {
            "after": meeting.key,
            "area": f"{rate.area_m2_g:g}",
            "acid_log_k": f"{rate.acid_log_k:g}",
            "neutral_log_k": f"{rate.neutral_log_k:g}",
            "warm": "20",
            "cold": "2",
        }
        super().__init__(query)
        self.fields["after"].choices = [
            (key, f"{m.rate.name}: step {m.step}, portion {m.portion}, {m.label}"[:90])
            for key, m in self.meetings.items()
        ]

    @property
    def meeting(self) -> Meeting:
        return self.meetings[self.cleaned_data["after"]]

    @property
    def rate(self) -> Rate:
        got = self.cleaned_data
        return replace(
            self.meeting.rate,
            area_m2_g=got["area"],
            acid_log_k=got["acid_log_k"],
            neutral_log_k=got["neutral_log_k"],
        )

    @property
    def temperatures(self) -> tuple[float, float]:
        return self.cleaned_data["warm"], self.cleaned_data["cold"]
