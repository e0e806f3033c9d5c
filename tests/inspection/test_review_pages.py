"""The head's review: each kind of trouble is found, counted and led to its cure."""

import datetime

import pytest
from django.contrib.contenttypes.models import ContentType
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stockroom.hazards.models import ReagentHazard, WrittenReason
from stockroom.inspection import findings, printouts
from stockroom.inventory import ledger
from stockroom.inventory.models import Chemical, Component, ContainerTest, Offer, Reservation
from stockroom.purchasing.models import Order, OrderLine
from stockroom.templatetags.addresses import address
from tests.paper.sheet_reading import pages

pytestmark = pytest.mark.django_db
G = 1_000_000


def counts(on) -> dict[str, int]:
    return {finding.key: finding.count for finding in findings.findings(on) if finding.count}


def checked(reagent, who, on):
    type(reagent).objects.filter(pk=reagent.pk).update(hazard_state="none", checked_by=who, checked_on=on)
    reagent.refresh_from_db()
    return reagent


@pytest.fixture
def quiet(make_reagent, technician, today):
    """A reagent with nothing wrong but its sheet."""
    return checked(make_reagent("Table salt"), technician, today)


def test_only_the_head_reviews(client, head, teacher, technician):
    for person, expected in ((head, 200), (teacher, 403), (technician, 403)):
        client.force_login(person)
        for name in ("review", "review-sheet"):
            assert client.get(reverse(name)).status_code == expected, name
    client.logout()
    assert client.get(reverse("review")).url.startswith(reverse("sign-in"))


def test_an_empty_stockroom_has_nothing_to_review(client, head, today):
    client.force_login(head)
    page = client.get(reverse("review")).content.decode()
    assert "Nothing is known to be wrong" in page and "Expired with something left: none" in page
    assert counts(today) == {}


def test_expired_quarantined_and_below_the_reorder_point(quiet, make_container, technician, today):
    make_container(quiet, G, on=today - datetime.timedelta(9), expires_on=today - datetime.timedelta(1))
    ledger.quarantine(make_container(quiet, G), who=technician, why="cap broken")
    type(quiet).objects.filter(pk=quiet.pk).update(reorder_point=5 * G)
    found = counts(today)
    assert (found["expired"], found["quarantined"], found["below"]) == (1, 1, 1)
    empty = make_container(
        quiet, G, on=today - datetime.timedelta(9), expires_on=today - datetime.timedelta(1)
    )
    ledger.correct(empty, 0, who=technician, why="counted")
    assert counts(today)["expired"] == 1, "an empty bottle has nothing left"


def test_unknown_and_unchecked_data(make_reagent, make_container, quiet, today):
    make_container(make_reagent("Mystery"), G)
    acid = make_reagent("Acid", "volume")
    ReagentHazard.objects.create(reagent=acid, hazard_class="skin_corr_1")
    make_container(acid, G)
    make_reagent("Not in stock")
    found = counts(today)
    assert (found["unclassified"], found["unchecked"], found["sheet-missing"]) == (1, 1, 2)


def test_what_must_not_stand_together(make_reagent, make_container, technician, today):
    for name, groups in (("Bleach", ["hypochlorite"]), ("Strong acid", ["acid_strong"])):
        make_container(checked(make_reagent(name, "volume", groups=groups), technician, today), G)
    found = findings.findings(today)
    pair = next(finding for finding in found if finding.key in ("severe", "serious") and finding.count)
    assert "Bleach" in pair.cases[0].text and "Top shelf" in pair.cases[0].text and pair.cases[0].detail


def test_what_does_not_belong_in_a_school(make_reagent, make_container, today):
    benzene = make_reagent("Benzene", "volume")
    chemical = Chemical.objects.create(name="Benzene", cas_rn="71-43-2", formula="C6H6")
    Component.objects.create(reagent=benzene, chemical=chemical, unit="pure")
    make_container(benzene, G)
    worst = next(finding for finding in findings.findings(today) if finding.count)
    assert worst.key == "never" and worst.count == 1 and "Benzene" in worst.cases[0].text


def test_a_written_reason_settles_what_needs_one(make_reagent, make_container, head, today):
    lead = make_reagent("Lead nitrate")
    chemical = Chemical.objects.create(name="Lead nitrate", cas_rn="10099-74-8", formula="Pb(NO3)2")
    Component.objects.create(reagent=lead, chemical=chemical, unit="pure")
    make_container(lead, G)
    assert counts(today)["reason"] == 1
    WrittenReason.objects.create(reagent=lead, text="Solubility, sixth form only", who=head, on=today)
    assert "reason" not in counts(today)


def test_a_bottle_stands_in_one_list_the_gravest(make_reagent, make_container, technician, today):
    old = today - datetime.timedelta(800)
    ether = make_reagent("Diethyl ether", "volume", ageing_class="peroxide_former_b")
    bottle = make_container(ether, G, on=old, opened_on=old)
    ledger.quarantine(bottle, who=technician, why="old")
    lists = [one for one in findings.findings(today) for case in one.cases if bottle.code in case.text]
    assert [one.key for one in lists] == ["untouchable"]
    assert lists[0].cure.startswith("DO NOT TOUCH. Leave it where it is. Keep people away. Call: ")
    assert findings.findings(today)[0].key == "untouchable"


def test_dangerous_with_age(make_reagent, make_container, technician, today):
    old = today - datetime.timedelta(200)
    ether = make_reagent("Diethyl ether", "volume", ageing_class="peroxide_former_b")
    bottle = make_container(ether, G, on=old, opened_on=old)
    assert counts(today).get("tests", 0) + counts(today).get("ageing", 0) == 1
    ContainerTest.objects.create(
        container=bottle, tested_on=today, outcome="passed", peroxide_ppm=3, who=technician
    )
    found = counts(today)
    assert "tests" not in found and "ageing" not in found
    ContainerTest.objects.create(
        container=bottle, tested_on=today, outcome="failed", peroxide_ppm=180, who=technician
    )
    assert counts(today)["untouchable"] == 1 and not {"ageing", "tests", "expired"} & set(counts(today))


def test_orders_overdue(supplier, quiet, head, today):
    late = Order.objects.create(
        supplier=supplier,
        state="ordered",
        created_on=today,
        created_by=head,
        ordered_on=today - datetime.timedelta(20),
        expected_on=today - datetime.timedelta(3),
    )
    offer = Offer.objects.create(supplier=supplier, reagent=quiet, pack_amount=G, price=12)
    OrderLine.objects.create(
        order=late, reagent=quiet, offer=offer, packs=2, pack_amount=G, unit_price="12.50"
    )
    assert counts(today)["late"] == 1
    assert sum(cost for _, cost in printouts.costs(today)) == 2500
    months = printouts.costs(today)
    assert len(months) == 12 and months[-1][0] == f"{today:%b %y}"


def test_every_finding_leads_to_a_page_that_opens(
    client, head, make_reagent, make_container, technician, today
):
    client.force_login(head)
    bottle = make_container(make_reagent("Mystery"), G, expires_on=today)
    ledger.quarantine(bottle, who=technician, why="<script>alert(1)</script>")
    for finding in findings.findings(today + datetime.timedelta(1)):
        assert client.get(address(finding.page)).status_code == 200, finding.key
        for case in finding.cases:
            assert client.get(address(case.page)).status_code == 200, case.text
    page = client.get(reverse("review")).content.decode()
    assert "Mystery" in page and "<script>alert" not in page


def test_the_gravest_stand_first(make_reagent, make_container, today):
    order = [finding.key for finding in findings.findings(today)]
    assert sorted(order) == sorted(findings.GRAVEST_FIRST) and len(set(order)) == len(order)
    assert order.index("ageing") < order.index("never") < order.index("severe") < order.index("expired")
    assert (
        order.index("unclassified") < order.index("reason") < order.index("unchecked") < order.index("below")
    )


def test_each_case_is_one_click_from_the_page_that_cures_it(make_reagent, make_container, today):
    """Not the page of the reagent, from which one would have to look for the cure."""
    mystery, acid = make_reagent("Mystery"), make_reagent("Acid", "volume")
    ReagentHazard.objects.create(reagent=acid, hazard_class="skin_corr_1")
    make_container(mystery, G)
    make_container(acid, G)
    cured_by = {
        (finding.key, case.reagent): address(case.page)
        for finding in findings.findings(today)
        for case in finding.cases
    }
    assert cured_by["unclassified", mystery.pk] == reverse("reagent-hazards", args=[mystery.pk])
    assert cured_by["unchecked", acid.pk] == reverse("reagent-check", args=[acid.pk])
    assert cured_by["sheet-missing", acid.pk] == reverse("sheet-add", args=[acid.pk])


def test_the_page_begins_with_the_counts(client, head, make_reagent, make_container):
    make_container(make_reagent("Mystery"), G)
    client.force_login(head)
    page = client.get(reverse("review")).content.decode()
    assert page.index('href="#unclassified"') < page.index('id="unclassified"')


def test_the_stock_review_sheet(client, head, technician, make_reagent, make_container, shelf, today):
    salt = make_reagent("Potassium iodide", reorder_point=500 * G)
    bottle = make_container(salt, 250 * G)
    ledger.draw(bottle, 30 * G, who=technician, why="a lesson")
    ledger.give_back(bottle, 10 * G, who=technician, why="not used")
    Reservation.objects.create(
        reagent=salt,
        amount=40 * G,
        needed_on=today,
        purpose="clock",
        belongs_type=ContentType.objects.get_for_model(shelf),
        belongs_id=shelf.pk,
    )
    client.force_login(head)
    answer = client.get(reverse("review-sheet"))
    words = " ".join(pages(answer.content))
    for part in ("Potassium iodide", "230 g", "20 g", "40 g", "500 g", "not classified yet", "General shelf"):
        assert part in words, part
    assert answer["Content-Disposition"].startswith("inline")
    check = client.get(reverse("review-sheet") + "?paper=Letter")
    assert check.status_code == 200


@pytest.mark.parametrize("name", ["review", "review-sheet"])
def test_the_number_of_queries_does_not_grow(client, head, make_reagent, make_container, today, name):
    client.force_login(head)
    client.get(reverse(name))
    taken = []
    for rows in (2, 20):
        for number in range(rows):
            reagent = make_reagent(f"R{rows}-{number}", formula="NaCl", reorder_point=5 * G)
            make_container(reagent, G, expires_on=today)
        client.get(reverse(name))
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse(name))
        taken.append(len(queries))
    assert taken[0] == taken[1]


def test_the_heads_first_page_leads_to_the_review(client, head, make_reagent, make_container):
    """It counts sheets as the review does: of what is in stock."""
    make_container(make_reagent("Mystery"), G)
    make_reagent("Not in stock")
    client.force_login(head)
    page = client.get(reverse("home")).content.decode()
    assert reverse("review") in page and "1 in stock without a safety data sheet" in page
