"""The benchmarks run, at a small size. What they print at full size is read by people, not asserted here."""

import pytest
from django.db.models import Sum

from stockroom.inventory import ledger
from stockroom.inventory.models import Container, Movement, Reservation
from tests.bench import beaker, catalogue, conflicts, department, pages

pytestmark = pytest.mark.bench


@pytest.fixture
def small(db, today):
    department.fill(today, reagents=60, containers=150, bookings=40)
    return today


def test_every_page_and_computation_prints_a_ratio(small):
    rows = list(pages.measure(small, repeats=1))
    assert len({row.name for row in rows}) == len(rows)
    assert all(row.queries for row in rows)
    assert all(" x plain SQL" in str(row) for row in rows)
    assert "met (" in pages.judge(rows)


def test_the_verdict_on_the_outlook_says_which():
    slow, quick = (pages.Row(pages.OUTLOOK, seconds, 1.0, 7) for seconds in (5.1, 4.9))
    assert ": NOT met (5.1 x)" in pages.judge([slow])
    assert ": met (4.9 x)" in pages.judge([quick])


def test_the_generated_department_is_whole(small):
    assert ledger.prove()[1] == []
    assert Container.objects.aggregate(left=Sum("balance")) == Movement.objects.aggregate(left=Sum("change"))
    assert Reservation.objects.exists()


def test_the_beaker_prints_its_ratio(capsys):
    beaker.main(repeats=1)
    assert "x bare PHREEQC" in capsys.readouterr().out


def test_the_conflict_check_prints_its_ratio(capsys):
    conflicts.measure(containers=100, places=30, reagents=40)
    assert "x plain SQL" in capsys.readouterr().out


def test_a_sample_of_the_catalogues_beakers_answers_in_time():
    found = list(catalogue.answers(most=150))
    assert not [answer for answer in found if answer.wrong]
    assert not [answer for answer in found if answer.milliseconds > catalogue.MOST_MS]
    assert sum(answer.ph is not None for answer in found) > 0.6 * len(found)
