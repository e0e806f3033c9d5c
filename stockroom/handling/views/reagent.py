"""Reagents: list, one, add, change, retire."""

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.db.models import Sum
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from stockroom.catalogue.lookup import MAX_TEXT
from stockroom.catalogue.start import start_from, suggest
from stockroom.common.activity_log import note
from stockroom.common.views.listing import NounList
from stockroom.common.views.retire import retire_or_bring_back
from stockroom.handling.forms.reagent import ComponentFormSet, ReagentForm, chemical_to_start_from
from stockroom.handling.tables import ReagentFilter, ReagentTable
from stockroom.hazards import restricted, sheet_verification
from stockroom.hazards.classification import supplements_of
from stockroom.inventory.models import Component, Container, Reagent
from stockroom.inventory.stock import reagent_state, with_balances
from stockroom.safety.label import label_elements


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
    reserved = reagent.reservations.filter(needed_on__gte=today)
    context = {
        "reagent": reagent,
        "today": today,
        "state": reagent_state(reagent),
        "components": reagent.components.all(),
        "hazards": hazards,
        "listed": restricted.of_reagent(reagent),
        "supplements": supplements_of(reagent),
        "label": label_elements([row.hazard_class for row in hazards] if reagent.is_classified else None),
        "containers": reagent.containers.present()
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
    return render(request, "handling/reagent_detail.html", context)


def _edit(request, reagent, *, title, back, components=(), start=None):
    """The page of one reagent and its components; saves both or neither."""
    is_new = reagent.pk is None
    form = ReagentForm(
        request.POST or None,
        instance=reagent,
        initial=start.initial() if start else None,
        may_check=request.user.has_perm("stockroom.check_hazards"),
        may_set_reorder_point=request.user.has_perm("stockroom.set_reorder_point"),
    )
    # Rows that are filled in beforehand count as changed when they come back, or they would not be saved.
    initial = list(components) if request.method != "POST" else None
    formset = ComponentFormSet(request.POST or None, instance=reagent, prefix="components", initial=initial)
    formset.extra = max(1, len(components))
    if request.method == "POST" and _saved(request, form, formset, start):
        return redirect("reagent-hazards", reagent.pk) if is_new else redirect(reagent)
    context = {
        "form": form,
        "formset": formset,
        "title": title,
        "back": back,
        "is_new": is_new,
        "start": start,
    }
    if is_new:
        context["q"] = request.GET.get("q", "")[:MAX_TEXT]
        context["suggestions"], context["slip"] = suggest(context["q"])
    return render(request, "handling/reagent_form.html", context)


def _made_of(pk: int | None) -> tuple[set, set]:
    """Kind and solvent, and each chemical with its strength, as they are stored."""
    rows = Reagent.objects.filter(pk=pk)
    parts = Component.objects.filter(reagent=pk)
    return set(rows.values_list("kind", "solvent")), set(parts.values_list("chemical", "value", "unit"))


def _saved(request, form, formset, start) -> bool:
    """Save both forms, with the chemicals and hazard classes they were filled in with; or nothing."""
    reagent, is_new = form.instance, form.instance.pk is None
    with transaction.atomic():
        made_of = _made_of(reagent.pk)
        if start:
            start.add_chemicals()
        if not (form.is_valid() & formset.is_valid()):
            transaction.set_rollback(True)
            return False
        form.keep_check(request.user, timezone.localdate())
        form.save()
        formset.save()
        taken = start.finish(reagent) if start else False
        other = not is_new and made_of != _made_of(reagent.pk)
        if other:
            sheet_verification.untick(reagent, handling=not form.cleaned_data.get("check"))
        changed = form.changed_data + (["composition"] if formset.has_changed() else [])
        text = "added" if is_new else f"changed: {', '.join(changed) or 'nothing'}"
        note(request.user, reagent, text, *([ADDITION] if is_new else []))
    _tell(request, reagent, is_new, taken)
    if other:
        messages.warning(
            request,
            "What it holds has changed: work out its hazard classes again, and compare them with its sheet.",
        )
    if start and start.row and not taken:
        messages.warning(
            request, "It holds something else than in the catalog: hazard classes were not taken over."
        )
    return True


def _tell(request, reagent: Reagent, is_new: bool, taken: bool) -> None:
    """What has happened to it, and what comes next."""
    if taken:
        text = f"{reagent} is added. Compare its hazard classes with the supplier's sheet: none is checked."
    elif is_new:
        text = f"{reagent} is added. Next, say which hazard classes it has."
    else:
        text = f"{reagent} is saved."
    messages.success(request, text)


@permission_required("stockroom.add_reagent", raise_exception=True)
def add(request):
    """An empty form, or one filled in from `?chemical=`, or from `?start=` as the suggestions give it."""
    chemical = chemical_to_start_from(request.GET.get("chemical"))
    start = start_from(request.GET.get("start", "")[:MAX_TEXT])
    components = [{"chemical": chemical.pk, "unit": "pure"}] if chemical else []
    return _edit(
        request,
        Reagent(**start.fields) if start else Reagent(),
        title="Add a reagent",
        back=reverse("reagent-list"),
        components=start.components() if start else components,
        start=start,
    )


@permission_required("stockroom.add_reagent", raise_exception=True)
def suggestions(request):
    """What a name or CAS RN may mean, for htmx to show while one types."""
    found, slip = suggest(request.GET.get("q", "")[:MAX_TEXT])
    context = {"q": request.GET.get("q", "")[:MAX_TEXT], "suggestions": found, "slip": slip}
    return render(request, "handling/partials/suggestions.html", context)


@permission_required("stockroom.change_reagent", raise_exception=True)
def edit(request, pk):
    reagent = get_object_or_404(Reagent, pk=pk)
    return _edit(request, reagent, title=f"Change {reagent}", back=reagent.get_absolute_url())


@permission_required("stockroom.change_reagent", raise_exception=True)
def retire(request, pk):
    return retire_or_bring_back(request, get_object_or_404(Reagent, pk=pk))
