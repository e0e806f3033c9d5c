"""Every address of the app on the invented school: who may open it, and that nothing one can send breaks it.

A new address must be added to PAGES with those who may open it: a test says so.
"""

import re
from collections.abc import Iterator

import pytest
from django.apps import apps
from django.contrib.admin.models import LogEntry
from django.contrib.auth import get_user_model
from django.db.models import Model
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver
from django.utils import timezone

from demos import models as demos
from stockroom import models as stock
from stockroom.hazards import restricted
from stockroom.inspection import annual_walk
from stockroom.people.roles import HEAD, TEACHER, TECHNICIAN

EVERYONE = (HEAD, TEACHER, TECHNICIAN)
KEEPERS, HANDS, WRITERS = (HEAD, TECHNICIAN), (TECHNICIAN,), (TEACHER, TECHNICIAN)
LEADS, TEACHES = (HEAD,), (TEACHER,)

#: name of an address -> the roles that may open it
PAGES = {
    "home": EVERYONE,
    "password-change": EVERYONE,
    # chemicals, reagents, hazards
    "chemical-list": EVERYONE,
    "chemical-add": KEEPERS,
    "chemical-detail": EVERYONE,
    "chemical-edit": KEEPERS,
    "chemical-retire": KEEPERS,
    "reagent-list": EVERYONE,
    "reagent-add": KEEPERS,
    "reagent-suggestions": KEEPERS,
    "reagent-detail": EVERYONE,
    "reagent-edit": KEEPERS,
    "reagent-retire": KEEPERS,
    "reagent-classification": EVERYONE,
    "reagent-mixing": EVERYONE,
    "reagent-hazards": KEEPERS,
    "reagent-check": KEEPERS,
    "sheet-add": KEEPERS,
    "sheet-edit": KEEPERS,
    "sheet-file": EVERYONE,
    "reagent-summary": EVERYONE,
    "sheet-list": EVERYONE,
    "sheet-list-print": EVERYONE,
    # containers
    "receive-places": HANDS,
    "container-test": HANDS,
    "container-list": EVERYONE,
    "container-receive": HANDS,
    "container-detail": EVERYONE,
    "container-edit": HANDS,
    "container-label": EVERYONE,
    "container-act draw": HANDS,
    "container-act give-back": HANDS,
    "container-act move": HANDS,
    "container-act correct": HANDS,
    "container-act discard": HANDS,
    "container-act quarantine": KEEPERS,
    "container-act release": KEEPERS,
    "movement-reverse": HANDS,
    "labels": EVERYONE,
    # places, suppliers, preparations
    "location-list": EVERYONE,
    "location-add": KEEPERS,
    "location-detail": EVERYONE,
    "location-edit": KEEPERS,
    "location-retire": KEEPERS,
    "supplier-list": EVERYONE,
    "supplier-add": KEEPERS,
    "supplier-detail": EVERYONE,
    "supplier-edit": KEEPERS,
    "supplier-retire": KEEPERS,
    "offer-add": KEEPERS,
    "offer-edit": KEEPERS,
    "offer-retire": KEEPERS,
    "preparation-list": EVERYONE,
    "preparation-add": KEEPERS,
    "preparation-detail": EVERYONE,
    "preparation-edit": KEEPERS,
    "preparation-retire": KEEPERS,
    "preparation-make-up": HANDS,
    "batch-detail": EVERYONE,
    # what runs short, orders, money
    "outlook": EVERYONE,
    "reagent-outlook": EVERYONE,
    "reorder": KEEPERS,
    "reorder-sheet": KEEPERS,
    "order-list": KEEPERS,
    "order-detail": KEEPERS,
    "order-approve": LEADS,
    "order-cancel": LEADS,
    "order-ordered": LEADS,
    "order-line-add": LEADS,
    "order-line-edit": LEADS,
    "order-line-remove": LEADS,
    "order-line-receive": HANDS,
    "budget-list": LEADS,
    "budget-add": LEADS,
    "budget-edit": LEADS,
    # counts and waste
    "count-list": KEEPERS,
    "count-add": HANDS,
    "count-detail": KEEPERS,
    "count-close": HANDS,
    "count-abandon": HANDS,
    "count-sheet": KEEPERS,
    "count-line": HANDS,
    "waste-list": EVERYONE,
    "waste-add": HANDS,
    "waste-months": EVERYONE,
    "waste-limits": EVERYONE,
    "waste-limit-edit sewer_ph_high": LEADS,
    "waste-limit-lift sewer_ph_high": LEADS,
    "disposal-sheet": EVERYONE,
    "waste-detail": EVERYONE,
    "waste-put": HANDS,
    "waste-strike": HANDS,
    "waste-close": HANDS,
    "waste-collected": HANDS,
    "waste-label": EVERYONE,
    **{f"bench {tool}": HANDS for tool in ("dilute", "dissolve", "convert", "neutralise", "mix")},
    # what must not stand together, age or be kept
    "conflict-list": EVERYONE,
    "move-plan": EVERYONE,
    "move-plan-sheet": EVERYONE,
    "ageing": EVERYONE,
    "limit-list": EVERYONE,
    "limit-add": LEADS,
    "limit-edit": LEADS,
    "limit-retire": LEADS,
    "restricted-list": KEEPERS,
    "reason-add": LEADS,
    "demos:vapour": EVERYONE,
    "drain-list": EVERYONE,
    "drain-add": LEADS,
    "drain-end": LEADS,
    "annual-list": KEEPERS,
    "annual-add": LEADS,
    "annual-detail": KEEPERS,
    "annual-sign": LEADS,
    "annual-abandon": LEADS,
    "annual-sheet": KEEPERS,
    "annual-walk": KEEPERS,
    # the department
    "review": LEADS,
    "review-sheet": LEADS,
    "department-edit": LEADS,
    "person-list": LEADS,
    "person-add": LEADS,
    "person-edit": LEADS,
    "person-password": LEADS,
    "person-active": LEADS,
    "activity": LEADS,
    "activity-export csv": LEADS,
    "activity-export xlsx": LEADS,
    # demonstrations and bookings
    "demos:demonstration-outcome": EVERYONE,
    "demos:demonstration-outcome-sheet": EVERYONE,
    "demos:demonstration-amounts": WRITERS,
    "demos:demonstration-balance": WRITERS,
    "demos:demonstration-instead": EVERYONE,
    "demos:booking-outcome": EVERYONE,
    "demos:booking-outcome-sheet": EVERYONE,
    "demos:booking-instead": EVERYONE,
    "demos:calendar-week": EVERYONE,
    "demos:calendar-month": EVERYONE,
    "demos:timetable": KEEPERS,
    "demos:room-add": KEEPERS,
    "demos:room-edit": KEEPERS,
    "demos:room-retire": KEEPERS,
    "demos:period-add": KEEPERS,
    "demos:period-edit": KEEPERS,
    "demos:period-retire": KEEPERS,
    "demos:demonstration-list": EVERYONE,
    "demos:demonstration-detail": EVERYONE,
    "demos:demonstration-add": WRITERS,
    "demos:demonstration-edit": WRITERS,
    "demos:demonstration-retire": WRITERS,
    "demos:booking-list": EVERYONE,
    "demos:booking-add": TEACHES,
    "demos:booking-check": TEACHES,
    "demos:booking-detail": EVERYONE,
    "demos:booking-edit": TEACHES,
    "demos:booking-check-change": TEACHES,
    "demos:booking-copy": TEACHES,
    "demos:booking-cancel": TEACHES,
    "demos:booking-how-it-went": TEACHES,
    "demos:booking-reminder": EVERYONE,
    "demos:booking-sheet": EVERYONE,
    "demos:booking-run": HANDS,
    "demos:booking-left": HANDS,
    "demos:prep": EVERYONE,
    "demos:prep-sheet": EVERYONE,
}
#: open without signing in, or answering each in its own way
APART = {"sign-in", "sign-out", "demos:calendar-feed", "health"}
#: word before the number in an address -> what the number in it is of
NOUNS: dict[str, type[Model]] = {
    "limits": stock.DepartmentLimit,
    "drain": stock.DrainPermission,
    "annual-reviews": stock.AnnualReview,
    "shelf-walks": stock.ShelfWalk,
    "people": get_user_model(),
    "rooms": demos.Room,
    "periods": demos.Period,
    "chemicals": stock.Chemical,
    "reagents": stock.Reagent,
    "sheets": stock.SafetyDataSheet,
    "containers": stock.Container,
    "movements": stock.Movement,
    "places": stock.Location,
    "suppliers": stock.Supplier,
    "offers": stock.Offer,
    "preparations": stock.Preparation,
    "batches": stock.Batch,
    "orders": stock.Order,
    "order-lines": stock.OrderLine,
    "budget": stock.Budget,
    "counts": stock.StockCount,
    "count-lines": stock.CountLine,
    "waste": stock.WasteContainer,
    "entries": stock.WasteEntry,
    "demonstrations": demos.Demonstration,
    "bookings": demos.Booking,
}
SIGN_IN = {HEAD: "adeyemi", TEACHER: "lindqvist", TECHNICIAN: "fenwick"}
#: pages of a thing in a state that the school may have none in: a sheet with a file, a delivery on its way
MAY_BE_CLOSED = {"sheet-file", "order-line-receive"}
UNKNOWN = 99_999
#: how many of each noun are opened, spread over all there are
SPREAD = 2
SCRIPT = "<script>alert(7)</script>"
HOSTILE = ["x", "-1", "0", "9" * 40, "\0", SCRIPT, "' OR 1=1 --", "é%00../../etc/passwd" + "a" * 4000]

pytestmark = pytest.mark.django_db


def addresses(patterns=None, before: str = "", namespace: str = "") -> Iterator[tuple[str, str]]:
    """(name, route) of every address but the admin's, which is Django's own."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver) and pattern.app_name != "admin":
            inner = namespace + (f"{pattern.namespace}:" if pattern.namespace else "")
            yield from addresses(pattern.url_patterns, route, inner)
        elif isinstance(pattern, URLPattern):
            yield namespace + pattern.name, route


ROUTES = dict(addresses())


def spread(model: type[Model], role: str) -> list[Model]:
    rows = model.objects.order_by("pk")
    if model is demos.Booking and role == TEACHER:
        rows = rows.filter(teacher__username=SIGN_IN[TEACHER])
    rows = list(rows)
    return rows[:: max(1, len(rows) // SPREAD)]


def urls(name: str, role: str) -> list[str]:
    """Addresses of one page: with numbers of the school's own, and with one that nothing has."""
    name, *word = name.split()
    route = "/" + re.sub("<slug:\\w+>", "".join(word), ROUTES[name])
    if "<int:pk>" not in route:
        assert "<" not in route, f"{route}: say in `urls` what stands in its place."
        return [route]
    model = NOUNS[route.split("<int:pk>")[0].split("/")[-2]]
    rows = [restricted.in_stock()[0].reagent] if name == "reason-add" else spread(model, role)
    numbers = [row.pk for row in rows] + [UNKNOWN]
    return [route.replace("<int:pk>", str(number)) for number in numbers]


@pytest.fixture(scope="module")
def clients(school) -> dict[str, Client]:
    """One for each role; and one of each thing that the school has none of."""
    clients, today = {}, timezone.localdate()
    head = get_user_model().objects.get(username=SIGN_IN[HEAD])
    annual_walk.start(who=head, on=today)
    stock.DepartmentLimit.objects.create(
        name="Flammables in a room", most=1_000_000, hazards=["flam_liq_2"], set_by=head, set_on=today
    )
    stock.DrainPermission.objects.create(
        authority="Water board",
        reference="L-1",
        dated_on=today,
        valid_until=today,
        covers="neutral salts",
        recorded_by=head,
        recorded_on=today,
    )
    for role, username in SIGN_IN.items():
        clients[role] = Client()
        clients[role].force_login(get_user_model().objects.get(username=username))
    return clients


def written() -> dict[str, int]:
    models = [*apps.get_app_config("stockroom").get_models(), *apps.get_app_config("demos").get_models()]
    return {model.__name__: model.objects.count() for model in [*models, LogEntry]}


def in_own_look(answer) -> bool:
    return 'id="main"' in answer.content.decode() and "stockroom/app.css" in answer.content.decode()


def test_every_address_says_who_may_open_it():
    listed = {name.split()[0] for name in PAGES} | APART
    assert set(ROUTES) - listed == set(), "Add these to PAGES in tests/test_pages.py."
    assert listed - set(ROUTES) == set(), "These are in PAGES and in no urls.py."


def is_unknown(url: str) -> bool:
    return str(UNKNOWN) in url.split("/")


@pytest.mark.parametrize("name", PAGES)
def test_opens_for_those_who_may(clients, name):
    for role in PAGES[name]:
        answers = {url: clients[role].get(url) for url in urls(name, role)}
        for url, answer in answers.items():
            expected = (404, 405) if is_unknown(url) else (200, 302, 404, 405)
            assert answer.status_code in expected, (role, url)
            assert answer.status_code != 404 or in_own_look(answer), (role, url)
        real = {answer.status_code for url, answer in answers.items() if not is_unknown(url)}
        assert real & {200, 302} or real == {405} or name in MAY_BE_CLOSED, f"{role} can open none: {real}"


@pytest.mark.parametrize("name", [name for name, roles in PAGES.items() if roles != EVERYONE])
def test_opens_for_nobody_else(clients, name):
    for role in set(EVERYONE) - set(PAGES[name]):
        for url in urls(name, role):
            answer = clients[role].get(url)
            assert answer.status_code in (403, 405), (role, url)
            assert answer.status_code != 403 or in_own_look(answer), (role, url)


@pytest.mark.parametrize("name", PAGES)
def test_a_post_from_another_role_or_another_site_writes_nothing(clients, name):
    before = written()
    for role, client in clients.items():
        url = urls(name, role)[0]
        if role not in PAGES[name]:
            answer = client.post(url, {"name": "x", "why": "x", "amount": "1 g"})
            assert answer.status_code in (403, 405), (role, url)
        else:
            strict = Client(enforce_csrf_checks=True)
            strict.cookies = client.cookies
            answer = strict.post(url, {"name": "x", "why": "x", "amount": "1 g"})
            assert answer.status_code == 403, (role, url)
            assert in_own_look(answer), (role, url)
    assert written() == before


@pytest.mark.parametrize("name", PAGES)
def test_signed_out_is_asked_to_sign_in(school, client, name):
    for url in urls(name, TECHNICIAN)[-2:]:
        for answer in (client.get(url), client.post(url)):
            assert answer.status_code == 302 and answer.url.startswith("/sign-in/"), url


#: what a page may load and run: files of this server, nothing that stands in the page itself
POLICY = {
    "default-src 'self'",
    "object-src 'none'",
    "base-uri 'none'",
    "form-action 'self'",
    "frame-ancestors 'none'",
}


def policy_of(answer) -> set[str]:
    return {part.strip() for part in answer["Content-Security-Policy"].split(";")}


def is_guarded(answer) -> bool:
    """A PDF is drawn by the browser's own viewer, which needs styles; it may run nothing at all."""
    if answer["Content-Type"] == "application/pdf":
        policy = policy_of(answer)
        return {"default-src 'none'", "frame-ancestors 'none'"} <= policy and "script-src" not in str(policy)
    return policy_of(answer) == POLICY and answer["X-Frame-Options"] == "DENY"


@pytest.mark.parametrize("name", PAGES)
def test_nothing_in_a_page_runs_but_files_of_this_server(clients, name):
    for role, client in clients.items():
        for url in urls(name, role)[-2:]:
            assert is_guarded(client.get(url)), (role, url)


@pytest.mark.parametrize("url", ["/sign-in/", "/nothing/", "/admin/login/"])
def test_nothing_runs_in_what_strangers_see(school, client, url):
    assert is_guarded(client.get(url))


def test_nothing_runs_in_a_drawing_opened_by_itself(school, client):
    assert policy_of(client.get("/static/stockroom/icon.svg")) == POLICY


def test_nothing_runs_in_the_page_of_a_fault(school, monkeypatch, clients):
    def broken(*args, **kwargs):
        raise RuntimeError("as if a page were broken")

    monkeypatch.setattr("stockroom.inspection.views.review.review.findings", broken)
    client = clients[HEAD]
    monkeypatch.setattr(client, "raise_request_exception", False)
    answer = client.get("/review/")
    assert answer.status_code == 500 and is_guarded(answer)
    assert "<style" not in answer.content.decode()


def asked_by(page: str) -> list[str]:
    """Names of the fields and query words that a page speaks of."""
    names = set(re.findall(r'name="([\w-]+)"', page)) | set(re.findall(r"[?;&]([\w-]+)=", page))
    return sorted((names | {"page", "sort", "q", "on", "until"}) - {"csrfmiddlewaretoken", "viewport"})[:20]


@pytest.mark.parametrize("name", [name for name, roles in PAGES.items() if roles])
def test_hostile_words_in_the_address_break_nothing(clients, name):
    role = PAGES[name][-1]
    client = clients[role]
    url = urls(name, role)[0]
    answer = client.get(url)
    if answer.status_code == 405:
        return
    words = asked_by(answer.content.decode(errors="replace"))
    # Each word gets another value each time; a sheet or a page of one thing reads few words, a list many.
    reads_few = "pk" in ROUTES[name.split()[0]] or answer["Content-Type"] == "application/pdf"
    for turn in range(len(HOSTILE))[:: 4 if reads_few else 1]:
        query = {word: HOSTILE[(turn + place) % len(HOSTILE)] for place, word in enumerate(words)}
        answer = client.get(url, query)
        assert answer.status_code in (200, 302, 400, 404), (url, query)
        assert SCRIPT not in answer.content.decode(errors="replace"), (url, query)


def test_the_sign_in_page_takes_hostile_words(school, client):
    for value in HOSTILE:
        for answer in (
            client.get("/sign-in/", {"next": value, "username": value}),
            client.post("/sign-in/", {"username": value, "password": value, "next": value}),
        ):
            assert answer.status_code == 200
            assert SCRIPT not in answer.content.decode()


def test_sign_in_goes_to_no_other_site(school, client):
    answer = client.post(
        "/sign-in/",
        {"username": "fenwick", "password": school["fenwick"], "next": "https://elsewhere.example/"},
    )
    assert answer.status_code == 302 and answer.url == "/"


@pytest.mark.parametrize(
    "url", ["/nothing/", "/containers/x/", "/%00/", "/" + "a" * 3000, "/reagents/" + "9" * 40 + "/"]
)
def test_unknown_addresses_are_not_found_in_the_own_look(clients, url):
    for client in clients.values():
        answer = client.get(url)
        assert answer.status_code == 404 and in_own_look(answer)


def test_the_admin_is_closed_to_all_but_staff(clients):
    for client in clients.values():
        answer = client.get("/admin/")
        assert answer.status_code in (302, 403)


@pytest.mark.parametrize("token", ["x", "a:b:c", "%00", "9" * 500, "..", SCRIPT])
def test_a_calendar_feed_opens_by_its_own_token_only(school, client, token):
    answer = client.get(f"/calendar/feed/{token}.ics")
    assert answer.status_code in (302, 404)
    assert SCRIPT not in answer.content.decode()
