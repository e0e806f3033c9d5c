"""What an amount of a reagent makes of a room's air."""

from django.contrib.auth.decorators import permission_required
from django.shortcuts import render

from demos.models import Room
from demos.report import vapour_exposure
from demos.report.forms.vapour import VapourForm
from stockroom.inventory.models import Reagent
from stockroom.safety.vapour import MODEL_SOURCE
from stockroom.safety.vapour import Room as Box


@permission_required("demos.view_room", raise_exception=True)
def vapour(request):
    form = VapourForm(request.GET if "reagent" in request.GET else None)
    context = {"form": form, "model_source": MODEL_SOURCE}
    if form.is_valid():
        data = form.cleaned_data
        room = data["room"] or Room(
            name="this room", volume_m3=data["volume_m3"], air_changes_per_hour=data["changes"]
        )
        box, missing = vapour_exposure.room_of(room)
        rows = Reagent.objects.select_related("solvent").prefetch_related("components__chemical")
        reagent = rows.get(pk=data["reagent"].pk)
        lines = vapour_exposure.lines_of(reagent, data["amount"], box, data["minutes"] or 0)
        doubt = vapour_exposure.untold(reagent)
        missing = (*missing, doubt) if doubt else missing
        context |= {"lines": lines, "missing": missing, "doubt": doubt}
        context |= {"room": room, "box": _used(box), "reagent": reagent}
    return render(request, "report/vapour.html", context)


def _used(box: Box) -> dict:
    return {
        "volume": f"{box.volume_m3:g}",
        "changes": f"{box.changes_per_hour:g}",
        "mixing": f"{box.mixing:g}",
        "celsius": f"{box.temperature_c:g}",
    }
