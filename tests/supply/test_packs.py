import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockroom.supply.packs import Offer, PacksError, Why, choose

rows = st.tuples(st.integers(1, 12), st.integers(0, 9), st.none() | st.integers(0, 4))
offers = st.lists(rows, min_size=1, max_size=4).map(
    lambda found: [Offer(place, *row) for place, row in enumerate(found)]
)


def every_choice(offers, need):
    counts = [range((need if o.limit is None else min(o.limit, need)) + 1) for o in offers]
    for packs in itertools.product(*counts):
        amount = sum(n * o.amount for n, o in zip(packs, offers, strict=True))
        if amount >= need:
            yield sum(n * o.price_minor for n, o in zip(packs, offers, strict=True)), amount, sum(packs)


@settings(max_examples=150, deadline=None)
@given(offers, st.integers(1, 9), st.none() | st.integers(1, 20))
def test_no_other_choice_is_better(offers, need, max_amount):
    wanted = [c for c in every_choice(offers, need) if max_amount is None or c[1] <= max_amount]
    choice = choose(need, offers, max_amount)
    if wanted:
        assert (choice.cost, choice.amount, choice.packs) == min(wanted)
    else:
        assert not choice.possible
        assert choice.counts == {}


@given(offers, st.integers(1, 10**15), st.integers(1, 10**6))
@settings(max_examples=100, deadline=None)
def test_counts_add_up_and_scaling_every_amount_changes_nothing(offers, need, scale):
    choice = choose(need, offers)
    scaled = choose(need * scale, [Offer(o.id, o.amount * scale, o.price_minor, o.limit) for o in offers])
    assert (choice.cost, choice.packs, choice.why) == (scaled.cost, scaled.packs, scaled.why)
    by_id = {o.id: o for o in offers}
    assert choice.amount == sum(n * by_id[key].amount for key, n in choice.counts.items())
    assert choice.cost == sum(n * by_id[key].price_minor for key, n in choice.counts.items())
    assert all(by_id[key].limit is None or n <= by_id[key].limit for key, n in choice.counts.items())
    assert not choice.possible or choice.amount >= need


def test_cheapest_first_would_be_wrong():
    # By price per gram the 500 g pack is best; two of them cost more than what is needed.
    offers = [Offer("500 g", 500, 1000), Offer("100 g", 100, 260)]
    choice = choose(600, offers)
    assert choice.counts == {"500 g": 1, "100 g": 1}
    assert (choice.cost, choice.surplus) == (1260, 0)


def test_a_larger_pack_wins_where_it_costs_less():
    assert choose(300, [Offer("100", 100, 500), Offer("1000", 1000, 1200)]).counts == {"1000": 1}


def test_storage_room_forbids_the_cheap_big_pack():
    offers = [Offer("100", 100, 500), Offer("1000", 1000, 1200)]
    assert choose(300, offers, max_amount=500).counts == {"100": 3}


@pytest.mark.parametrize(
    ("need", "offers", "max_amount", "why"),
    [
        (5, [], None, Why.NO_OFFERS),
        (5, [Offer("a", 10, 1, 0)], None, Why.NO_OFFERS),
        (50, [Offer("a", 10, 1, 2), Offer("b", 5, 1, 1)], None, Why.LIMITS),
        (50, [Offer("a", 60, 1)], 55, Why.ROOM),
        (50, [Offer("a", 10, 1)], 40, Why.ROOM),
    ],
)
def test_says_why_nothing_covers_the_need(need, offers, max_amount, why):
    assert choose(need, offers, max_amount).why == why


def test_nothing_needed_buys_nothing():
    assert choose(0, [Offer("a", 10, 1)]).counts == {}


def test_tonnes_in_micrograms_with_packs_that_share_no_divisor():
    offers = [Offer("1 lb", 453_592_370, 1810), Offer("500 g", 500_000_000, 2105)]
    choice = choose(9 * 10**15, offers)
    assert 9 * 10**15 <= choice.amount < 9 * 10**15 + 500_000_000


@pytest.mark.parametrize("row", [(0, 1), (-5, 1), (5, -1), (5, 1, -1)])
def test_malformed_offers_are_refused(row):
    with pytest.raises(PacksError):
        Offer("a", *row)


def test_two_offers_of_one_id_are_refused():
    with pytest.raises(PacksError, match="same id"):
        choose(5, [Offer("a", 1, 1), Offer("a", 2, 1)])
