"""Reads the source of the app: which module imports which, and which calls it makes."""

import ast
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
APPS = ("stockroom", "demos")
#: kinds of files of a room that show or ask; all others are its domain
WEB = {"forms", "views", "tables", "urls", "sheets", "printouts", "templatetags", "context"}


@dataclass(frozen=True)
class Module:
    """One file of source. `name` is dotted; `tree` its syntax tree."""

    name: str
    path: Path
    tree: ast.Module

    @property
    def app(self) -> str:
        return self.name.split(".")[0]

    @property
    def room(self) -> str:
        """The folder below the app, or the name of a file that stands in none."""
        parts = self.name.split(".")
        return parts[1] if len(parts) > 1 else ""

    @property
    def is_domain(self) -> bool:
        return not WEB & set(self.name.split("."))


def module(path: Path, root: Path = ROOT) -> Module:
    parts = path.relative_to(root).with_suffix("").parts
    name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
    return Module(name, path, ast.parse(path.read_text()))


@cache
def modules() -> dict[str, Module]:
    """Every module of the app but migrations: dotted name -> module."""
    paths = [path for app in APPS for path in (ROOT / app).rglob("*.py") if "migrations" not in path.parts]
    return {found.name: found for found in map(module, paths)}


def imported(found: Module) -> set[str]:
    """Dotted names that a module imports anywhere in it, relative ones too; `a.b` of `from a import b`."""
    package = found.name.split(".")
    if found.path.name != "__init__.py":
        package = package[:-1]
    names: set[str] = set()
    for node in ast.walk(found.tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else []
            source = ".".join([*above, *([node.module] if node.module else [])])
            names |= {source} | {f"{source}.{alias.name}" for alias in node.names}
    return names


@cache
def arrows() -> dict[str, frozenset[str]]:
    """Module -> the modules of the app that it imports itself."""
    known = modules()
    found: dict[str, frozenset[str]] = {}
    for name, one in known.items():
        names = imported(one)
        # `from a.b import c` where a.b.c is a module is an arrow to a.b.c, not to what a.b's __init__ holds.
        deeper = {name.rpartition(".")[0] for name in names if name in known}
        found[name] = frozenset(names & known.keys() - (deeper - _used_directly(one)))
    return found


def _used_directly(found: Module) -> set[str]:
    """Packages of which a module imports a name that is no module."""
    return {
        node.module
        for node in ast.walk(found.tree)
        if isinstance(node, ast.ImportFrom)
        and node.module
        and any(f"{node.module}.{alias.name}" not in modules() for alias in node.names)
    }


@cache
def reached(name: str) -> frozenset[str]:
    """Every module that importing `name` brings along, itself included."""
    seen, waiting = {name}, [name]
    while waiting:
        fresh = arrows()[waiting.pop()] - seen
        seen |= fresh
        waiting += fresh
    return frozenset(seen)


def outside(found: Module) -> set[str]:
    """First words of what a module imports from outside the app."""
    return {name.split(".")[0] for name in imported(found)} - set(APPS)


def calls(tree: ast.AST) -> list[tuple[str, ast.Call]]:
    """Every call as (last word of what is called, node): `open`, `update`, `bulk_create`."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            target = node.func
            word = target.attr if isinstance(target, ast.Attribute) else getattr(target, "id", "")
            found.append((word, node))
    return found


def written_attributes(tree: ast.AST) -> set[str]:
    """Names of attributes that something is assigned to: `c.balance = 7`, `c.balance += 1`, setattr."""
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store):
            found.add(node.attr)
    for word, call in calls(tree):
        if word == "setattr" and len(call.args) > 1 and isinstance(call.args[1], ast.Constant):
            found.add(str(call.args[1].value))
    return found


def about_the_ledger(tree: ast.AST) -> list[str]:
    """What only the ledger may do: write a balance, or make, change or delete a movement."""
    said = ["a balance is assigned"] if "balance" in written_attributes(tree) else []
    for word, call in calls(tree):
        keywords = {keyword.arg for keyword in call.keywords}
        words = {node.id for node in ast.walk(call) if isinstance(node, ast.Name)}
        words |= {node.attr for node in ast.walk(call.func) if isinstance(node, ast.Attribute)}
        if word in ("update", "create", "update_or_create", "bulk_update") and "balance" in keywords:
            said.append(f"a balance is written by {word}()")
        if word == "bulk_update" and "'balance'" in ast.dump(call):
            said.append("a balance is written by bulk_update()")
        writes = {
            "create",
            "bulk_create",
            "get_or_create",
            "update_or_create",
            "update",
            "delete",
            "bulk_update",
        }
        if word in writes and "Movement" in words | {
            w.rstrip("s").capitalize() for w in words & {"movements"}
        }:
            said.append(f"movements are written by {word}()")
        if word == "Movement":
            said.append("a movement is made")
    return said


def doing_io(tree: ast.AST) -> list[str]:
    """Calls by which code reaches outside itself: files but its own tables, processes, imports by name."""
    forbidden = {
        "open",
        "import_module",
        "__import__",
        "eval",
        "exec",
        "write_text",
        "write_bytes",
        "unlink",
        "urlopen",
    }
    return sorted({word for word, _ in calls(tree)} & forbidden)
