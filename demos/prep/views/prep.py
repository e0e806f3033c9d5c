"""The technician's day and week, the sheets that go with it, and what was used afterwards."""

import datetime

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from demos.models import Booking
from demos.planning import booking as bookings
from demos.planning import feasibility
from demos.planning.printouts import booking_sheet_data
from demos.planning.sheets import booking as booking_sheet
from demos.prep import prep_list, printouts
from demos.prep.forms.prep import DaysForm, RunForm
from demos.prep.sheets import prep as prep_sheet
from demos.report.printouts import PREFETCH, safety_reminder
from demos.report.sheets import safety_reminder as reminder_sheet
from stockroom.common.views.printing import pdf, sheet_head
from stockroom.inventory.models import LedgerError
from stockroom.purchasing import outlook
from stockroom.wording.days import weekday_text


def _asked(request) -> tuple[DaysForm, prep_list.Prep]:
    today = timezone.localdate()
    form = DaysForm(request.GET or None, today=today)
    return form, prep_list.prepare(outlook.read(today), form.start, form.end)


@permission_required("demos.view_booking", raise_exception=True)
def prep(request):
    form, found = _asked(request)
    step = datetime.timedelta(form.length)
    to_record = Booking.objects.filter(state=Booking.State.PLANNED, on__lt=timezone.localdate())
    context = {
        "form": form,
        "prep": found,
        "left_out": found.left_out,
        "today": timezone.localdate(),
        "before": form.start - step,
        "after": form.start + step,
        "to_record": to_record.select_related("demonstration", "period", "room"),
    }
    return render(request, "prep/prep.html", context)


def _days(found: prep_list.Prep) -> str:
    if found.start == found.end:
        return weekday_text(found.start)
    return f"{weekday_text(found.start)} to {weekday_text(found.end)}"


@permission_required("demos.view_booking", raise_exception=True)
def prep_pdf(request):
    _, found = _asked(request)
    head = sheet_head(request, "Prep sheet", "the ledger, the bookings and the preparations", _days(found))
    return pdf(
        request, prep_sheet.render, printouts.prep_sheet_data(head, found), f"prep {found.start:%Y-%m-%d}"
    )


def _booking(pk) -> Booking:
    rows = Booking.objects.select_related("demonstration", "period", "room", "teacher").prefetch_related(
        "choices", *(f"demonstration__{name}" for name in PREFETCH)
    )
    return get_object_or_404(rows, pk=pk)


@permission_required("demos.view_booking", raise_exception=True)
def reminder_pdf(request, pk):
    booking = _booking(pk)
    head = sheet_head(
        request, "Safety reminder", "the hazard data and the booking", f"{booking.demonstration}"
    )
    return pdf(request, reminder_sheet.render, safety_reminder(head, booking), f"safety reminder {pk}")


@permission_required("demos.view_booking", raise_exception=True)
def booking_pdf(request, pk):
    booking = _booking(pk)
    computed_from = "the demonstration, the ledger and the bookings"
    head = sheet_head(request, str(booking.demonstration), computed_from, f"For {booking.class_name}")
    standing = feasibility.standing_of([booking], outlook.read(timezone.localdate()))[booking.pk]
    data = booking_sheet_data(head, booking, standing)
    return pdf(request, booking_sheet.render, data, f"demonstration {pk}")


def _prep_of(booking: Booking, today: datetime.date) -> prep_list.BookingPrep | None:
    """None where somebody else has recorded or canceled it just now."""
    found = prep_list.prepare(outlook.read(today), booking.on, booking.on)
    return next((row for row in found.bookings if row.booking.pk == booking.pk), None)


@permission_required("demos.record_run", raise_exception=True)
def run(request, pk):
    """After the class: what was really used leaves the containers, the rest stays on the shelf."""
    booking = get_object_or_404(Booking, pk=pk)
    today = timezone.localdate()
    if booking.on > today:
        messages.error(
            request, f"This class is on {weekday_text(booking.on)}: record it on that day or later."
        )
        return redirect(booking)
    found = _prep_of(booking, today) if booking.state == Booking.State.PLANNED else None
    if found is None:
        messages.error(request, "This booking is done or canceled already.")
        return redirect(booking)
    form = RunForm(request.POST or None, prep=found, today=today)
    if request.method == "POST" and form.is_valid():
        try:
            form.post(request.user)
        except (bookings.BookingError, LedgerError) as error:
            form.add_error(None, str(error))
        else:
            messages.success(
                request, f"Recorded. What was set aside for {booking} and not used is free again."
            )
            if request.user.has_perm("stockroom.change_wastecontainer"):
                return redirect("demos:booking-left", booking.pk)
            return redirect(booking)
    return render(request, "prep/run.html", {"booking": form.prep.booking, "form": form})
