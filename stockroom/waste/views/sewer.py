"""What the sewer authority has allowed in writing: list, write down, end."""

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth.decorators import permission_required
from django.db.models import Prefetch
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from stockroom.common.activity_log import note
from stockroom.waste import composition
from stockroom.waste.forms.sewer import DrainPermissionForm
from stockroom.waste.models import DrainEntry, DrainPermission


@permission_required("stockroom.view_drainpermission", raise_exception=True)
def drain_list(request):
    today = timezone.localdate()
    poured = DrainEntry.objects.select_related("who")
    rows = list(
        DrainPermission.objects.select_related("recorded_by", "ended_by").prefetch_related(
            Prefetch("entries", poured)
        )
    )
    valid = [row for row in rows if row.is_valid(today)]
    context = {
        "valid": valid,
        "past": [row for row in rows if row not in valid],
        "rules": composition.rules(),
    }
    return render(request, "waste/drain_list.html", context)


@permission_required("stockroom.add_drainpermission", raise_exception=True)
def add(request):
    today = timezone.localdate()
    leave = DrainPermission(recorded_by=request.user, recorded_on=today)
    form = DrainPermissionForm(request.POST or None, instance=leave, today=today)
    if request.method == "POST" and form.is_valid():
        form.save()
        note(request.user, leave, "wrote down what the sewer authority allows", ADDITION)
        messages.success(request, "Written down, with your name and today's date.")
        return redirect("drain-list")
    context = {
        "form": form,
        "title": "Write down what the sewer authority allows",
        "lead": "Have the letter in hand. It opens the drain only for what the rules find harmless, or "
        "harmless once neutralized; everything else is collected all the same.",
        "submit": "Save",
        "back": reverse("drain-list"),
        "crumbs": [("Drain disposal", reverse("drain-list"))],
    }
    return render(request, "common/form.html", context)


@require_POST
@permission_required("stockroom.change_drainpermission", raise_exception=True)
def end(request, pk):
    leave = get_object_or_404(DrainPermission, pk=pk)
    if leave.ended_on:
        messages.error(request, "It was ended before.")
        return redirect("drain-list")
    leave.ended_on, leave.ended_by = timezone.localdate(), request.user
    leave.save(update_fields=["ended_on", "ended_by"])
    note(request.user, leave, "ended: it no longer opens the drain")
    messages.success(request, "Ended. From today it opens the drain for nothing.")
    return redirect("drain-list")
