"""Outlook, reorder list, orders and budget in the browser's eyes."""

import datetime
import io

import pytest
from django.contrib.contenttypes.models import ContentType
from django.urls import reverse
from pypdf import PdfReader

from stockroom.inventory.models import Container, Offer, Reservation
from stockroom.purchasing import reorder
from stockroom.purchasing.models import Budget, Order, OrderLine

pytestmark = pytest.mark.django_db
G = 1_000_000


@pytest.fixture
def salt(make_reagent):
    return make_reagent("Potassium iodide")


@pytest.fixture
def offer(supplier, salt):
    return Offer.objects.create(
        supplier=supplier,
        reagent=salt,
        pack_amount=100 * G,
        price="12.50",
        lead_days=7,
        catalogue_number="K-1",
    )


@pytest.fixture
def reserve(shelf):
    def make(reagent, amount, on, purpose="Iodine clock for 11C"):
        return Reservation.objects.create(
            reagent=reagent,
            amount=amount,
            needed_on=on,
            purpose=purpose,
            belongs_type=ContentType.objects.get_for_model(shelf),
            belongs_id=shelf.pk,
        )

    return make


@pytest.fixture
def short(salt, offer, reserve, today):
    return reserve(salt, 250 * G, today + datetime.timedelta(12))


@pytest.fixture
def order(offer, head, today):
    return reorder.draw_up({offer: (3, None, "short")}, who=head, today=today)[0]


PAGES = [
    ("outlook", (), {"head": 200, "teacher": 200, "technician": 200}),
    ("reorder", (), {"head": 200, "teacher": 403, "technician": 200}),
    ("reorder-sheet", (), {"head": 200, "teacher": 403, "technician": 200}),
    ("order-list", (), {"head": 200, "teacher": 403, "technician": 200}),
    ("budget-list", (), {"head": 200, "teacher": 403, "technician": 403}),
    ("budget-add", (), {"head": 200, "teacher": 403, "technician": 403}),
]


@pytest.mark.parametrize("role", ["head", "teacher", "technician"])
@pytest.mark.parametrize(("name", "args", "expected"), PAGES)
def test_who_may_open_what(client, request, role, name, args, expected):
    client.force_login(request.getfixturevalue(role))
    assert client.get(reverse(name, args=args)).status_code == expected[role]


def test_signed_out_visitors_see_the_sign_in_page_only(client):
    for name, args, _ in PAGES:
        response = client.get(reverse(name, args=args))
        assert response.status_code == 302 and response.url.startswith(reverse("sign-in"))


def test_empty_pages_say_so(client, head):
    client.force_login(head)
    assert b"Nothing runs short" in client.get(reverse("outlook")).content
    assert b"Nothing needs ordering" in client.get(reverse("reorder")).content
    assert b"No budget yet" in client.get(reverse("budget-list")).content
    assert b"No orders yet" in client.get(reverse("order-list")).content


def test_the_outlook_says_what_runs_short_and_what_to_do(client, teacher, short, salt, today):
    client.force_login(teacher)
    page = client.get(reverse("outlook")).content.decode()
    assert "Potassium iodide" in page and "250 g" in page and "Order" in page
    one = client.get(reverse("reagent-outlook", args=[salt.pk])).content.decode()
    assert "<svg" in one and "Short of 250 g" in one and "Iodine clock for 11C" in one


@pytest.mark.parametrize("until", ["yesterday", "2001-01-01", "9999-12-31", "<script>", "=1+1"])
def test_a_bad_day_gets_a_message_and_the_usual_days(client, teacher, salt, until):
    client.force_login(teacher)
    for url in (reverse("outlook"), reverse("reagent-outlook", args=[salt.pk])):
        response = client.get(url, {"until": until})
        assert response.status_code == 200
        assert b"errorlist" in response.content
        assert b'<script>"' not in response.content


def test_unknown_ids_are_404(client, head):
    client.force_login(head)
    for name in ("reagent-outlook", "order-detail", "order-line-edit", "budget-edit"):
        assert client.get(reverse(name, args=[99999])).status_code == 404


def test_the_head_changes_packs_and_draws_up_orders(client, head, short, offer):
    client.force_login(head)
    page = client.get(reverse("reorder")).content.decode()
    assert f'name="offer-{offer.pk}" value="3"' in page
    client.post(reverse("reorder"), {f"offer-{offer.pk}": "4"})
    assert [(line.packs, line.order.state) for line in OrderLine.objects.all()] == [(4, "draft")]


@pytest.mark.parametrize("packs", ["", "-1", "1000000", "many", "<b>2</b>"])
def test_bad_packs_are_refused_and_kept(client, head, short, offer, packs):
    client.force_login(head)
    response = client.post(reverse("reorder"), {f"offer-{offer.pk}": packs})
    assert response.status_code == 200
    assert b"errorlist" in response.content
    assert b"<b>2</b>" not in response.content
    assert not Order.objects.exists()


def test_no_packs_at_all_is_refused(client, head, short, offer):
    client.force_login(head)
    response = client.post(reverse("reorder"), {f"offer-{offer.pk}": "0"})
    assert b"at least one pack" in response.content
    assert not Order.objects.exists()


def test_the_technician_reads_but_does_not_draw_up(client, technician, short, offer):
    client.force_login(technician)
    assert b"Draw up" not in client.get(reverse("reorder")).content
    assert client.post(reverse("reorder"), {f"offer-{offer.pk}": "3"}).status_code == 403
    assert not Order.objects.exists()


def test_the_reorder_sheet_prints_what_the_page_shows(client, head, short, offer):
    client.force_login(head)
    response = client.get(reverse("reorder-sheet"))
    assert response["Content-Type"] == "application/pdf"
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(response.content)).pages)
    assert "Potassium iodide" in text and "K-1" in text and "37.50" in text


def test_approving_is_the_heads(client, technician, head, order):
    client.force_login(technician)
    assert client.post(reverse("order-approve", args=[order.pk])).status_code == 403
    client.force_login(head)
    client.post(reverse("order-approve", args=[order.pk]))
    order.refresh_from_db()
    assert (order.state, order.approved_by) == ("approved", head)


def test_an_order_is_followed_to_the_shelf(client, head, technician, order, shelf, today):
    client.force_login(head)
    client.post(reverse("order-approve", args=[order.pk]))
    days = {"ordered_on": today, "expected_on": today + datetime.timedelta(7)}
    client.post(reverse("order-ordered", args=[order.pk]), days)
    line = order.lines.get()
    assert client.get(reverse("order-line-receive", args=[line.pk])).status_code == 403
    client.force_login(technician)
    url = reverse("order-line-receive", args=[line.pk])
    data = {"packs": 2, "location": shelf.pk, "lot": "L77", "on": today}
    client.post(url, data)
    assert [(c.lot, c.balance) for c in Container.objects.all()] == [("L77", 100 * G)] * 2
    response = client.post(url, data)
    assert b"Only 1 of these packs" in response.content
    assert Container.objects.count() == 2
    client.post(url, {**data, "packs": 1})
    order.refresh_from_db()
    assert order.state == "received"
    assert client.get(url).status_code == 404


@pytest.mark.parametrize(
    "change",
    [
        {"packs": "0"},
        {"packs": "-3"},
        {"packs": "x"},
        {"location": "99999"},
        {"on": "2999-01-01"},
        {"on": ""},
        {"expires_on": "2001-01-01"},
        {"lot": "x" * 200},
    ],
)
def test_a_bad_receipt_writes_nothing(client, technician, head, order, shelf, today, change):
    reorder.approve(order, who=head, today=today)
    reorder.mark_ordered(order, on=today, expected_on=today)
    client.force_login(technician)
    data = {"packs": 1, "location": shelf.pk, "lot": "L1", "on": today, **change}
    response = client.post(reverse("order-line-receive", args=[order.lines.get().pk]), data)
    assert response.status_code == 200 and b"errorlist" in response.content
    assert not Container.objects.exists()
    assert order.lines.get().received_packs == 0


def test_lines_change_only_while_the_order_is_drawn_up(client, head, order, offer, today):
    client.force_login(head)
    line = order.lines.get()
    client.post(reverse("order-line-edit", args=[line.pk]), {"offer": offer.pk, "packs": 5})
    line.refresh_from_db()
    assert line.packs == 5
    reorder.approve(order, who=head, today=today)
    client.post(reverse("order-line-edit", args=[line.pk]), {"offer": offer.pk, "packs": 9})
    client.post(reverse("order-line-remove", args=[line.pk]))
    line.refresh_from_db()
    assert line.packs == 5


def test_a_backwards_budget_is_refused(client, head, today):
    client.force_login(head)
    data = {"name": "Term", "start": today, "end": today - datetime.timedelta(1), "amount": "100"}
    assert b"ends before it starts" in client.post(reverse("budget-add"), data).content
    assert not Budget.objects.exists()


@pytest.mark.parametrize("name", ["outlook", "reorder", "order-list"])
def test_queries_do_not_grow_with_rows(
    client, head, name, make_reagent, supplier, reserve, today, django_assert_max_num_queries
):
    def more(count):
        for number in range(count):
            reagent = make_reagent(f"Salt {count}-{number}")
            offer = Offer.objects.create(supplier=supplier, reagent=reagent, pack_amount=G, price=1)
            reserve(reagent, 5 * G, today + datetime.timedelta(12))
            extra = Offer.objects.create(supplier=supplier, reagent=reagent, pack_amount=2 * G, price=3)
            reorder.draw_up({extra: (1, None, "")}, who=head, today=today)
            assert offer.pk

    client.force_login(head)
    more(2)
    client.get(reverse(name))
    with django_assert_max_num_queries(40) as few:
        client.get(reverse(name))
    more(15)
    with django_assert_max_num_queries(len(few)):
        client.get(reverse(name))
