"""Putting away what is left after a demonstration."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from demos.models import Booking
from demos.prep.forms.put_away import LeftOverForm
from demos.report import outcome_report, residue
from stockroom.inventory.models import LedgerError, WasteContainer
from stockroom.waste import composition, sewer_discharge


@permission_required("stockroom.change_wastecontainer", raise_exception=True)
def put_away(request, pk):
    """What is left, which waste container may take it, and the line in its log."""
    rows = Booking.objects.prefetch_related(*residue.PREFETCH)
    booking = get_object_or_404(rows.select_related("demonstration", "period", "room", "teacher"), pk=pk)
    today, rules = timezone.localdate(), composition.rules()
    if booking.state == Booking.State.CANCELLED or booking.on > today:
        messages.error(request, "Nothing is left of it: it has not been shown.")
        return redirect(booking)
    left = residue.of_booking(booking, rules)
    if left is None:
        messages.info(request, "This demonstration takes nothing from the shelves: nothing is left.")
        return redirect(booking)
    form = LeftOverForm(
        request.POST or None,
        booking=booking,
        left=left,
        containers=list(
            composition.with_entries(WasteContainer.objects.filter(closed_on=None, collected_on=None))
        ),
        letters=sewer_discharge.openings(left.doubted, today, rules),
        rules=rules,
        today=today,
    )
    if request.method == "POST" and form.is_valid():
        try:
            with transaction.atomic():
                form.post(request.user)
        except LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Saved. Close the lid. Check that the label lists it.")
            return redirect(booking)
    context = {
        "booking": booking,
        "left": left,
        "facts": outcome_report.left(left.waste.residue),
        "codes": outcome_report.characteristics(left.character),
        "form": form,
        "written": residue.written(booking),
        "rules": rules,
    }
    return render(request, "prep/put_away.html", context)
