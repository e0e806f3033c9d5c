"""The rules of the house, read from the imports."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PURE = [
    "stockroom/chemistry",
    "stockroom/safety",
    "stockroom/supply",
    "demos/consumption.py",
    "demos/outcome.py",
    "demos/dissolving.py",
    "demos/cautions.py",
    "demos/restating.py",
]
#: what does I/O, or reaches the database or the web
NOT_PURE = {
    "django",
    "sqlite3",
    "psycopg",
    "socket",
    "subprocess",
    "urllib",
    "http",
    "requests",
    "demos.models",
}
LEDGER_WORDS = ("Movement.objects.create", "Movement(", ".update(balance")


def sources(*places: str) -> list[Path]:
    found: list[Path] = []
    for place in places:
        path = ROOT / place
        found += [path] if path.suffix == ".py" else sorted(path.rglob("*.py"))
    return [path for path in found if path.exists()]


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return names


def within(names: set[str], package: str) -> set[str]:
    return {name for name in names if name == package or name.startswith(package + ".")}


@pytest.mark.parametrize("place", PURE)
def test_pure_code_imports_no_framework_and_does_no_io(place):
    for path in sources(place):
        names = imported(path)
        for package in NOT_PURE:
            assert not within(names, package), f"{path} imports {package}"
        assert not within(names, "stockroom.models"), f"{path} imports models"


def test_the_stockroom_never_imports_the_demonstrations():
    for path in sources("stockroom"):
        assert not within(imported(path), "demos"), path


def test_only_the_ledger_writes_movements_and_balances():
    for path in sources("stockroom", "demos"):
        if path == ROOT / "stockroom/ledger.py" or "migrations" in path.parts:
            continue
        text = path.read_text()
        for word in LEDGER_WORDS:
            assert word not in text or (word == "Movement(" and "class Movement(" in text), f"{path}: {word}"


def test_sheets_ask_no_database():
    for path in sources("stockroom/sheets", "demos/sheets"):
        names = imported(path)
        assert not within(names, "django"), path
        assert not within(names, "stockroom.models") and not within(names, "demos.models"), path


def test_nothing_visible_at_the_top_but_the_card():
    card = {"README.md", "DEVELOPERS.md", "manage.py", "requirements.txt", "stockroom", "demos", "templates"}
    card |= {"tests", "LICENSE"}
    visible = {path.name for path in ROOT.iterdir() if not path.name.startswith((".", "__pycache__"))}
    assert visible == card


def test_every_requirement_is_pinned_and_says_why():
    for line in (ROOT / "requirements.txt").read_text().splitlines():
        if line and not line.startswith("#"):
            assert "==" in line and "#" in line, line
