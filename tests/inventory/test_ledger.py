"""The ledger: append-only, exact, guarded."""

import datetime

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from stockroom.inventory import ledger
from stockroom.inventory.models import (
    Container,
    LedgerError,
    Location,
    Movement,
    Preparation,
    PreparationPart,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def bottle(make_reagent, make_container):
    return make_container(make_reagent(), 1000, lot="L1")


def test_receive_writes_a_container_and_its_first_line(bottle, shelf):
    bottle.refresh_from_db()
    line = bottle.movements.get()
    assert (bottle.balance, line.kind, line.change, line.balance_after) == (1000, "receive", 1000, 1000)
    assert bottle.code == f"C-{bottle.pk:06d}"
    assert line.to_location == shelf


def test_draw_lowers_the_balance_and_opens_the_container(bottle, technician, today):
    line = ledger.draw(bottle, 300, who=technician, why="lesson")
    bottle.refresh_from_db()
    assert bottle.balance == 700 == line.balance_after
    assert bottle.opened_on == today


def test_opening_starts_the_shorter_shelf_life(make_reagent, make_container, technician, today):
    reagent = make_reagent(shelf_life_sealed_days=400, shelf_life_opened_days=30)
    container = make_container(reagent, 10)
    assert container.usable_until == today + datetime.timedelta(400)
    ledger.draw(container, 1, who=technician, why="lesson")
    container.refresh_from_db()
    assert container.usable_until == today + datetime.timedelta(30)


def test_draw_of_more_than_there_is_is_refused_and_writes_nothing(bottle, technician):
    with pytest.raises(LedgerError, match="holds 1 mg|holds 1000|less than"):
        ledger.draw(bottle, 1001, who=technician, why="lesson")
    bottle.refresh_from_db()
    assert bottle.balance == 1000
    assert bottle.movements.count() == 1
    assert bottle.opened_on is None


@pytest.mark.parametrize("amount", [0, -5])
def test_amounts_of_nothing_are_refused(bottle, technician, amount):
    with pytest.raises(LedgerError, match="greater than zero"):
        ledger.draw(bottle, amount, who=technician, why="lesson")


def test_a_line_needs_a_reason(bottle, technician):
    with pytest.raises(LedgerError, match="Say why"):
        ledger.draw(bottle, 5, who=technician, why="  ")
    bottle.refresh_from_db()
    assert bottle.balance == 1000


def test_a_future_day_is_refused(bottle, technician, today):
    with pytest.raises(LedgerError, match="in the future"):
        ledger.draw(bottle, 5, who=technician, why="lesson", on=today + datetime.timedelta(1))


def test_expired_and_quarantined_containers_are_not_drawn_from(bottle, technician, today):
    ledger.quarantine(bottle, who=technician, why="cloudy")
    with pytest.raises(LedgerError, match="quarantined"):
        ledger.draw(bottle, 5, who=technician, why="lesson")
    ledger.release(bottle, who=technician, why="checked, clear")
    bottle.refresh_from_db()
    bottle.expires_on = today - datetime.timedelta(1)
    bottle.save()
    with pytest.raises(LedgerError, match="expired after"):
        ledger.draw(bottle, 5, who=technician, why="lesson")


def test_give_back_is_limited_to_what_is_out(bottle, technician):
    ledger.draw(bottle, 100, who=technician, why="lesson")
    ledger.give_back(bottle, 60, who=technician, why="left over")
    with pytest.raises(LedgerError, match="is out"):
        ledger.give_back(bottle, 41, who=technician, why="left over")
    bottle.refresh_from_db()
    assert bottle.balance == 960


def test_move_keeps_the_balance_and_says_from_where(bottle, technician, shelf):
    other = Location.objects.create(name="Low shelf", level="shelf", parent=shelf.parent)
    line = ledger.move(bottle, other, who=technician)
    bottle.refresh_from_db()
    assert (line.from_location, line.to_location, line.change, bottle.location) == (shelf, other, 0, other)
    with pytest.raises(LedgerError, match="stands there already"):
        ledger.move(bottle, other, who=technician)


def test_correct_sets_what_was_counted(bottle, technician):
    assert ledger.correct(bottle, 1000, who=technician, why="count") is None
    assert ledger.correct(bottle, 940, who=technician, why="count").change == -60
    assert ledger.correct(bottle, 950, who=technician, why="count").change == 10
    bottle.refresh_from_db()
    assert bottle.balance == 950


def test_discarding_all_of_it_ends_the_container(bottle, technician):
    ledger.discard(bottle, who=technician, why="expired")
    bottle.refresh_from_db()
    assert (bottle.balance, bottle.state) == (0, Container.State.GONE)
    with pytest.raises(LedgerError, match="gone"):
        ledger.discard(bottle, who=technician, why="again")


def test_reverse_writes_the_opposite_once(bottle, technician):
    line = ledger.draw(bottle, 250, who=technician, why="typed wrong")
    opposite = ledger.reverse(line, who=technician, why="typed wrong")
    bottle.refresh_from_db()
    assert (opposite.change, bottle.balance, opposite.reverses) == (250, 1000, line)
    with pytest.raises(LedgerError, match="reversed already"):
        ledger.reverse(line, who=technician, why="again")


def test_reversing_a_receipt_that_was_partly_drawn_is_refused(bottle, technician):
    ledger.draw(bottle, 1, who=technician, why="lesson")
    with pytest.raises(LedgerError):
        ledger.reverse(bottle.movements.get(kind="receive"), who=technician, why="wrong bottle")


def test_lines_cannot_be_edited_or_deleted(bottle):
    line = bottle.movements.get()
    line.why = "something else"
    with pytest.raises(LedgerError):
        line.save()
    with pytest.raises(LedgerError):
        line.delete()
    with pytest.raises(LedgerError):
        Movement.objects.update(change=5)
    with pytest.raises(LedgerError):
        Movement.objects.all().delete()
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE stockroom_movement SET change = 7 WHERE id = %s", [line.pk])


def test_the_database_itself_refuses_a_negative_balance(bottle):
    with pytest.raises(IntegrityError), transaction.atomic():
        Container.objects.filter(pk=bottle.pk).update(balance=-1)


@pytest.fixture
def dilution(make_reagent, make_container):
    strong = make_reagent("Hydrochloric acid 1 mol/L", "volume", "HCl", 1, "mol/L")
    water = make_reagent("Water, deionised", "volume", "H2O")
    weak = make_reagent(
        "Hydrochloric acid 0.1 mol/L", "volume", "HCl", "0.1", "mol/L", shelf_life_sealed_days=90
    )
    preparation = Preparation.objects.create(reagent=weak, yield_amount=1000)
    PreparationPart.objects.create(preparation=preparation, reagent=strong, amount=100)
    PreparationPart.objects.create(preparation=preparation, reagent=water, amount=900)
    return preparation, make_container(strong, 500), make_container(water, 5000)


def test_make_up_draws_the_parts_and_fills_a_new_container(dilution, technician, shelf, today):
    preparation, strong, water = dilution
    batch = ledger.make_up(preparation, 1000, [(strong, 100), (water, 900)], location=shelf, who=technician)
    strong.refresh_from_db()
    made = batch.container
    assert (strong.balance, made.balance, made.reagent) == (400, 1000, preparation.reagent)
    assert made.usable_until == today + datetime.timedelta(90)
    assert {line.container_id for line in Movement.objects.filter(belongs_id=batch.pk, kind="draw")} == {
        strong.pk,
        water.pk,
    }


def test_make_up_is_all_or_nothing(dilution, technician, shelf):
    preparation, strong, water = dilution
    before = Movement.objects.count()
    with pytest.raises(LedgerError):
        ledger.make_up(preparation, 1000, [(water, 900), (strong, 501)], location=shelf, who=technician)
    with pytest.raises(LedgerError, match="Choose a container"):
        ledger.make_up(preparation, 1000, [(water, 900)], location=shelf, who=technician)
    water.refresh_from_db()
    assert water.balance == 5000
    assert Movement.objects.count() == before
    assert preparation.batches.count() == 0


def test_waste_container_is_not_overfilled(make_reagent, make_container, technician, shelf, today):
    bottle = make_container(make_reagent("Acid", "volume"), 900)
    waste = ledger.open_waste(
        stream="acid", capacity=1000, measure="volume", location=shelf, started_on=today
    )
    ledger.discard(bottle, 600, who=technician, why="expired", into=waste)
    waste.refresh_from_db()
    assert waste.contents == 600
    with pytest.raises(LedgerError, match="room left"):
        ledger.add_waste(waste, 401, description="rinsings", who=technician)


def test_prove_balances_finds_a_tampered_balance(bottle):
    call_command("prove_balances")
    Container.objects.filter(pk=bottle.pk).update(balance=999)
    with pytest.raises(CommandError, match="1 of 1"):
        call_command("prove_balances")


def test_acts_on_several_containers_lock_them_in_the_order_of_their_keys(dilution, technician, shelf):
    preparation, strong, water = dilution
    assert strong.pk < water.pk
    with CaptureQueriesContext(connection) as queries:
        ledger.make_up(preparation, 1000, [(water, 900), (strong, 100)], location=shelf, who=technician)
    first = next(row["sql"] for row in queries if 'FROM "stockroom_container"' in row["sql"])
    assert f"({strong.pk}, {water.pk})" in first
    assert 'ORDER BY "stockroom_container"."id" ASC' in first
    assert connection.vendor == "sqlite" or "FOR UPDATE" in first
