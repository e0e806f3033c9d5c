"""Storage limits: published limits, and the department's own."""

from django.contrib import messages
from django.contrib.admin.models import ADDITION, CHANGE
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from stockroom.common.activity_log import note
from stockroom.storage import limits
from stockroom.storage.forms.limit import DepartmentLimitForm
from stockroom.storage.models import DepartmentLimit


@permission_required("stockroom.view_departmentlimit", raise_exception=True)
def limit_list(request):
    own = DepartmentLimit.objects.filter(retired_on=None).select_related("set_by")
    context = {"its": limits.read(), "limits": own, "near": f"{limits.NEAR:.0%}"}
    return render(request, "storage/limit_list.html", context)


@permission_required("stockroom.change_departmentlimit", raise_exception=True)
def limit_edit(request, pk=None):
    limit = get_object_or_404(DepartmentLimit, pk=pk) if pk else DepartmentLimit()
    form = DepartmentLimitForm(request.POST or None, instance=limit)
    if request.method == "POST" and form.is_valid():
        limit.set_by, limit.set_on = request.user, timezone.localdate()
        form.save()
        note(request.user, limit, "limit set", CHANGE if pk else ADDITION)
        messages.success(request, f"The limit “{limit}” is set.")
        return redirect("limit-list")
    context = {
        "form": form,
        "title": f"Change the limit “{limit}”" if pk else "Set a limit",
        "lead": "Stricter than the published limits, or where there is none. What nobody has classified "
        "counts toward every limit.",
        "submit": "Set the limit",
        "back": reverse("limit-list"),
        "crumbs": [("Storage limits", reverse("limit-list"))],
    }
    return render(request, "storage/limit_form.html", context)


@require_POST
@permission_required("stockroom.change_departmentlimit", raise_exception=True)
def limit_retire(request, pk):
    limit = get_object_or_404(DepartmentLimit, pk=pk, retired_on=None)
    limit.retired_on = timezone.localdate()
    limit.save(update_fields=["retired_on"])
    note(request.user, limit, "limit lifted")
    messages.success(request, f"The limit “{limit}” is lifted.")
    return redirect("limit-list")
