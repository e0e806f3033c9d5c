"""The annual review: every shelf walked, every finding written down, signed and dated."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stockroom.inspection.known_fault import KnownFault
from stockroom.paper import kit
from stockroom.paper.kit import Column, Head, Sheet

CHECKS = (
    "Shelf sound, clean, labeled; nothing above eye level that burns or corrodes",
    "Every container closed, whole, legibly labeled and not expired",
    "Nothing incompatible storage",
    "Spill kit, eye wash and extinguisher in reach and not expired",
)


@dataclass(frozen=True)
class Answer:
    """What was found of one check."""

    check: str
    ok: bool
    note: str = ""


@dataclass(frozen=True)
class Shelf:
    """A place and what stands there: `(number, reagent, amount, expires, what its papers lack)`.

    `answers` once it is walked; until then the checks are printed to tick.
    """

    name: str
    storage: str  # "acids"
    containers: tuple[tuple[str, str, str, date | None, str], ...] = ()
    findings: tuple[KnownFault, ...] = ()
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
    abandoned: str = ""  # "by Dr Lindqvist, 27 Nov 2026: the store is being rebuilt"


#: containers up to which a shelf is kept on one page
KEPT_TOGETHER = 8


def render(data: AnnualReview, paper: str = "A4") -> bytes:
    """The review as PDF: counts, one block a shelf, and the place to sign."""
    sheet = Sheet(data.head, paper)
    counts = [(label, kit.strong(f"{number:,}")) for label, number in data.counts]
    sheet.facts([*counts, ("Last review", kit.day(data.last, "none on record"))], columns=3)
    if data.abandoned:
        sheet.paragraph(kit.warning(f"Abandoned {data.abandoned}"))
    for shelf in data.shelves:
        start = sheet.mark()
        _shelf(sheet, shelf, data.head.on)
        if len(shelf.containers) <= KEPT_TOGETHER:
            sheet.together(start)
    if not data.shelves:
        sheet.paragraph("No shelf is set up yet: add the department's places first.")
    if data.note:
        sheet.paragraph(data.note)
    if data.signed:
        sheet.paragraph(kit.strong(f"Reviewed and signed by {data.signed}"))
    elif not data.abandoned:
        sheet.signatures(["Reviewed by", "Department head"])
    return sheet.pdf()


def _shelf(sheet: Sheet, shelf: Shelf, today: date) -> None:
    sheet.band(f"{shelf.name} · {shelf.storage} · {kit.count(len(shelf.containers), 'container')}")
    if shelf.answers:
        _answers(sheet, shelf)
    else:
        sheet.ticks([kit.small(check) for check in shelf.checks], columns=2)
    if shelf.findings:
        rows = [(kit.TickBox(), _said(finding)) for finding in shelf.findings]
        sheet.table([Column("", points=15), Column("")], rows, lines=False, headed=False)
    sheet.table(
        [
            Column("", points=15),
            Column("Number", points=46),
            Column("Reagent", 2.4),
            Column("Amount", points=56, align="right"),
            Column("Expires", points=60),
            Column("Papers", points=122),
            Column("Note", 1),
        ],
        _containers(shelf, shelf.walked_on or today),
        empty="Nothing stands here.",
        headed=False,
    )


def _answers(sheet: Sheet, shelf: Shelf) -> None:
    """All in order in one line; what is not, and what somebody noted, each with its note."""
    wrong = [row for row in shelf.answers if not row.ok]
    found = kit.strong(f"{len(wrong)} of {len(shelf.answers)} not in order" if wrong else "all in order")
    sheet.paragraph(kit.join((f"Walked {kit.day(shelf.walked_on)} by {shelf.walked_by}", found), ": "))
    remarks = [
        kit.join((row.check, kit.warning("not in order") if not row.ok else "in order", row.note), ": ")
        for row in shelf.answers
        if not row.ok or row.note
    ]
    sheet.bullets(remarks)


def _said(finding: KnownFault) -> kit.Markup:
    cure = f"{finding.cure}." if finding.cure else ""
    return kit.join((kit.warning(finding.what), cure, kit.small(finding.source)), " ")


def _containers(shelf: Shelf, today: date) -> Sequence[Sequence[object]]:
    rows = []
    for number, reagent, amount, expires, papers in shelf.containers:
        when = kit.short_day(expires, "—")
        late = expires is not None and expires < today
        lacking = kit.small(papers) if papers else ""
        line = "" if shelf.answers else kit.WriteLine()
        rows.append(
            (kit.TickBox(), number, reagent, amount, kit.warning(when) if late else when, lacking, line)
        )
    return rows
