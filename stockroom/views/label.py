"""Labels for containers: one at once, or many on a sheet of label paper."""

from django.contrib.auth.decorators import permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.text import slugify

from stockroom.chemistry.quantity import VOLUME
from stockroom.forms.label import LabelPaperForm, LabelsForm, default_layout
from stockroom.labels import label_of, with_label_data
from stockroom.models import Container, Department
from stockroom.sheets import container_label as sheet
from stockroom.sheets.label_paper import preset_for
from stockroom.views.printing import sheet_head


def labels_pdf(request, drawn, sheet_class, head, labels, form) -> HttpResponse:
    """The labels on the paper that `form` names. `drawn` is the module of the sheet."""
    paper, layout = form.cleaned_data["sheet"]
    data = sheet_class(head, tuple(labels), layout, form.cleaned_data["start"], form.cleaned_data["outline"])
    response = HttpResponse(drawn.render(data, paper), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{slugify(head.title) or "labels"}.pdf"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _layout_for(container: Container, paper: str) -> str:
    reagent = container.reagent
    # What is weighed stands in a jar of about that volume; pieces go in a small one.
    volume_ml = container.pack_amount / (1000 if reagent.measure == VOLUME else 1_000_000)
    return default_layout(paper, preset_for(volume_ml, paper))


@permission_required("stockroom.view_container", raise_exception=True)
def container_label(request, pk):
    """The label at once, of the size that suits the bottle; `?choose=1` asks for the paper first."""
    container = get_object_or_404(with_label_data(Container.objects.all()), pk=pk)
    plain = {"layout": _layout_for(container, Department.current().paper), "start": 1}
    asked = "layout" in request.GET
    form = LabelPaperForm(request.GET if asked else plain)
    if request.GET.get("choose") or not form.is_valid():
        context = {
            "form": form if asked else LabelPaperForm(initial=plain),
            "title": f"Label for {container}",
            "back": container.get_absolute_url(),
            "crumbs": [(str(container), container.get_absolute_url())],
        }
        return render(request, "stockroom/label_form.html", context)
    return _print(request, [container], form, f"Label {container.code}")


def _print(request, containers, form, title):
    labels = [label_of(container, request.build_absolute_uri) for container in containers]
    head = sheet_head(request, title, "the ledger and the hazard data")
    return labels_pdf(request, sheet, sheet.LabelSheet, head, labels, form)


@permission_required("stockroom.view_container", raise_exception=True)
def labels(request):
    """Choose containers and paper. `?numbers=`, `?place=`, `?since=` fill the form in; `print` prints."""
    initial = {"layout": default_layout(Department.current().paper), "start": 1}
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
        return _print(request, [rows[pk] for pk in form.cleaned_data["containers"]], form, "Container labels")
    context = {
        "form": form,
        "title": "Print labels",
        "back": reverse("container-list"),
        "crumbs": [("Containers", reverse("container-list"))],
    }
    return render(request, "stockroom/label_form.html", context)
