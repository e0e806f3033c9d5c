"""What becomes dangerous or useless with time: what is due, and the log of tests."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from stockroom.handling.views.acts import hands_off_page
from stockroom.hazards.forms.container_test import ContainerTestForm
from stockroom.inventory.ageing_items import AHEAD_DAYS, aged, dues_of, hands_off_words, rules_of, untouchable
from stockroom.inventory.models import Container, ContainerTest

ROWS_A_PAGE = 25


@permission_required("stockroom.view_containertest", raise_exception=True)
def ageing_list(request):
    """Containers with a test or a day to discard that is late or near, the most pressing first."""
    rows = aged(timezone.localdate())
    page = Paginator(rows, ROWS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "rows": page.object_list,
        "page": page,
        "days": AHEAD_DAYS,
        "untouchable": sum(row.untouchable is not None for row in rows),
        "dangerous": sum(row.dangerous and row.untouchable is None for row in rows),
    }
    return render(request, "hazards/ageing_list.html", context)


def _after(request, test: ContainerTest, today):
    """What is said of the test, and where it leads."""
    container = Container.objects.prefetch_related("tests").get(pk=test.container_id)
    if test.passed:
        messages.success(request, "The test is written down.")
    elif untouchable(container, today):
        messages.error(request, f"{hands_off_words()} {container.code} has failed its test.")
    else:
        messages.error(request, f"{container.code} has failed its test: do not use it.")
        if container.state == Container.State.IN_USE:
            return redirect("container-act", container.pk, "quarantine")
    return redirect(container)


@permission_required("stockroom.add_containertest", raise_exception=True)
def test_add(request, pk):
    rows = Container.objects.exclude(state=Container.State.GONE).select_related("reagent")
    rows = rows.prefetch_related("tests", "reagent__components__chemical")
    container = get_object_or_404(rows, pk=pk)
    today = timezone.localdate()
    if untouchable(container, today):
        return hands_off_page(request, container, "Test of")
    test = ContainerTest(container=container, who=request.user)
    form = ContainerTestForm(request.POST or None, instance=test, container=container, today=today)
    if request.method == "POST" and form.is_valid():
        form.save()
        return _after(request, test, today)
    context = {
        "form": form,
        "container": container,
        "dues": dues_of(container, today),
        "rules": rules_of(container.reagent),
        "title": f"Write down a test of {container.code}",
        "submit": "Write it down",
        "back": container.get_absolute_url(),
        "crumbs": [("Ageing", reverse("ageing")), (str(container), container.get_absolute_url())],
    }
    return render(request, "hazards/container_test.html", context)
