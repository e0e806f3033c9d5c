"""Making up a reagent, and the batch that it makes."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.contrib.contenttypes.models import ContentType
from django.core.exceptions import ValidationError
from django.db import transaction
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from stockroom.handling.views.acts import warn_of_conflicts
from stockroom.hazards.classification import reckoned
from stockroom.inventory.forms.amount import read_amount
from stockroom.inventory.models import Batch, LedgerError, Movement, Preparation
from stockroom.preparation.batch import batch_of, needs_of
from stockroom.preparation.forms.batch import MakeUpForm


def _asked_amount(text: str | None, preparation: Preparation) -> tuple[int, str]:
    """(amount to work the parts out for, what is wrong with the text)."""
    if not text:
        return preparation.yield_amount, ""
    product = preparation.reagent
    try:
        return read_amount(text, product.measure, product.density), ""
    except ValidationError as error:
        return preparation.yield_amount, error.message


@permission_required("stockroom.make_up", raise_exception=True)
def make_up(request, pk):
    """Works the parts out for the amount; htmx asks for the parts again when the amount changes."""
    rows = Preparation.objects.select_related("reagent")
    rows = rows.prefetch_related("parts__reagent__components__chemical")
    preparation = get_object_or_404(rows, pk=pk, retired_on=None)
    today = timezone.localdate()
    product = preparation.reagent
    query = request.POST or request.GET
    amount, wrong = _asked_amount(query.get("amount"), preparation)
    last = product.containers.order_by("-received_on", "-pk").first()
    initial = {
        "amount": amount,
        "for_what": request.GET.get("for", "")[:120],
        "location": last.location_id if last else None,
    }
    needs = needs_of(preparation, amount, today)
    form = MakeUpForm(
        request.POST or None, preparation=preparation, needs=needs, today=today, initial=initial
    )
    if request.method == "POST" and form.is_valid():
        try:
            with transaction.atomic():
                batch = form.post(request.user)
        except LedgerError as error:
            form.add_error(None, str(error))
        else:
            container = batch.container
            messages.success(
                request,
                f"Made up: {container.balance_text} in {container.code}. Label it before you leave it.",
            )
            warn_of_conflicts(request, container)
            return redirect(container)
    batch, _ = batch_of(preparation, amount)
    context = {
        "preparation": preparation,
        "form": form,
        "amount": amount,
        "wrong": wrong,
        "batch": batch,
        # Rounded up to glassware the amounts would not be those that are drawn below.
        "fits": batch is not None and batch.amount == amount,
        "steps": [line.strip() for line in preparation.method.splitlines() if line.strip()],
    }
    htmx = request.htmx and request.htmx.target == "parts"
    template = "preparation/partials/make_up_parts.html" if htmx else "preparation/preparation_make_up.html"
    return render(request, template, context)


@permission_required("stockroom.view_preparation", raise_exception=True)
def batch_detail(request, pk):
    rows = Batch.objects.select_related("preparation__reagent", "made_by", "container__location")
    batch = get_object_or_404(rows, pk=pk)
    lines = Movement.objects.filter(
        belongs_type=ContentType.objects.get_for_model(Batch), belongs_id=batch.pk
    ).select_related("container__reagent")
    product = batch.preparation.reagent
    context = {
        "batch": batch,
        "drawn": [line for line in lines if line.kind == Movement.Kind.DRAW],
        "product": product,
        "found": reckoned(product),
    }
    return render(request, "preparation/preparation_batch.html", context)
