"""One reagent beside its safety data sheet: read, compare, tick, and on to the next."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from stockroom.hazards import sheet_verification
from stockroom.hazards.datasheets import newest_of
from stockroom.hazards.forms.sheet_verification import CheckForm
from stockroom.inventory.models import Reagent
from stockroom.safety.label import label_elements


@permission_required("stockroom.check_hazards", raise_exception=True)
def check(request, pk):
    reagent = get_object_or_404(Reagent.objects.select_related("checked_by"), pk=pk)
    hazards = list(reagent.hazards.select_related("checked_by"))
    sheets = list(reagent.sheets.select_related("supplier", "checked_by"))
    form = CheckForm(
        request.POST or None,
        initial={"stamp": sheet_verification.stamp_of(reagent)},
        reagent=reagent,
        classes=len(hazards),
        newest=newest_of(sheets),
    )
    if request.method == "POST" and form.is_valid():
        try:
            sheet_verification.tick(
                reagent,
                form.ticks,
                form.cleaned_data["stamp"],
                who=request.user,
                on=timezone.localdate(),
            )
        except sheet_verification.ChangedMeanwhile as error:
            messages.error(request, str(error))
            return redirect("reagent-check", reagent.pk)
        messages.success(request, f"{reagent}: {form.ticks.words} checked, with your name and today's date.")
        following = sheet_verification.next_unchecked(reagent) if "next" in request.POST else None
        return redirect("reagent-check", following.pk) if following else redirect(reagent)
    known = reagent.hazard_state != Reagent.HazardState.UNKNOWN
    context = {
        "reagent": reagent,
        "form": form,
        "hazards": hazards,
        "newest": newest_of(sheets),
        "label": label_elements([hazard.hazard_class for hazard in hazards] if known else None),
        "handling": [(title, getattr(reagent, field)) for title, field in sheet_verification.HANDLING],
        "left": sheet_verification.unchecked().count(),
    }
    return render(request, "hazards/reagent_check.html", context)
