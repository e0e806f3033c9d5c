"""A real Chromium, and the invented school served to it. Nothing a page does may leave the server or fail."""

import os
import shutil
from dataclasses import dataclass

import pytest
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.utils import timezone
from playwright.sync_api import sync_playwright
from pytest_django.live_server_helper import LiveServer

from demos.models import Booking, Demonstration, Period, Room
from demos.planning import booking as bookings
from demos.sample import school as invented
from stockroom.management.commands.test import BROWSERS
from stockroom.people.roles import HEAD, TEACHER, TECHNICIAN

PEOPLE = {HEAD: "adeyemi", TEACHER: "lindqvist", TECHNICIAN: "fenwick"}
DESKTOP, PHONE = {"width": 1280, "height": 900}, {"width": 390, "height": 844}
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-quic",
    "--no-first-run",
]


@pytest.fixture(scope="session")
def chromium():
    # Playwright keeps an event loop in this thread, and Django would take every query for one inside it.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    program = next(found for found in map(shutil.which, BROWSERS) if found)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=QUIET)
        yield browser
        browser.close()
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


def _class_of_today() -> None:
    """A class shown today, whatever the day of the week: somebody has to record what it used."""
    teacher = get_user_model().objects.get(username=PEOPLE[TEACHER])
    bookings.save(
        Booking(
            demonstration=Demonstration.objects.get(title="A catalyst that comes back"),
            on=timezone.localdate(),
            period=Period.objects.first(),
            room=Room.objects.last(),
            class_name="Evening class",
            teacher=teacher,
        )
    )


@pytest.fixture(scope="module")
def transactional_db(django_db_setup, django_db_blocker, passwords):
    """The invented school for a whole file, written so that the server sees it, and emptied after the file.

    It takes the place of pytest-django's fixture of this name, which empties the database after each test.
    """
    with django_db_blocker.unblock():
        invented.load(timezone.localdate(), passwords)
        _class_of_today()
        try:
            yield
        finally:
            call_command("flush", interactive=False, verbosity=0)


@pytest.fixture(scope="module")
def site(transactional_db):
    """Address of the running app."""
    server = LiveServer("127.0.0.1")
    yield server.url
    server.stop()


@dataclass
class Visitor:
    """A person at a browser. `went_wrong` collects what no page may do."""

    site: str
    passwords: dict[str, str]
    context: object
    page: object
    went_wrong: list[str]

    def watch(self) -> None:
        self.context.on("request", self._request)
        self.context.on("response", self._response)
        self.page.on("pageerror", lambda error: self.went_wrong.append(f"script: {error}"))
        self.page.on("console", self._console)
        # What the Content-Security-Policy stopped: the browser tells the page, and the page tells us.
        self.context.expose_binding("stopped", self._stopped)
        self.context.add_init_script(
            """document.addEventListener("securitypolicyviolation", (event) => window.stopped(
                `${event.effectiveDirective} ${event.blockedURI} ${event.sourceFile}:${event.lineNumber}`))"""
        )

    def _stopped(self, source, told: str) -> None:
        self.went_wrong.append(f"stopped by the policy: {told} on {source['page'].url}")

    def _console(self, message) -> None:
        if "Content Security Policy" in message.text:
            self.went_wrong.append(f"stopped by the policy: {message.text}")

    def _request(self, request) -> None:
        if not request.url.startswith((self.site + "/", "data:", "blob:")):
            self.went_wrong.append(f"a request left the server: {request.url}")

    def _response(self, response) -> None:
        if response.status >= 400:
            self.went_wrong.append(f"{response.status} {response.url}")

    def open(self, path: str) -> None:
        self.page.goto(self.site + path)

    def sign_in(self, role: str) -> None:
        self.open("/")
        self.page.get_by_label("Username").fill(PEOPLE[role])
        self.page.get_by_label("Password").fill(self.passwords[PEOPLE[role]])
        self.page.get_by_role("button", name="Sign in").click()
        self.page.wait_for_url(self.site + "/")

    def pdf(self, link) -> bytes:
        """What the link downloads: it must be a PDF."""
        answer = self.context.request.get(self.site + link.get_attribute("href"))
        assert answer.ok and answer.headers["content-type"] == "application/pdf"
        return answer.body()


@pytest.fixture
def visitor(chromium, site, passwords):
    # Without motion, so that no color is looked at on its way to another.
    context = chromium.new_context(
        viewport=DESKTOP, color_scheme="light", reduced_motion="reduce", locale="en-GB"
    )
    context.set_default_timeout(20_000)
    visitor = Visitor(site, passwords, context, context.new_page(), [])
    visitor.watch()
    yield visitor
    context.close()
    assert visitor.went_wrong == []
