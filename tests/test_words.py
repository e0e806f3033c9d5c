"""The English of the app: US spelling, one term for one thing, and no word that a technician must look up.

It reads what a person reads: templates, Python strings, docstrings and comments, and the words of the data. A
key is no word: a string without a blank, what is in backticks, a name with a dot, a slash or an underscore.
"""

import ast
import csv
import io
import re
import tokenize
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent

#: never written, anywhere
NEVER = (
    r"noughts?|makes? (?:you |one |them )?sick|much water|poison cent(?:re|er)|to hospital|ambulances?"
    r"|well[- ]aired|sour|tak(?:es?|ing) no notice|reckon\w*|anew|that is none|for want of"
    r"|what comes of it|torch(?:es)?"
    r"|crisps|mains|carriage"
)

#: the spelling of another country
ABROAD = (
    r"\w*colour\w*|vapours?|odour\w*|behaviour\w*|favour\w*|neighbour\w*|\w*neutralis\w+|\w*oxidis\w+"
    r"|ionis(?:e|ed|es|ing)|\w*crystallis\w+|\w*polymeris\w+|stabilis\w+|vaporis\w+|sterilis\w+|recognis\w+"
    r"|organis(?:e|ed|es|ing|ation)\w*"
    r"|organis(?:e|ed|es|ing|ation)\w*"
    r"|(?:analys|catalys|hydrolys)(?:e|ed|ing)|(?:milli|micro)?litres?|(?:centi|milli|kilo)?metres?|cent(?:re|res|red)"
    r"|fibres?|grey(?:ish)?|label(?:led|ling)|cancel(?:led|ling)|travel(?:led|ling)|sulph\w*|licences?|defence"
    r"|catalogues?|ageing|towards|spilt|burnt|whilst|amongst|programmes?|tyres?|moulds?|grammes?|judgement|fulfil"
    r"|kerb|plough|cheque"
)

#: words for a thing that has another name on every page and sheet -> that name
SAID_OTHERWISE = {
    r"good until|use by|last good day": "Expires",
    r"set apart": "Quarantine",
    r"unchecked|not checked (?:yet|against a sheet)": "Not verified against SDS",
    r"clean-up|clear(?:ing)? up": "Cleanup",
    r"usual protection": "PPE",
    r"flames and ignition": "Ignition sources",
    r"(?:getting|get|got) rid of": "Disposal",
    r"leave (?:it|them) as (?:it is|they are)": "Cancel",
    r"fume cupboards?": "fume hood",
    r"cupboards?": "cabinet",
    r"ordinary bin|general refuse": "trash",
    r"who is short": "Bookings affected",
    r"nearer with": "Sooner with",
    r"cash float": "petty cash",
}

#: (file, word): words that stay, each with its reason
EXCEPTIONS = {
    ("stockroom/catalogue/lookup.py", "sulph"): "how some people write sulfur when they search",
    ("templates/403_csrf.html", "out of date"): "of a form, not of a bottle",
    ("stockroom/bringing/columns.py", "litres"): "how some lists write the unit",
    ("stockroom/bringing/columns.py", "catalogue"): "how some lists head the column of the order number",
    ("stockroom/bringing/columns.py", "use by"): "how some lists head the column of the last day",
    ("stockroom/catalogue/label_text.py", "sulph"): "how some bottles write sulfur",
    **{
        ("stockroom/bringing/preview.py", word): "by which a list from abroad is known"
        for word in ("sulph", "colour", "litre", "fume cupboard", "cupboard")
    },
}

#: rooms whose words are changed in a step of their own
LATER = (
    "stockroom/chemistry/",
    "stockroom/safety/",
    "stockroom/supply/",
    "stockroom/purchasing/outlook.py",
    "stockroom/purchasing/reorder.py",
    "stockroom/catalogue/data/",
)

_KEY = re.compile(r"`[^`]*`|https?://\S+|[\w-]*\w+(?:[._/]\w+)+/?|\w+/|\b\w+_\w+|\b[a-z]+(?=: )", re.S)
_MARKUP = re.compile(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}|<[^>]*>", re.S)
_SHOWN = re.compile(r'(?:aria-label|title|placeholder|alt|formset_\w+)="([^"{}]*)"')


def _files(folder: str, *kinds: str) -> Iterator[Path]:
    for path in sorted((ROOT / folder).rglob("*")):
        name = path.relative_to(ROOT).as_posix()
        if path.suffix in kinds and "/migrations/" not in name and not name.startswith(LATER):
            yield path


def _template_words(path: Path) -> Iterator[str]:
    text = path.read_text("utf-8")
    yield _MARKUP.sub(" ", text)
    yield from _SHOWN.findall(text)


def _is_word(text: str) -> bool:
    """Whether a person reads it: a sentence, or one word with a capital."""
    return bool(re.search(r"\s", text.strip()) or re.fullmatch(r"[A-Z][a-z]+[.:]?", text.strip()))


def _string_words(path: Path) -> Iterator[str]:
    tree = ast.parse(path.read_text("utf-8"))
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and ast.get_docstring(node) is not None
    }
    for node in ast.walk(tree):
        said = node.value if isinstance(node, ast.Constant) and id(node) not in docs else None
        if isinstance(said, str) and _is_word(said):
            yield _MARKUP.sub(" ", said)


def _commentary(path: Path) -> Iterator[str]:
    """Docstrings and comments."""
    source = path.read_text("utf-8")
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef):
            yield ast.get_docstring(node) or ""
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type == tokenize.COMMENT:
            yield token.string


def _leaves(value) -> Iterator[str]:
    if isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from _leaves(inner)
    elif isinstance(value, str) and _is_word(value):
        yield value


def _data_words(path: Path) -> Iterator[str]:
    if path.suffix == ".toml":
        yield from _leaves(tomllib.loads(path.read_text("utf-8")))
        return
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            yield from _leaves(list(row.values()))


SHOWN = [
    *((path, _template_words) for path in _files("templates", ".html")),
    *((path, _string_words) for folder in ("stockroom", "demos") for path in _files(folder, ".py")),
    *((path, _data_words) for folder in ("stockroom", "demos") for path in _files(folder, ".toml", ".csv")),
]
COMMENTED = [(path, _commentary) for folder in ("stockroom", "demos") for path in _files(folder, ".py")]


def found(reading, pattern: str) -> list[str]:
    """Each use of a word of `pattern` with its file, those of EXCEPTIONS left out."""
    rule = re.compile(rf"\b(?:{pattern})\b", re.I)
    hits = []
    for path, words in reading:
        name = path.relative_to(ROOT).as_posix()
        for text in words(path):
            for hit in rule.finditer(_KEY.sub(" ", text)):
                if (name, hit[0].lower()) not in EXCEPTIONS:
                    hits.append(f"{name}: {hit[0]}: {' '.join(text.split())[:80]}")
    return hits


def test_no_word_is_one_that_a_technician_must_look_up():
    assert not found(SHOWN + COMMENTED, NEVER)


def test_spelling_is_that_of_the_us():
    assert not found(SHOWN + COMMENTED, ABROAD)


@pytest.mark.parametrize("other", SAID_OTHERWISE)
def test_one_thing_has_one_name(other):
    assert not found(SHOWN, other), f"say “{SAID_OTHERWISE[other]}”"


def test_every_exception_is_still_needed():
    stale = []
    for (name, word), reason in EXCEPTIONS.items():
        assert reason
        text = (ROOT / name).read_text("utf-8").lower()
        stale += [(name, word)] if word not in text else []
    assert not stale


def test_the_readers_see_what_they_hold(tmp_path):
    """A word in each kind of place is found, a key in none."""
    page = tmp_path / "page.html"
    page.write_text(
        '<p class="colour">{{ x.colour }} {% url "colour" %} A colour</p><i title="Vapour here"></i>', "utf-8"
    )
    assert sum(len(re.findall("colour|Vapour", text)) for text in _template_words(page)) == 2
    code = tmp_path / "code.py"
    code.write_text('"""A colour."""\nX = "colour"  # grey\nY = f"the vapour of {X}"\n', "utf-8")
    assert list(_string_words(code)) == ["the vapour of "]
    assert "A colour." in list(_commentary(code)) and "# grey" in list(_commentary(code))
    table = tmp_path / "table.toml"
    table.write_text('key = "oxidisers"\nwords = ["much water, please"]\n', "utf-8")
    assert list(_data_words(table)) == ["much water, please"]
