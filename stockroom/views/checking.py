"""One reagent beside its safety data sheet: read, compare, tick, and on to the next."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from stockroom import checking
from stockroom.datasheets import newest_of
from stockroom.forms.checking import CheckForm
from stockroom.models import Reagent
from stockroom.safety.label import label_elements


@permission_required("stockroom.check_hazards", raise_exception=True)
def check(request, pk):
    reagent = get_object_or_404(Reagent.objects.select_related("checked_by"), pk=pk)
    hazards = list(reagent.hazards.select_related("checked_by"))
    sheets = list(reagent.sheets.select_related("supplier", "checked_by"))
    form = CheckForm(
        request.POST or None,
        initial={"stamp": checking.stamp_of(reagent)},
        reagent=reagent,
        classes=len(hazards),
        newest=newest_of(sheets),
    )
    if request.method == "POST" and form.is_valid():
        try:
            checking.tick(
                reagent,
                form.ticks,
                form.cleaned_data["stamp"],
                who=request.user,
                on=timezone.localdate(),
            )
        except checking.ChangedMeanwhile as error:
            messages.error(request, str(error))
            return redirect("reagent-check", reagent.pk)
        messages.success(request, f"{reagent}: {form.ticks.words} checked, with your name and today's date.")
        following = checking.next_unchecked(reagent) if "next" in request.POST else None
        return redirect("reagent-check", following.pk) if following else redirect(reagent)
    known = reagent.hazard_state != Reagent.HazardState.UNKNOWN
    context = {
        "reagent": reagent,
        "form": form,
        "hazards": hazards,
        "newest": newest_of(sheets),
        "label": label_elements([hazard.hazard_class for hazard in hazards] if known else None),
        "handling": [(title, getattr(reagent, field)) for title, field in checking.HANDLING],
        "left": checking.unchecked().count(),
    }
    return render(request, "stockroom/reagent_check.html", context)
