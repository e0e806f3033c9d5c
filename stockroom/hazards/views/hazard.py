"""Hazard classes of a reagent, and its safety data sheets."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.http import FileResponse, Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import slugify

from stockroom.common.activity_log import note
from stockroom.common.views.printing import PDF_POLICY
from stockroom.hazards.forms.hazard import HazardFormSet, HazardStateForm, SheetForm
from stockroom.hazards.models import SafetyDataSheet
from stockroom.inventory.models import Reagent


@permission_required("stockroom.change_reagent", raise_exception=True)
def hazards(request, pk):
    reagent = get_object_or_404(Reagent, pk=pk)
    may_check = request.user.has_perm("stockroom.check_hazards")
    initial = {"state": reagent.hazard_state}
    form = HazardStateForm(request.POST or None, initial=initial, may_check=may_check)
    formset = HazardFormSet(
        request.POST or None, instance=reagent, prefix="hazards", form_kwargs={"may_check": may_check}
    )
    if request.method == "POST" and form.is_valid() & formset.is_valid():
        form.settle_with(formset.kept())
        if form.is_valid():
            _save_hazards(reagent, form, formset, request.user)
            messages.success(request, f"The hazards of {reagent} are saved.")
            return redirect(reagent)
    context = {"reagent": reagent, "form": form, "formset": formset}
    return render(request, "hazards/reagent_hazards.html", context)


@transaction.atomic
def _save_hazards(reagent, form, formset, who):
    today = timezone.localdate()
    for row in formset.forms:
        if row.has_changed():
            row.settle_check(who, today)
    formset.save()
    state = form.cleaned_data["state"]
    fields = {"hazard_state": state}
    if state == Reagent.HazardState.NONE:
        fields |= {"source": form.cleaned_data["source"], "checked_by": who, "checked_on": today}
    Reagent.objects.filter(pk=reagent.pk).update(**fields)
    classes = ", ".join(reagent.hazards.values_list("hazard_class", flat=True))
    note(who, reagent, f"hazards: {classes or Reagent.HazardState(state).label}"[:250])


def _sheet_page(request, sheet, title):
    form = SheetForm(
        request.POST or None,
        request.FILES or None,
        instance=sheet,
        may_check=request.user.has_perm("stockroom.check_hazards"),
        today=timezone.localdate(),
    )
    reagent = sheet.reagent
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            form.settle_check(request.user, timezone.localdate())
            form.save()
            note(request.user, reagent, f"safety data sheet {sheet.pk} saved")
        messages.success(request, "The sheet is saved. Compare the hazards with it now.")
        return redirect(reagent)
    context = {
        "form": form,
        "title": title,
        "submit": "Save the sheet",
        "back": reagent.get_absolute_url(),
        "crumbs": [(reagent.name, reagent.get_absolute_url())],
    }
    return render(request, "common/form.html", context)


@permission_required("stockroom.add_safetydatasheet", raise_exception=True)
def sheet_add(request, pk):
    reagent = get_object_or_404(Reagent, pk=pk)
    sheet = SafetyDataSheet(reagent=reagent, added_by=request.user, added_on=timezone.localdate())
    return _sheet_page(request, sheet, f"Add a safety data sheet of {reagent}")


@permission_required("stockroom.change_safetydatasheet", raise_exception=True)
def sheet_edit(request, pk):
    sheet = get_object_or_404(SafetyDataSheet.objects.select_related("reagent"), pk=pk)
    return _sheet_page(request, sheet, f"Change the sheet of {sheet.reagent}")


@permission_required("stockroom.view_safetydatasheet", raise_exception=True)
def sheet_file(request, pk):
    """The PDF, to people who are signed in only. What the browser is told it is, it is taken for."""
    sheet = get_object_or_404(SafetyDataSheet.objects.select_related("reagent"), pk=pk)
    if not sheet.file or not sheet.file.storage.exists(sheet.file.name):
        raise Http404
    name = f"{slugify(sheet.reagent.name) or 'sheet'}-sds.pdf"
    response = FileResponse(sheet.file.open("rb"), content_type="application/pdf", filename=name)
    response["Content-Security-Policy"] = PDF_POLICY
    response["Cache-Control"] = "private, no-store"
    return response
