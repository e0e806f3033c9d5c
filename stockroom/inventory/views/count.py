"""Counts of a place: list, start, enter what was found, close, the sheet to walk the shelves with."""

from itertools import groupby

from django.contrib import messages
from django.contrib.admin.models import ADDITION, DELETION
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import Count, F, Q
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from stockroom.common.activity_log import note
from stockroom.common.views.listing import NounList
from stockroom.common.views.printing import pdf, sheet_head
from stockroom.inventory import counting
from stockroom.inventory.forms.count import CountForm, CountStartForm
from stockroom.inventory.models import CountLine, LedgerError, StockCount
from stockroom.inventory.sheets import count as sheet
from stockroom.inventory.stock import unit_of
from stockroom.inventory.tables.count import CountFilter, CountTable

VIEW, ACT = "stockroom.view_stockcount", "stockroom.count_stock"


class CountList(NounList):
    permission_required = VIEW
    table_class, filterset_class = CountTable, CountFilter
    title = "Counts"
    lead = "What is really on the shelves, place by place, against what the ledger says."
    add = ("Start a count", "count-add", ACT)
    empty_text = "No counts yet. Start with the shelf that is used most."

    def get_queryset(self):
        counted = Q(lines__counted__isnull=False)
        return StockCount.objects.select_related("location", "counted_by").annotate(
            standing=Count("lines"),
            counted=Count("lines", filter=counted),
            differ=Count("lines", filter=counted & ~Q(lines__counted=F("lines__expected"))),
        )


@permission_required(ACT, raise_exception=True)
def start(request):
    initial = {"location": request.GET.get("location", "")}
    form = CountStartForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        today = timezone.localdate()
        try:
            count = counting.start(data["location"], who=request.user, on=today, note=data["note"])
        except counting.CountError as error:
            form.add_error("location", str(error))
        else:
            note(request.user, count, "started", ADDITION)
            return redirect(count)
    context = {
        "form": form,
        "title": "Start a count",
        "lead": "Lists every container of the place. Print the sheet, walk the shelves, enter it here.",
        "submit": "Start the count",
        "back": reverse("count-list"),
        "crumbs": [("Counts", reverse("count-list"))],
    }
    return render(request, "common/form.html", context)


def _count(pk) -> StockCount:
    return get_object_or_404(StockCount.objects.select_related("location", "counted_by"), pk=pk)


@permission_required(VIEW, raise_exception=True)
def detail(request, pk):
    """What was found. While the count is open, those who count enter it here and save as they go."""
    count = _count(pk)
    may_count = request.user.has_perm(ACT) and not count.closed_on
    if request.method == "POST":
        if not request.user.has_perm(ACT):
            raise PermissionDenied
        if count.closed_on:
            messages.error(request, "This count is closed: start another one.")
            return redirect(count)
    lines = counting.lines_of(count)
    form = CountForm(request.POST or None, lines=lines) if may_count else None
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            written = form.save()
            new = counting.catch_up(count)
        left = sum(line.counted is None for line in lines) + new
        messages.success(request, f"Saved, {written} changed. {left} not counted yet.")
        return redirect(count)
    counted = [line for line in lines if line.counted is not None]
    context = {
        "count": count,
        "form": form,
        "lines": lines,
        "counted": len(counted),
        "differ": [line for line in counted if line.counted != line.expected],
        "may_count": may_count,
    }
    return render(request, "inventory/count_detail.html", context)


@require_POST
@permission_required(ACT, raise_exception=True)
def write_line(request, pk):
    """Saves one line as it is typed and answers with its row."""
    rows = CountLine.objects.select_related("count", "container__reagent", "container__location")
    line = get_object_or_404(rows, pk=pk)
    if line.count.closed_on:
        raise PermissionDenied("This count is closed.")
    form = CountForm(request.POST, lines=[line])
    if form.is_valid():
        form.save()
    row = form.rows()[0]
    return render(request, "inventory/partials/count_row.html", {"row": row, "saved": form.is_valid()})


@require_POST
@permission_required(ACT, raise_exception=True)
def close(request, pk):
    count = _count(pk)
    try:
        closed = counting.close(count, who=request.user, on=timezone.localdate())
    except counting.Overtaken as error:
        counting.forget(error.lines)
        messages.error(request, str(error))
    except (counting.CountError, LedgerError) as error:
        messages.error(request, str(error))
    else:
        note(request.user, count, f"closed: {closed.corrected} corrected, {closed.uncounted} not counted")
        messages.success(
            request,
            f"Closed. {closed.corrected} corrected in the ledger; {closed.uncounted} left as they were.",
        )
    return redirect(count)


@require_POST
@permission_required(ACT, raise_exception=True)
def abandon(request, pk):
    """Throw an open count away. Nothing of it is in the ledger yet."""
    count = _count(pk)
    if count.closed_on:
        messages.error(request, "This count is closed: its corrections stand in the ledger.")
        return redirect(count)
    note(request.user, count, "abandoned", DELETION)
    count.delete()
    messages.success(request, "The count is discarded. Nothing in the ledger has changed.")
    return redirect("count-list")


@permission_required(VIEW, raise_exception=True)
def count_sheet(request, pk):
    """`?expected=1` prints what the ledger says too; without it the count is blind."""
    count = _count(pk)
    told = request.GET.get("expected") == "1"
    places = []
    for place, lines in groupby(counting.lines_of(count), key=lambda line: line.container.location.path):
        places.append(sheet.Place(place, tuple(_sheet_line(line, told) for line in lines)))
    head = sheet_head(request, "Count sheet", "the places of the containers", count.location.path)
    return pdf(request, sheet.render, sheet.CountSheet(head, tuple(places)), f"count-{count.pk}")


def _sheet_line(line: CountLine, told: bool) -> sheet.CountSheetLine:
    container = line.container
    return sheet.CountSheetLine(
        number=container.code,
        reagent=container.reagent.name,
        unit=unit_of(container.reagent, container.pack_amount),
        expected=container.balance_text if told else "",
        lot=container.lot,
        expires=container.usable_until,
    )
