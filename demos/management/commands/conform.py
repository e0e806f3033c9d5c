"""`manage.py conform FILE.csv ...`: hold the app against cases that somebody else wrote down."""

import csv
import sys
from collections import Counter
from importlib import import_module
from pathlib import Path
from types import ModuleType

from django.core.management.base import BaseCommand, CommandError

from demos.conformance import HOLDS, UNKNOWN, WRONG, CaseError

KINDS = ("mixing", "waste", "beaker")


class Command(BaseCommand):
    help = (
        "Hold the app's mixing, waste and beaker answers against files of cases; exit 1 where one is wrong."
    )
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument("files", nargs="+", type=Path, metavar="FILE.csv")

    def handle(self, *args, **options):
        count: Counter[str] = Counter()
        for path in options["files"]:
            count += self.file(path)
        self.stdout.write(f"{count[HOLDS]} hold, {count[UNKNOWN]} unknown, {count[WRONG]} wrong")
        if count[WRONG]:
            sys.exit(1)

    def file(self, path: Path) -> Counter[str]:
        try:
            with path.open(newline="", encoding="utf-8-sig") as text:
                rows = list(csv.DictReader(text))
        except (OSError, UnicodeDecodeError, csv.Error) as error:
            raise CommandError(f"{path} cannot be read: {error}") from error
        kind = self.kind_of(path, set(rows[0]) if rows else set())
        count: Counter[str] = Counter()
        for number, row in enumerate(rows, start=2):
            try:
                verdict = kind.hold({name: (value or "").strip() for name, value in row.items() if name})
            except CaseError as error:
                raise CommandError(f"{path}, line {number}: {error}") from error
            count[verdict.state] += 1
            if verdict.state != HOLDS:
                case = " | ".join(value for value in row.values() if isinstance(value, str) and value)
                self.stdout.write(f"{path.name}:{number} {verdict.state}: {case}")
                self.stdout.write(f"    expected: {verdict.expected}")
                self.stdout.write(f"    the app says: {verdict.said}")
        return count

    def kind_of(self, path: Path, columns: set[str]) -> ModuleType:
        for name in KINDS:
            kind = import_module(f"demos.conformance.{name}")
            if kind.COLUMNS.issubset(columns):
                return kind
        raise CommandError(
            f"{path} is no set of cases known here: its columns are {', '.join(sorted(columns))}."
        )
