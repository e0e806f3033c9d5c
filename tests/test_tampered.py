"""What nobody types, changed all the same: hidden fields and choices of every form, the length of every list.

A refusal is fine, a fault of the server is not.
"""

import re
from urllib.parse import urljoin

import pytest
from django.db import transaction

from tests.pages import Form, forms_of
from tests.test_pages import PAGES, SCRIPT, clients, urls  # noqa: F401  clients is a fixture

pytestmark = pytest.mark.django_db
#: None: the field is not sent at all
HIDDEN = [None, "", "x", "-1", "0", "99999", "9" * 40, "\0", SCRIPT]
CHOSEN = ["9" * 40]
LENGTHS = ["-1", "0", "9" * 12, "x"]


def kinds(names: list[str]) -> list[str]:
    """One name of each kind: the rows of a formset, and its counts, are read alike."""
    found = {re.sub(r"\d+", "N", name.rsplit("-", 1)[-1]): name for name in reversed(names)}
    return sorted(set(found.values()) - {"csrfmiddlewaretoken"})


def answers_of(client, url: str, form: Form):
    """What comes of each tampered field, each written to nothing."""
    tampered = [(name, value) for name in kinds(form.hidden) for value in HIDDEN]
    tampered += [(name, value) for name in kinds(form.chosen) for value in CHOSEN]
    for name, value in tampered:
        data = {**form.data, name: value}
        if value is None:
            del data[name]
        with transaction.atomic():
            try:
                answer = client.post(urljoin(url, form.action), data)
            except Exception as fault:
                raise AssertionError(f"{url}: {name}={value!r}") from fault
            transaction.set_rollback(True)
        yield name, value, answer


@pytest.mark.parametrize("name", PAGES)
def test_no_field_that_nobody_types_breaks_a_page_when_changed(clients, name):  # noqa: F811
    role = PAGES[name][-1]
    client = clients[role]
    seen = set()
    for url in urls(name, role):
        page = client.get(url)
        if page.status_code != 200 or "html" not in page["Content-Type"]:
            continue
        for form in forms_of(page.content.decode()):
            kind = (re.sub(r"\d+", "N", form.action), *kinds(form.hidden), *kinds(form.chosen))
            # What stands in an address is tampered with in tests/test_pages.py.
            if kind in seen or form.method != "post":
                continue
            seen.add(kind)
            for field, value, answer in answers_of(client, url, form):
                assert answer.status_code in (200, 302, 400, 403, 404, 405, 409), (url, field, value)
                if "html" in answer.get("Content-Type", ""):
                    assert SCRIPT not in answer.content.decode(), (url, field, value)


@pytest.mark.parametrize("name", PAGES)
def test_no_length_of_a_page_breaks_a_list(clients, name):  # noqa: F811
    role = PAGES[name][-1]
    client = clients[role]
    url = urls(name, role)[0]
    page = client.get(url)
    if page.status_code != 200 or b"<table" not in page.content:
        return
    prefixes = {"", *re.findall(r"[?;&]([\w-]+-)(?:page|sort)=", page.content.decode())}
    words = [f"{prefix}{word}" for prefix in prefixes for word in ("per_page", "page")]
    for value in LENGTHS:
        answer = client.get(url, dict.fromkeys(words, value))
        assert answer.status_code == 200, value
        rows = answer.content.decode().count("<tr")
        assert rows <= 300, f"{rows} rows for pages of {value}"
