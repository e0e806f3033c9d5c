"""Incompatible storage in the whole stockroom, and the fewest moves that put it right."""

from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.shortcuts import render

from stockroom.chemistry.quantity import format_amount
from stockroom.common.views.printing import pdf, sheet_head
from stockroom.inventory.ageing_items import hands_off_words
from stockroom.inventory.models import StorageKind
from stockroom.safety.label import label_elements
from stockroom.safety.move_plan import MovePlan
from stockroom.safety.storage import SEVERITIES, STAYS, Conflict, Item, wanted_kind
from stockroom.storage.advice import Shelves, containers_of, troubles
from stockroom.storage.sheets import move_plan as sheet

ROWS_A_PAGE = 25
CHOICES = (("caution", "All"), ("serious", "Severe and serious"), ("severe", "Severe only"))


def _asked(request) -> str:
    """The least severity that `?at_least=` names; all where it names none."""
    asked = request.GET.get("at_least", "")
    return asked if asked in SEVERITIES else SEVERITIES[-1]


@permission_required("stockroom.view_location", raise_exception=True)
def conflict_list(request):
    """Every conflict, worst first, each with where either side would be safe."""
    shelves = Shelves.read()
    at_least = _asked(request)
    everything = shelves.conflicts()
    found = [one for one in everything if SEVERITIES.index(one.severity) <= SEVERITIES.index(at_least)]
    page = Paginator(found, ROWS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "troubles": troubles(shelves, page.object_list),
        "counts": [(word, sum(one.severity == word for one in everything)) for word in SEVERITIES],
        "total": len(everything),
        "at_least": at_least,
        "choices": CHOICES,
        "unknown": sum(not item.classified for item in shelves.items),
    }
    return render(request, "storage/conflict_list.html", context)


def _why(item: Item, found: list[Conflict]) -> tuple[str, str]:
    """(in words, source) of the worst conflict that carrying a container off ends."""
    for one in found:
        if item.id in (*one.ids_a, *one.ids_b):
            other = one.item_b if item.id in one.ids_a else one.item_a
            return f"with {other.name}: {one.consequence}", f"{one.apart}. {one.rule}; {one.source}"
    return "makes room", ""


def _steps(plan: MovePlan, found: list[Conflict]) -> list[dict]:
    """Into the waste first, then the moves; `move` is None for what goes into the waste."""
    carried = [*((item, None) for item in plan.waste), *((move.item, move) for move in plan.moves)]
    rows = containers_of(item.id for item, _ in carried)
    steps = []
    for item, move in carried:
        why, source = _why(item, found)
        if move is None:
            why = f"{item.fate_why}; {why}"
        steps.append({"item": item, "move": move, "container": rows[item.id], "why": why, "source": source})
    return steps


@permission_required("stockroom.view_location", raise_exception=True)
def move_plan(request):
    """The fewest moves after which nothing incompatible storage."""
    shelves, at_least = Shelves.read(), _asked(request)
    found, plan = shelves.conflicts(at_least), shelves.plan(at_least)
    context = {
        "plan": plan,
        "steps": _steps(plan, found),
        "hands_off": containers_of(item.id for item in plan.hands_off).values(),
        "conflicts": len(found),
        "cured": len(found) - len(plan.left),
        "kinds": _kinds_missing(plan),
        "at_least": at_least,
        "choices": CHOICES,
    }
    return render(request, "storage/move_plan.html", context)


def _kinds_missing(plan: MovePlan) -> list[str]:
    kinds = {wanted_kind(item) for one in plan.left for item in (one.item_a, one.item_b)} - {STAYS}
    return [StorageKind(kind).label.lower() for kind in sorted(kinds)]


def _cure(conflict: Conflict) -> str:
    """What would part two things for which the plan found no place."""
    kinds = dict.fromkeys(wanted_kind(item) for item in (conflict.item_a, conflict.item_b))
    labels = [StorageKind(kind).label.lower() for kind in kinds if kind != STAYS]
    place = f"another place for {' or '.join(labels)}, or " if labels else ""
    return f"{place}one of the two goes"


@permission_required("stockroom.view_location", raise_exception=True)
def move_plan_sheet(request):
    shelves, at_least = Shelves.read(), _asked(request)
    found, plan = shelves.conflicts(at_least), shelves.plan(at_least)
    proof = (
        "No plan has fewer moves."
        if plan.proven
        else f"Not proven the shortest: at least {plan.at_least} moves."
    )
    head = sheet_head(request, "Move plan", "the containers and their places", proof)
    data = sheet.MovePlan(
        head=head,
        moves=tuple(_printed(step) for step in _steps(plan, found)),
        conflicts=len(found) - len(plan.left),
        waste=len(plan.waste),
        hands_off=tuple(
            f"{hands_off_words()} {container}, {container.location}"
            for container in containers_of(item.id for item in plan.hands_off).values()
        ),
        unsolved=tuple(
            sheet.Unsolved(
                f"{one.item_a.name} and {one.item_b.name}",
                one.place.name,
                f"{one.consequence}. {one.apart} ({one.rule})",
                _cure(one),
            )
            for one in plan.left
        ),
    )
    return pdf(request, sheet.render, data, "move plan")


def _printed(step: dict) -> sheet.Move:
    move, container, item = step["move"], step["container"], step["item"]
    keys = sorted(item.hazard_keys) if item.classified else None
    care = [] if item.classified else ["Not classified yet: treat as hazardous"]
    if move and move.set_aside:
        care.append("Take it out first. Put it down when the rest is done")
    return sheet.Move(
        number=container.code,
        reagent=item.name,
        amount=format_amount(container.balance, container.reagent.measure),
        here=container.location.path,
        there=move.target.name if move else "Waste: not onto another shelf",
        why=step["why"],
        source=step["source"],
        care=". ".join(care),
        pictograms=tuple(label_elements(keys).pictograms),
    )
