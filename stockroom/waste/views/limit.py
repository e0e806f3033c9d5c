"""The limits of the waste rules: what is published, and what the department has set in its place."""

from itertools import groupby

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from stockroom.common.activity_log import note
from stockroom.common.department import Department
from stockroom.safety.waste_limits import WasteLimit, waste_limits
from stockroom.waste import composition
from stockroom.waste.forms.limit import OwnWasteLimitForm
from stockroom.waste.models import OwnWasteLimit

CRUMBS = (("Waste", "waste-list"), ("Limits", "waste-limits"))


@permission_required("stockroom.view_wastecontainer", raise_exception=True)
def waste_limit_list(request):
    own = {row.key: row for row in OwnWasteLimit.objects.select_related("set_by")}
    rows = [(limit, own.get(limit.key)) for limit in waste_limits().values()]
    context = {
        "groups": [(name, list(here)) for name, here in groupby(rows, key=lambda row: row[0].group)],
        "rules": composition.rules(),
        "department": Department.current(),
    }
    return render(request, "waste/waste_limits.html", context)


def _limit(key: str) -> WasteLimit:
    try:
        return waste_limits()[key]
    except KeyError:
        raise Http404 from None


@permission_required("stockroom.change_ownwastelimit", raise_exception=True)
def waste_limit_edit(request, key):
    limit, country = _limit(key), Department.current().country.upper()
    row = OwnWasteLimit.objects.filter(key=key).first() or OwnWasteLimit(key=key)
    others = composition.own_limits()
    others.pop(key, None)
    form = OwnWasteLimitForm(request.POST or None, instance=row, limit=limit, country=country, others=others)
    if request.method == "POST" and form.is_valid():
        row.set_by, row.set_on = request.user, timezone.localdate()
        form.save()
        note(request.user, row, f"{limit.group}, {limit.name}: {row.text} {limit.unit}, {row.reason}"[:250])
        messages.success(request, "Set. It holds from now on, on every page and sheet.")
        return redirect("waste-limits")
    lead = "In the US it may only be stricter than the federal limit."
    if composition.rules().guidance:
        lead = "Outside the US the published limit is guidance: set the one of your own authority."
    context = {
        "form": form,
        "title": f"{limit.group}. {limit.name}",
        "lead": lead,
        "submit": "Set this limit",
        "back": reverse("waste-limits"),
        "crumbs": [(label, reverse(name)) for label, name in CRUMBS],
    }
    return render(request, "common/form.html", context)


@require_POST
@permission_required("stockroom.change_ownwastelimit", raise_exception=True)
def waste_limit_lift(request, key):
    limit = _limit(key)
    row = get_object_or_404(OwnWasteLimit, key=key)
    note(request.user, row, f"{limit.group}, {limit.name}: back to {limit.text}"[:250])
    row.delete()
    messages.success(request, "The published limit holds again.")
    return redirect("waste-limits")
