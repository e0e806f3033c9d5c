"""The rules of the house, read from the syntax tree and followed through every import."""

import ast

import pytest

from tests.house import (
    ROOT,
    about_the_ledger,
    arrows,
    doing_io,
    modules,
    outside,
    reached,
)

#: rooms from the ground up: a room imports its own and what stands before it, never what comes after
ORDER = {
    "stockroom": [
        *("wording", "chemistry", "safety", "supply", "paper", "common", "inventory", "hazards", "waste"),
        *("storage", "catalogue", "bringing", "handling", "purchasing", "preparation", "inspection"),
        "people",
    ],
    "demos": [
        *("simulation", "models", "consumption", "report", "planning", "prep", "library", "dashboard"),
        *("sample", "conformance"),
    ],
}
#: what stands beside the rooms: Django looks for it at these names
FRAME = {
    *("", "models", "migrations", "management", "templatetags"),
    *("admin", "apps", "firstday", "settings", "sqlite", "urls", "wsgi"),
}
#: rooms without Django and without I/O but reading their own tables, and the modules that read those
PURE = (
    "stockroom.wording",
    "stockroom.chemistry",
    "stockroom.safety",
    "stockroom.supply",
    "demos.simulation",
)
PURE_MODULES = ("demos.consumption.amounts",)
READERS = {"stockroom.safety.published", "stockroom.chemistry.published"}
NOT_PURE = {
    "django",
    "sqlite3",
    "psycopg",
    "socket",
    "subprocess",
    "urllib",
    "http",
    "requests",
    "os",
    "shutil",
}
#: the engine leaves a file where it stands when it gives up, and whoever asked it takes that away
LEFT_BEHIND = {"stockroom.chemistry.aqueous": ["unlink"]}
LEDGER = "stockroom.inventory.ledger"


def pure() -> list[str]:
    return [name for name in modules() if name.startswith(PURE) or name in PURE_MODULES]


def test_every_module_stands_in_a_room_of_the_plan():
    for found in modules().values():
        assert found.room in FRAME or found.room in ORDER[found.app], f"{found.name} stands in no room"


def test_rooms_import_in_the_stated_order_only():
    wrong = []
    for name, targets in arrows().items():
        here = modules()[name]
        order = ORDER[here.app]
        for target in targets:
            there = modules()[target]
            if here.app != there.app or here.room not in order or there.room not in order:
                continue
            if order.index(there.room) > order.index(here.room):
                wrong.append(f"{name} imports {target}")
    assert not wrong, "\n".join(wrong)


def test_the_stockroom_never_imports_the_demonstrations():
    for name, targets in arrows().items():
        if name.startswith("stockroom") and name != "stockroom.urls":
            assert not {target for target in targets if target.startswith("demos")}, name


def test_domain_code_imports_neither_sheets_nor_addresses():
    wrong = []
    for name, targets in arrows().items():
        here = modules()[name]
        if not here.is_domain or here.room not in ORDER[here.app] or here.room == "paper":
            continue
        for target in targets:
            there = modules()[target]
            if not there.is_domain or there.room == "paper":
                wrong.append(f"{name} imports {target}")
        if "models" not in name.split(".") and "django.urls" in {
            node.module for node in ast.walk(here.tree) if isinstance(node, ast.ImportFrom)
        }:
            wrong.append(f"{name} builds addresses")
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("name", pure())
def test_pure_code_imports_no_framework_however_far_one_follows(name):
    for brought in reached(name):
        one = modules()[brought]
        # A package's own empty __init__ comes along with everything in it.
        assert not outside(one) & NOT_PURE, (
            f"{name} brings {brought}, which imports {outside(one) & NOT_PURE}"
        )


@pytest.mark.parametrize("name", pure())
def test_pure_code_reads_nothing_but_tables_through_a_reader(name):
    if name not in READERS:
        assert doing_io(modules()[name].tree) == LEFT_BEHIND.get(name, []), name


def test_only_the_ledger_writes_movements_and_balances():
    for name, found in modules().items():
        if name not in (LEDGER, "stockroom.inventory.models.movement"):
            assert not about_the_ledger(found.tree), f"{name}: {about_the_ledger(found.tree)}"


@pytest.mark.parametrize(
    "planted",
    [
        "Container.objects.filter(pk=1).update(\n    balance=7\n)",
        "c.balance = 7",
        "c.balance += 7",
        "setattr(c, 'balance', 7)",
        "Movement.objects.bulk_create([line])",
        "Movement.objects.filter(pk=1).delete()",
        "container.movements.update(amount=1)",
        "Container.objects.bulk_update(rows, ['balance'])",
        "Movement(amount=1).save()",
    ],
)
def test_a_planted_write_to_the_ledger_is_caught(planted):
    assert about_the_ledger(ast.parse(planted))


@pytest.mark.parametrize(
    "planted",
    ["open('x')", "import importlib\nimportlib.import_module('django')", "path.open()", "__import__('os')"],
)
def test_planted_io_in_pure_code_is_caught(planted):
    assert doing_io(ast.parse(planted))


def sheets() -> list[str]:
    return [name for name in modules() if "sheets" in name.split(".") or ".paper." in name]


@pytest.mark.parametrize("name", sheets())
def test_a_sheet_reaches_no_database(name):
    for brought in reached(name):
        assert "django" not in outside(modules()[brought]), f"{name} brings {brought}"


def test_nothing_visible_at_the_top_but_the_card():
    card = {"README.md", "DEVELOPERS.md", "manage.py", "requirements.txt", "stockroom", "demos", "templates"}
    card |= {"tests", "LICENSE"}
    visible = {path.name for path in ROOT.iterdir() if not path.name.startswith((".", "__pycache__"))}
    assert visible == card


def test_every_requirement_is_pinned_and_says_why():
    for line in (ROOT / "requirements.txt").read_text().splitlines():
        if line and not line.startswith("#"):
            assert "==" in line and "#" in line, line
