"""What a reagent must never be mixed with, and what only with care."""

from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, render

from stockroom.hazards.companions import companions_of
from stockroom.inventory.models import Reagent


@permission_required("stockroom.view_reagent", raise_exception=True)
def mixing(request, pk):
    reagent = get_object_or_404(Reagent.objects.select_related("solvent"), pk=pk)
    context = {"reagent": reagent, "found": companions_of(reagent)}
    return render(request, "hazards/reagent_mixing.html", context)
