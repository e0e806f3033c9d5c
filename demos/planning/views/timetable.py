"""Rooms and periods: one page with both, add, change, retire."""

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth.decorators import permission_required
from django.db.models import Count, Q
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from demos.models import Booking, Period, Room
from demos.planning.forms.timetable import PeriodForm, RoomForm
from stockroom.common.activity_log import note
from stockroom.common.views.retire import retire_or_bring_back

#: noun -> (model, form)
NOUNS = {"room": (Room, RoomForm), "period": (Period, PeriodForm)}


@permission_required("demos.change_timetable", raise_exception=True)
def timetable(request):
    to_come = Q(bookings__state=Booking.State.PLANNED, bookings__on__gte=timezone.localdate())
    shown = request.GET.get("shown") == "all"
    rows = {}
    for noun, (model, _) in NOUNS.items():
        found = model.objects.annotate(to_come=Count("bookings", filter=to_come))
        rows[f"{noun}s"] = found if shown else found.filter(retired_on=None)
    return render(request, "planning/timetable.html", {**rows, "shown_all": shown})


def _edit(request, noun, thing, title):
    is_new = thing.pk is None
    form = NOUNS[noun][1](request.POST if request.method == "POST" else None, instance=thing)
    if request.method == "POST" and form.is_valid():
        form.save()
        note(request.user, thing, "added" if is_new else "changed", *([ADDITION] if is_new else []))
        messages.success(request, f"{thing} is saved.")
        return redirect("demos:timetable")
    context = {"form": form, "title": title, "submit": f"Save the {noun}", "back": reverse("demos:timetable")}
    context["crumbs"] = [("Rooms and periods", reverse("demos:timetable"))]
    return render(request, "common/form.html", context)


@permission_required("demos.change_timetable", raise_exception=True)
def add(request, noun):
    return _edit(request, noun, NOUNS[noun][0](), f"Add a {noun}")


@permission_required("demos.change_timetable", raise_exception=True)
def edit(request, noun, pk):
    thing = get_object_or_404(NOUNS[noun][0], pk=pk)
    return _edit(request, noun, thing, f"Change {thing}")


@permission_required("demos.change_timetable", raise_exception=True)
def retire(request, noun, pk):
    thing = get_object_or_404(NOUNS[noun][0], pk=pk)
    planned = thing.bookings.filter(state=Booking.State.PLANNED, on__gte=timezone.localdate()).count()
    refusal = ""
    if planned:
        many = "1 booking" if planned == 1 else f"{planned} bookings"
        refusal = f"{thing} has {many} to come: move or cancel them first."
    return retire_or_bring_back(request, thing, refusal=refusal, to=reverse("demos:timetable"))
