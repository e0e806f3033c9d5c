"""The bench calculator: one page a tool, and from its answer to a make-up."""

from urllib.parse import urlencode

from django.contrib.auth.decorators import permission_required
from django.http import Http404
from django.shortcuts import render
from django.urls import reverse

from stockroom.chemistry.quantity import VOLUME, format_amount
from stockroom.inventory.forms.amount import EXACT
from stockroom.inventory.models import Reagent
from stockroom.preparation import bench
from stockroom.preparation.forms.bench import TOOLS


@permission_required("stockroom.make_up", raise_exception=True)
def calculate(request, tool="dilute"):
    if tool not in TOOLS:
        raise Http404
    label, form_class = TOOLS[tool]
    form = form_class(request.GET if request.GET else None)
    answer = form.answer() if form.is_valid() else None
    makers = bench.makers_of(answer.make) if answer and answer.make else []
    if makers:
        answer = bench.labelled(answer, str(makers[0].reagent))
    context = {
        "tools": [(slug, text) for slug, (text, _) in TOOLS.items()],
        "tool": tool,
        "label": label,
        "form": form,
        "answer": answer,
        "next": _next(answer.make, makers) if answer and answer.make else None,
    }
    return render(request, "preparation/bench.html", context)


def _next(make: bench.Make, makers: list[bench.Maker]) -> dict:
    """Addresses to go on to: preparations of the same reagent, and where to write one down."""
    amount = format_amount(make.volume, VOLUME, figures=EXACT)
    ready = [
        (row, reverse("preparation-make-up", args=[row.preparation.pk]) + "?" + urlencode({"amount": amount}))
        for row in makers
        if row.preparation
    ]
    unwritten = next((row.reagent for row in makers if row.preparation is None), None)
    return {
        "ready": ready,
        "write": _write(make, makers[0].reagent) if makers else "",
        "write_for": unwritten,
        "add": f"{reverse('reagent-add')}?chemical={make.chemical.pk}",
        "name": f"{make.chemical} {make.strength}",
    }


def _write(make: bench.Make, product: Reagent) -> str:
    """The address of a new preparation, filled in with the answer."""
    parts = [(reagent.name, format_amount(n, reagent.measure, figures=EXACT)) for reagent, n in make.parts]
    pure = Reagent.objects.filter(components__chemical__formula="H2O", components__unit="pure")
    water = pure.filter(measure=VOLUME, retired_on=None).first()
    poured = sum(n for reagent, n in make.parts if reagent.measure == VOLUME)
    if water and make.volume > poured and len(make.parts) == 1:
        parts.append((water.name, format_amount(make.volume - poured, VOLUME, figures=EXACT)))
    query = [
        ("reagent", product.pk),
        ("makes", format_amount(make.volume, VOLUME, figures=EXACT)),
        *(("part", name) for name, _ in parts),
        *(("part_amount", amount) for _, amount in parts),
        ("method", "\n".join(make.steps)),
    ]
    return f"{reverse('preparation-add')}?{urlencode(query)}"
