"""Places: the tree, one with what stands there, add, change, retire."""

from collections import Counter

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth.decorators import permission_required
from django.db.models import Count, Q
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from stockroom.common.activity_log import note
from stockroom.common.paging import paged
from stockroom.common.search import MAX_TEXT
from stockroom.common.views.retire import retire_or_bring_back
from stockroom.inventory.models import Container, Location
from stockroom.inventory.stock import within
from stockroom.inventory.tables.container import ContainerTable
from stockroom.storage.forms.location import LocationForm
from stockroom.storage.storage_items import conflicts_within

CONTAINERS_A_PAGE, CONFLICTS_SHOWN = 50, 10
STANDING = ~Q(containers__state=Container.State.GONE)


@permission_required("stockroom.view_location", raise_exception=True)
def tree(request):
    """Every place under the one it stands in, with how much stands there and what is wrong."""
    today = timezone.localdate()
    shown, text = request.GET.get("shown", ""), request.GET.get("q", "")[:MAX_TEXT].replace("\0", "").strip()
    rows = Location.objects.annotate(
        standing=Count("containers", filter=STANDING),
        expired=Count("containers", filter=STANDING & Q(containers__usable_until__lt=today)),
    )
    if shown != "all":
        rows = rows.filter(retired_on=None)
    for word in text.split():
        rows = rows.filter(path__icontains=word)
    clashes = Counter(conflict.place.id for conflict in conflicts_within(Location.objects.all()))
    # By the parts of the path: as text, “Prep room 2” would come between “Prep room” and its cabinets.
    locations = sorted(rows, key=lambda location: location.path.split(" › "))
    for location in locations:
        location.clash = clashes[location.pk]
    context = {"locations": locations, "q": text, "shown": shown}
    return render(request, "storage/location_tree.html", context)


@permission_required("stockroom.view_location", raise_exception=True)
def detail(request, pk):
    location = get_object_or_404(Location.objects.select_related("parent__parent"), pk=pk)
    today = timezone.localdate()
    containers = (
        Container.objects.filter(within(location, "location__"))
        .exclude(state=Container.State.GONE)
        .select_related("reagent", "location")
    )
    children = location.children.filter(retired_on=None)
    table = ContainerTable(
        containers,
        exclude=() if children else ("location",),
        order_by=("location", "reagent", "usable_until"),
        empty_text="Nothing stands here.",
    )
    table.today = today
    paged(request, table, CONTAINERS_A_PAGE)
    found = conflicts_within(Location.objects.filter(within(location)))
    context = {
        "location": location,
        "table": table,
        "standing": table.paginator.count,
        "expired": containers.filter(usable_until__lt=today).count(),
        "conflicts": found[:CONFLICTS_SHOWN],
        "more_conflicts": max(0, len(found) - CONFLICTS_SHOWN),
        "children": children,
    }
    return render(request, "storage/location_detail.html", context)


def _edit(request, location, title, back, **form_kwargs):
    is_new = location.pk is None
    form = LocationForm(request.POST or None, instance=location, **form_kwargs)
    if request.method == "POST" and form.is_valid():
        form.save()
        note(request.user, location, "added" if is_new else "changed", *([ADDITION] if is_new else []))
        messages.success(request, f"{location} is saved.")
        return redirect(location)
    context = {"form": form, "title": title, "submit": "Save the place", "back": back}
    context["crumbs"] = [("Places", reverse("location-list"))]
    return render(request, "common/form.html", context)


@permission_required("stockroom.add_location", raise_exception=True)
def add(request):
    initial = {}
    parent = request.GET.get("parent", "")
    found = Location.objects.filter(pk=int(parent)).first() if parent.isdecimal() else None
    if found and found.level != Location.Level.SHELF:
        below = {Location.Level.ROOM: Location.Level.CABINET, Location.Level.CABINET: Location.Level.SHELF}
        initial = {"parent": found.pk, "level": below[found.level], "storage_kind": found.storage_kind}
    return _edit(request, Location(), "Add a place", reverse("location-list"), initial=initial)


@permission_required("stockroom.change_location", raise_exception=True)
def edit(request, pk):
    location = get_object_or_404(Location, pk=pk)
    return _edit(request, location, f"Change {location}", location.get_absolute_url())


def _why_not(location) -> str:
    if location.containers.exclude(state=Container.State.GONE).exists():
        return f"Containers still stand in {location}: move them first."
    if location.waste_containers.filter(collected_on=None).exists():
        return f"Waste containers still stand in {location}: move them first."
    if location.children.filter(retired_on=None).exists():
        return f"Other places stand in {location}: retire them first."
    return ""


@permission_required("stockroom.change_location", raise_exception=True)
def retire(request, pk):
    location = get_object_or_404(Location, pk=pk)
    return retire_or_bring_back(request, location, refusal=_why_not(location))
