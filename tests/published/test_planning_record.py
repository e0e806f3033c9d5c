"""Time-phased records against the textbooks. A textbook's week is one day here.

A record's rows are rebuilt from what the app computes: gross requirements and scheduled receipts are given,
projected on hand comes from the projection, planned receipts and releases from the planned orders.
"""

from datetime import date, timedelta

from stockroom.supply.allocation import Lot
from stockroom.supply.projection import Demand, Receipt, expand, project
from stockroom.supply.requirements import Need, Recipe, explode, net_requirements

WEEK_0 = date(2031, 1, 1)


def week(number):
    return WEEK_0 + timedelta(days=number)


def number(day):
    return (day - WEEK_0).days


def record(gross, scheduled, on_hand, lead, lot_size, safety=0):
    """(projected on hand, {week: planned receipt}, {week: planned release}) for a record of these rows."""
    last = len(gross)
    demands = [Demand(week(place), amount) for place, amount in enumerate(gross, 1) if amount]
    receipts = [Receipt(week(place), amount) for place, amount in enumerate(scheduled, 1) if amount]
    orders = net_requirements(
        [Lot(1, on_hand)], demands, receipts, week(1), week(last), safety, lead, lot_size
    )
    planned = [Receipt(order.needed_on, order.amount) for order in orders]
    days = expand(project([Lot(1, on_hand)], demands, [*receipts, *planned], week(1), week(last)))
    return (
        [day.balance for day in days],
        {number(order.needed_on): order.amount for order in orders},
        {number(order.order_by): order.amount for order in orders},
    )


def test_seat_subassembly_in_fixed_lots():
    """Krajewski & Ritzman, "Operations Management", chapter on resource planning, inventory record of item C,
    seat subassembly: lot size 230, lead time 2 weeks. Given rows read in published lecture slides of the
    chapter (Figure 1.5 there); the completed rows from memory."""
    on_hand, receipts, releases = record(
        gross=[150, 0, 0, 120, 0, 150, 120, 0],
        scheduled=[230, 0, 0, 0, 0, 0, 0, 0],
        on_hand=37,
        lead=2,
        lot_size=230,
    )
    assert on_hand == [117, 117, 117, 227, 227, 77, 187, 187]
    assert receipts == {4: 230, 7: 230}
    assert releases == {2: 230, 5: 230}


def test_basic_record_in_fixed_lots():
    """Vollmann, Berry & Whybark, "Manufacturing Planning and Control Systems", chapter on material
    requirements planning, the basic record (lead time one period, lot size 50). From memory."""
    on_hand, _, releases = record(
        gross=[0, 10, 0, 40, 10], scheduled=[50, 0, 0, 0, 0], on_hand=4, lead=1, lot_size=50
    )
    assert on_hand == [54, 44, 44, 4, 44]
    assert releases == {4: 50}


def releases_of(plan):
    """{item: {week of release: amount}} for everything planned, made or bought."""
    found = {}
    for line in plan.make_ups:
        found.setdefault(line.reagent_id, {})[number(line.latest)] = line.amount
    for line in plan.purchases:
        found.setdefault(line.reagent_id, {})[number(line.order_by)] = line.amount
    return found


def bill(structure, leads):
    return [Recipe(item, 1, tuple(parts.items()), lead_days=leads[item]) for item, parts in structure.items()]


def test_speaker_kit_gross_to_net():
    """Heizer & Render, "Operations Management" (10th edition), chapter 14, the speaker-kit examples: 50 kits
    A for week 8, net requirements plan with stock on hand. From memory. E is used by B and by C, and F on
    the level below C asks for D, which B uses as well: D is planned at its lowest level."""
    leads = {"A": 1, "B": 2, "C": 1, "D": 1, "E": 2, "F": 3, "G": 2}
    structure = {"A": {"B": 2, "C": 3}, "B": {"D": 2, "E": 2}, "C": {"E": 2, "F": 2}, "F": {"D": 2, "G": 1}}
    on_hand = {"A": 10, "B": 15, "C": 20, "D": 10, "E": 10, "F": 5, "G": 0}
    lots = {item: [Lot(1, amount)] for item, amount in on_hand.items()}
    plan = explode([Need("A", week(8), 50, "kits")], bill(structure, leads), lots, {}, leads, week(1))
    assert {item: {number(d.on): d.amount for d in demands} for item, demands in plan.gross.items()} == {
        "A": {8: 50},
        "B": {7: 80},
        "C": {7: 120},
        "E": {5: 130, 6: 200},
        "F": {6: 200},
        "D": {3: 390, 5: 130},
        "G": {3: 195},
    }
    assert releases_of(plan) == {
        "A": {7: 40},
        "B": {5: 65},
        "C": {6: 100},
        "E": {3: 120, 4: 200},
        "F": {3: 195},
        "D": {2: 380, 4: 130},
        "G": {1: 195},
    }
    assert not plan.shortfalls


def test_subassembly_gross_and_net():
    """Heizer & Render, "Operations Management" (11th edition), chapter 14, problems 14.5 to 14.7: 100 units
    of S in week 7. Structure, lead times, stock and the gross plan's first rows read in the published problem
    and solutions; the rest of the plan from memory."""
    leads = {"S": 2, "T": 1, "U": 2, "V": 2, "W": 3, "X": 1, "Y": 2, "Z": 1}
    structure = {"S": {"T": 1, "U": 2}, "T": {"V": 1, "W": 2, "X": 1}, "U": {"Y": 2, "Z": 3}}
    need = [Need("S", week(7), 100, "order")]
    gross = explode(need, bill(structure, leads), {}, {}, leads, week(1))
    assert releases_of(gross) == {
        "S": {5: 100},
        "T": {4: 100},
        "U": {3: 200},
        "V": {2: 100},
        "W": {1: 200},
        "X": {3: 100},
        "Y": {1: 400},
        "Z": {2: 600},
    }
    on_hand = {"S": 20, "T": 20, "U": 40, "V": 30, "W": 30, "X": 25, "Y": 240, "Z": 40}
    lots = {item: [Lot(1, amount)] for item, amount in on_hand.items()}
    net = explode(need, bill(structure, leads), lots, {}, leads, week(1))
    assert releases_of(net) == {
        "S": {5: 80},
        "T": {4: 60},
        "U": {3: 120},
        "V": {2: 30},
        "W": {1: 90},
        "X": {3: 35},
        "Z": {2: 320},
    }


def test_bracket_gross_and_net_quantities():
    """Heizer & Render, "Operations Management" (11th edition), problem 14.3: 50 brackets, then with 25 bases
    and 100 clamps in stock. Answers read in the published solutions; structure and stock from memory."""
    structure = {
        "bracket": {"base": 1, "spring": 2, "clamp": 4},
        "base": {"clamp": 1, "housing": 2},
        "clamp": {"handle": 1, "casting": 1},
        "housing": {"bearing": 2, "shaft": 1},
    }
    bought = dict.fromkeys(("spring", "handle", "casting", "bearing", "shaft"), 0)
    recipes = bill(structure, dict.fromkeys(structure, 0))
    need = [Need("bracket", week(1), 50, "order")]

    def amounts(lots):
        plan = explode(need, recipes, lots, {}, bought, week(1))
        return {line.reagent_id: line.amount for line in (*plan.make_ups, *plan.purchases)}

    assert amounts({}) == {
        "bracket": 50,
        "base": 50,
        "spring": 100,
        "clamp": 250,
        "handle": 250,
        "casting": 250,
        "housing": 100,
        "bearing": 200,
        "shaft": 100,
    }
    assert amounts({"base": [Lot(1, 25)], "clamp": [Lot(2, 100)]}) == {
        "bracket": 50,
        "base": 25,
        "spring": 100,
        "clamp": 125,
        "handle": 125,
        "casting": 125,
        "housing": 50,
        "bearing": 100,
        "shaft": 50,
    }
