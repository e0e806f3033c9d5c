"""Which label paper, and the first free label on it."""

from django import forms

from stockroom.paper.kit import PAPERS
from stockroom.paper.label_paper import PRESETS, Layout

OWN, BY_SIZE = "own", "by size"


#: what may stand behind a length, and what one of it is in millimeters
MILLIMETRES = {"mm": 1, "cm": 10, "inches": 25.4, "inch": 25.4, "in": 25.4, '"': 25.4}


_GEOMETRY = ("columns", "rows", "width", "height", "left", "top", "gap_x", "gap_y")


def layout_choices():
    for paper, presets in PRESETS.items():
        yield paper, [(f"{paper}|{name}", name) for name in presets]
    yield OWN, "Own sizes, below"


def default_layout(paper: str, name: str | None = None) -> str:
    """The value of a preset; the middling one of the paper where none is named."""
    names = list(PRESETS[paper])
    return f"{paper}|{name or names[len(names) // 2]}"


class LengthField(forms.FloatField):
    """Millimeters, or inches or centimeters where the unit stands behind the number. Gives millimeters."""

    widget = forms.TextInput

    def to_python(self, value):
        text = str(value or "").strip().lower().removesuffix(".")
        for unit, length in MILLIMETRES.items():
            if text.endswith(unit):
                number = super().to_python(text.removesuffix(unit).strip())
                return None if number is None else round(number * length, 3)
        return super().to_python(value)


def _length(label: str) -> LengthField:
    return LengthField(label=label, required=False, min_value=0, max_value=500)


class LabelPaperForm(forms.Form):
    """A preset or the sizes on the packet, and the first free label of the sheet."""

    layout = forms.ChoiceField(choices=layout_choices, label="Label paper")
    start = forms.IntegerField(
        label="First free label",
        initial=1,
        min_value=1,
        max_value=1000,
        help_text="Counted along the rows, for a sheet that is partly used.",
    )
    outline = forms.BooleanField(label="Draw the edges, to try it on plain paper", required=False)
    paper = forms.ChoiceField(
        choices=[(paper, paper) for paper in PAPERS], required=False, label="Paper, for own sizes"
    )
    columns = forms.IntegerField(label="Columns", required=False, min_value=1, max_value=20)
    rows = forms.IntegerField(label="Rows", required=False, min_value=1, max_value=50)
    width, height = _length("Width of a label"), _length("Height of a label")
    left, top = _length("Left margin"), _length("Top margin")
    gap_x, gap_y = _length("Gap between columns"), _length("Gap between rows")

    def clean(self):
        data = super().clean()
        if self.errors or data["layout"] == BY_SIZE:
            return data
        data["sheet"] = self._own() if data["layout"] == OWN else self._preset()
        if data["sheet"] and data["start"] > data["sheet"][1].per_sheet:
            self.add_error(
                "start", f"There are {data['sheet'][1].per_sheet} labels on a sheet: enter that or less."
            )
        return data

    def _preset(self) -> tuple[str, Layout]:
        paper, name = self.cleaned_data["layout"].split("|")
        return paper, PRESETS[paper][name]

    def own_sizes(self) -> dict:
        """What was typed of an own paper, to be offered again; {} where a preset was chosen."""
        if self.cleaned_data["layout"] != OWN:
            return {}
        return {name: self.cleaned_data[name] for name in ("layout", "paper", *_GEOMETRY)}

    def _own(self) -> tuple[str, Layout] | None:
        data = self.cleaned_data
        for name in ("paper", *_GEOMETRY):
            if data[name] in (None, ""):
                self.add_error(name, "Enter it, as on the packet. 0 where there is none.")
        if self.errors:
            return None
        layout = Layout(**{name: data[name] for name in _GEOMETRY})
        try:
            layout.check(data["paper"])
        except ValueError as error:
            self.add_error("layout", str(error))
            return None
        return data["paper"], layout
