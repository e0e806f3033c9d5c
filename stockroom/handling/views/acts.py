"""Acts that write the ledger."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from stockroom.common.activity_log import note
from stockroom.common.forms.correction import OppositeForm
from stockroom.common.person import name_of
from stockroom.handling.forms.acts import ACTS, ReceiveForm, form_of
from stockroom.inventory import ledger
from stockroom.inventory.ageing_items import forbidding, untouchable
from stockroom.inventory.models import Container, LedgerError, Movement, Reagent
from stockroom.storage.storage_items import conflicts_where
from stockroom.wording.days import day_text


def _starting_values(query) -> dict:
    """What the address already says: `?reagent=`, `?location=` and `?why=`."""
    initial = {}
    if query.get("reagent", "").isdecimal():
        reagent = Reagent.objects.filter(pk=int(query["reagent"])).first()
        if reagent:
            initial["reagent"] = reagent.name
    if query.get("location", "").isdecimal():
        initial["location"] = int(query["location"])
    if query.get("why"):
        initial["why"] = query["why"][:200]
    return initial


def warn_of_conflicts(request, container: Container) -> None:
    for conflict in conflicts_where(container):
        messages.warning(
            request,
            f"{conflict.item_a.name} must not be stored beside {conflict.item_b.name}: "
            f"{conflict.consequence.lower()}. {conflict.apart} ({conflict.rule}). Choose another place.",
        )


def note_despite(request, form, containers) -> None:
    """Keep who put something where the warning spoke against it."""
    if "despite" in form.fields:
        for container in containers:
            note(request.user, container, f"put into {container.location} despite the warning"[:250])


@permission_required("stockroom.receive_stock", raise_exception=True)
def receive_places(request):
    """The list of places, by safety for the reagent that was typed, for htmx to put into the form."""
    name, asked = request.GET.get("reagent", "")[:200], request.GET.get("location", "")
    initial = {"location": int(asked)} if asked.isdecimal() and len(asked) < 19 else {}
    form = ReceiveForm(initial=initial, today=timezone.localdate())
    reagent = Reagent.objects.filter(name__iexact=" ".join(name.split())).first()
    if reagent:
        form.offer_places(reagent)
    return HttpResponse(form["location"].as_widget())


@permission_required("stockroom.receive_stock", raise_exception=True)
def receive(request):
    today = timezone.localdate()
    form = ReceiveForm(request.POST or None, initial=_starting_values(request.GET), today=today)
    if not form.is_bound and form.initial.get("reagent"):
        form.offer_places(Reagent.objects.get(name=form.initial["reagent"]))
    if request.method == "POST" and form.is_valid():
        try:
            with transaction.atomic():
                containers = form.post(request.user)
        except LedgerError as error:
            form.add_error("reagent", str(error))
        else:
            codes = ", ".join(container.code for container in containers)
            messages.success(request, f"Received: {codes}. Print the label, or write the code on the bottle.")
            note_despite(request, form, containers)
            warn_of_conflicts(request, containers[0])
            if len(containers) == 1:
                return redirect(containers[0])
            return redirect(f"{reverse('labels')}?{urlencode({'numbers': codes})}")
    context = {
        "form": form,
        "title": "Receive a delivery",
        "submit": "Put it on the shelf",
        "back": reverse("container-list"),
        "crumbs": [("Containers", reverse("container-list"))],
        "with_reagents": True,
    }
    return render(request, "common/form.html", context)


def act(request, pk, act):
    """The page of one act on a container; htmx gets the form alone, to show on the container's page."""
    if act not in ACTS:
        raise Http404
    if not request.user.has_perm(ACTS[act].permission):
        raise PermissionDenied
    container = get_object_or_404(Container.objects.select_related("reagent", "location"), pk=pk)
    today = timezone.localdate()
    form_class = form_of(act, container, today)
    if form_class is None:
        return hands_off_page(request, container, ACTS[act].title)
    form = form_class(
        request.POST or None,
        initial=_starting_values(request.GET),
        container=container,
        today=today,
    )
    if request.method == "POST" and form.is_valid():
        try:
            with transaction.atomic():
                form.post(request.user)
        except LedgerError as error:
            form.refuse(error)
        else:
            container.refresh_from_db()
            left = container.balance_text
            messages.success(request, f"Saved. {container.code} now holds {left}.")
            if act == "move":
                warn_of_conflicts(request, container)
            return redirect(container)
    context = {
        "container": container,
        "form": form,
        "url": reverse("container-act", args=[container.pk, act]),
        "title": f"{form.title} {container.code}",
        "late": forbidding(container, today),
        "untouchable": untouchable(container, today),
        "today": today,
    }
    return _act_page(request, context)


def _act_page(request, context: dict, status: int = 200):
    htmx = request.htmx and request.htmx.target == "act"
    template = "handling/partials/act.html" if htmx else "handling/container_act.html"
    return render(request, template, context, status=status)


def hands_off_page(request, container: Container, title: str):
    """The page of an act that nobody may do: the warning, and no form."""
    today = timezone.localdate()
    context = {
        "container": container,
        "form": None,
        "title": f"{title} {container.code}",
        "untouchable": untouchable(container, today),
        "today": today,
    }
    return _act_page(request, context, 409 if request.method == "POST" else 200)


@permission_required("stockroom.reverse_movement", raise_exception=True)
def reverse_line(request, pk):
    line = get_object_or_404(Movement.objects.select_related("container__reagent", "who"), pk=pk)
    container = line.container
    form = OppositeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            ledger.reverse(line, who=request.user, why=form.cleaned_data["why"])
        except LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "The line is reversed.")
            return redirect(container)
    reagent = container.reagent
    context = {
        "form": form,
        "title": "Reverse this line",
        "lead": f"{line.get_kind_display()} {reagent.text_of(abs(line.change))} of {container} on "
        f"{day_text(line.on)} by {name_of(line.who)}: “{line.why}”. "
        "The line stays; its opposite is written after it.",
        "submit": "Reverse it",
        "danger": True,
        "back": container.get_absolute_url(),
        "crumbs": [(str(container), container.get_absolute_url())],
    }
    return render(request, "common/form.html", context)
