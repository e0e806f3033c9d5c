from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.supply.allocation import Claim, Demand, Lot, Pick, Skip, Skipped, allocate, allocate_many

DAY = date(2031, 3, 10)


def later(days):
    return DAY + timedelta(days=days)


dates = st.integers(-8, 8).map(later)
lots = st.lists(
    st.tuples(
        st.integers(0, 30),
        st.none() | dates,
        st.booleans(),
        st.none() | dates,
        st.sampled_from([True, True, False]),
    ),
    max_size=6,
).map(lambda rows: [Lot(place, *row) for place, row in enumerate(rows)])


def usable(lot, on):
    return lot.usable and lot.balance > 0 and (lot.expires is None or lot.expires >= on)


def before(a, b):
    """Whether lot a is to be used before lot b, spelled out rule by rule."""
    if a.opened != b.opened:
        return a.opened
    if a.expires != b.expires:
        return b.expires is None or (a.expires is not None and a.expires < b.expires)
    if a.received != b.received:
        return b.received is None or (a.received is not None and a.received < b.received)
    return a.id < b.id


@given(lots, st.integers(0, 90))
def test_nothing_is_created_or_lost(found, amount):
    allocation = allocate(found, amount, DAY)
    balances = {lot.id: lot.balance for lot in found}
    assert sum(pick.amount for pick in allocation.picks) + allocation.short == amount
    assert all(0 < pick.amount <= balances[pick.lot_id] for pick in allocation.picks)
    assert len({pick.lot_id for pick in allocation.picks}) == len(allocation.picks)
    if allocation.short:
        assert amount - allocation.short == sum(lot.balance for lot in found if usable(lot, DAY))


@given(lots, st.integers(1, 90))
def test_first_in_order_that_suffices_else_split_in_order(found, amount):
    picks = allocate(found, amount, DAY).picks
    by_id = {lot.id: lot for lot in found}
    ready = [lot for lot in found if usable(lot, DAY)]
    assert all(by_id[pick.lot_id] in ready for pick in picks)
    enough = [lot for lot in ready if lot.balance >= amount]
    if enough:
        (pick,) = picks
        assert not any(before(lot, by_id[pick.lot_id]) for lot in enough)
        return
    for lot in ready:
        drawn = sum(pick.amount for pick in picks if pick.lot_id == lot.id)
        # A container that keeps something has nobody behind it in the queue already drawn from.
        if drawn < lot.balance:
            assert not any(before(lot, by_id[pick.lot_id]) for pick in picks if pick.lot_id != lot.id)


@given(lots)
def test_every_container_is_usable_or_says_why_not(found):
    skipped = {skip.lot_id: skip.reason for skip in allocate(found, 1, DAY).skipped}
    assert set(skipped) == {lot.id for lot in found if not usable(lot, DAY)}
    for lot in found:
        if skipped.get(lot.id) is Skip.EXPIRED:
            assert lot.expires < DAY
            assert lot.usable


@given(lots, st.lists(st.tuples(dates, st.integers(0, 40)), max_size=6))
def test_many_demands_share_without_loss(found, rows):
    demands = [Demand(on, amount, place) for place, (on, amount) in enumerate(rows)]
    result = allocate_many(found, demands)
    served = [demand for demand, _ in result.allocations]
    assert served == sorted(demands, key=lambda d: d.on)
    for lot in found:
        claimed = sum(claim.amount for claim in result.claims.get(lot.id, ()))
        assert claimed + result.left[lot.id] == lot.balance
        assert result.left[lot.id] >= 0
        assert all(lot.expires is None or claim.on <= lot.expires for claim in result.claims.get(lot.id, ()))


@given(lots, st.permutations(range(6)), st.integers(0, 60))
def test_the_order_containers_are_listed_in_does_not_matter(found, order, amount):
    shuffled = [found[place] for place in order if place < len(found)]
    assert allocate(found, amount, DAY).picks == allocate(shuffled, amount, DAY).picks


def test_order_of_use():
    sealed_soon = Lot("sealed, soon", 10, later(1))
    opened_late = Lot("opened, late", 10, later(90), opened=True)
    sealed_never = Lot("sealed, never", 10)
    picks = allocate([sealed_never, sealed_soon, opened_late], 25, DAY).picks
    assert picks == (Pick("opened, late", 10), Pick("sealed, soon", 10), Pick("sealed, never", 5))


def test_one_container_rather_than_two():
    opened = Lot("opened", 40, opened=True)
    assert allocate([opened, Lot("sealed", 500)], 100, DAY).picks == (Pick("sealed", 100),)


def test_usable_on_its_last_day_and_not_after():
    assert allocate([Lot(1, 5, DAY)], 5, DAY).short == 0
    late = allocate([Lot(1, 5, DAY)], 5, later(1))
    assert (late.short, late.skipped) == (5, (Skipped(1, 5, Skip.EXPIRED),))


def test_quarantined_is_passed_over_and_said():
    allocation = allocate([Lot(1, 50, usable=False), Lot(2, 0)], 5, DAY)
    assert allocation.short == 5
    assert allocation.skipped == (Skipped(1, 50, Skip.UNUSABLE), Skipped(2, 0, Skip.EMPTY))


def test_claims_say_who_takes_what():
    result = allocate_many([Lot(1, 100)], [Demand(later(2), 70, "late"), Demand(later(1), 60, "early")])
    assert result.claims == {1: (Claim(later(1), 60, "early"), Claim(later(2), 40, "late"))}
    assert result.allocations[1][1].short == 30


def test_amounts_below_zero_are_refused():
    with pytest.raises(ValueError, match="below zero"):
        Lot(1, -1)
    with pytest.raises(ValueError, match="below zero"):
        allocate([], -1, DAY)
