"""The head's review: what is wrong, each kind a click from its cure; and the stock review to print."""

from django.contrib.auth.decorators import permission_required
from django.shortcuts import render
from django.utils import timezone

from stockroom.common.department import Department
from stockroom.common.views.printing import pdf, sheet_head
from stockroom.inspection import annual_walk, findings, printouts
from stockroom.inspection.sheets import stock_review as sheet
from stockroom.purchasing.forms.outlook import UntilForm

MAY = "stockroom.review_stock"


@permission_required(MAY, raise_exception=True)
def page(request):
    today = timezone.localdate()
    found = findings.findings(today)
    context = {
        "annual": annual_walk.standing(today),
        "findings": [finding for finding in found if finding.count],
        "clear": [finding for finding in found if not finding.count],
    }
    return render(request, "inspection/review.html", context)


@permission_required(MAY, raise_exception=True)
def stock_sheet(request):
    today = timezone.localdate()
    found = findings.findings(today)
    end = UntilForm(today=today).horizon
    head = sheet_head(request, "Stock review", "the ledger, the bookings and the hazard data")
    data = sheet.StockReview(
        head,
        printouts.groups(today, found, end),
        tuple((finding.title, finding.count) for finding in found if finding.count),
        printouts.costs(today),
        f"{Department.current().currency} ",
    )
    return pdf(request, sheet.render, data, "stock-review")
