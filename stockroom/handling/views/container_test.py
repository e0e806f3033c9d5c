"""The test of a container that ages: write one down."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from stockroom.handling.views.acts import hands_off_page
from stockroom.hazards.forms.container_test import ContainerTestForm
from stockroom.inventory import ledger
from stockroom.inventory.ageing_items import dues_of, hands_off_words, rules_of, untouchable
from stockroom.inventory.models import Container, ContainerTest


def _after(request, test: ContainerTest, today):
    """What is said of the test, and where it leads."""
    container = Container.objects.prefetch_related("tests").get(pk=test.container_id)
    if test.passed:
        messages.success(request, "The test is saved.")
    elif late := untouchable(container, today):
        if container.state == Container.State.IN_USE:
            # On paper only: no plan counts on it any more.
            ledger.quarantine(container, who=request.user, why=f"{late.why}: do not touch", on=today)
        messages.error(request, f"{hands_off_words()} {container.code} has failed its test.")
    else:
        messages.error(request, f"{container.code} has failed its test: do not use it.")
        if container.state == Container.State.IN_USE:
            return redirect("container-act", container.pk, "quarantine")
    return redirect(container)


@permission_required("stockroom.add_containertest", raise_exception=True)
def add(request, pk):
    rows = Container.objects.present().select_related("reagent")
    rows = rows.prefetch_related("tests", "reagent__components__chemical")
    container = get_object_or_404(rows, pk=pk)
    today = timezone.localdate()
    if untouchable(container, today):
        return hands_off_page(request, container, "Test of")
    test = ContainerTest(container=container, who=request.user)
    form = ContainerTestForm(request.POST or None, instance=test, container=container, today=today)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            form.save()
            return _after(request, test, today)
    context = {
        "form": form,
        "container": container,
        "dues": dues_of(container, today),
        "rules": rules_of(container.reagent),
        "title": f"Record a test of {container.code}",
        "submit": "Save",
        "back": container.get_absolute_url(),
        "crumbs": [
            ("Time-sensitive chemicals", reverse("ageing")),
            (str(container), container.get_absolute_url()),
        ],
    }
    return render(request, "handling/container_test.html", context)
