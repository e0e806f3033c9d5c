"""Reading the forms of a page as a browser would, to send them back changed."""

from dataclasses import dataclass, field
from html.parser import HTMLParser

#: buttons that only reset, and files, which a browser sends otherwise
_NOT_SENT = {"submit", "button", "reset", "image", "file"}


@dataclass
class Form:
    """A form of a page: where it goes, and what it would send untouched.

    `hidden`: names of the fields nobody sees; `chosen`: of what is picked and not typed.
    """

    action: str
    method: str
    data: dict[str, list[str]] = field(default_factory=dict)
    hidden: list[str] = field(default_factory=list)
    chosen: list[str] = field(default_factory=list)

    def put(self, name: str, value: str) -> None:
        self.data.setdefault(name, []).append(value)


class _Reader(HTMLParser):
    def __init__(self):
        super().__init__()
        self.forms: list[Form] = []
        self.form: Form | None = None
        self.select: str | None = None
        self.options: list[tuple[str, bool]] = []
        self.area: str | None = None
        self.text = ""
        self.depth = 0

    def handle_starttag(self, tag, attrs):
        has = {name: value or "" for name, value in attrs}
        self.depth += tag == "template"
        if tag == "form":
            self.form = Form(has.get("action", ""), has.get("method", "get").lower())
            self.forms.append(self.form)
        if self.form is None or self.depth or not (name := has.get("name", "")):
            if tag == "option" and self.select:
                self.options.append((has.get("value", ""), "selected" in has))
            return
        if tag == "input":
            self._input(name, has)
        elif tag == "select":
            self.select, self.options = name, []
        elif tag == "textarea":
            self.area, self.text = name, ""
        elif tag == "button" and has.get("value") and name not in self.form.data:
            self.form.put(name, has["value"])
            self.form.chosen.append(name)

    def _input(self, name, has):
        kind = has.get("type", "text").lower()
        if kind in ("checkbox", "radio"):
            self.form.chosen += [name] if kind == "radio" else []
            if "checked" in has:
                self.form.put(name, has.get("value", "on"))
        elif kind not in _NOT_SENT:
            self.form.put(name, has.get("value", ""))
            self.form.hidden += [name] if kind == "hidden" else []

    def handle_data(self, data):
        self.text += data

    def handle_endtag(self, tag):
        self.depth -= tag == "template"
        if tag == "form":
            self.form = None
        elif tag == "select" and self.select:
            chosen = [value for value, is_chosen in self.options if is_chosen]
            for value in chosen or [value for value, _ in self.options[:1]]:
                self.form.put(self.select, value)
            self.form.chosen.append(self.select)
            self.select = None
        elif tag == "textarea" and self.area:
            self.form.put(self.area, self.text)
            self.area = None


def forms_of(page: str) -> list[Form]:
    """Every form of the page but the one that signs out."""
    reader = _Reader()
    reader.feed(page)
    return [form for form in reader.forms if not form.action.endswith("/sign-out/")]
