"""The only writer of stock.

Every function here writes the container's balance and one line of the ledger in one transaction, or
nothing. A draw is a conditional update (`balance >= amount`) so that of two people who empty one
bottle at the same moment, one is told that it is empty. Amounts are whole micrograms, microliters or
pieces, as the reagent is measured. All raise `LedgerError` with a message that says what to change.

What holds after every act: a balance is the sum of the lines; it is between zero and what the container can
hold, its size or more where a count found more; a container that is gone holds nothing; its state is what
the lines that have not been reversed imply; an order counts as received what its receipts that have not been
reversed brought.
"""

import datetime
import uuid
from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib.contenttypes.models import ContentType
from django.db import transaction
from django.db.models import F, Max, Model, Q, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from stockroom.inventory.ageing_items import forbidding, hands_off_words, untouchable
from stockroom.inventory.models import (
    Batch,
    Container,
    LedgerError,
    Location,
    Movement,
    Preparation,
    Reagent,
    WasteContainer,
    WasteCorrection,
    WasteEntry,
)
from stockroom.inventory.signals import receipt_reversed
from stockroom.wording.days import day_text

Kind = Movement.Kind


def _check_amount(amount: int, least: int = 1) -> None:
    if amount < least:
        raise LedgerError("Enter an amount greater than zero." if least else "Enter zero or more.")


def _check_day(on: datetime.date) -> None:
    if on > timezone.localdate():
        raise LedgerError("This date is in the future: enter today or an earlier day.")


def _line(
    container: Container, kind: str, change: int, *, who, why: str, on: datetime.date, **more
) -> Movement:
    """Write one line; the balance has been changed already, in this transaction."""
    if not (why or "").strip():
        raise LedgerError("Say why: a line of the ledger without a reason helps nobody later.")
    belongs_to: Model | None = more.pop("belongs_to", None)
    # Ask the database, not the object in hand: another transaction may have written in between.
    container.refresh_from_db(fields=["balance", "state", "state_reason"])
    return Movement.objects.create(
        container=container,
        kind=kind,
        change=change,
        balance_after=container.balance,
        who=who,
        why=why.strip()[:200],
        on=on,
        belongs_to=belongs_to,
        **more,
    )


def _take(container: Container, amount: int) -> None:
    """Lower the balance, only if that much is there."""
    taken = Container.objects.filter(pk=container.pk, balance__gte=amount).update(
        balance=F("balance") - amount
    )
    if not taken:
        container.refresh_from_db(fields=["balance"])
        reagent = container.reagent
        raise LedgerError(
            f"{container.code} holds {reagent.text_of(container.balance)}, less than "
            f"{reagent.text_of(amount)}: take less, or take the rest from another container."
        )


def _put(container: Container, amount: int) -> None:
    Container.objects.filter(pk=container.pk).update(balance=F("balance") + amount)


def _locked(container: Container) -> Container:
    """The container as it is now; nobody else writes it until this transaction ends."""
    return Container.objects.select_for_update().select_related("reagent", "location").get(pk=container.pk)


def hold(containers: Iterable[int]) -> None:
    """Lock containers by their keys, in the order of the keys: two acts that share some wait, none deadlocks.

    Call inside the transaction of an act that writes more than one.
    """
    list(Container.objects.select_for_update().filter(pk__in=set(containers)).order_by("pk"))


#: what carries reagent out of a container and back, whole or in part
_CARRIED = (Kind.DRAW, Kind.RETURN)


def _out(container: Container, **of) -> int:
    """What has been drawn and has not come back; `of` narrows it to what belongs to one thing."""
    lines = Movement.objects.filter(
        Q(kind__in=_CARRIED) | Q(kind=Kind.REVERSE, reverses__kind__in=_CARRIED), container=container, **of
    )
    return -lines.aggregate(total=Coalesce(Sum("change"), 0))["total"]


def _check_out(container: Container, amount: int, of: dict) -> None:
    """No more comes back than is out: in all, and for the thing that it belongs to."""
    out = min(_out(container), _out(container, **of)) if of else _out(container)
    if amount > out:
        text = container.reagent.text_of(max(out, 0))
        raise LedgerError(f"Only {text} of {container.code} is out: give back that or less.")


def _check_room(container: Container, balance: int, without: Movement | None = None) -> None:
    """Whether the container can hold that much: its size, or what a count found in it.

    `without` is a line that is about to be reversed.
    """
    seen = container.movements.filter(kind=Kind.COUNT, reversed_by=None)
    if without is not None:
        seen = seen.exclude(pk=without.pk)
    most = max(container.pack_amount, seen.aggregate(most=Max("balance_after"))["most"] or 0)
    if balance > most:
        reagent = container.reagent
        raise LedgerError(
            f"{container.code} would hold {reagent.text_of(balance)}, and {reagent.text_of(most)} is the "
            "most it holds: correct its balance to what is really in it."
        )


def _check_may_touch(container: Container) -> None:
    """Refuse what needs a hand on a bottle that nobody may touch today, whatever day the act is dated."""
    if late := untouchable(container, timezone.localdate()):
        raise LedgerError(f"{hands_off_words()} {container.code}: {late.rule.name.lower()}, {late.why}.")


def _passing_code() -> str:
    """A code that nobody else has, until the row has a number of its own to be named by."""
    return f"new-{uuid.uuid4().hex[:12]}"


def _give_code(container: Container) -> None:
    container.code = f"C-{container.pk:06d}"
    Container.objects.filter(pk=container.pk).update(code=container.code)


def _new_container(**fields) -> Container:
    # The number in the code is the row's own, so that no two can be given the same.
    container = Container(code=_passing_code(), **fields)
    container.save()
    _give_code(container)
    return container


@transaction.atomic
def receive(
    reagent: Reagent,
    location: Location,
    amount: int,
    *,
    who,
    why: str = "delivery",
    on: datetime.date | None = None,
    lot: str = "",
    supplier=None,
    expires_on: datetime.date | None = None,
    opened_on: datetime.date | None = None,
    pack_amount: int | None = None,
    material: str = "",
    note: str = "",
    belongs_to: Model | None = None,
) -> Container:
    """Put a new container on a shelf, `amount` in it. Returns the container."""
    on = on or timezone.localdate()
    _check_amount(amount)
    _check_day(on)
    if reagent.retired_on:
        raise LedgerError(f"{reagent} is retired: bring it back before you receive more of it.")
    container = _new_container(
        reagent=reagent,
        location=location,
        lot=lot,
        supplier=supplier,
        received_on=on,
        opened_on=opened_on,
        expires_on=expires_on,
        pack_amount=max(pack_amount or amount, amount),
        material=material,
        note=note,
    )
    _put(container, amount)
    _line(
        container, Kind.RECEIVE, amount, who=who, why=why, on=on, to_location=location, belongs_to=belongs_to
    )
    return container


@transaction.atomic
def draw(
    container: Container,
    amount: int,
    *,
    who,
    why: str,
    on: datetime.date | None = None,
    belongs_to: Model | None = None,
) -> Movement:
    """Take `amount` out. A sealed container counts as opened from then on.

    Refused from a container that is expired on the day, quarantined, gone, or dangerous to open by its age or
    by a test it failed.
    """
    on = on or timezone.localdate()
    _check_amount(amount)
    _check_day(on)
    container.refresh_from_db(from_queryset=Container.objects.select_for_update())
    late = forbidding(container, on)
    if late and late.hands_off and not container.is_gone:
        words = f"{hands_off_words()} {container.code}: {late.rule.name.lower()}, {late.why}. {late.advice}"
        raise LedgerError(words)
    if container.state == Container.State.QUARANTINED:
        raise LedgerError(f"{container.code} is quarantined ({container.state_reason}): release it first.")
    if container.is_gone:
        raise LedgerError(f"{container.code} is gone: choose another container.")
    if container.is_expired(on):
        raise LedgerError(
            f"{container.code} expired after {day_text(container.usable_until)}: choose another container, "
            "or change its date if the supplier has extended it."
        )
    if late:
        raise LedgerError(f"{container.code}: {late.rule.name.lower()}, {late.why}. {late.advice}")
    _take(container, amount)
    if container.opened_on is None:
        container.opened_on = on
        Container.objects.filter(pk=container.pk).update(
            opened_on=on, usable_until=container.reckon_usable_until()
        )
    return _line(container, Kind.DRAW, -amount, who=who, why=why, on=on, belongs_to=belongs_to)


@transaction.atomic
def give_back(
    container: Container,
    amount: int,
    *,
    who,
    why: str,
    on: datetime.date | None = None,
    belongs_to: Model | None = None,
) -> Movement:
    """Put back unused reagent, at most what is out in all and for the same purpose, and what fits.

    Refused where the container must not be opened any more.
    """
    on = on or timezone.localdate()
    _check_amount(amount)
    _check_day(on)
    _check_may_touch(container)
    if late := forbidding(container, timezone.localdate()):
        raise LedgerError(f"{container.code}: {late.rule.name.lower()}, {late.why}. {late.advice}")
    # The lock makes the sums below final.
    locked = _locked(container)
    if locked.is_gone:
        raise LedgerError(f"{container.code} is gone: nothing can be put back into it.")
    of = {}
    if belongs_to is not None:
        kind = ContentType.objects.get_for_model(belongs_to)
        of = {"belongs_type": kind, "belongs_id": belongs_to.pk}
    _check_out(locked, amount, of)
    _check_room(locked, locked.balance + amount)
    _put(container, amount)
    return _line(container, Kind.RETURN, amount, who=who, why=why, on=on, belongs_to=belongs_to)


@transaction.atomic
def move(
    container: Container, location: Location, *, who, why: str = "moved", on: datetime.date | None = None
) -> Movement:
    """Stand the container somewhere else. Refused for what nobody may touch."""
    on = on or timezone.localdate()
    _check_day(on)
    _check_may_touch(container)
    locked = _locked(container)
    if locked.is_gone:
        raise LedgerError(f"{container.code} is gone: there is nothing to move.")
    before = locked.location
    if before.pk == location.pk:
        raise LedgerError(f"{container.code} stands there already: choose another place.")
    Container.objects.filter(pk=container.pk).update(location=location)
    container.location = location
    return _line(container, Kind.MOVE, 0, who=who, why=why, on=on, from_location=before, to_location=location)


@transaction.atomic
def correct(
    container: Container,
    counted: int,
    *,
    who,
    why: str,
    on: datetime.date | None = None,
    belongs_to: Model | None = None,
) -> Movement | None:
    """Set the balance to what was counted. Returns None where it agreed already."""
    on = on or timezone.localdate()
    _check_amount(counted, least=0)
    _check_day(on)
    locked = _locked(container)
    if locked.is_gone:
        raise LedgerError(
            f"{locked.code} is gone: if it was found again, reverse the line that discarded it."
        )
    change = counted - locked.balance
    if change == 0:
        return None
    _check_may_touch(container)
    if change < 0:
        _take(container, -change)
    else:
        _put(container, change)
    return _line(container, Kind.COUNT, change, who=who, why=why, on=on, belongs_to=belongs_to)


@transaction.atomic
def make_up(
    preparation: Preparation,
    amount: int,
    parts: Iterable[tuple[Container, int]],
    *,
    location: Location,
    who,
    on: datetime.date | None = None,
    expires_on: datetime.date | None = None,
    note: str = "",
    for_what: str = "",
) -> Batch:
    """Draw the parts and put what they make into a new container, all or nothing.

    `parts` are (container, amount) pairs and must cover every part of the preparation.
    """
    on = on or timezone.localdate()
    _check_amount(amount)
    _check_day(on)
    parts = list(parts)
    needed = {part.reagent_id: part.reagent for part in preparation.parts.select_related("reagent")}
    taken = {container.reagent_id for container, _ in parts}
    if missing := [reagent.name for key, reagent in needed.items() if key not in taken]:
        raise LedgerError(f"Choose a container for {', '.join(missing)}: the preparation needs it.")
    if strange := [c.code for c, _ in parts if c.reagent_id not in needed]:
        raise LedgerError(f"{', '.join(strange)} is no part of this preparation: leave it out.")
    batch = Batch.objects.create(preparation=preparation, amount=amount, made_on=on, made_by=who, note=note)
    hold(container.pk for container, _ in parts)
    product = preparation.reagent
    why = f"making up {product.name}" + (f" for {for_what}" if for_what else "")
    for container, part_amount in parts:
        draw(container, part_amount, who=who, why=why, on=on, belongs_to=batch)
    if expires_on is None and product.shelf_life_sealed_days is not None:
        expires_on = on + datetime.timedelta(product.shelf_life_sealed_days)
    container = _new_container(
        reagent=product,
        location=location,
        lot=f"B-{batch.pk:05d}",
        received_on=on,
        expires_on=expires_on,
        pack_amount=amount,
        batch=batch,
    )
    _put(container, amount)
    _line(container, Kind.MAKE_UP, amount, who=who, why=why, on=on, to_location=location, belongs_to=batch)
    return batch


@transaction.atomic
def discard(
    container: Container,
    amount: int | None = None,
    *,
    who,
    why: str,
    on: datetime.date | None = None,
    into: WasteContainer | None = None,
    belongs_to: Model | None = None,
) -> Movement:
    """Throw away `amount`, or all that is left; an emptied container is gone.

    `into` names the waste container that takes it. What nobody may touch goes only whole and into none: that
    writes down that it has been collected.
    """
    on = on or timezone.localdate()
    _check_day(on)
    locked = _locked(container)
    if locked.is_gone:
        raise LedgerError(f"{locked.code} is gone already.")
    amount = locked.balance if amount is None else amount
    _check_amount(amount, least=0)
    if into is not None or amount < locked.balance:
        _check_may_touch(container)
    _take(container, amount)
    if amount == locked.balance:
        Container.objects.filter(pk=container.pk).update(state=Container.State.GONE, state_reason=why[:200])
    line = _line(container, Kind.DISCARD, -amount, who=who, why=why, on=on, belongs_to=belongs_to)
    if into is not None and amount:
        add_waste(
            into,
            amount if into.measure == container.reagent.measure else None,
            description=f"{container.reagent} ({container.code})",
            who=who,
            on=on,
            belongs_to=container,
        )
    return line


@transaction.atomic
def quarantine(container: Container, *, who, why: str, on: datetime.date | None = None) -> Movement:
    """Set a container apart: it stays on the books but cannot be drawn from or planned with."""
    on = on or timezone.localdate()
    changed = Container.objects.filter(pk=container.pk, state=Container.State.IN_USE).update(
        state=Container.State.QUARANTINED, state_reason=(why or "")[:200]
    )
    if not changed:
        raise LedgerError(f"{container.code} is not on the shelf as usable stock.")
    return _line(container, Kind.QUARANTINE, 0, who=who, why=why, on=on)


@transaction.atomic
def release(container: Container, *, who, why: str, on: datetime.date | None = None) -> Movement:
    """End a quarantine. Refused for what nobody may touch."""
    on = on or timezone.localdate()
    _check_may_touch(container)
    changed = Container.objects.filter(pk=container.pk, state=Container.State.QUARANTINED).update(
        state=Container.State.IN_USE, state_reason=""
    )
    if not changed:
        raise LedgerError(f"{container.code} is not quarantined.")
    return _line(container, Kind.RELEASE, 0, who=who, why=why, on=on)


#: kinds that an opposite line makes sense for
REVERSIBLE = (Kind.RECEIVE, Kind.DRAW, Kind.RETURN, Kind.COUNT, Kind.DISCARD)


def ending_line(container: Container) -> Movement | None:
    """The line that a gone container ended with: the only one of it that can still be reversed."""
    if not container.is_gone:
        return None
    return container.movements.filter(kind=Kind.DISCARD, reversed_by=None).order_by("-pk").first()


def _check_reversal(container: Container, line: Movement) -> None:
    """The limits of the act that the opposite line stands for. No bottle is opened: its age does not bear."""
    if container.is_gone and line != (ending := ending_line(container)):
        cure = "reverse the line that discarded it first" if ending else "receive it as a new container"
        raise LedgerError(f"{container.code} is gone: {cure}.")
    if line.kind == Kind.DRAW:
        of = {"belongs_type": line.belongs_type_id, "belongs_id": line.belongs_id}
        _check_out(container, -line.change, of if line.belongs_id else {})
    if line.kind == Kind.RECEIVE and (container.balance != line.change or _out(container)):
        raise LedgerError(
            f"{container.code} no longer holds just what came: reverse what was done with it since first."
        )
    if line.change < 0 or line.kind == Kind.COUNT:
        _check_room(container, container.balance - line.change, without=line)


def _state_after_reversal(container: Container, line: Movement) -> dict:
    """What the state is once `line` counts no more; nothing where it stays."""
    if line.kind == Kind.RECEIVE:
        return {"state": Container.State.GONE, "state_reason": "receipt reversed"}
    if not container.is_gone:
        return {}
    last = container.movements.filter(kind__in=(Kind.QUARANTINE, Kind.RELEASE)).order_by("-pk").first()
    if last and last.kind == Kind.QUARANTINE:
        return {"state": Container.State.QUARANTINED, "state_reason": last.why}
    return {"state": Container.State.IN_USE, "state_reason": ""}


def _take_back_elsewhere(line: Movement, *, who, why: str) -> None:
    """What a line did beside the container: packs of an order that came, waste that was put somewhere."""
    if line.kind == Kind.RECEIVE:
        receipt_reversed.send(sender=Movement, line=line, who=who)
    if line.kind == Kind.DISCARD and (entry := _waste_of(line)):
        strike_waste(entry, who=who, why=why)


def _waste_of(line: Movement) -> WasteEntry | None:
    """What a discard put into a waste container: written after its line and before the container's next."""
    entries = WasteEntry.objects.filter(
        belongs_type=ContentType.objects.get_for_model(Container),
        belongs_id=line.container_id,
        amount=-line.change,
        correction=None,
        at__gte=line.at,
    )
    following = Movement.objects.filter(container=line.container_id, pk__gt=line.pk).order_by("pk").first()
    if following:
        entries = entries.filter(at__lt=following.at)
    return entries.order_by("pk").first()


@transaction.atomic
def reverse(movement: Movement, *, who, why: str, on: datetime.date | None = None) -> Movement:
    """Write the opposite of a line that was a mistake, once, within the limits of the act it mirrors.

    A container that was discarded comes back as it was, quarantined too; an order expects again what is taken
    off a receipt; what a discard put into a waste container is struck out there.
    """
    on = on or timezone.localdate()
    _check_day(on)
    if movement.kind not in REVERSIBLE:
        raise LedgerError(
            f"A line “{movement.get_kind_display()}” This entry cannot be reversed: record a new movement."
        )
    container = _locked(movement.container)
    if Movement.objects.filter(reverses=movement).exists():
        raise LedgerError("This line has been reversed already.")
    _check_reversal(container, movement)
    if movement.change > 0:
        _take(container, movement.change)
    else:
        _put(container, -movement.change)
    if state := _state_after_reversal(container, movement):
        Container.objects.filter(pk=container.pk).update(**state)
    line = _line(
        container,
        Kind.REVERSE,
        -movement.change,
        who=who,
        why=why,
        on=on,
        reverses=movement,
        belongs_to=movement.belongs_to,
    )
    _take_back_elsewhere(movement, who=who, why=why)
    return line


def _waste_code(pk: int) -> str:
    return f"W-{pk:05d}"


@transaction.atomic
def open_waste(
    *, stream: str, capacity: int, measure: str, location: Location, started_on: datetime.date, note: str = ""
) -> WasteContainer:
    """Start a waste container."""
    _check_amount(capacity)
    waste = WasteContainer.objects.create(
        code=_passing_code(),
        stream=stream,
        capacity=capacity,
        measure=measure,
        location=location,
        started_on=started_on,
        note=note,
    )
    waste.code = _waste_code(waste.pk)
    waste.save(update_fields=["code"])
    return waste


@transaction.atomic
def add_waste(
    waste: WasteContainer,
    amount: int | None,
    *,
    description: str,
    who,
    on: datetime.date | None = None,
    ph=None,
    composition: dict | None = None,
    belongs_to: Model | None = None,
) -> WasteEntry:
    """Put waste into a waste container, guarded against overfilling.

    `amount` is None where what was put in is measured another way (a solid into a liquid): say so.
    """
    on = on or timezone.localdate()
    _check_day(on)
    if amount is None:
        raise LedgerError(
            f"{waste.code} is measured {waste.get_measure_display()}: enter the amount in that measure, "
            "or choose a waste container that fits."
        )
    _check_amount(amount)
    changed = WasteContainer.objects.filter(
        pk=waste.pk, closed_on=None, collected_on=None, contents__lte=F("capacity") - amount
    ).update(contents=F("contents") + amount)
    if not changed:
        waste.refresh_from_db()
        if waste.closed_on or waste.collected_on:
            raise LedgerError(f"{waste.code} is closed: choose or start another waste container.")
        raise LedgerError(f"{waste.code} has not that much room left: start another waste container.")
    return WasteEntry.objects.create(
        waste_container=waste,
        description=description[:200],
        amount=amount,
        ph=ph,
        composition=composition or {},
        added_on=on,
        who=who,
        belongs_to=belongs_to,
    )


@transaction.atomic
def strike_waste(entry: WasteEntry, *, who, why: str) -> WasteCorrection:
    """Take back an entry that was a slip: it stays to be read, and its amount is off the container.

    Refused once the container has been collected, or for an entry that is struck out already.
    """
    if not (why or "").strip():
        raise LedgerError(
            "Say what was wrong: a line that is struck out without a reason helps nobody later."
        )
    if WasteCorrection.objects.filter(entry=entry).exists():
        raise LedgerError("This entry is struck out already.")
    changed = WasteContainer.objects.filter(
        pk=entry.waste_container_id, collected_on=None, contents__gte=entry.amount
    ).update(contents=F("contents") - entry.amount)
    if not changed:
        raise LedgerError("The container has been collected: tell the collector what was wrong.")
    return WasteCorrection.objects.create(entry=entry, why=why.strip()[:200], who=who)


@dataclass(frozen=True)
class Discrepancy:
    """A container whose kept balance is not the sum of its lines."""

    code: str
    balance: int
    lines: int


def prove() -> tuple[int, list[Discrepancy]]:
    """Compare every balance with the sum of its lines. Returns (containers looked at, those that differ)."""
    rows = Container.objects.annotate(lines=Coalesce(Sum("movements__change"), 0)).order_by("pk")
    wrong = [
        Discrepancy(code, balance, lines)
        for code, balance, lines in rows.exclude(balance=F("lines")).values_list("code", "balance", "lines")
    ]
    return Container.objects.count(), wrong
