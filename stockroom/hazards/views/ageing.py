"""What becomes dangerous or useless with time: what is due."""

from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.shortcuts import render
from django.utils import timezone

from stockroom.inventory.ageing_items import AHEAD_DAYS, aged

ROWS_A_PAGE = 25


@permission_required("stockroom.view_containertest", raise_exception=True)
def ageing_list(request):
    """Containers with a test or a day to discard that is late or near, the most pressing first."""
    rows = aged(timezone.localdate())
    page = Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "rows": page.object_list,
        "page": page,
        "days": AHEAD_DAYS,
        "untouchable": sum(row.untouchable is not None for row in rows),
        "dangerous": sum(row.dangerous and row.untouchable is None for row in rows),
    }
    return render(request, "hazards/ageing_list.html", context)
