"""The hazard classes that follow from what a reagent holds, with the reasoning."""

from collections.abc import Iterable

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.shortcuts import get_object_or_404, redirect, render

from stockroom.chemistry.quantity import QuantityError
from stockroom.common.activity_log import note
from stockroom.hazards.classification import classification_of
from stockroom.hazards.forms.classification import MeasuredForm
from stockroom.hazards.models import ReagentHazard
from stockroom.inventory.models import Reagent
from stockroom.safety.label import HAZARD_CLASSES, HazardClass, worst_of_each
from stockroom.safety.mixture import MixtureError

_SOURCE = "worked out from the composition, UN GHS part 3 and 29 CFR 1910.1200 App. A"


def _rows(keys: Iterable[str]) -> list[HazardClass]:
    return [HAZARD_CLASSES[key] for key in keys]


@permission_required("stockroom.view_reagent", raise_exception=True)
def reckon(request, pk):
    """Show the classes; on a post, add those that are missing to the reagent, unchecked."""
    reagent = get_object_or_404(Reagent.objects.select_related("solvent"), pk=pk)
    form = MeasuredForm(request.POST if request.method == "POST" else (request.GET or None))
    ph = form.cleaned_data["ph"] if form.is_bound and form.is_valid() else None
    obstacle = ""
    try:
        found = classification_of(reagent, ph)
    except (MixtureError, QuantityError) as error:
        found, obstacle = None, str(error)
    known = tuple(reagent.hazards.values_list("hazard_class", flat=True))
    missing = _not_covered(found.classes, known) if found else ()
    if request.method == "POST" and form.is_valid():
        return _take(request, reagent, found, missing)
    context = {
        "reagent": reagent,
        "form": form,
        "found": found,
        "obstacle": obstacle,
        "label": found.label(None) if found else None,
        "classes": _rows(found.classes) if found else [],
        "assumed": _rows(found.assumed) if found else [],
        "known": _rows(known),
        "missing_classes": _rows(missing),
    }
    return render(request, "hazards/reagent_classification.html", context)


def _not_covered(classes: tuple[str, ...], known: tuple[str, ...]) -> tuple[str, ...]:
    """Classes that neither stand on the reagent nor are covered by a more serious one there."""
    both = worst_of_each((*classes, *known))
    return tuple(key for key in both if key not in known)


def _take(request, reagent, found, missing):
    if not request.user.has_perm("stockroom.change_reagent"):
        messages.error(request, "Nothing is saved: ask someone who may change reagents.")
    elif found is None or not found.complete:
        text = "Nothing is saved: a part of it is not classified yet, so the classes are not whole."
        messages.error(request, text)
    elif not missing:
        messages.info(request, "Nothing to add: the reagent has these classes or worse.")
    else:
        with transaction.atomic():
            for key in missing:
                ReagentHazard.objects.get_or_create(
                    reagent=reagent, hazard_class=key, defaults={"source": _SOURCE}
                )
            note(
                request.user, reagent, f"hazards worked out from the composition: {', '.join(missing)}"[:250]
            )
        messages.success(
            request,
            "The classes are added, not verified against SDS. Compare them with the supplier's sheet.",
        )
        return redirect(reagent)
    return redirect("reagent-classification", pk=reagent.pk)
