"""Chemicals: list, one, add, change, retire."""

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth.decorators import permission_required
from django.db.models import Count
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from stockroom.common.activity_log import note
from stockroom.common.views.listing import NounList
from stockroom.common.views.retire import retire_or_bring_back
from stockroom.inventory.forms.chemical import ChemicalForm
from stockroom.inventory.models import Chemical
from stockroom.inventory.tables.chemical import ChemicalFilter, ChemicalTable


class ChemicalList(NounList):
    permission_required = "stockroom.view_chemical"
    table_class, filterset_class = ChemicalTable, ChemicalFilter
    title = "Chemicals"
    lead = (
        "Substances: their names, CAS RN and formula. What stands on the shelves are reagents made of them."
    )
    add = ("Add a chemical", "chemical-add", "stockroom.add_chemical")
    empty_text = "No chemicals yet. Add the first, then the reagents that hold it."

    def get_queryset(self):
        return Chemical.objects.annotate(reagents=Count("components", distinct=True))


@permission_required("stockroom.view_chemical", raise_exception=True)
def detail(request, pk):
    chemical = get_object_or_404(Chemical.objects.prefetch_related("synonyms"), pk=pk)
    components = chemical.components.select_related("reagent").order_by("reagent__name")
    context = {"chemical": chemical, "components": components, "dissolves": chemical.dissolves.all()}
    return render(request, "inventory/chemical_detail.html", context)


def _form_page(request, form, title, back):
    context = {"form": form, "title": title, "submit": "Save the chemical", "back": back}
    context["crumbs"] = [("Chemicals", reverse("chemical-list"))]
    return render(request, "common/form.html", context)


@permission_required("stockroom.add_chemical", raise_exception=True)
def add(request):
    form = ChemicalForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        chemical = form.save()
        note(request.user, chemical, "added", ADDITION)
        messages.success(request, f"{chemical} is added.")
        return redirect(chemical)
    return _form_page(request, form, "Add a chemical", reverse("chemical-list"))


@permission_required("stockroom.change_chemical", raise_exception=True)
def edit(request, pk):
    chemical = get_object_or_404(Chemical, pk=pk)
    title = f"Change {chemical}"
    form = ChemicalForm(request.POST or None, instance=chemical)
    if request.method == "POST" and form.is_valid():
        form.save()
        note(request.user, chemical, f"changed: {', '.join(form.changed_data) or 'nothing'}")
        messages.success(request, f"{chemical} is saved.")
        return redirect(chemical)
    return _form_page(request, form, title, chemical.get_absolute_url())


@permission_required("stockroom.change_chemical", raise_exception=True)
def retire(request, pk):
    return retire_or_bring_back(request, get_object_or_404(Chemical, pk=pk))
