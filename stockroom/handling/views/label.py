"""Labels for containers: one at once, or many on a sheet of label paper."""

from collections import defaultdict

from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from stockroom.chemistry.quantity import VOLUME
from stockroom.common.department import Department
from stockroom.common.forms.label_paper import BY_SIZE, LabelPaperForm, default_layout
from stockroom.common.views.label_paper import REMEMBERED, labels_pdf
from stockroom.common.views.printing import sheet_head
from stockroom.handling.forms.label import LabelsForm
from stockroom.handling.printouts import label_of, with_label_data
from stockroom.handling.sheets import container_label as sheet
from stockroom.handling.views.acts import hands_off_page
from stockroom.inventory.ageing_items import untouchable
from stockroom.inventory.models import Container
from stockroom.paper.label_paper import PRESETS, preset_for


def _preset_of(container: Container, paper: str) -> str:
    reagent = container.reagent
    # What is weighed stands in a jar of about that volume; pieces go in a small one.
    volume_ml = container.pack_amount / (1000 if reagent.measure == VOLUME else 1_000_000)
    return preset_for(volume_ml, paper)


@permission_required("stockroom.view_container", raise_exception=True)
def container_label(request, pk):
    """The label at once, of the size that suits the bottle; `?choose=1` asks for the paper first."""
    container = get_object_or_404(with_label_data(Container.objects.all()), pk=pk)
    if untouchable(container, timezone.localdate()):
        return hands_off_page(request, container, "Label for")
    paper = Department.current().paper
    own = request.session.get(REMEMBERED, {})
    plain = (
        {"paper": paper} | own | {"layout": default_layout(paper, _preset_of(container, paper)), "start": 1}
    )
    asked = "layout" in request.GET
    form = LabelPaperForm(request.GET if asked else plain)
    if request.GET.get("choose") or not form.is_valid():
        context = {
            "form": form if asked else LabelPaperForm(initial=plain),
            "title": f"Label for {container}",
            "back": container.get_absolute_url(),
            "crumbs": [(str(container), container.get_absolute_url())],
        }
        return render(request, "common/label_form.html", context)
    return _print(request, [container], form, f"Label {container.code}")


def _print(request, containers, form, title):
    labels = [label_of(container, request.build_absolute_uri) for container in containers]
    head = sheet_head(request, title, "the ledger and the hazard data")
    return labels_pdf(request, sheet, sheet.LabelSheet, head, labels, form)


@permission_required("stockroom.view_container", raise_exception=True)
def labels(request):
    """Choose containers and paper. `?numbers=`, `?place=`, `?since=` fill the form in; `print` prints."""
    paper = Department.current().paper
    initial = {"layout": default_layout(paper), "start": 1, "paper": paper} | request.session.get(
        REMEMBERED, {}
    )
    initial |= {
        name: request.GET[name][:2000] for name in ("numbers", "place", "since") if name in request.GET
    }
    asked = "layout" in request.GET
    form = LabelsForm(request.GET if asked else None, initial=initial)
    if asked and form.is_valid():
        rows = {
            row.pk: row
            for row in with_label_data(Container.objects.filter(pk__in=form.cleaned_data["containers"]))
        }
        chosen = [rows[pk] for pk in form.cleaned_data["containers"]]
        if form.cleaned_data["layout"] == BY_SIZE:
            return _by_size(request, chosen, paper, form.cleaned_data["outline"])
        return _print(request, chosen, form, "Container labels")
    context = {
        "form": form,
        "title": "Print labels",
        "back": reverse("container-list"),
        "crumbs": [("Containers", reverse("container-list"))],
    }
    return render(request, "common/label_form.html", context)


def _by_size(request, containers, paper: str, outline: bool):
    """One line a size, the smallest first, each to be printed on its own label paper."""
    by_preset = defaultdict(list)
    for container in containers:
        by_preset[_preset_of(container, paper)].append(container.code)
    sizes = [
        {
            "name": name,
            "layout": default_layout(paper, name),
            "numbers": " ".join(by_preset[name]),
            "count": len(by_preset[name]),
            "a_sheet": layout.per_sheet,
        }
        for name, layout in sorted(PRESETS[paper].items(), key=lambda item: item[1].width * item[1].height)
        if name in by_preset
    ]
    context = {"sizes": sizes, "outline": outline, "again": request.get_full_path()}
    return render(request, "handling/label_sizes.html", context)
