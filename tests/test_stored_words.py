"""Words that people store are words on every page, never markup: each free text of the school is made to look
like an element, and every page is opened."""

import pytest
from django.apps import apps
from django.db import models
from django.db.models import Value
from django.db.models.functions import Concat, Length

from stockroom.common.append_only import WrittenOnceQuerySet
from tests.test_pages import PAGES, clients, urls  # noqa: F401  clients is a fixture

pytestmark = pytest.mark.django_db
ELEMENT = "<i x>"
#: columns that hold what somebody typed; others hold keys of tables
FREE = {
    "name",
    "title",
    "note",
    "summary",
    "lot",
    "class_name",
    "state_reason",
    "purpose",
    "method",
    "source",
}
FREE |= {
    "first_name",
    "last_name",
    "authority",
    "reference",
    "covers",
    "explanation",
    "clean_up",
    "protection",
}
FREE |= {"disposal", "spill", "school", "email", "phone", "for_what", "what", "text", "do", "handling"}


@pytest.fixture(scope="module")
def marked(clients):  # noqa: F811
    """The school with an element in every free text; how many columns were written."""
    written = 0
    for model in apps.get_models():
        if isinstance(model._default_manager.all(), WrittenOnceQuerySet) or model.__name__ == "Movement":
            continue
        for field in model._meta.concrete_fields:
            is_text = isinstance(field, (models.CharField, models.TextField))
            if is_text and not field.choices and field.name in FREE:
                room = (field.max_length or 10_000) - len(ELEMENT)
                rows = model._default_manager.annotate(long=Length(field.name)).filter(long__lte=room)
                if model.__name__ not in ("Group", "Permission", "ContentType"):
                    rows.update(**{field.name: Concat(field.name, Value(ELEMENT))})
                    written += 1
    return written


def test_many_columns_are_written(marked):
    assert marked > 30


@pytest.mark.parametrize("name", PAGES)
def test_no_stored_word_becomes_markup(clients, marked, name):  # noqa: F811
    role = PAGES[name][-1]
    for url in urls(name, role)[:1]:
        answer = clients[role].get(url)
        if answer.status_code == 200 and "html" in answer["Content-Type"]:
            page = answer.content.decode()
            at = page.find(ELEMENT)
            assert at == -1, f"{url}: …{page[max(0, at - 120) : at + 40]}…"
