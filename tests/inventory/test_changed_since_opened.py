"""Two people change one thing at once: the second is told by whom, and keeps what was typed."""

import pytest
from django.urls import reverse

from stockroom.common.activity_log import note
from stockroom.common.department import Department
from stockroom.inventory.models import Preparation, PreparationPart, Supplier
from tests.people.test_account_pages import SETTINGS

pytestmark = pytest.mark.django_db


def seen(client, url) -> str:
    """What the hidden mark of an opened form says."""
    return client.get(url).context["form"]["seen"].value()


@pytest.fixture
def brine(make_reagent):
    salt, water = make_reagent("Salt"), make_reagent("Water", measure="volume")
    preparation = Preparation.objects.create(
        reagent=make_reagent("Brine", measure="volume"), yield_amount=1_000_000, method="Stir."
    )
    PreparationPart.objects.create(preparation=preparation, reagent=salt, amount=100_000_000)
    PreparationPart.objects.create(preparation=preparation, reagent=water, amount=950_000)
    return preparation


def sent(brine, mark, **changes) -> dict:
    rows = {"parts-TOTAL_FORMS": "2", "parts-INITIAL_FORMS": "2"}
    for number, part in enumerate(brine.parts.order_by("pk")):
        rows |= {
            f"parts-{number}-id": part.pk,
            f"parts-{number}-reagent": part.reagent.name,
            f"parts-{number}-amount": part.reagent.text_of(part.amount),
        }
    form = {"reagent": "Brine", "name": "", "yield_amount": "1 L", "lead_days": "0", "method": "Shake."}
    return {**form, **rows, "seen": mark, **changes}


def test_the_second_is_told_who_was_first_and_may_insist(client, head, technician, brine):
    url = reverse("preparation-edit", args=[brine.pk])
    client.force_login(head)
    mark = seen(client, url)
    Preparation.objects.filter(pk=brine.pk).update(method="Warm it.")
    note(technician, brine, "changed")

    answer = client.post(url, sent(brine, mark))
    page = answer.content.decode()
    assert "technician changed it at" in page
    assert brine.get_absolute_url() in page
    assert "Shake." in page, "what was typed is kept"
    brine.refresh_from_db()
    assert brine.method == "Warm it."

    again = answer.context["form"]["seen"].value()
    assert client.post(url, sent(brine, again)).status_code == 302
    brine.refresh_from_db()
    assert brine.method == "Shake."


def test_a_change_of_a_row_counts_and_none_is_no_trouble(client, head, brine):
    url = reverse("preparation-edit", args=[brine.pk])
    client.force_login(head)
    mark = seen(client, url)
    assert client.post(url, sent(brine, mark)).status_code == 302, "nobody else changed anything"

    mark = seen(client, url)
    brine.parts.filter(reagent__name="Salt").update(amount=120_000_000)
    answer = client.post(url, sent(brine, mark))
    assert answer.status_code == 200
    assert "after you opened this page" in answer.content.decode()


def test_a_row_that_was_taken_out_meanwhile_says_what_to_do(client, head, brine):
    url = reverse("preparation-edit", args=[brine.pk])
    client.force_login(head)
    form = sent(brine, seen(client, url))
    brine.parts.filter(reagent__name="Salt").delete()
    answer = client.post(url, form)
    assert "took this row out" in answer.content.decode()
    form |= {"parts-0-DELETE": "on", "seen": answer.context["form"]["seen"].value()}
    assert client.post(url, form).status_code == 302
    assert [part.reagent.name for part in brine.parts.all()] == ["Water"]


def test_the_settings_too(client, head):
    url = reverse("department-edit")
    client.force_login(head)
    mark = seen(client, url)
    department = Department.current()
    department.paper = "Letter"
    department.save()
    answer = client.post(url, SETTINGS | {"seen": mark})
    assert "after you opened this page" in answer.content.decode()
    assert Department.current().school != SETTINGS["school"]


@pytest.mark.parametrize("mark", ["<script>alert(1)</script>", "x" * 10_000, "\u202e"])
def test_a_mark_that_never_was_is_as_a_change(client, head, mark):
    supplier = Supplier.objects.create(name="Alder")
    client.force_login(head)
    answer = client.post(reverse("supplier-edit", args=[supplier.pk]), {"name": "Birch", "seen": mark})
    assert answer.status_code == 200
    assert "<script>alert" not in answer.content.decode()
    supplier.refresh_from_db()
    assert supplier.name == "Alder"
