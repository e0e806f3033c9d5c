"""What should not be in a teaching stockroom, or only with a written reason."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from stockroom.common.activity_log import note
from stockroom.hazards import restricted
from stockroom.hazards.forms.restricted import ReasonForm
from stockroom.hazards.models import WrittenReason
from stockroom.inventory.models import Reagent
from stockroom.safety.restricted import NEVER
from stockroom.safety.restricted import restricted_list as published


@permission_required("stockroom.view_writtenreason", raise_exception=True)
def restricted_list(request):
    """What is in stock of the list, what needs the head first."""
    rows = restricted.in_stock()
    context = {
        "rows": rows,
        "open": sum(row.finding.open for row in rows),
        "listed": sorted(published().values(), key=lambda row: (row.level != NEVER, row.name.casefold())),
    }
    return render(request, "hazards/restricted_list.html", context)


def _told(listed) -> str:
    return f"{listed.name}: {listed.why}. {listed.route} ({listed.source})"


@permission_required("stockroom.add_writtenreason", raise_exception=True)
def reason_add(request, pk):
    rows = Reagent.objects.prefetch_related("components__chemical")
    reagent = get_object_or_404(rows, pk=pk)
    found = restricted.of_reagent(reagent)
    if not found:
        raise Http404
    reason = WrittenReason(reagent=reagent, who=request.user, on=timezone.localdate())
    form = ReasonForm(request.POST or None, instance=reason)
    if request.method == "POST" and form.is_valid():
        form.save()
        note(request.user, reagent, "wrote down why it is kept")
        messages.success(request, "The reason is written down, with your name and today's date.")
        return redirect("restricted-list")
    context = {
        "form": form,
        "title": f"Why {reagent} is kept",
        "lead": " ".join(_told(row.finding.listed) for row in found),
        "submit": "Save",
        "back": reverse("restricted-list"),
        "crumbs": [
            ("Restricted chemicals", reverse("restricted-list")),
            (str(reagent), reagent.get_absolute_url()),
        ],
    }
    return render(request, "common/form.html", context)
