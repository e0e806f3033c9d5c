"""The main pages of each role in a real browser: nobody is shut out, nothing spills over, little is sent.

Accessibility: axe-core's rules for WCAG 2.0, 2.1 and 2.2, levels A and AA (W3C Recommendation, 12 Dec 2024).
They find what a machine can find. 390 px is the width of a common phone; WCAG 1.4.10 asks for 320 px at most.
"""

import pytest
from axe_core_python.sync_playwright import Axe

from demos.models import Booking, Demonstration
from stockroom.inventory.models import Container, Preparation, Reagent, Supplier
from stockroom.people.roles import HEAD, TEACHER, TECHNICIAN
from stockroom.purchasing.models import Order
from tests.browser.conftest import DESKTOP, PHONE

pytestmark = pytest.mark.browser

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa"]
FIRST_SCREEN_BYTES = 100_000


def beyond_the_menu(role: str) -> list[str]:
    """Pages of a role that no menu leads to: of one thing, and forms."""
    container = Container.objects.filter(state="in_use", balance__gt=0).first()
    booking = Booking.objects.filter(state="planned").first()
    own = Booking.objects.filter(state="planned", teacher__username="lindqvist").last()
    order = Order.objects.filter(state="ordered").first()
    preparation = Preparation.objects.first()
    demonstration = Demonstration.objects.first()
    reagent = Reagent.objects.get(name__startswith="sulfuric acid 96")
    return {
        HEAD: [
            reagent.get_absolute_url(),
            f"/reagents/{reagent.pk}/edit/",
            f"/reagents/{reagent.pk}/hazards/",
            order.get_absolute_url(),
            Supplier.objects.first().get_absolute_url(),
            "/people/add/",
            "/password/",
            "/nothing-here/",
        ],
        TEACHER: [
            demonstration.get_absolute_url(),
            f"/demonstrations/{demonstration.pk}/change/",
            f"/bookings/add/?demonstration={demonstration.pk}",
            own.get_absolute_url(),
            f"/bookings/{own.pk}/copy/",
            "/reorder/",
        ],
        TECHNICIAN: [
            "/prep/?days=7",
            container.get_absolute_url(),
            f"/containers/{container.pk}/draw/",
            "/containers/receive/",
            preparation.get_absolute_url(),
            f"/preparations/{preparation.pk}/make-up/",
            f"/reagents/{reagent.pk}/outlook/",
            f"/places/{container.location_id}/",
            booking.get_absolute_url(),
        ],
    }[role]


def violations(page) -> list[str]:
    found = Axe().run(page, options={"runOnly": RULES, "resultTypes": ["violations"]})
    return [
        f"{row['id']}: {row['help']}: {node['html'][:160]} {node['failureSummary'][:300]}"
        for row in found["violations"]
        for node in row["nodes"][:3]
    ]


def spills(page) -> list[str]:
    """What sticks out to the right of the window, where the page can be pushed sideways at all."""
    return page.evaluate(
        """() => document.documentElement.scrollWidth <= window.innerWidth ? [] :
        [...document.querySelectorAll("body *")]
            .filter(element => element.getBoundingClientRect().right > window.innerWidth + 1
                && !element.closest(".scroll, .drawing, details:not([open]) > :not(summary)"))
            .map(element => element.outerHTML.slice(0, 120)).slice(0, 5)
            .concat(`page is ${document.documentElement.scrollWidth} px wide`)"""
    )


@pytest.mark.parametrize("role", [HEAD, TEACHER, TECHNICIAN])
def test_pages_shut_nobody_out_and_fit_a_phone(visitor, role):
    page = visitor.page
    visitor.sign_in(role)
    links = page.locator("header nav a").evaluate_all("links => links.map(a => a.getAttribute('href'))")
    problems = []
    for path in [*dict.fromkeys(links), *beyond_the_menu(role)]:
        # Colors follow the scheme and sizes the window, so that two of the four views show every rule.
        page.set_viewport_size(DESKTOP)
        page.emulate_media(color_scheme="light")
        visitor.open(path)
        found = violations(page)
        page.set_viewport_size(PHONE)
        page.emulate_media(color_scheme="dark")
        found += violations(page) + spills(page)
        problems += [f"{path}: {row}" for row in found]
    # A page that is missing or another role's is looked at too.
    visitor.went_wrong[:] = [
        row for row in visitor.went_wrong if not row.endswith(("/nothing-here/", "/reorder/"))
    ]
    assert not problems, "\n".join(problems)


def test_sign_in_page_shuts_nobody_out_and_fits_a_phone(visitor):
    page = visitor.page
    visitor.open("/")
    assert violations(page) == []
    page.set_viewport_size(PHONE)
    page.emulate_media(color_scheme="dark")
    assert violations(page) + spills(page) == []


@pytest.mark.parametrize("role", [None, HEAD, TEACHER, TECHNICIAN], ids=str)
def test_first_screen_is_light(visitor, role):
    """All that a first visit loads, as it is before any compression."""
    if role:
        visitor.sign_in(role)
    urls = []
    visitor.context.on("response", lambda answer: urls.append(answer.url))
    visitor.open("/")
    visitor.page.wait_for_load_state("networkidle")
    sizes = {url: len(visitor.context.request.get(url).body()) for url in urls}
    assert any(url.endswith(".css") for url in sizes) and any(url.endswith(".js") for url in sizes)
    assert sum(sizes.values()) < FIRST_SCREEN_BYTES, sizes


def test_menus_open_and_close_by_keyboard(visitor):
    page = visitor.page
    visitor.sign_in(TECHNICIAN)
    summary = page.locator("header summary").first
    summary.focus()
    page.keyboard.press("Enter")
    assert page.locator("header details[open]").count() == 1
    page.keyboard.press("Escape")
    assert page.locator("header details[open]").count() == 0
    assert summary.evaluate("element => element === document.activeElement")
