"""A reagent beside its safety data sheet: what is ticked, by whom, and what a change does to it."""

import datetime

import pytest
from django.contrib.admin.models import LogEntry
from django.urls import reverse

from stockroom.hazards import sheet_verification
from stockroom.hazards.models import ReagentHazard, SafetyDataSheet
from stockroom.inventory.models import Reagent

pytestmark = pytest.mark.django_db
G = 1_000_000


@pytest.fixture
def acid(make_reagent, make_container, technician, today):
    reagent = make_reagent("Acid", "volume", first_aid="Rinse.\n<script>alert(1)</script>")
    for key in ("skin_corr_1b", "eye_dam_1"):
        ReagentHazard.objects.create(reagent=reagent, hazard_class=key)
    SafetyDataSheet.objects.create(reagent=reagent, note="blue folder", added_by=technician, added_on=today)
    make_container(reagent, G)
    reagent.refresh_from_db()
    return reagent


def url_of(reagent) -> str:
    return reverse("reagent-check", args=[reagent.pk])


def ticked(reagent, *names: str, **more) -> dict:
    return dict.fromkeys(names, "on") | {"stamp": sheet_verification.stamp_of(reagent)} | more


@pytest.mark.parametrize(("role", "status"), [("head", 200), ("technician", 200), ("teacher", 403)])
def test_who_may_check(client, request, acid, role, status):
    assert reverse("sign-in") in client.get(url_of(acid)).url
    client.force_login(request.getfixturevalue(role))
    assert client.get(url_of(acid)).status_code == status
    assert client.post(url_of(acid), ticked(acid, "classes")).status_code == (302 if status == 200 else 403)
    assert acid.hazards.filter(checked_on=None).exists() == (status == 403)
    assert client.get(reverse("reagent-check", args=[987_654])).status_code == (404 if status == 200 else 403)


def test_the_page_shows_what_is_to_be_compared(client, head, acid):
    client.force_login(head)
    page = client.get(url_of(acid)).content.decode()
    for part in (
        "H314",
        "Rinse.",
        "blue folder",
        "from memory",
        "All 2 hazard classes",
        "1 reagent in stock",
    ):
        assert part in page, part
    assert "<script>alert" not in page


def test_three_ticks_are_three_checks(client, head, acid, today):
    client.force_login(head)
    client.post(url_of(acid), ticked(acid, "classes"))
    acid.refresh_from_db()
    assert {row.checked_on for row in acid.hazards.all()} == {today}
    assert not acid.is_checked and acid.sheets.get().checked_on is None
    assert list(sheet_verification.unchecked()) == [acid]
    client.post(url_of(acid), ticked(acid, "handling", "sheet"))
    acid.refresh_from_db()
    assert (acid.checked_by, acid.checked_on, acid.sheets.get().checked_by) == (head, today, head)
    assert not sheet_verification.unchecked().exists()
    assert (
        LogEntry.objects.latest("pk").change_message
        == "checked against the supplier's sheet: handling, sheet"
    )


def test_on_to_the_next_by_name_and_round(client, head, acid, make_reagent, make_container):
    salt = make_reagent("Salt")
    Reagent.objects.filter(pk=salt.pk).update(hazard_state="none")
    make_container(salt, G)
    make_container(make_reagent("Mystery"), G)  # not classified yet: nothing to compare
    client.force_login(head)
    assert client.post(url_of(acid), ticked(acid, "classes", next="")).url == url_of(salt)
    salt.refresh_from_db()
    page = client.get(url_of(salt)).content.decode()
    assert "names no hazard class" in page and 'name="classes"' not in page and 'name="sheet"' not in page
    assert client.post(url_of(salt), ticked(salt, "handling", next="")).url == url_of(acid)
    assert client.post(url_of(acid), ticked(acid, "handling", next="")).url == acid.get_absolute_url()


def test_nobody_ticks_what_has_changed_meanwhile(client, head, acid):
    client.force_login(head)
    seen = ticked(acid, "classes", "handling")
    ReagentHazard.objects.create(reagent=acid, hazard_class="met_corr_1")
    assert client.post(url_of(acid), seen).url == url_of(acid)
    acid.refresh_from_db()
    assert not acid.is_checked and not acid.hazards.exclude(checked_on=None).exists()
    seen = ticked(acid, "handling")
    Reagent.objects.filter(pk=acid.pk).update(disposal="Down the drain.")
    with pytest.raises(sheet_verification.ChangedMeanwhile):
        sheet_verification.tick(
            acid,
            sheet_verification.Ticks(handling=True),
            seen["stamp"],
            who=head,
            on=datetime.date(2026, 11, 25),
        )


@pytest.mark.parametrize(
    "data", [{"stamp": ""}, {"stamp": "x" * 99, "classes": "on"}, {"classes": "on"}, {"stamp": "\0"}]
)
def test_nothing_ticked_or_no_stamp_is_refused(client, head, acid, data):
    client.force_login(head)
    answer = client.post(url_of(acid), data)
    assert answer.status_code == 200 and answer.context["form"].errors
    assert not acid.hazards.exclude(checked_on=None).exists()


def test_the_same_queries_for_few_classes_and_many(client, head, acid, count_queries):
    client.force_login(head)
    few = count_queries(client, url_of(acid))
    for key in ("met_corr_1", "stot_se_3_irritation", "aquatic_acute_1", "flam_liq_3"):
        ReagentHazard.objects.create(reagent=acid, hazard_class=key)
    assert count_queries(client, url_of(acid)) == few
