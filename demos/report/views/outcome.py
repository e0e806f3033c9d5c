"""What a demonstration does: the beaker step by step, and what is left, on page and paper."""

from decimal import Decimal

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from demos.consumption.takes import chosen_of
from demos.models import Booking, Demonstration, Reaction
from demos.report import beaker, outcome_report, served_steps
from demos.report.forms.outcome import FollowForm, KineticsForm, RangeForm
from demos.report.printouts import outcome_sheet_data, path_points, slow_lines
from demos.report.sheets import outcome as outcome_sheet
from demos.simulation.dissolving import meetings
from stockroom.common.activity_log import note
from stockroom.common.views.printing import pdf, sheet_head
from stockroom.paper import charts
from stockroom.waste import composition, sewer_discharge

TITLE = "What happens and what is left"
#: of a drawing: width, height, letters, class; the style sheet shows the one that fits the screen
SIZES = ((640, 250, 9, "chart wide"), (290, 280, 11.5, "chart narrow"))


def _answered(request, demonstration, on, scale=Decimal(1), chosen=None) -> dict:
    """Everything to say of one showing on a day, for a template and for the sheet."""
    follow = FollowForm(request.GET)
    found = beaker.foresee(
        demonstration, scale, chosen, composition.rules(), sewer_discharge.permission_on(on), follow.equations
    )
    context = {"demonstration": demonstration, "found": found, "outcome": found.outcome, "follow": follow}
    context["instead"] = served_steps.instead(demonstration, scale, chosen or {})
    context["limits"] = limits = RangeForm(request.GET)
    limits.is_valid()
    if found.outcome is None:
        return context
    outcome = found.outcome
    if meeting := meetings(outcome):
        context["kinetics"] = form = KineticsForm(request.GET, meeting)
        if form.is_valid():
            context["slow"] = outcome_report.slow(form)
    if limits.is_valid() and outcome.residue:
        context["doses"], context["no_dose"] = outcome_report.doses(
            outcome.residue, limits.cleaned_data["low"], limits.cleaned_data["high"]
        )
    return context


def _page(request, context, *, title, back, sheet, **more):
    outcome = context["outcome"]
    context |= {"title": title, "back": back, "sheet": sheet, **more}
    if outcome is not None:
        slow = context.get("slow")
        context |= {
            "rows": outcome_report.rows(outcome),
            "offers": outcome_report.offers(outcome),
            "charts": _charts(outcome_report.path(outcome)),
            "no_ph": outcome_report.no_ph(outcome),
            "stands": outcome_report.stands(outcome),
            "reactions": [outcome_report.reaction(report) for report in outcome.reactions],
            "equations_note": outcome_report.equations_note(context["found"]),
            "left": outcome_report.left(outcome.residue) if outcome.residue else (),
            "disposal": outcome_report.disposal_facts(context["found"].disposal),
            "dose_rows": [
                (dose, outcome_report.dose_amount(dose), outcome_report.dose_gas(dose))
                for dose in context.get("doses", ())
            ],
        }
        if slow and slow.curves:
            lines = slow_lines(slow)
            title = "pH against time while the solid dissolves"
            context["slow_charts"] = [
                charts.svg(
                    charts.curves(lines, slow.unit, "pH", width, height, size), title, slow.words, look
                )
                for width, height, size, look in SIZES
            ]
    return render(request, "report/outcome.html", context)


def _charts(path: outcome_report.Path | None) -> list[str]:
    if path is None:
        return []
    title, words = f"pH against {path.title}", outcome_report.path_words(path)
    points = path_points(path)
    return [
        charts.svg(charts.ph_path(points, width, height, size, path.title), title, words, look)
        for width, height, size, look in SIZES
    ]


def _demonstration(pk) -> Demonstration:
    return get_object_or_404(Demonstration.objects.prefetch_related(*beaker.PREFETCH), pk=pk)


@permission_required("demos.view_demonstration", raise_exception=True)
def of_demonstration(request, pk):
    """POST writes an equation that was followed down, for those who may change demonstrations."""
    demonstration = _demonstration(pk)
    if request.method == "POST":
        return _keep(request, demonstration)
    return _page(
        request,
        _answered(request, demonstration, timezone.localdate()),
        title=f"What happens in {demonstration}",
        back=demonstration,
        sheet=reverse("demos:demonstration-outcome-sheet", args=[pk]),
    )


@permission_required("demos.change_demonstration", raise_exception=True)
def _keep(request, demonstration):
    form = FollowForm(request.POST)
    here = redirect("demos:demonstration-outcome", pk=demonstration.pk)
    if not form.equations:
        messages.error(request, f"Nothing is written down: {form.wrong or 'name an equation'}.")
        return here
    with transaction.atomic():
        for equation in form.equations:
            if not demonstration.reactions.filter(equation=equation).exists():
                Reaction.objects.create(demonstration=demonstration, equation=equation)
        note(request.user, demonstration, "equation written down")
    messages.success(request, "The equation stands among those of the demonstration now.")
    return here


def _booking(pk) -> Booking:
    rows = Booking.objects.prefetch_related(
        "choices", *(f"demonstration__{name}" for name in beaker.PREFETCH)
    )
    return get_object_or_404(rows.select_related("demonstration", "period", "room", "teacher"), pk=pk)


@permission_required("demos.view_booking", raise_exception=True)
def of_booking(request, pk):
    """With the booking's own scale and alternatives."""
    booking = _booking(pk)
    return _page(
        request,
        _answered(request, booking.demonstration, booking.on, booking.scale, chosen_of(booking)),
        title=f"What happens in {booking}",
        back=booking,
        sheet=reverse("demos:booking-outcome-sheet", args=[pk]),
        booking=booking,
    )


def _sheet(request, context, head, filename, showings=1):
    return pdf(request, outcome_sheet.render, outcome_sheet_data(head, context, showings), filename)


@permission_required("demos.view_demonstration", raise_exception=True)
def demonstration_pdf(request, pk):
    demonstration = _demonstration(pk)
    head = sheet_head(request, TITLE, "the demonstration's steps", str(demonstration))
    answered = _answered(request, demonstration, timezone.localdate())
    return _sheet(request, answered, head, f"outcome {pk}")


@permission_required("demos.view_booking", raise_exception=True)
def booking_pdf(request, pk):
    booking = _booking(pk)
    head = sheet_head(request, TITLE, "the demonstration's steps and the booking", str(booking))
    context = _answered(request, booking.demonstration, booking.on, booking.scale, chosen_of(booking))
    return _sheet(request, context, head, f"outcome of booking {pk}", booking.showings)
