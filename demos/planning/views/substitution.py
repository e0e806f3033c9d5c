"""Will another reagent do instead of an ingredient: asked from a demonstration or a booking."""

from decimal import Decimal

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from demos.consumption.amounts import ConsumptionError
from demos.consumption.takes import chosen_of, takes
from demos.models import Booking, Demonstration
from demos.planning import substitution
from demos.planning.forms.substitution import InsteadForm
from demos.report import beaker
from stockroom.common.activity_log import note
from stockroom.inventory.models import Reagent


def _asked(request, demonstration, form, scale=Decimal(1), chosen=None, amounts=None):
    """The comparison that a valid form asks for. amounts: by ingredient id, where they are a booking's."""
    asked = form.cleaned_data["ingredient"]
    row = next(row for row in demonstration.ingredients.all() if row.pk == asked.pk)
    prefetch = ("hazards", "components__chemical")
    substitute = Reagent.objects.select_related("solvent").prefetch_related(*prefetch)
    substitute = substitute.get(pk=form.cleaned_data["reagent"].pk)
    amount = (amounts or {}).get(row.pk) or row.first_amount or row.group_amount or row.repeat_amount
    # The usual reagent is compared, whatever the booking chose for it.
    others = {key: value for key, value in (chosen or {}).items() if key != row.pk}
    return substitution.compare(
        demonstration, beaker.steps_of(demonstration, scale, others), row, substitute, amount
    )


def _page(request, demonstration, form, *, about, here, comparison):
    context = {
        "demonstration": demonstration,
        "about": about,
        "here": here,
        "form": form,
        "comparison": comparison,
        "keep_at": reverse("demos:demonstration-instead", args=[demonstration.pk]),
    }
    return render(request, "planning/substitution.html", context)


def _demonstration(pk) -> Demonstration:
    return get_object_or_404(Demonstration.objects.prefetch_related(*beaker.PREFETCH), pk=pk)


@permission_required("demos.view_demonstration", raise_exception=True)
def of_demonstration(request, pk):
    """GET asks; POST writes the answer down as an alternative, for those who may change demonstrations."""
    demonstration = _demonstration(pk)
    if request.method == "POST":
        return _keep(request, demonstration)
    form = InsteadForm(request.GET or None, demonstration=demonstration)
    comparison = _asked(request, demonstration, form) if form.is_valid() else None
    here = reverse("demos:demonstration-instead", args=[pk])
    return _page(request, demonstration, form, about=demonstration, here=here, comparison=comparison)


@permission_required("demos.change_demonstration", raise_exception=True)
def _keep(request, demonstration):
    form = InsteadForm(request.POST, demonstration=demonstration)
    here = reverse("demos:demonstration-instead", args=[demonstration.pk])
    if not form.is_valid():
        return _page(request, demonstration, form, about=demonstration, here=here, comparison=None)
    comparison = _asked(request, demonstration, form)
    answer = next((row for row in comparison.answers if row.key == request.POST.get("way")), None)
    if answer is None or answer.wrong:
        messages.error(request, "Nothing is saved: choose one of the answers below.")
        return _page(request, demonstration, form, about=demonstration, here=here, comparison=comparison)
    try:
        alternative = substitution.keep(comparison, answer, timezone.localdate())
    except ConsumptionError as error:
        messages.error(request, f"A booking to come cannot be worked out with this: {error}")
        return _page(request, demonstration, form, about=demonstration, here=here, comparison=comparison)
    note(request.user, demonstration, f"alternative written down: {alternative}")
    messages.success(request, f"{alternative.reagent} is now among the alternatives.")
    return redirect(demonstration)


@permission_required("demos.view_booking", raise_exception=True)
def of_booking(request, pk):
    rows = Booking.objects.select_related("demonstration", "period", "room", "teacher")
    prefetch = (f"demonstration__{name}" for name in beaker.PREFETCH)
    booking = get_object_or_404(rows.prefetch_related("choices", *prefetch), pk=pk)
    demonstration, chosen = booking.demonstration, chosen_of(booking)
    form = InsteadForm(request.GET or None, demonstration=demonstration)
    comparison = None
    if form.is_valid():
        try:
            amounts = {
                take.ingredient.pk: take.amount for take in takes(booking, demonstration.ingredients.all())
            }
        except ConsumptionError as error:
            form.add_error(None, str(error))
        else:
            comparison = _asked(request, demonstration, form, booking.scale, chosen, amounts)
    here = reverse("demos:booking-instead", args=[pk])
    return _page(request, demonstration, form, about=booking, here=here, comparison=comparison)
