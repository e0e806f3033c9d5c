"""No text that may be data becomes markup unread, in Python code or in a template."""

import ast
import re

import pytest

from tests.house import ROOT, modules

#: turn text into markup unread; `format_html` reads what it is given
UNREAD = {"mark_safe", "SafeText", "html_safe", "__html__", "safeseq"}
MARKUP = ROOT / "templates"


def unread_markup(source: str) -> list[str]:
    """What in Python code makes markup of text that may be data."""
    found = []
    for node in ast.walk(ast.parse(source)):
        name = getattr(node, "id", getattr(node, "attr", getattr(node, "name", "")))
        if name in UNREAD:
            found.append(f"{name} in line {getattr(node, 'lineno', '?')}")
        if isinstance(node, ast.Call) and name_of(node.func) == "SafeString":
            found.append(f"SafeString in line {node.lineno}")
        if isinstance(node, ast.Call) and name_of(node.func) in ("format_html", "format_html_join"):
            before = node.args[: 1 if name_of(node.func) == "format_html" else 2]
            if not all(isinstance(one, ast.Constant) for one in before):
                found.append(f"format_html of what is not written there in line {node.lineno}")
        found += [
            f"help text of an f-string in line {one.lineno}" for one in help_texts(node) if is_built(one)
        ]
    return found


def name_of(node) -> str:
    return getattr(node, "id", getattr(node, "attr", ""))


def help_texts(node) -> list:
    """What a piece of code gives as the help text of a field. Django's own templates print it unread."""
    if (
        isinstance(node, ast.keyword)
        and node.arg in ("help_text", "help_texts")
        or isinstance(node, ast.Assign)
        and name_of(node.targets[0]) in ("help_text", "help_texts")
    ):
        value = node.value
    else:
        return []
    return value.values if isinstance(value, ast.Dict) else [value]


def is_built(node) -> bool:
    """Whether a text is put together from data in any way but by `format_html`."""
    joined = isinstance(node, ast.JoinedStr) and any(
        isinstance(part, ast.FormattedValue) for part in node.values
    )
    added = isinstance(node, ast.BinOp) and not all(
        isinstance(side, ast.Constant) for side in (node.left, node.right)
    )
    return joined or added or (isinstance(node, ast.Call) and name_of(node.func) == "format")


@pytest.mark.parametrize(
    "source",
    [
        "from django.utils.safestring import mark_safe",
        "x = safestring.mark_safe(text)",
        "x = SafeString(text)",
        'format_html(f"<b>{name}</b>")',
        "format_html(template, name)",
        'field.help_text = f"{place}"',
        'CharField(help_text=f"{place}, {amount} left")',
        'CharField(help_text="In " + place)',
        'CharField(help_text="In {}".format(place))',
        'help_texts = {"place": f"In {place}"}',
        "class Words:\n    def __html__(self):\n        return self.text",
    ],
)
def test_markup_made_of_unread_text_is_found(source):
    assert unread_markup(source)


@pytest.mark.parametrize(
    "source", ['format_html("<b>{}</b>", name)', 'CharField(help_text=format_html("In {}", place))']
)
def test_markup_made_of_escaped_text_is_let_pass(source):
    assert unread_markup(source) == []


def test_no_code_makes_markup_of_unread_text():
    for found in modules().values():
        assert unread_markup(found.path.read_text()) == [], found.path


#: what a template may not hold: text printed unread, or what the Content-Security-Policy stops
NOT_IN_A_TEMPLATE = {
    "text printed unread": r"\|\s*safe(seq)?\b|autoescape\s+off|\{%\s*filter\s+safe",
    "an inline script": r"<script(?![^>]*\ssrc=)",
    "an inline style": r"<style|\sstyle\s*=",
    "a handler": r"\son\w+\s*=\s*[\"']|hx-on|hx-vals=.js:|javascript:",
    "a form printed by Django's own template": r"\.as_(p|ul|table)\b",
}


@pytest.mark.parametrize("what", NOT_IN_A_TEMPLATE)
def test_no_template_holds(what):
    for path in MARKUP.rglob("*"):
        if path.is_file():
            found = re.search(NOT_IN_A_TEMPLATE[what], path.read_text(), re.IGNORECASE)
            assert not found, f"{path} holds {what}: {found[0]}"


@pytest.mark.parametrize(
    ("what", "template"),
    [
        ("text printed unread", "{{ name|safe }}"),
        ("text printed unread", "{% autoescape off %}"),
        ("an inline script", "<script>run()</script>"),
        ("an inline style", '<p style="color:red">'),
        ("a handler", '<a onclick="run()">'),
        ("a handler", '<a href="javascript:run()">'),
    ],
)
def test_it_would_be_found(what, template):
    assert re.search(NOT_IN_A_TEMPLATE[what], template, re.IGNORECASE)
