"""From a request to a sheet: its head and foot, its paper, the answer."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.text import slugify

from stockroom.common.days import day_text
from stockroom.common.department import Department
from stockroom.paper.kit import PAPERS, Head


def sheet_head(request: HttpRequest, title: str, computed_from: str, subtitle: str = "") -> Head:
    """What stands at the head and foot of every page of a sheet printed now by this person."""
    department = Department.current()
    now = timezone.localtime()
    return Head(
        title=title,
        department=str(department),
        on=now.date(),
        printed_by=request.user.get_full_name() or request.user.get_username(),
        printed_at=now,
        computed_from=f"{computed_from} as they stood on {day_text(now)} at {now:%H:%M}",
        subtitle=subtitle,
    )


def paper_of(request: HttpRequest) -> str:
    """`?paper=` where it names a paper, else the department's."""
    asked = request.GET.get("paper", "")
    return asked if asked in PAPERS else Department.current().paper


#: the browser's own viewer draws with inline styles, and may be an object; nothing else is allowed to a PDF
PDF_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; object-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


def pdf(request: HttpRequest, render: Callable[..., bytes], data, filename: str) -> HttpResponse:
    """The sheet as a PDF that opens in the browser."""
    response = HttpResponse(render(data, paper_of(request)), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{slugify(filename)}.pdf"'
    response["Content-Security-Policy"] = PDF_POLICY
    return response
