"""The Content-Security-Policy in a real browser: it stops what stands in a page, and nothing of ours.

Every other browser test fails too when the browser stops anything: see `Visitor`.
"""

import pytest
from django.contrib.auth import get_user_model

from stockroom.inventory.models import Reagent
from stockroom.people.roles import TECHNICIAN

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(
    "markup",
    [
        "<p style='color: red'>x</p>",
        "<img src=x onerror='document.title = 1'>",
        "<style>p { color: red }</style>",
    ],
)
def test_what_stands_in_a_page_is_stopped_and_told(visitor, markup):
    visitor.open("/")
    visitor.page.evaluate("markup => { document.querySelector('main').innerHTML += markup }", markup)
    visitor.page.wait_for_timeout(300)
    told = [row for row in visitor.went_wrong if row.startswith("stopped by the policy")]
    assert told
    assert visitor.page.title() != "1"
    visitor.went_wrong.clear()


def test_a_drawing_takes_the_colours_of_the_page(visitor):
    visitor.sign_in(TECHNICIAN)
    visitor.open(f"/reagents/{Reagent.objects.first().pk}/outlook/")
    drawn, meant = visitor.page.evaluate(
        """() => {
            const line = document.querySelector("svg.chart path");
            const probe = document.createElement("i");
            document.body.append(probe);
            probe.style.color = "var(--line)";
            return [getComputedStyle(line).stroke, getComputedStyle(probe).color];
        }"""
    )
    assert drawn == meant != "none"


def test_the_repairs_work_under_it(visitor):
    get_user_model().objects.create_superuser("repairs", password="a-long-phrase-7")
    page = visitor.page
    visitor.open("/admin/")
    page.get_by_label("Username").fill("repairs")
    page.get_by_label("Password").fill("a-long-phrase-7")
    page.locator("main button, #content button, input[type=submit]").first.click()
    page.wait_for_url(visitor.site + "/admin/")
    for path in (
        "/admin/",
        "/admin/stockroom/reagent/",
        f"/admin/stockroom/reagent/{Reagent.objects.first().pk}/",
    ):
        visitor.open(path)
        assert page.locator("#content").is_visible()
    visitor.open("/admin/stockroom/movement/")
    assert page.locator("#changelist").is_visible()
