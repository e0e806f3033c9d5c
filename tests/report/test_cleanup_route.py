"""The coded route of a demonstration against what the rules compute of its remains."""

import datetime
from collections import Counter

import pytest
from django.contrib.auth import get_user_model
from django.db import transaction
from django.urls import reverse

from demos.models import Demonstration
from demos.report import beaker, cleanup
from demos.sample import school
from stockroom.safety.route import ROUTES
from stockroom.safety.streams import streams

pytestmark = pytest.mark.django_db
PASSWORDS = {"adeyemi": "paper-lamp-41", "fenwick": "green-stair-73"}
LOADED_ON = datetime.date(2026, 3, 11)


@pytest.fixture(scope="module")
def loaded(django_db_setup, django_db_blocker):
    """The school, loaded once for this file and rolled back after it."""
    with django_db_blocker.unblock(), transaction.atomic():
        school.load(LOADED_ON, PASSWORDS)
        yield LOADED_ON
        transaction.set_rollback(True)


def coded(row, route, stream=""):
    row.cleanup_route, row.cleanup_stream = route, stream
    return cleanup.disagreements(row)


def test_each_sample_demonstration_says_what_the_rules_compute(loaded):
    wrong, coded_ways = {}, Counter()
    for row in Demonstration.objects.prefetch_related(*beaker.PREFETCH):
        if found := cleanup.disagreements(row):
            wrong[row.title] = found
        coded_ways[row.cleanup_route] += 1
        assert row.cleanup_route in {"", *ROUTES} and row.cleanup_stream in {"", *streams()}
    assert not wrong
    assert coded_ways["collect"] > 10 and coded_ways[""] < 8


def test_what_disagrees_is_told(loaded):
    """Every demonstration of the sample whose remains are collected, with the drain typed for it instead."""
    some = 0
    for row in Demonstration.objects.prefetch_related(*beaker.PREFETCH):
        way = cleanup.computed(row)
        if way is None:
            assert coded(row, "drain")
            continue
        assert not coded(row, way.route, way.stream) and not coded(row, "")
        if way.route in ("collect", "by_itself"):
            some += 1
            assert streams()[way.stream].name in coded(row, "drain")[0]
            other = next(key for key in ("halogenated", "acids_oxidizing") if key != way.stream)
            assert coded(row, "collect", other)
    assert some > 10


def test_the_page_says_it_where_the_author_can_see_it(client, loaded):
    row = next(
        row
        for row in Demonstration.objects.prefetch_related(*beaker.PREFETCH)
        if (way := cleanup.computed(row)) and way.stream == "metals"
    )
    Demonstration.objects.filter(pk=row.pk).update(cleanup_route="drain")
    client.force_login(get_user_model().objects.filter(is_active=True).first())
    page = client.get(reverse("demos:demonstration-detail", args=[row.pk])).content.decode()
    assert "but by what is left it is: Collect, in “Metals in water”" in page
