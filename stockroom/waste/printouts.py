"""What is waiting to be got rid of as the lines of the disposal sheet."""

import datetime

from stockroom.inventory.ageing_items import dues_of, hands_off_words
from stockroom.inventory.models import Container, Reagent, WasteContainer
from stockroom.safety import route as ways
from stockroom.safety.ageing import Due
from stockroom.safety.label import LabelElements
from stockroom.safety.sewer import Route, SewerPermission
from stockroom.safety.streams import waste_label
from stockroom.safety.waste import Waste, WasteRules, characterise
from stockroom.waste import composition, disposal, sewer_discharge
from stockroom.waste.sheets import disposal as sheet
from stockroom.waste.sheets.disposal import Item
from stockroom.wording.days import day_text
from stockroom.wording.sentences import and_more

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
    reagent, label = container.reagent, container.reagent.label
    why, late = disposal.why_of(container, on), _untouchable(container, on)
    waste = composition.of_reagent(reagent, container.balance, unused=True)
    is_sure = reagent.is_classified and reagent.is_verified and why.kind != "quarantined"
    route = disposal.to_drain(waste, permission, rules) if is_sure and not late else None
    how, source = _how(reagent, late, route)
    return Item(
        kind=why.kind,
        what=reagent.name,
        number=container.code,
        amount=container.balance_text,
        place=container.location.path,
        why=why.words + (f"; {late.rule.name}, {late.why}" if late else ""),
        how=how,
        route=_route_words(reagent, route, late is not None),
        hazard=_hazard(label, waste, rules) if reagent.is_classified else "",
        pictograms=tuple(label.pictograms),
        source=source,
        do_not_open=late is not None,
        is_checked=reagent.is_verified,
    )


def _untouchable(container: Container, on: datetime.date) -> Due | None:
    """What makes it dangerous with age so that nobody may open it, the gravest first."""
    late = (due for due in dues_of(container, on) if due.overdue and due.rule.dangerous)
    return next((due for due in late if due.kind in ("stop", "discard")), None)


def _how(reagent: Reagent, late: Due | None, route: Route | None) -> tuple[str, str]:
    """What to do with it, and who says so."""
    if late:
        return _hands_off(late), late.rule.source
    if route:
        return " ".join(route.steps), ""
    note = disposal.how_to_collect(reagent)
    return (note, reagent.source) if note else (KEEP, "")


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


def _hazard(label: LabelElements, waste: Waste, rules: WasteRules) -> str:
    words = "; ".join(statement.text for statement in label.statements) or "no hazard class applies"
    codes = ", ".join(code.code for code in characterise(waste, rules).codes)
    return f"{words} ({codes})" if codes else words


def item_of_waste(container: WasteContainer, rules: WasteRules) -> Item:
    label = waste_label(composition.contents_of(container), container.started_on, rules)
    full = round(100 * container.contents / container.capacity)
    return Item(
        kind="waste",
        what=f"{composition.stream_name(container.stream)}: "
        + (and_more(composition.named_contents(container, label), 8) or "empty"),
        number=container.code,
        amount=container.contents_text,
        place=container.location.path,
        why=f"waste since {day_text(container.started_on)}, {full} % full",
        how="Keep it closed except while adding; hand it over with this sheet.",
        hazard="; ".join((label.words, *label.hazards, *label.codes)),
        source=label.source,
        is_checked=True,
    )
