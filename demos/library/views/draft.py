"""While a demonstration is written: moles and what limits, and an equation balanced on request."""

import re
from dataclasses import dataclass

from django.contrib.auth.decorators import permission_required
from django.http import HttpResponse, HttpResponseBadRequest
from django.shortcuts import render
from django.views.decorators.http import require_POST

from demos.library.forms.draft import Line, read_draft
from demos.report import outcome_report
from demos.report.forms.equation import balanced_field
from demos.simulation import outcome
from stockroom.chemistry.portion import PortionError, addition_of
from stockroom.waste import composition


@dataclass(frozen=True)
class Held:
    """A line of the panel: how many moles of what an ingredient holds, or what is wrong."""

    name: str
    amount: str
    holds: tuple[str, ...]
    wrong: str


def _held(line: Line) -> Held:
    amount = line.reagent.text_of(line.amount) if line.amount else ""
    if line.wrong:
        return Held(line.name, amount, (), line.wrong)
    try:
        addition = addition_of(composition.portion_of(line.reagent, line.amount))
    except PortionError as error:
        return Held(line.name, amount, (), f"No moles: {error}.")
    holds = [f"{outcome_report.moles(one.mol)} {one.name}" for one in addition.substances if one.mol]
    holds += [f"{one.name} (no formula, so no moles)" for one in addition.substances if not one.formula]
    if addition.water_g >= 0.01:
        holds.append(f"{outcome_report.grams(addition.water_g)} water")
    return Held(line.name, amount, tuple(holds), "")


def _offers(portions, equations) -> tuple[outcome_report.Offer, ...]:
    """What may react by electron transfer if all the ingredients meet in this order, and is not written."""
    steps = tuple(outcome.Step(number, "", portion) for number, portion in enumerate(portions, start=1))
    try:
        return outcome_report.offers(outcome.foresee(steps, equations))
    except outcome.OutcomeError:
        return ()


@require_POST
@permission_required("demos.add_demonstration", raise_exception=True)
def amounts(request):
    draft = read_draft(request.POST)
    portions = tuple(composition.portion_of(line.reagent, line.amount) for line in draft.lines if line.amount)
    reports = outcome.reckon(portions, draft.equations)
    context = {
        "lines": [_held(line) for line in draft.lines],
        "reactions": [outcome_report.reaction(report) for report in reports],
        "offers": _offers(portions, draft.equations),
    }
    return render(request, "library/partials/amounts.html", context)


@require_POST
@permission_required("demos.add_demonstration", raise_exception=True)
def balance(request):
    """One equation's field again, balanced. `row` names it, "reactions-0-equation"."""
    name = request.POST.get("row", "")
    if not re.fullmatch(r"reactions-\d{1,3}-equation", name):
        return HttpResponseBadRequest("No such equation.")
    field = balanced_field(name, request.POST.get(name, "")[:500])
    # The panel of moles listens for this.
    return HttpResponse(field.as_field_group(), headers={"HX-Trigger": "balanced"})
