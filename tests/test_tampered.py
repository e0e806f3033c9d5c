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
HIDDEN = [None, "", "x", "-1", "0", "1.5", "99999", "9" * 40, "\0", SCRIPT, ["1", "x"]]
CHOSEN = [None, "x", "9" * 40, "\0"]
LENGTHS = ["-1", "0", "1", "1000000000", "9" * 40, "x", "", "1.5", "\0", SCRIPT]


def kinds(names: list[str]) -> list[str]:
    """One name of each kind: the rows of a formset are read alike."""
    found = {re.sub(r"\d+", "N", name): name for name in reversed(names)}
    return sorted(set(found.values()) - {"csrfmiddlewaretoken"})


def answers_of(client, url: str, form: Form):
    """What comes of each tampered field, each written to nothing."""
    send = client.post if form.method == "post" else client.get
    tampered = [(name, value) for name in kinds(form.hidden) for value in HIDDEN]
    tampered += [(name, value) for name in kinds(form.chosen) for value in CHOSEN]
    for name, value in tampered:
        data = {**form.data, name: value}
        if value is None:
            del data[name]
        with transaction.atomic():
            try:
                answer = send(urljoin(url, form.action), data)
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
            if kind in seen:
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
    if page.status_code != 200 or "html" not in page["Content-Type"]:
        return
    prefixes = {"", *re.findall(r"[?;&]([\w-]+-)(?:page|sort)=", page.content.decode())}
    for word in ("per_page", "page"):
        for value in LENGTHS:
            answer = client.get(url, {f"{prefix}{word}": value for prefix in prefixes})
            assert answer.status_code == 200, (word, value)
            rows = answer.content.decode().count("<tr")
            assert rows <= 300, f"{rows} rows for {word}={value}"
