"""Show what bringing a spreadsheet of bottles in would make of each row. Changes nothing."""

import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from stockroom.bringing.preview import LEFT_OUT, QUESTION, READY, Line, preview
from stockroom.bringing.reading import SheetError, read_file

_WORDS = {READY: "ready", QUESTION: "QUESTION", LEFT_OUT: "left out"}


class Command(BaseCommand):
    help = (
        "Show what a spreadsheet of bottles (.xlsx, .ods, .csv) would bring in, row by row. Changes nothing."
    )
    requires_system_checks = ()

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--preview", action="store_true", required=True, help="show only, bring nothing in"
        )
        parser.add_argument("--json", action="store_true", help="for a program, not for a reader")

    def handle(self, *args, **options):
        try:
            lines = preview(read_file(options["file"]), timezone.localdate())
        except SheetError as error:
            raise CommandError(str(error)) from None
        if options["json"]:
            several = len({line.sheet for line in lines}) > 1
            rows = [_as_row(line, several) for line in lines]
            self.stdout.write(json.dumps({"rows": rows}, ensure_ascii=False, indent=1))
        else:
            self._tell(lines)

    def _tell(self, lines):
        for line in lines:
            if line.state == LEFT_OUT:
                self.stdout.write(f"{line.row:>5}  left out  {line.why}")
                continue
            what = f"{line.containers} x {line.amount or '?'} {line.reagent or line.written}"
            placed = f", {line.place}" if line.place else ""
            self.stdout.write(f"{line.row:>5}  {_WORDS[line.state]:8}  {what}{placed}: {line.why}")
        counts = {state: sum(line.state == state for line in lines) for state in _WORDS}
        self.stdout.write(
            f"{counts[READY]} ready, {counts[QUESTION]} with a question, {counts[LEFT_OUT]} left "
            f"out. Nothing was changed."
        )


def _as_row(line: Line, several: bool) -> dict:
    row = {"row": line.row, "state": line.state}
    if several:
        row["sheet"] = line.sheet
    if line.state != LEFT_OUT:
        row |= {
            "written": line.written,
            "reagent": line.reagent,
            "cas_rn": list(line.cas_rn),
            "containers": line.containers,
            "amount": line.amount,
            "place": line.place,
            "received": line.received.isoformat() if line.received else None,
            "opened": line.opened.isoformat() if line.opened else None,
            "supplier": line.supplier,
            "lot": line.lot,
            "price": line.price,
            "suggestions": list(line.suggestions),
        }
    return row | {"why": line.why}
