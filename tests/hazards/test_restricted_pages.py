"""What should not be in a teaching stockroom: reported, with the way out, or kept for a written reason."""

import pytest
from django.urls import reverse

from stockroom.hazards.models import WrittenReason
from stockroom.hazards.restricted import in_stock, strengths_of
from stockroom.inventory.models import Chemical, Component

pytestmark = pytest.mark.django_db
G = 1_000_000
REASON = "The only catalyst for the oscillating reaction; 5 g, locked, technician only."


@pytest.fixture
def listed(make_reagent, make_container):
    def make(name, cas, value=None, unit="pure", **fields):
        reagent = make_reagent(name, **fields)
        chemical = Chemical.objects.create(name=f"{name} (substance)", cas_rn=cas)
        Component.objects.create(reagent=reagent, chemical=chemical, value=value, unit=unit)
        make_container(reagent, G)
        return reagent

    return make


@pytest.fixture
def picric(listed):
    return listed("Picric acid", "88-89-1")


@pytest.fixture
def dichromate(listed):
    return listed("Potassium dichromate", "7778-50-9")


def test_who_may_look_and_who_may_decide(client, head, teacher, technician, dichromate):
    page, form = reverse("restricted-list"), reverse("reason-add", args=[dichromate.pk])
    for person, look, decide in ((head, 200, 200), (technician, 200, 403), (teacher, 403, 403)):
        client.force_login(person)
        assert client.get(page).status_code == look
        assert client.get(form).status_code == decide
        assert client.post(form, {"text": "x"}).status_code == decide
        assert (form in client.get(dichromate.get_absolute_url()).content.decode()) == (decide == 200)
    assert not WrittenReason.objects.exists()


def test_signed_out(client, dichromate):
    for url in (reverse("restricted-list"), reverse("reason-add", args=[dichromate.pk])):
        assert reverse("sign-in") in client.get(url).url


def test_nothing_of_the_list(client, head, make_reagent, make_container):
    make_container(make_reagent(formula="NaCl"), G)
    client.force_login(head)
    assert "Nothing of the list is in stock" in client.get(reverse("restricted-list")).content.decode()


def test_what_should_never_be_there_comes_first_with_the_way_out(client, head, dichromate, picric):
    client.force_login(head)
    page = client.get(reverse("restricted-list")).content.decode()
    assert page.index("Picric acid") < page.index("Potassium dichromate")
    assert "Leave it where it stands" in page and "2 to decide" in page
    assert picric.containers.get().code in page


def test_a_reason_is_kept_with_name_and_day(client, head, dichromate, today):
    client.force_login(head)
    client.post(reverse("reason-add", args=[dichromate.pk]), {"text": f"{REASON} <b>"})
    row = WrittenReason.objects.get()
    assert (row.who, row.on) == (head, today)
    page = client.get(reverse("restricted-list")).content.decode()
    assert "Kept for a written reason" in page and "to decide" not in page and "&lt;b&gt;" in page
    assert "oscillating" in client.get(reverse("review")).content.decode()


def test_the_newest_reason_counts_and_the_earlier_stays(client, head, dichromate):
    client.force_login(head)
    for text in (REASON, f"Second thoughts. {REASON}"):
        client.post(reverse("reason-add", args=[dichromate.pk]), {"text": text})
    assert in_stock()[0].reason.text.startswith("Second") and WrittenReason.objects.count() == 2


def test_a_reason_does_not_excuse_what_should_never_be_there(client, head, picric):
    client.force_login(head)
    client.post(reverse("reason-add", args=[picric.pk]), {"text": REASON})
    assert "1 to decide" in client.get(reverse("restricted-list")).content.decode()


@pytest.mark.parametrize("text", ["", "   ", "because", "x" * 5000])
def test_a_bad_reason_is_refused(client, head, dichromate, text):
    client.force_login(head)
    answer = client.post(reverse("reason-add", args=[dichromate.pk]), {"text": text})
    assert answer.status_code == 200 and answer.context["form"].errors
    assert not WrittenReason.objects.exists()


def test_no_reason_is_asked_for_what_is_not_listed(client, head, make_reagent):
    client.force_login(head)
    salt = make_reagent(formula="NaCl")
    assert client.get(reverse("reason-add", args=[salt.pk])).status_code == 404
    assert client.get(reverse("reason-add", args=[987_654_321])).status_code == 404


def test_a_strength_is_turned_into_per_cent_by_weight(listed):
    weak = listed("Formaldehyde", "50-00-0", 10, "g/L", measure="mass", density=1)
    assert strengths_of(weak) == (("50-00-0", pytest.approx(1.0)),)


def test_the_same_queries_for_few_and_many(client, head, listed, count_queries):
    client.force_login(head)
    listed("Picric acid", "88-89-1")
    few = count_queries(client, reverse("restricted-list"))
    for name, cas in (("A", "7778-50-9"), ("B", "94-36-0"), ("C", "50-00-0")):
        listed(name, cas)
    assert count_queries(client, reverse("restricted-list")) == few
