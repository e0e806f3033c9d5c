"""Reads printed sheets back, for the tests of every sheet."""

import io
import re
from dataclasses import fields, is_dataclass, replace
from datetime import date, datetime

from pypdf import PdfReader

from stockroom.paper.kit import FIRST_LINE, Head

HOSTILE = '<b>bold</b> & "quoted" <script>alert(1)</script> =1+1 ]]> %s {x} </para> &lt;'
UNBROKEN = "Hexa" * 120
TODAY = date(2026, 11, 27)


def head(title="A sheet", **changes) -> Head:
    """A head with plain values."""
    values = {
        "title": title,
        "department": "Chemistry, Hollin Bank School",
        "on": TODAY,
        "printed_by": "Ines Okafor",
        "printed_at": datetime(2026, 11, 27, 8, 10),
        "computed_from": "the ledger at 08:10",
    }
    return Head(**values | changes)


def reader(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


def pages(pdf: bytes) -> list[str]:
    """The text of each page, white space made single."""
    return [re.sub(r"\s+", " ", page.extract_text()) for page in reader(pdf).pages]


def letters(pdf: bytes) -> str:
    """All text without white space, to look for words that were wrapped or broken."""
    return re.sub(r"\s", "", "".join(page.extract_text() for page in reader(pdf).pages))


def squeezed(value: str) -> str:
    return re.sub(r"\s", "", value)


def check_document(pdf: bytes, title: str, paper: str) -> None:
    """What every sheet owes: size, properties, language, numbers, the line that local rules come first."""
    document = reader(pdf)
    assert document.metadata.title == title
    assert document.metadata.author == "Chemistry, Hollin Bank School"
    assert document.metadata.subject
    assert document.trailer["/Root"]["/Lang"] == "en-GB"
    size = {"A4": (595.28, 841.89), "Letter": (612, 792)}[paper]
    texts = pages(pdf)
    for number, (page, words) in enumerate(zip(document.pages, texts, strict=True), start=1):
        assert abs(float(page.mediabox.width) - size[0]) < 1
        assert abs(float(page.mediabox.height) - size[1]) < 1
        assert f"Page {number} of {len(texts)}" in words
        assert title in words
        assert "Chemistry, Hollin Bank School" in words
        assert FIRST_LINE in words
        assert "Printed by Ines Okafor, 27 Nov 2026 08:10." in words
    assert outside(pdf) == []


def outside(pdf: bytes) -> list[tuple[str, float, float]]:
    """Text that starts off its page, and where."""
    found = []
    for page in reader(pdf).pages:
        width, height = float(page.mediabox.width), float(page.mediabox.height)

        def visit(text, current, matrix, font, size, width=width, height=height):
            x = matrix[4] * current[0] + current[4]
            y = matrix[5] * current[3] + current[5]
            if text.strip() and not (0 <= x <= width and 0 <= y <= height):
                found.append((text, x, y))

        page.extract_text(visitor_text=visit)
    return found


#: fields that hold a key, an address or a color rather than words that are printed
NOT_WORDS = {"kind", "state", "colour", "url", "language", "pictograms", "storage", "currency", "subject"}


def filled(sample, words: str):
    """`sample`, a dataclass, with every printed string in it replaced by `words`."""
    if is_dataclass(sample):
        return replace(
            sample,
            **{
                f.name: filled(getattr(sample, f.name), words)
                for f in fields(sample)
                if f.init and f.name not in NOT_WORDS
            },
        )
    if isinstance(sample, tuple):
        return tuple(filled(part, words) for part in sample)
    return words if isinstance(sample, str) and sample else sample


def strings(sample) -> int:
    """How many strings `filled` replaces."""
    if is_dataclass(sample):
        return sum(strings(getattr(sample, f.name)) for f in fields(sample) if f.name not in NOT_WORDS)
    if isinstance(sample, tuple):
        return sum(strings(part) for part in sample)
    return int(isinstance(sample, str) and bool(sample))
