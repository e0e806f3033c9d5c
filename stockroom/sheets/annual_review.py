"""The annual review: every shelf walked, every finding written down, signed and dated."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from . import kit
from .kit import Column, Head, Sheet

CHECKS = (
    "Shelf sound, clean, labelled; nothing above eye level that burns or corrodes",
    "Every container closed, whole, legibly labelled and in date",
    "Nothing stands beside what it must not",
    "Spill kit, eye wash and extinguisher in reach and in date",
)


@dataclass(frozen=True)
class Finding:
    """Something the stockroom already knows to be wrong here, worst first."""

    what: str  # "0127 sulfuric acid 96 %: expired 3 Sep 2026"
    cure: str = ""
    source: str = ""


@dataclass(frozen=True)
class Answer:
    """What was found of one check."""

    check: str
    ok: bool
    note: str = ""


@dataclass(frozen=True)
class Shelf:
    """A place and what stands there: `(number, reagent, amount, expires)`.

    `answers` once it is walked; until then the checks are printed to tick.
    """

    name: str
    storage: str  # "acids"
    containers: tuple[tuple[str, str, str, date | None], ...] = ()
    findings: tuple[Finding, ...] = ()
    checks: tuple[str, ...] = CHECKS
    answers: tuple[Answer, ...] = ()
    walked_by: str = ""
    walked_on: date | None = None


@dataclass(frozen=True)
class AnnualReview:
    """`counts` head the sheet: ("conflicts", 2), ("sheets missing", 11)."""

    head: Head
    shelves: tuple[Shelf, ...]
    counts: tuple[tuple[str, int], ...] = ()
    last: date | None = None
    signed: str = ""  # "Dr Lindqvist, 27 Nov 2026"; "" leaves lines to sign on
    note: str = ""


def render(data: AnnualReview, paper: str = "A4") -> bytes:
    """The review as PDF: counts, one block a shelf, and the place to sign."""
    sheet = Sheet(data.head, paper)
    counts = [(label, kit.strong(f"{number:,}")) for label, number in data.counts]
    sheet.facts([*counts, ("Last review", kit.day(data.last, "none on record"))], columns=2)
    for shelf in data.shelves:
        _shelf(sheet, shelf, data.head.on)
    if not data.shelves:
        sheet.paragraph("No shelf is set up yet: add the department's places first.")
    if data.note:
        sheet.paragraph(data.note)
    if data.signed:
        sheet.paragraph(kit.strong(f"Reviewed and signed by {data.signed}"))
    else:
        sheet.signatures(["Reviewed by", "Head of department"])
    return sheet.pdf()


def _shelf(sheet: Sheet, shelf: Shelf, today: date) -> None:
    sheet.band(f"{shelf.name} · {shelf.storage} · {kit.count(len(shelf.containers), 'container')}")
    if shelf.answers:
        sheet.paragraph(f"Walked {kit.day(shelf.walked_on)} by {shelf.walked_by}.", muted=True)
        sheet.table(
            [Column("Check", 3), Column("Found", points=70), Column("Note", 2)],
            [
                (row.check, "in order" if row.ok else kit.warning("not in order"), row.note)
                for row in shelf.answers
            ],
        )
    else:
        sheet.ticks(shelf.checks, columns=2)
    if shelf.findings:
        sheet.table(
            [Column("", points=15), Column("To put right", 3), Column("How", 3), Column("Rule", 1.6)],
            [(kit.TickBox(), kit.warning(f.what), f.cure, kit.small(f.source)) for f in shelf.findings],
        )
    sheet.table(
        [
            Column("", points=15),
            Column("Number", points=46),
            Column("Reagent", 3),
            Column("Amount", points=66, align="right"),
            Column("Expires", points=68),
            Column("Note", 2),
        ],
        _containers(shelf, shelf.walked_on or today),
        empty="Nothing stands here.",
    )


def _containers(shelf: Shelf, today: date) -> Sequence[Sequence[object]]:
    rows = []
    for number, reagent, amount, expires in shelf.containers:
        when = kit.short_day(expires, "—")
        late = expires is not None and expires < today
        rows.append((kit.TickBox(), number, reagent, amount, kit.warning(when) if late else when, ""))
    return rows
