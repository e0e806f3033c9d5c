"""Containers: list, one with its whole ledger, change what is marked on it."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from stockroom.common.activity_log import note
from stockroom.common.views.listing import NounList
from stockroom.handling.forms.acts import acts_open_to
from stockroom.handling.forms.container import ContainerForm
from stockroom.handling.views.acts import hands_off_page
from stockroom.hazards.classification import supplements_of
from stockroom.inventory.ageing_items import dues_of, rules_of, untouchable
from stockroom.inventory.ledger import REVERSIBLE, ending_line
from stockroom.inventory.models import Container, Reagent
from stockroom.inventory.tables.container import ContainerFilter, ContainerTable
from stockroom.safety.label import label_elements
from stockroom.storage.storage_items import conflicts_where

LINES_A_PAGE = 100


class ContainerList(NounList):
    permission_required = "stockroom.view_container"
    table_class, filterset_class = ContainerTable, ContainerFilter
    title = "Containers"
    add = ("Receive a delivery", "container-receive", "stockroom.receive_stock")
    empty_text = "No containers yet. Receive the first delivery."

    def get_queryset(self):
        return Container.objects.select_related("reagent", "location")


@permission_required("stockroom.view_container", raise_exception=True)
def detail(request, pk):
    rows = Container.objects.select_related("reagent", "location", "supplier", "batch__preparation")
    rows = rows.prefetch_related("reagent__components__chemical", "tests__who")
    container = get_object_or_404(rows, pk=pk)
    reagent = container.reagent
    lines = container.movements.select_related(
        "who", "from_location", "to_location", "reverses", "reversed_by"
    ).prefetch_related("belongs_to")
    page = Paginator(lines, LINES_A_PAGE).get_page(request.GET.get("page"))
    is_gone, ending = container.state == Container.State.GONE, ending_line(container)
    for line in page:
        line.may_reverse = line.kind in REVERSIBLE and not hasattr(line, "reversed_by")
        line.may_reverse &= not is_gone or line == ending
        line.belongs_name = line.belongs_to._meta.verbose_name if line.belongs_to else ""
    known = reagent.hazard_state != Reagent.HazardState.UNKNOWN
    keys = list(reagent.hazards.values_list("hazard_class", flat=True)) if known else None
    today = timezone.localdate()
    context = {
        "container": container,
        "page": page,
        "today": today,
        "acts": acts_open_to(request.user, container, today),
        "label": label_elements(keys),
        "supplements": supplements_of(reagent),
        "conflicts": conflicts_where(container),
        "ageing": rules_of(reagent),
        "dues": dues_of(container, today),
        "untouchable": untouchable(container, today),
        "tests": container.tests.all(),
    }
    return render(request, "handling/container_detail.html", context)


@permission_required("stockroom.change_container", raise_exception=True)
def edit(request, pk):
    container = get_object_or_404(Container.objects.select_related("reagent"), pk=pk)
    today = timezone.localdate()
    if untouchable(container, today):
        return hands_off_page(request, container, "Change")
    form = ContainerForm(request.POST or None, instance=container, today=today)
    if request.method == "POST" and form.is_valid():
        # Only these columns: the ledger may write the balance at the same moment.
        container.usable_until = container.reckon_usable_until()
        form.instance.save(update_fields=[*form.Meta.fields, "usable_until"])
        note(request.user, container, _what_changed(form))
        messages.success(request, f"{container.code} is saved.")
        return redirect(container)
    context = {
        "form": form,
        "title": f"Change {container.code}",
        "lead": "For what is marked on the container. How much is left changes through the ledger only.",
        "submit": "Save the container",
        "back": container.get_absolute_url(),
        "crumbs": [
            ("Containers", reverse("container-list")),
            (str(container), container.get_absolute_url()),
        ],
    }
    return render(request, "common/form.html", context)


def _what_changed(form) -> str:
    words = [
        f"{name} from {form.initial.get(name)} to {form.cleaned_data[name]}" for name in form.changed_data
    ]
    return f"changed {'; '.join(words)}" if words else "saved without a change"
