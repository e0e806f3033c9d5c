"""Each role signs in and does its main task to the end, paper included."""

import datetime
import io
import re

import pytest
from django.utils import timezone
from playwright.sync_api import expect
from pypdf import PdfReader

from stockroom.people.roles import HEAD, TEACHER, TECHNICIAN

pytestmark = pytest.mark.browser


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def test_signed_out_sees_the_sign_in_page_only(visitor):
    page = visitor.page
    for path in ("/", "/reagents/", "/prep/", "/reorder/"):
        visitor.open(path)
        expect(page).to_have_url(re.compile("/sign-in/"))
        expect(page.get_by_role("button")).to_have_count(1)
        assert page.locator("a:not(.skip)").count() == 0
    page.get_by_label("Username").fill("lindqvist")
    page.get_by_label("Password").fill("not this one")
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("alert")).to_contain_text("do not go together")


def test_teacher_finds_and_books_a_demonstration(visitor):
    page = visitor.page
    visitor.sign_in(TEACHER)
    page.get_by_label("Find a demonstration").fill("candles")
    page.get_by_role("button", name="Find").click()
    page.get_by_role("link", name="Pouring a gas to put out a row of candles", exact=True).click()
    page.get_by_role("link", name="Book it").click()

    # The check comes without a reload: what a script left on the page is still there afterwards.
    page.evaluate("window.sameAsBefore = true")
    on = timezone.localdate() + datetime.timedelta(3)
    page.get_by_label(re.compile("^Date")).fill(on.isoformat())
    check = page.locator("#check")
    expect(check).to_contain_text("Cannot be ready")
    expect(check).to_contain_text("vinegar")
    cure = check.get_by_role("listitem").filter(has_text="citric acid 1 mol/L instead of")
    cure.get_by_role("button").click()
    expect(check.locator(".state").first).to_have_text(re.compile("^Ready$"))
    expect(page.get_by_label("For vinegar")).to_have_value(re.compile(r"\d+"))
    assert page.evaluate("window.sameAsBefore") is True

    page.get_by_label("Period").select_option(label="Period 6")
    page.get_by_label("Room").select_option(label="Lecture hall")
    page.get_by_label(re.compile("^Class")).fill("Year 8 Z")
    page.get_by_role("button", name="Book it").click()
    expect(page.locator(".messages")).to_contain_text("is booked. Ready")
    expect(page.get_by_role("main")).to_contain_text("citric acid 1 mol/L")

    printed = text_of(visitor.pdf(page.get_by_role("link", name="Print the safety reminder")))
    assert "Pouring a gas to put out a row of candles" in printed
    assert "citric acid" in printed


def test_technician_makes_up_a_solution_and_prints_its_label(visitor):
    page = visitor.page
    visitor.sign_in(TECHNICIAN)
    page.get_by_role("link", name="The week", exact=True).click()
    card = page.locator("li.card").filter(has=page.get_by_role("link", name="Make it up")).first
    reagent = card.get_by_role("heading").get_by_role("link").inner_text()
    card.get_by_role("link", name="Make it up").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(f"Make up {reagent}")
    page.get_by_label("Into which place").select_option(index=1)
    page.get_by_role("button", name="Record the batch").click()
    expect(page.locator(".messages")).to_contain_text("Made up:")
    code = re.search(r"C-\d{6}", page.get_by_role("heading", level=1).inner_text()).group()
    label = text_of(visitor.pdf(page.get_by_role("link", name="Print its label")))
    assert code in label
    assert reagent.split()[0] in label


def test_technician_records_what_a_class_used(visitor):
    page = visitor.page
    visitor.sign_in(TECHNICIAN)
    visitor.open("/prep/")
    row = page.locator("section.card").filter(has_text="Evening class")
    row.get_by_role("link", name="Record what was used").click()
    page.get_by_label("Note").fill("Went as planned.")
    page.get_by_role("button", name="Record it").click()
    expect(page.locator(".messages")).to_contain_text("Recorded.")
    # The next act follows at once: what is left goes into a container that may take it.
    expect(page.get_by_role("heading", level=1)).to_contain_text("Put away what is left")
    page.locator("[name=where]:enabled").first.check()
    page.get_by_label("Reason for overriding the check").fill("Measured and seen.")
    page.get_by_role("button", name="Save").click()
    expect(page.locator(".messages")).to_contain_text("Saved.")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Done")
    expect(page.get_by_role("heading", name="What was used")).to_be_visible()
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"\d mL into "))


def test_technician_receives_a_delivery(visitor):
    page = visitor.page
    visitor.sign_in(TECHNICIAN)
    card = page.locator("li.card").filter(has=page.get_by_role("heading", name="Put away"))
    card.get_by_role("link", name=re.compile("Order")).first.click()
    page.get_by_role("link", name="Receive", exact=True).first.click()
    page.get_by_label("Stands in").select_option(index=1)
    page.get_by_label("Lot").fill("T-5521")
    page.get_by_role("button", name="Put on the shelf").click()
    status = page.locator(".messages")
    expect(status).to_contain_text("Received into C-")
    code = re.search(r"C-\d{6}", status.inner_text()).group()
    visitor.open(f"/containers/?q={code}")
    expect(page.locator("tbody tr").filter(has_text=code)).to_have_count(1)


def test_technician_discards_what_is_out_of_date(visitor):
    page = visitor.page
    visitor.sign_in(TECHNICIAN)
    visitor.open("/outlook/")
    row = page.locator("tbody tr").filter(has_text="lemon juice").first
    row.get_by_role("link", name=re.compile("C-")).click()
    page.evaluate("window.sameAsBefore = true")
    page.get_by_role("link", name="Discard").click()
    page.locator("#act").get_by_label("Why", exact=True).fill("expired")
    assert page.evaluate("window.sameAsBefore") is True
    page.get_by_role("button", name="Discard it").click()
    expect(page.locator(".messages")).to_contain_text("now holds 0 mL")
    expect(page.get_by_role("main")).to_contain_text("Gone")


def test_head_draws_up_approves_and_orders(visitor):
    page = visitor.page
    visitor.sign_in(HEAD)
    expect(page.get_by_role("heading", name="Cost of this term")).to_be_visible()
    page.get_by_role("main").get_by_role("link", name="What to order").click()
    printed = text_of(visitor.pdf(page.get_by_role("link", name="Print the reorder list")))
    assert "Reorder list" in printed and "Osier Lane" in printed
    # Only one pack of one thing, and four of it instead of what was proposed.
    packs = page.locator("table input")
    for place in range(packs.count()):
        packs.nth(place).fill("0")
    packs.first.fill("4")
    page.get_by_role("button", name="Draw up orders").click()
    expect(page.locator(".messages")).to_contain_text("Drawn up:")
    expect(page.locator("tbody tr")).to_have_count(1)
    expect(page.locator("tbody tr td.number").nth(1)).to_have_text("4")
    page.get_by_role("button", name=re.compile("^Approve")).click()
    expect(page.locator(".messages")).to_contain_text("approved")
    page.get_by_role("button", name="Mark as ordered").click()
    expect(page.locator(".messages")).to_contain_text("ordered, expected")


def test_head_adds_a_person_who_can_sign_in(visitor):
    page = visitor.page
    visitor.sign_in(HEAD)
    visitor.open("/people/")
    page.get_by_role("link", name="Add a person").click()
    page.get_by_label("Username").fill("okafor")
    page.get_by_label("First name").fill("Ines")
    page.get_by_label("Last name").fill("Okafor")
    page.get_by_label("Teacher").check()
    page.get_by_label(re.compile("^Password$")).fill("seven-grey-herons")
    page.get_by_label("Password confirmation").fill("seven-grey-herons")
    page.get_by_role("button", name="Add the person").click()
    expect(page.locator(".messages")).to_contain_text("okafor may sign in now")
    page.get_by_role("button", name="Sign out").click()
    page.get_by_label("Username").fill("okafor")
    page.get_by_label("Password").fill("seven-grey-herons")
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", name="Can I show this, and what must be ready?")).to_be_visible()
