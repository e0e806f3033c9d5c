"""Preparations: list, one, write, change, retire."""

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from stockroom.common.activity_log import note
from stockroom.common.views.listing import NounList
from stockroom.common.views.retire import retire_or_bring_back
from stockroom.hazards.classification import reckoned
from stockroom.inventory import recipes
from stockroom.inventory.models import Preparation, Reagent
from stockroom.preparation.forms.preparation import PartFormSet, PreparationForm
from stockroom.preparation.tables import PreparationFilter, PreparationTable
from stockroom.safety.label import label_elements

#: rows of parts that another page may start a preparation with: as many as the form has empty ones
MOST_STARTED = 2


class PreparationList(NounList):
    permission_required = "stockroom.view_preparation"
    table_class, filterset_class = PreparationTable, PreparationFilter
    title = "Preparations"
    lead = "How reagents are made up from others."
    add = ("Write a preparation", "preparation-add", "stockroom.add_preparation")
    empty_text = "No preparations yet. Write the first: what it makes, and from what."

    def get_queryset(self):
        return Preparation.objects.select_related("reagent").prefetch_related("parts__reagent")


@permission_required("stockroom.view_preparation", raise_exception=True)
def detail(request, pk):
    preparation = get_object_or_404(Preparation.objects.select_related("reagent"), pk=pk)
    product = preparation.reagent
    known = product.hazard_state != Reagent.HazardState.UNKNOWN
    keys = list(product.hazards.values_list("hazard_class", flat=True)) if known else None
    context = {
        "preparation": preparation,
        "parts": preparation.parts.select_related("reagent"),
        "steps": [line.strip() for line in preparation.method.splitlines() if line.strip()],
        "batches": preparation.batches.select_related("made_by", "container")[:25],
        "label": label_elements(keys),
        "product": product,
        "found": reckoned(product),
    }
    return render(request, "preparation/preparation_detail.html", context)


def _edit(request, preparation, title, back, initial=None, parts=()):
    """parts: rows to start a new preparation with; what is sent speaks for itself."""
    is_new = preparation.pk is None
    form = PreparationForm(request.POST or None, instance=preparation, initial=initial)
    start = {"initial": parts} if parts and request.method != "POST" else {}
    formset = PartFormSet(request.POST or None, instance=preparation, prefix="parts", **start)
    if request.method == "POST" and form.is_valid() & formset.is_valid():
        with transaction.atomic():
            recipes.one_at_a_time()
            if formset.settle_with(form.cleaned_data["reagent"]):
                form.save()
                formset.save()
                written = ("written", ADDITION) if is_new else ("changed",)
                note(request.user, preparation, *written)
                messages.success(request, f"{preparation} is saved.")
                return redirect(preparation)
    context = {
        "form": form,
        "formset": formset,
        "formset_title": "From",
        "formset_add": "Add a part",
        "title": title,
        "submit": "Save the preparation",
        "back": back,
        "crumbs": [("Preparations", reverse("preparation-list"))],
        "with_reagents": True,
    }
    return render(request, "common/form.html", context)


@permission_required("stockroom.add_preparation", raise_exception=True)
def add(request):
    text = request.GET.get("reagent", "")
    reagent = Reagent.objects.filter(pk=int(text)).first() if text.isdecimal() and len(text) < 10 else None
    back = reagent.get_absolute_url() if reagent else reverse("preparation-list")
    initial = {"reagent": reagent.pk} if reagent else {}
    initial |= {
        name: request.GET[asked][:most]
        for name, asked, most in (("yield_amount", "makes", 40), ("method", "method", 4000))
        if asked in request.GET
    }
    named = zip(request.GET.getlist("part"), request.GET.getlist("part_amount"), strict=False)
    parts = [{"reagent": name[:160], "amount": amount[:40]} for name, amount in named][:MOST_STARTED]
    return _edit(request, Preparation(), "Write a preparation", back, initial, parts)


@permission_required("stockroom.change_preparation", raise_exception=True)
def edit(request, pk):
    preparation = get_object_or_404(Preparation.objects.select_related("reagent"), pk=pk)
    return _edit(request, preparation, f"Change {preparation}", preparation.get_absolute_url())


@permission_required("stockroom.change_preparation", raise_exception=True)
def retire(request, pk):
    """Bringing back is refused where it would go round in a circle with what has been written since."""
    with transaction.atomic():
        recipes.one_at_a_time()
        preparation = get_object_or_404(Preparation.objects.select_related("reagent"), pk=pk)
        return retire_or_bring_back(request, preparation, stay=recipes.why_not_back(preparation))
