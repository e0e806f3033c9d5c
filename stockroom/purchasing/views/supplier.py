"""Suppliers, and what they offer."""

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth.decorators import permission_required
from django.db.models import Count, Q
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from stockroom.common.activity_log import note
from stockroom.common.paging import paged
from stockroom.common.views.listing import NounList
from stockroom.common.views.retire import retire_or_bring_back
from stockroom.inventory.models import Offer, Reagent, Supplier
from stockroom.purchasing.forms.supplier import OfferForm, SupplierForm
from stockroom.purchasing.tables.supplier import OfferTable, SupplierFilter, SupplierTable


class SupplierList(NounList):
    permission_required = "stockroom.view_supplier"
    table_class, filterset_class = SupplierTable, SupplierFilter
    title = "Suppliers"
    add = ("Add a supplier", "supplier-add", "stockroom.add_supplier")
    empty_text = "No suppliers yet. Add the first, then what it offers."

    def get_queryset(self):
        return Supplier.objects.annotate(offers_now=Count("offers", filter=Q(offers__retired_on=None)))


@permission_required("stockroom.view_supplier", raise_exception=True)
def detail(request, pk):
    supplier = get_object_or_404(Supplier, pk=pk)
    offers = supplier.offers.filter(retired_on=None).select_related("reagent")
    exclude = () if request.user.has_perm("stockroom.change_offer") else ("change",)
    table = OfferTable(offers, exclude=exclude, empty_text="No offers yet. Add what it sells.")
    paged(request, table)
    context = {"supplier": supplier, "table": table}
    return render(request, "purchasing/supplier_detail.html", context)


def _page(request, form, title, submit, back, template="common/form.html", **more):
    context = {"form": form, "title": title, "submit": submit, "back": back, **more}
    context["crumbs"] = [("Suppliers", reverse("supplier-list"))]
    return render(request, template, context)


def _edit(request, supplier, title, back):
    is_new = supplier.pk is None
    form = SupplierForm(request.POST or None, instance=supplier)
    if request.method == "POST" and form.is_valid():
        form.save()
        note(request.user, supplier, "added" if is_new else "changed", *([ADDITION] if is_new else []))
        messages.success(request, f"{supplier} is saved.")
        return redirect(supplier)
    return _page(request, form, title, "Save the supplier", back)


@permission_required("stockroom.add_supplier", raise_exception=True)
def add(request):
    return _edit(request, Supplier(), "Add a supplier", reverse("supplier-list"))


@permission_required("stockroom.change_supplier", raise_exception=True)
def edit(request, pk):
    supplier = get_object_or_404(Supplier, pk=pk)
    return _edit(request, supplier, f"Change {supplier}", supplier.get_absolute_url())


@permission_required("stockroom.change_supplier", raise_exception=True)
def retire(request, pk):
    return retire_or_bring_back(request, get_object_or_404(Supplier, pk=pk))


def _edit_offer(request, offer, title, back, **form_kwargs):
    form = OfferForm(request.POST or None, instance=offer, today=timezone.localdate(), **form_kwargs)
    if request.method == "POST" and form.is_valid():
        form.save()
        note(request.user, offer.supplier, f"offer of {offer.reagent} {offer.pack_text}: {offer.price}"[:250])
        messages.success(request, f"The offer of {offer.reagent} is saved.")
        return redirect(offer.supplier)
    more = {"template": "purchasing/supplier_offer.html", "offer": offer, "with_reagents": True}
    return _page(request, form, title, "Save the offer", back, **more)


@permission_required("stockroom.add_offer", raise_exception=True)
def offer_add(request):
    initial, back = {"price_date": timezone.localdate()}, reverse("supplier-list")
    for name, model in (("supplier", Supplier), ("reagent", Reagent)):
        text = request.GET.get(name, "")
        found = model.objects.filter(pk=int(text)).first() if text.isdecimal() else None
        if found:
            initial[name], back = found.pk, found.get_absolute_url()
    return _edit_offer(request, Offer(), "Add an offer", back, initial=initial)


@permission_required("stockroom.change_offer", raise_exception=True)
def offer_edit(request, pk):
    offer = get_object_or_404(Offer.objects.select_related("supplier", "reagent"), pk=pk)
    return _edit_offer(
        request, offer, f"Change the offer of {offer.reagent}", offer.supplier.get_absolute_url()
    )


@permission_required("stockroom.change_offer", raise_exception=True)
def offer_retire(request, pk):
    offer = get_object_or_404(Offer.objects.select_related("supplier", "reagent"), pk=pk)
    return retire_or_bring_back(request, offer, to=offer.supplier)
