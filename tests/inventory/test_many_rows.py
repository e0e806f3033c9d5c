"""A department's whole stock at once: no question to the database grows deeper with the rows."""

import pytest
from django.apps import apps
from django.core.exceptions import FieldDoesNotExist
from django.db import connection
from django.urls import reverse

from stockroom.inspection import findings, printouts
from stockroom.inventory.models import Component, Container, Reagent
from stockroom.waste import disposal
from tests.bench import department

pytestmark = pytest.mark.django_db
#: more than SQLite allows an expression to be deep (SQLITE_MAX_EXPR_DEPTH, https://www.sqlite.org/limits.html)
MANY = 1_500


@pytest.fixture
def large(today, django_user_model):
    department.fill(today, reagents=MANY, containers=MANY, bookings=40)
    # Every other one ages, some are expired: the pages that list only these list many too.
    Reagent.objects.filter(pk__in=Reagent.objects.values("pk")[: MANY - 100]).update(ageing_class="chlorate")
    Container.objects.exclude(state="gone").update(usable_until=today.replace(year=today.year - 1))
    return django_user_model.objects


@pytest.mark.parametrize(
    ("name", "who"),
    [
        ("restricted-list", "head"),
        ("review", "head"),
        ("ageing", "technician"),
    ],
)
def test_a_page_of_all_that_stands_opens(client, large, name, who):
    client.force_login(large.get(username=who))
    assert client.get(reverse(name)).status_code == 200


def test_what_the_sheets_say_of_all_that_stands_is_read(large, today):
    assert sum(len(group.lines) for group in printouts.groups(today, findings.findings(today), today)) > 1_000
    assert sum(1 for _ in disposal.waiting(today)) > 1_000


def test_what_many_rows_point_at_is_fetched_by_a_flat_list(large):
    for model in (Component, Container):
        for field in model._meta.get_fields():
            if field.many_to_one and field.concrete:
                rows = list(model.objects.prefetch_related(field.name))
                assert len(rows) >= MANY - 1


def test_it_is_fetched_by_the_index(make_reagent):
    """The list must not make SQLite read the whole table."""
    if connection.vendor != "sqlite":
        pytest.skip("Only SQLite's list is written by us.")
    with connection.cursor() as cursor:
        cursor.execute(
            "EXPLAIN QUERY PLAN SELECT * FROM stockroom_reagent WHERE (stockroom_reagent.id) IN ((1), (2))"
        )
        assert "USING INTEGER PRIMARY KEY" in str(cursor.fetchall())


def test_every_key_is_of_one_column():
    """What `stockroom.sqlite` relies on."""
    for model in apps.get_models():
        assert model._meta.pk.column, model
        for field in model._meta.get_fields():
            if field.is_relation and field.concrete and not field.many_to_many:
                try:
                    assert len(field.foreign_related_fields) == 1, field
                except (AttributeError, FieldDoesNotExist):
                    continue
