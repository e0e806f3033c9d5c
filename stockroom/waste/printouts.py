"""What is waiting to be got rid of as the lines of the disposal sheet."""

import datetime
from collections.abc import Iterable

from stockroom.inventory.ageing_items import dues_of, hands_off_words
from stockroom.inventory.models import Container, Reagent, WasteContainer
from stockroom.safety import route as ways
from stockroom.safety.ageing import Due
from stockroom.safety.label import label_elements
from stockroom.safety.sewer import Route, SewerPermission
from stockroom.safety.streams import waste_label
from stockroom.safety.waste import WasteRules, characterise
from stockroom.waste import composition, disposal, sewer_discharge
from stockroom.waste.sheets import disposal as sheet
from stockroom.waste.sheets.disposal import Item

ROUTES = {"collect": sheet.COLLECT, "drain": "Drain", "neutralise": "Neutralize, drain"}
KEEP = "Keep it closed and upright; hand it over with its safety data sheet."


def items(on: datetime.date) -> tuple[Item, ...]:
    """Every line of the disposal sheet. The number of queries does not grow with the lines."""
    rules, permission = composition.rules(), sewer_discharge.permission_on(on)
    shelves = [item_of_container(container, on, rules, permission) for container in disposal.waiting(on)]
    open_waste = composition.with_entries(WasteContainer.objects.filter(collected_on=None))
    return (*shelves, *(item_of_waste(container, rules) for container in open_waste))


def item_of_container(
    container: Container,
    on: datetime.date,
    rules: WasteRules,
    permission: SewerPermission | None = None,
) -> Item:
    reagent = container.reagent
    known = reagent.hazard_state != Reagent.HazardState.UNKNOWN
    hazards = list(reagent.hazards.all())
    label = label_elements([hazard.hazard_class for hazard in hazards] if known else None)
    late = [due for due in dues_of(container, on) if due.overdue and due.rule.dangerous]
    untouchable = next((due for due in late if due.kind in ("stop", "discard")), None)
    why, note = disposal.why_of(container, on), disposal.how_to_collect(reagent)
    waste = composition.of_reagent(reagent, container.balance, unused=True)
    codes = ", ".join(code.code for code in characterise(waste, rules).codes) if known else ""
    is_checked = all(hazard.is_checked for hazard in hazards) and reagent.is_checked
    may_drain = known and is_checked and not untouchable and why.kind != "quarantined"
    route = disposal.to_drain(waste, permission, rules) if may_drain else None
    return Item(
        kind=why.kind,
        what=reagent.name,
        number=container.code,
        amount=container.balance_text,
        place=container.location.path,
        why=why.words + (f"; {untouchable.rule.name}, {untouchable.why}" if untouchable else ""),
        how=_hands_off(untouchable) if untouchable else " ".join(route.steps) if route else note or KEEP,
        route=_route_words(reagent, route, untouchable is not None),
        hazard=_hazard(label, codes, known),
        pictograms=tuple(label.pictograms),
        source=untouchable.rule.source if untouchable else (reagent.source if note and not route else ""),
        do_not_open=untouchable is not None,
        is_checked=is_checked,
    )


def _route_words(reagent: Reagent, route: Route | None, untouchable: bool) -> str:
    """The reagent's own route where somebody collects it one way or another, else plain collecting."""
    if untouchable:
        return ways.ROUTES[ways.CALL]
    if route:
        return ROUTES[route.way]
    return ways.ROUTES[
        reagent.disposal_route if reagent.disposal_route in disposal.COLLECTED else ways.COLLECT
    ]


def _hands_off(due: Due) -> str:
    """What is to be done with what is dangerous with age, the action first."""
    return f"{hands_off_words()} {due.advice}" if due.hands_off else due.advice


def _hazard(label, codes: str, known: bool) -> str:
    if not known:
        return ""
    words = "; ".join(statement.text for statement in label.statements) or "no hazard class applies"
    return f"{words} ({codes})" if codes else words


def item_of_waste(container: WasteContainer, rules: WasteRules) -> Item:
    label = waste_label(composition.contents_of(container), container.started_on, rules)
    full = round(100 * container.contents / container.capacity)
    return Item(
        kind="waste",
        what=f"{composition.stream_name(container.stream)}: "
        + _listed(composition.named_contents(container, label)),
        number=container.code,
        amount=container.contents_text,
        place=container.location.path,
        why=f"waste since {disposal.day(container.started_on)}, {full} % full",
        how="Keep it closed except while adding; hand it over with this sheet.",
        hazard="; ".join((label.words, *label.hazards, *label.codes)),
        source=label.source,
        is_checked=True,
    )


def _listed(names: Iterable[str], most: int = 8) -> str:
    names = list(names)
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return (", ".join(names[:most]) or "empty") + more
