"""Any order of the ledger's acts, beside a plain model that says what may be done and what is left."""

import itertools
from dataclasses import dataclass, field

import pytest
from django.db import transaction
from django.utils import timezone
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from stockroom.inventory import ledger
from stockroom.inventory.models import (
    Container,
    LedgerError,
    Location,
    Movement,
    Offer,
    Preparation,
    PreparationPart,
)
from stockroom.purchasing import receiving, reorder
from stockroom.purchasing.models import Order, OrderLine

pytestmark = pytest.mark.django_db

SIZE = 100
# Few amounts, so that they meet: what is drawn is given back, what is left is thrown away.
AMOUNTS = st.sampled_from([10, 20, 50, 90, 100, 110])
WHICH = st.sampled_from([0, 0, 0, 1, 2])
PURPOSES = st.sampled_from([None, None, 0, 1])
REVERSIBLE = ("receive", "draw", "return", "count", "discard")


@dataclass
class Line:
    """One act as it is meant: `after` is what was left, `live` whether it still counts."""

    pk: int
    kind: str
    change: int
    after: int
    purpose: int | None = None
    ended: bool = False
    into_waste: bool = False
    ordered: bool = False
    live: bool = True


@dataclass
class Bottle:
    pk: int
    place: int
    lines: list[Line] = field(default_factory=list)

    @property
    def live(self) -> list[Line]:
        return [line for line in self.lines if line.live]

    @property
    def balance(self) -> int:
        return sum(line.change for line in self.live)

    @property
    def state(self) -> str:
        state = "gone"
        for line in self.live:
            if line.kind in ("receive", "make_up", "release"):
                state = "in_use"
            if line.kind == "quarantine":
                state = "quarantined"
        came = any(line.kind in ("receive", "make_up") for line in self.live)
        return "gone" if not came or any(line.ended for line in self.live) else state

    @property
    def most(self) -> int:
        return max([SIZE, *(line.after for line in self.live if line.kind == "count")])

    def out(self, purpose=None) -> int:
        carried = [line for line in self.live if line.kind in ("draw", "return")]
        mine = [line for line in carried if line.purpose == purpose]
        total = -sum(line.change for line in carried)
        return total if purpose is None else min(total, -sum(line.change for line in mine))

    def may_reverse(self, line: Line) -> bool:
        if line.kind not in REVERSIBLE or not line.live:
            return False
        if self.state == "gone" and not line.ended:
            return False
        if line.kind == "draw" and -line.change > self.out(line.purpose):
            return False
        if line.kind == "receive" and (self.balance != line.change or self.out()):
            return False
        counts = [row.after for row in self.live if row.kind == "count" and row is not line]
        after = self.balance - line.change
        if (line.change < 0 or line.kind == "count") and after > max([SIZE, *counts]):
            return False
        return after >= 0


class LedgerMachine(RuleBasedStateMachine):
    """Each rule says first whether the act may be done, then asks the ledger, which must agree."""

    who = supplier = make_reagent = None

    def __init__(self):
        super().__init__()
        self.transaction = transaction.atomic()
        self.transaction.__enter__()
        self.places = [Location.objects.create(name=f"Shelf {n}", level="shelf") for n in range(2)]
        self.salt = self.make_reagent("Salt")
        self.mix = self.make_reagent("Mixture")
        self.recipe = Preparation.objects.create(reagent=self.mix, yield_amount=10)
        PreparationPart.objects.create(preparation=self.recipe, reagent=self.salt, amount=10)
        self.waste = ledger.open_waste(
            stream="solid",
            capacity=150,
            measure="mass",
            location=self.places[0],
            started_on=timezone.localdate(),
        )
        self.bottles: list[Bottle] = []
        self.orders: list[tuple[Order, OrderLine]] = []
        self.cancelled: set[int] = set()
        self.numbers = itertools.count()

    def teardown(self):
        transaction.set_rollback(True)
        self.transaction.__exit__(None, None, None)

    def wasted(self) -> int:
        return -sum(line.change for bottle in self.bottles for line in bottle.live if line.into_waste)

    def asked(self, allowed: bool, act):
        """What the act answers, or None where it is refused; the ledger and the model must agree."""
        try:
            with transaction.atomic():
                answer = act()
        except (LedgerError, reorder.OrderError) as error:
            assert not allowed, f"refused: {error}"
            return None
        assert allowed, "this should have been refused"
        return answer

    def words(self, purpose=None) -> dict:
        belongs_to = None if purpose is None else self.places[purpose]
        return {"who": self.who, "why": "test", "belongs_to": belongs_to}

    def pick(self, number) -> tuple[Bottle, Container]:
        bottle = self.bottles[number % len(self.bottles)]
        return bottle, Container.objects.select_related("reagent").get(pk=bottle.pk)

    def note(self, bottle: Bottle, line: Movement | None, **more):
        if line is not None:
            bottle.lines.append(Line(line.pk, line.kind, line.change, bottle.balance + line.change, **more))

    def came(self, container: Container, ordered=False):
        bottle = Bottle(container.pk, self.places.index(container.location))
        self.note(bottle, container.movements.get(), ordered=ordered)
        self.bottles.append(bottle)

    @precondition(lambda self: len(self.bottles) < 2)
    @rule(amount=st.sampled_from([50, SIZE]))
    def receive(self, amount):
        self.came(ledger.receive(self.salt, self.places[0], amount, who=self.who, pack_amount=SIZE))

    @precondition(lambda self: len(self.orders) < 2)
    @rule(packs=st.integers(1, 3))
    def order(self, packs):
        offer = Offer.objects.create(
            supplier=self.supplier,
            reagent=self.salt,
            pack_amount=SIZE,
            price=1,
            catalogue_number=next(self.numbers),
        )
        (order,) = reorder.draw_up({offer: (packs, None, "")}, who=self.who, today=timezone.localdate())
        reorder.approve(order, who=self.who, today=timezone.localdate())
        reorder.mark_ordered(order, on=timezone.localdate(), expected_on=timezone.localdate())
        self.orders.append((order, order.lines.get()))

    def received(self, order: Order) -> int:
        pks = [line.pk for bottle in self.bottles for line in bottle.live if line.ordered]
        lines = Movement.objects.filter(pk__in=pks).prefetch_related("belongs_to")
        return sum(line.belongs_to == order for line in lines)

    @precondition(lambda self: self.orders)
    @rule(number=WHICH, packs=st.integers(1, 2))
    def receive_packs(self, number, packs):
        order, line = self.orders[number % len(self.orders)]
        allowed = order.pk not in self.cancelled and self.received(order) + packs <= line.packs
        line.refresh_from_db()
        made = self.asked(
            allowed,
            lambda: receiving.receive_packs(
                line, packs, location=self.places[0], who=self.who, on=timezone.localdate()
            ),
        )
        for container in made or ():
            self.came(container, ordered=True)

    @precondition(lambda self: self.orders)
    @rule(number=WHICH)
    def cancel_order(self, number):
        order, line = self.orders[number % len(self.orders)]
        allowed = order.pk not in self.cancelled and self.received(order) < line.packs
        self.asked(allowed, lambda: reorder.cancel(order))
        if allowed:
            self.cancelled.add(order.pk)

    @precondition(lambda self: self.bottles)
    @rule(number=WHICH, amount=AMOUNTS, purpose=PURPOSES)
    def draw(self, number, amount, purpose):
        bottle, container = self.pick(number)
        allowed = bottle.state == "in_use" and amount <= bottle.balance
        line = self.asked(allowed, lambda: ledger.draw(container, amount, **self.words(purpose)))
        self.note(bottle, line, purpose=purpose)

    @precondition(lambda self: self.bottles)
    @rule(number=WHICH, amount=st.none() | AMOUNTS, purpose=PURPOSES)
    def give_back(self, number, amount, purpose):
        """None: all that is out."""
        bottle, container = self.pick(number)
        amount = max(bottle.out(purpose), 1) if amount is None else amount
        fits = bottle.balance + amount <= bottle.most
        allowed = bottle.state != "gone" and amount <= bottle.out(purpose) and fits
        line = self.asked(allowed, lambda: ledger.give_back(container, amount, **self.words(purpose)))
        self.note(bottle, line, purpose=purpose)

    @precondition(lambda self: self.bottles)
    @rule(number=WHICH, purpose=PURPOSES)
    def borrow(self, number, purpose):
        self.draw(number, 10, purpose)
        self.give_back(number, None, purpose)

    @precondition(lambda self: self.bottles)
    @rule(number=WHICH, counted=st.sampled_from([0, 50, 90, 95, 100, 110]))
    def count(self, number, counted):
        bottle, container = self.pick(number)
        allowed = bottle.state != "gone"
        self.note(bottle, self.asked(allowed, lambda: ledger.correct(container, counted, **self.words())))

    @precondition(lambda self: self.bottles)
    @rule(number=WHICH, amount=st.sampled_from([None, 10, 10, 50]), wasted=st.booleans())
    def discard(self, number, amount, wasted):
        bottle, container = self.pick(number)
        much = bottle.balance if amount is None else amount
        into = self.waste if wasted and much else None
        allowed = bottle.state != "gone" and much <= bottle.balance
        if into:
            allowed &= self.wasted() + much <= self.waste.capacity
        line = self.asked(allowed, lambda: ledger.discard(container, amount, into=into, **self.words()))
        self.note(bottle, line, ended=much == bottle.balance, into_waste=bool(into))

    @precondition(lambda self: self.bottles)
    @rule(number=WHICH, quarantine=st.booleans())
    def quarantine_or_release(self, number, quarantine):
        bottle, container = self.pick(number)
        act, needs = (ledger.quarantine, "in_use") if quarantine else (ledger.release, "quarantined")
        allowed = bottle.state == needs
        self.note(bottle, self.asked(allowed, lambda: act(container, who=self.who, why="test")))

    @precondition(lambda self: self.bottles)
    @rule(number=WHICH, place=st.integers(0, 1))
    def move(self, number, place):
        bottle, container = self.pick(number)
        allowed = bottle.state != "gone" and bottle.place != place
        line = self.asked(allowed, lambda: ledger.move(container, self.places[place], who=self.who))
        self.note(bottle, line)
        if line:
            bottle.place = place

    @precondition(lambda self: self.bottles)
    @rule(number=WHICH, amount=AMOUNTS)
    def make_up(self, number, amount):
        bottle, container = self.pick(number)
        allowed = (
            container.reagent_id == self.salt.pk and bottle.state == "in_use" and amount <= bottle.balance
        )
        batch = self.asked(
            allowed,
            lambda: ledger.make_up(
                self.recipe, SIZE, [(container, amount)], location=self.places[0], who=self.who
            ),
        )
        if batch:
            # A purpose of its own: what has gone into a batch is out for that batch.
            drawn = container.movements.get(kind="draw", belongs_id=batch.pk, why__startswith="making up")
            self.note(bottle, drawn, purpose=f"batch {batch.pk}")
            self.came(batch.container)

    @precondition(lambda self: self.bottles)
    @rule(number=WHICH, which=st.integers(0, 12), sensible=st.sampled_from([True, True, False]))
    def reverse(self, number, which, sensible):
        bottle, container = self.pick(number)
        rows = [row for row in bottle.live if row.kind in REVERSIBLE] if sensible else []
        rows = rows or bottle.lines
        row = rows[which % len(rows)]
        line = Movement.objects.get(pk=row.pk)
        allowed = bottle.may_reverse(row)
        if self.asked(allowed, lambda: ledger.reverse(line, who=self.who, why="test")):
            row.live = False

    @invariant()
    def balances_are_the_sum_of_their_lines_and_what_the_model_says(self):
        assert ledger.prove()[1] == []
        rows = Container.objects.in_bulk([bottle.pk for bottle in self.bottles])
        for bottle in self.bottles:
            row = rows[bottle.pk]
            assert row.balance == bottle.balance
            assert 0 <= row.balance <= bottle.most
            assert row.state == bottle.state
            assert row.state != "gone" or row.balance == 0
            assert row.location == self.places[bottle.place]

    @invariant()
    def orders_have_received_what_their_receipts_brought(self):
        for order, line in self.orders:
            order.refresh_from_db()
            line.refresh_from_db()
            assert line.received_packs == self.received(order)
            whole = line.received_packs == line.packs
            meant = "cancelled" if order.pk in self.cancelled else "received" if whole else "ordered"
            assert order.state == meant

    @invariant()
    def waste_holds_what_was_put_into_it(self):
        self.waste.refresh_from_db()
        entries = self.waste.entries.filter(correction=None)
        assert self.waste.contents == self.wasted() == sum(entry.amount for entry in entries)


def test_the_ledger_agrees_with_a_plain_model(technician, supplier, make_reagent):
    class Machine(LedgerMachine):
        pass

    Machine.who, Machine.supplier = technician, supplier
    Machine.make_reagent = staticmethod(make_reagent)
    run_state_machine_as_test(Machine, settings=settings(max_examples=30, stateful_step_count=40))
