"""Safety data sheets of the department: what is missing or due, as page and PDF; one reagent on one page."""

from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from stockroom.common.department import Department
from stockroom.common.paging import paged
from stockroom.common.person import name_of
from stockroom.common.views.printing import pdf, sheet_head
from stockroom.hazards import datasheets
from stockroom.hazards.printouts import summary_of, with_summary_data
from stockroom.hazards.sheets import datasheet_list as sheet
from stockroom.hazards.sheets import reagent_summary as summary
from stockroom.hazards.tables import DatasheetForm, DatasheetTable
from stockroom.inventory.models import Reagent

VIEW = "stockroom.view_safetydatasheet"


@permission_required(VIEW, raise_exception=True)
def sheet_list(request):
    months = Department.current().sheet_review_months
    standings = datasheets.standings(timezone.localdate(), months)
    form = DatasheetForm(request.GET)
    rows = form.narrow(standings)
    empty = (
        "Nothing matches. Search for less, or show another state."
        if request.GET.get("q") or request.GET.get("state")
        else "Every reagent in stock has a sheet that is current and verified."
        if standings
        else "No reagent is in stock yet. Receive the first delivery, then add its sheet."
    )
    table = DatasheetTable(rows, empty_text=empty)
    paged(request, table)
    counts = {state: sum(row.state == state for row in standings) for state in datasheets.ORDER}
    context = {"form": form, "table": table, "months": months, "counts": counts, "total": len(standings)}
    return render(request, "hazards/datasheet_list.html", context)


@permission_required(VIEW, raise_exception=True)
def sheet_list_print(request):
    months = Department.current().sheet_review_months
    standings = datasheets.standings(timezone.localdate(), months)
    lines = tuple(_line(row) for row in standings if row.state != datasheets.FINE)
    head = sheet_head(request, "Safety data sheets", "the shelves and the sheets on file")
    data = sheet.SdsList(head, lines, len(standings), f"{months} months")
    return pdf(request, sheet.render, data, "safety-data-sheets")


def _line(row: datasheets.Standing) -> sheet.DataSheetLine:
    on_file = row.sheet
    checker = on_file.checked_by if on_file else None
    return sheet.DataSheetLine(
        state=row.state,
        reagent=row.reagent.name,
        supplier=on_file.supplier.name if on_file and on_file.supplier else "",
        revision=on_file.revision_date if on_file else None,
        checked_by=name_of(checker) if checker else "",
        checked_on=on_file.checked_on if on_file else None,
        places="; ".join(row.places),
        hazard=datasheets.hazard_words(row.reagent) or "Not classified yet: treat as hazardous",
        note=on_file.note if on_file else "",
    )


@permission_required("stockroom.view_reagent", raise_exception=True)
def reagent_summary(request, pk):
    """One page about one reagent."""
    reagent = get_object_or_404(with_summary_data(Reagent.objects.all()), pk=pk)
    containers = reagent.containers.present().select_related("location")
    head = sheet_head(request, "Reagent summary", "the hazard data and the ledger", reagent.name)
    data = summary_of(reagent, containers, head, timezone.localdate())
    return pdf(request, summary.render, data, f"{reagent.name}-summary")
