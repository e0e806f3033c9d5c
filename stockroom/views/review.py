"""The head's review: what is wrong, each kind a click from its cure; and the stock review to print."""

from django.contrib.auth.decorators import permission_required
from django.shortcuts import render
from django.utils import timezone

from stockroom import annual, review
from stockroom.forms.outlook import UntilForm
from stockroom.models import Department
from stockroom.sheets import stock_review as sheet
from stockroom.views.printing import pdf, sheet_head

MAY = "stockroom.review_stock"


@permission_required(MAY, raise_exception=True)
def page(request):
    today = timezone.localdate()
    found = review.findings(today)
    context = {
        "annual": annual.standing(today),
        "findings": [finding for finding in found if finding.count],
        "clear": [finding for finding in found if not finding.count],
    }
    return render(request, "stockroom/review.html", context)


@permission_required(MAY, raise_exception=True)
def stock_sheet(request):
    today = timezone.localdate()
    found = review.findings(today)
    end = UntilForm(today=today).horizon
    head = sheet_head(request, "Stock review", "the ledger, the bookings and the hazard data")
    data = sheet.StockReview(
        head,
        review.groups(today, found, end),
        tuple((finding.title, finding.count) for finding in found if finding.count),
        review.costs(today),
        f"{Department.current().currency} ",
    )
    return pdf(request, sheet.render, data, "stock-review")
