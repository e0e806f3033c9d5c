"""Waste containers: list, start, add, close, collected, label, month by month, and the disposal sheet."""

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from stockroom.chemistry.quantity import MASS, format_amount
from stockroom.common.activity_log import note
from stockroom.common.department import Department
from stockroom.common.forms.correction import OppositeForm
from stockroom.common.forms.label_paper import LabelPaperForm, default_layout
from stockroom.common.views.label_paper import labels_pdf
from stockroom.common.views.listing import NounList
from stockroom.common.views.printing import pdf, sheet_head
from stockroom.inventory import ledger
from stockroom.inventory.models import LedgerError, WasteContainer, WasteEntry
from stockroom.safety.label import HAZARD_CLASSES, label_elements
from stockroom.safety.streams import streams, waste_label
from stockroom.safety.waste import characterise
from stockroom.waste import composition, printouts, sewer_discharge
from stockroom.waste.forms.waste import AddWasteForm, CollectedForm, WasteStartForm
from stockroom.waste.sheets import disposal as disposal_sheet
from stockroom.waste.sheets import waste_label as label_sheet
from stockroom.waste.tables import WasteFilter, WasteTable, waste_state
from stockroom.wording.days import day_text

#: a waste label is read from a step away
LABEL = {"A4": "105 x 74 mm, 8 a sheet", "Letter": "4 x 3.33 in, 6 a sheet"}


class WasteList(NounList):
    permission_required = "stockroom.view_wastecontainer"
    table_class, filterset_class = WasteTable, WasteFilter
    template_name = "waste/waste_list.html"
    title = "Waste"
    lead = "Collect it by default."
    add = ("Start a waste container", "waste-add", "stockroom.add_wastecontainer")
    empty_text = "No waste containers yet. Start one for each kind of waste that arises."

    def get_queryset(self):
        return WasteContainer.objects.select_related("location")

    def get_context_data(self, **kwargs):
        return super().get_context_data(**kwargs) | {"leaves": sewer_discharge.valid_on(self.today)}


def _crumbs(container=None):
    crumbs = [("Waste", reverse("waste-list"))]
    return [*crumbs, (str(container), container.get_absolute_url())] if container else crumbs


@permission_required("stockroom.add_wastecontainer", raise_exception=True)
def start(request):
    asked = request.GET.get("stream", "")
    initial = {"stream": asked} if asked in streams() else {}
    form = WasteStartForm(request.POST or None, today=timezone.localdate(), initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            container = form.start()
        except LedgerError as error:
            form.add_error(None, str(error))
        else:
            note(request.user, container, "started", ADDITION)
            messages.success(request, f"{container} is started. Print its label and put it on now.")
            return redirect(container)
    context = {
        "form": form,
        "title": "Start a waste container",
        "submit": "Start it",
        "back": reverse("waste-list"),
        "crumbs": _crumbs(),
    }
    return render(request, "common/form.html", context)


def _container(pk) -> WasteContainer:
    return get_object_or_404(composition.with_entries(WasteContainer.objects.all()), pk=pk)


@permission_required("stockroom.view_wastecontainer", raise_exception=True)
def detail(request, pk):
    container = _container(pk)
    rules = composition.rules()
    rows = []
    for entry in container.entries.all():
        judged = characterise(composition.of_entry(entry), rules)
        rows.append(
            {"entry": entry, "amount": format_amount(entry.amount, container.measure), "judged": judged}
        )
    said = waste_label(composition.contents_of(container), container.started_on, rules)
    context = {
        "container": container,
        "state": waste_state(container),
        "stream": streams().get(container.stream),
        "stream_name": composition.stream_name(container.stream),
        "label": said,
        "contents": composition.named_contents(container, said),
        "rows": rows[::-1],
        "struck": WasteEntry.objects.filter(waste_container=container, correction__isnull=False)
        .select_related("correction__who", "waste_container")
        .order_by("added_on", "pk"),
        "percent": round(100 * container.contents / container.capacity),
        "rules": rules,
    }
    return render(request, "waste/waste_detail.html", context)


@permission_required("stockroom.change_wastecontainer", raise_exception=True)
def add(request, pk):
    container = _container(pk)
    if not container.is_open:
        messages.error(request, f"{container} is closed: start another waste container.")
        return redirect(container)
    form = AddWasteForm(request.POST or None, container=container, today=timezone.localdate())
    if request.method == "POST" and form.is_valid():
        try:
            form.post(request.user)
        except LedgerError as error:
            form.add_error("amount", str(error))
        else:
            messages.success(request, "Saved. Close the lid. Check that the label lists it.")
            return redirect(container)
    context = {
        "form": form,
        "title": f"Add waste to {container}",
        "lead": f"{composition.stream_name(container.stream)}: {container.contents_text} of "
        f"{container.capacity_text} in it. Each addition is checked against what is in it already.",
        "submit": "Add it",
        "back": container.get_absolute_url(),
        "crumbs": _crumbs(container),
        "with_reagents": True,
    }
    return render(request, "common/form.html", context)


@permission_required("stockroom.change_wastecontainer", raise_exception=True)
def strike(request, pk):
    """Strike out an entry that was a slip."""
    entry = get_object_or_404(WasteEntry.objects.select_related("waste_container"), pk=pk)
    container = entry.waste_container
    form = OppositeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            correction = ledger.strike_waste(entry, who=request.user, why=form.cleaned_data["why"])
        except LedgerError as error:
            form.add_error(None, str(error))
        else:
            text = f"struck out {entry.amount_text} {entry}: {correction.why}"
            note(request.user, container, text[:250])
            messages.success(
                request, "Struck out. Write down what really went in, and print the label again."
            )
            return redirect(container)
    context = {
        "form": form,
        "title": "Strike out an entry",
        "lead": f"{entry.amount_text} {entry}, written down on "
        f"{day_text(entry.added_on)}. It stays to be read, and its amount is taken off {container}.",
        "submit": "Strike it out",
        "danger": True,
        "back": container.get_absolute_url(),
        "crumbs": _crumbs(container),
    }
    return render(request, "common/form.html", context)


@require_POST
@permission_required("stockroom.change_wastecontainer", raise_exception=True)
def close(request, pk):
    """Close it, or open it again where that was a slip."""
    container = _container(pk)
    if container.collected_on:
        messages.error(request, f"{container} has been collected.")
        return redirect(container)
    container.closed_on = None if container.closed_on else timezone.localdate()
    container.save(update_fields=["closed_on"])
    note(request.user, container, "closed" if container.closed_on else "opened again")
    messages.success(request, f"{container} is {'closed' if container.closed_on else 'open again'}.")
    return redirect(container)


@permission_required("stockroom.change_wastecontainer", raise_exception=True)
def collected(request, pk):
    container = _container(pk)
    if container.collected_on:
        messages.error(request, f"{container} has been collected already.")
        return redirect(container)
    form = CollectedForm(request.POST or None, container=container, today=timezone.localdate())
    if request.method == "POST" and form.is_valid():
        container.collected_on, container.collected_by = form.cleaned_data["on"], form.cleaned_data["by"]
        container.closed_on = container.closed_on or container.collected_on
        container.save(update_fields=["collected_on", "collected_by", "closed_on"])
        note(request.user, container, f"collected by {form.cleaned_data['by']}")
        messages.success(request, f"{container} is collected.")
        return redirect(container)
    context = {
        "form": form,
        "title": f"{container} was collected",
        "submit": "Mark as collected",
        "back": container.get_absolute_url(),
        "crumbs": _crumbs(container),
    }
    return render(request, "common/form.html", context)


@permission_required("stockroom.view_wastecontainer", raise_exception=True)
def label(request, pk):
    """The label at once; `?choose=1` asks for the paper first."""
    container = _container(pk)
    paper = Department.current().paper
    plain = {"layout": default_layout(paper, LABEL[paper]), "start": 1}
    asked = "layout" in request.GET
    form = LabelPaperForm(request.GET if asked else plain)
    if request.GET.get("choose") or not form.is_valid():
        context = {
            "form": form if asked else LabelPaperForm(initial=plain),
            "title": f"Label for {container}",
            "back": container.get_absolute_url(),
            "crumbs": _crumbs(container),
        }
        return render(request, "common/label_form.html", context)
    head = sheet_head(request, f"Waste label {container}", "the waste log")
    return labels_pdf(request, label_sheet, label_sheet.WasteLabels, head, [_label(request, container)], form)


def _label(request, container: WasteContainer) -> label_sheet.WasteLabel:
    wastes = composition.contents_of(container)
    said = waste_label(wastes, container.started_on, composition.rules())
    stream = streams().get(container.stream)
    keys = {key for waste in wastes for key in waste.hazard_keys if key in HAZARD_CLASSES}
    department = Department.current()
    return label_sheet.WasteLabel(
        number=container.code,
        stream=composition.stream_name(container.stream),
        contents=composition.named_contents(container, said),
        url=request.build_absolute_uri(container.get_absolute_url()),
        words=said.words,
        hazards=said.hazards or ((stream.words,) if stream else ()),
        codes=said.codes,
        pictograms=tuple(label_elements(sorted(keys)).pictograms) if keys else (),
        started=container.started_on,
        remove_by=composition.remove_by(container, timezone.localdate()),
        generator=f"{department}. {department.emergency_contact}".strip(),
    )


@permission_required("stockroom.view_wastecontainer", raise_exception=True)
def months(request):
    today = timezone.localdate()
    seen = composition.by_month(today)
    rules = composition.rules()
    context = {
        "months": [
            {
                "name": today.replace(year=month.year, month=month.month, day=1),
                "mass": format_amount(month.mass_ug, MASS) if month.mass_ug else "",
                "acute": format_amount(month.acute_ug, MASS) if month.acute_ug else "",
                "category": month.category,
            }
            for month in seen.months
        ],
        "any": any(month.mass_ug or month.acute_ug for month in seen.months),
        "outlook": seen.outlook,
        "on_site": format_amount(seen.outlook.on_site_ug, MASS),
        "most_month": _limit(seen.outlook.category.most_month),
        "most_on_site": _limit(seen.outlook.category.most_on_site),
        "unweighed": seen.unweighed,
        "planned": format_amount(seen.planned_ug, MASS, figures=3) if seen.planned_ug else "",
        "planned_until": seen.planned_until,
        "month_with_planned": format_amount(
            seen.outlook.month.mass_ug + seen.outlook.month.acute_ug, MASS, figures=3
        ),
        "rules": rules,
    }
    return render(request, "waste/waste_months.html", context)


def _limit(mass_ug: int | None) -> str:
    return format_amount(mass_ug, MASS) if mass_ug is not None else "no limit"


@permission_required("stockroom.view_wastecontainer", raise_exception=True)
def sheet(request):
    today = timezone.localdate()
    seen = composition.by_month(today)
    month = seen.months[0]
    permission = sewer_discharge.permission_on(today)
    notes = [
        composition.rules().note,
        f"Hazardous waste this month: {format_amount(month.mass_ug, MASS)}; {month.category.name.lower()}.",
    ]
    passed = [day for day in (seen.outlook.month_limit_on, seen.outlook.on_site_limit_on) if day]
    if passed:
        day = day_text(min(passed))
        notes.append(f"A limit of the category is passed on {day} if all bookings take place.")
    if seen.outlook.collect_by:
        notes.append(f"Oldest container to be collected by {day_text(seen.outlook.collect_by)}.")
    if permission:
        notes.append(
            f"To the drain only what the words of the letter ({permission.reference}) cover: "
            f"“{permission.covers}” Collect the rest."
        )
    head = sheet_head(request, "Disposal sheet", "the ledger and the waste log")
    data = disposal_sheet.DisposalSheet(head, printouts.items(today), notes=tuple(notes))
    return pdf(request, disposal_sheet.render, data, "disposal")
