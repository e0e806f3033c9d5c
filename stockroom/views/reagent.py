"""Reagents: list, one, add, change, retire."""

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.db.models import Sum
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from stockroom import restricted
from stockroom.activity import note
from stockroom.forms.reagent import ComponentFormSet, ReagentForm, chemical_to_start_from
from stockroom.models import Container, Reagent
from stockroom.safety.label import label_elements
from stockroom.stock import reagent_state, with_balances
from stockroom.tables.reagent import ReagentFilter, ReagentTable
from stockroom.views.listing import NounList
from stockroom.views.retire import retire_or_bring_back


class ReagentList(NounList):
    permission_required = "stockroom.view_reagent"
    table_class, filterset_class = ReagentTable, ReagentFilter
    title = "Reagents"
    add = ("Add a reagent", "reagent-add", "stockroom.add_reagent")
    empty_text = "No reagents yet. Add the first; then receive a container of it."

    def get_queryset(self):
        return with_balances(Reagent.objects.all(), self.today).prefetch_related("components", "hazards")


@permission_required("stockroom.view_reagent", raise_exception=True)
def detail(request, pk):
    today = timezone.localdate()
    rows = with_balances(Reagent.objects.select_related("solvent", "checked_by"), today)
    rows = rows.prefetch_related("components__chemical")
    reagent = get_object_or_404(rows, pk=pk)
    hazards = list(reagent.hazards.select_related("checked_by"))
    known = reagent.hazard_state != Reagent.HazardState.UNKNOWN
    reserved = reagent.reservations.filter(needed_on__gte=today)
    context = {
        "reagent": reagent,
        "today": today,
        "state": reagent_state(reagent),
        "components": reagent.components.all(),
        "hazards": hazards,
        "listed": restricted.of_reagent(reagent),
        "label": label_elements([hazard.hazard_class for hazard in hazards] if known else None),
        "containers": reagent.containers.exclude(state=Container.State.GONE)
        .select_related("location", "reagent")
        .order_by("usable_until", "code"),
        "gone": reagent.containers.filter(state=Container.State.GONE).count(),
        "reserved": reserved.aggregate(total=Sum("amount"))["total"] or 0,
        "reservations": reserved[:50],
        "preparations": reagent.preparations.filter(retired_on=None).prefetch_related("parts__reagent"),
        "used_in": reagent.used_in.filter(preparation__retired_on=None).select_related(
            "preparation__reagent"
        ),
        "offers": reagent.offers.filter(retired_on=None).select_related("supplier"),
        "sheets": reagent.sheets.select_related("supplier", "checked_by"),
    }
    return render(request, "stockroom/reagent_detail.html", context)


def _edit(request, reagent, *, title, back, initial=None):
    """The page of one reagent and its components; saves both or neither."""
    is_new = reagent.pk is None
    form = ReagentForm(
        request.POST or None,
        instance=reagent,
        may_check=request.user.has_perm("stockroom.check_hazards"),
        may_set_reorder_point=request.user.has_perm("stockroom.set_reorder_point"),
    )
    formset = ComponentFormSet(request.POST or None, instance=reagent, prefix="components", initial=initial)
    if request.method == "POST" and form.is_valid() & formset.is_valid():
        with transaction.atomic():
            form.settle_check(request.user, timezone.localdate())
            form.save()
            formset.save()
            changed = form.changed_data + (["composition"] if formset.has_changed() else [])
            text = "added" if is_new else f"changed: {', '.join(changed) or 'nothing'}"
            note(request.user, reagent, text, *([ADDITION] if is_new else []))
        if is_new:
            messages.success(request, f"{reagent} is added. Next, say which hazard classes it has.")
            return redirect("reagent-hazards", reagent.pk)
        messages.success(request, f"{reagent} is saved.")
        return redirect(reagent)
    context = {"form": form, "formset": formset, "title": title, "back": back, "is_new": is_new}
    return render(request, "stockroom/reagent_form.html", context)


@permission_required("stockroom.add_reagent", raise_exception=True)
def add(request):
    start = chemical_to_start_from(request.GET.get("chemical"))
    initial = [{"chemical": start.pk, "unit": "pure"}] if start else None
    return _edit(request, Reagent(), title="Add a reagent", back=reverse("reagent-list"), initial=initial)


@permission_required("stockroom.change_reagent", raise_exception=True)
def edit(request, pk):
    reagent = get_object_or_404(Reagent, pk=pk)
    return _edit(request, reagent, title=f"Change {reagent}", back=reagent.get_absolute_url())


@permission_required("stockroom.change_reagent", raise_exception=True)
def retire(request, pk):
    return retire_or_bring_back(request, get_object_or_404(Reagent, pk=pk))
