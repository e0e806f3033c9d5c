"""Puts the sample demonstrations into the database."""

from demos.models import Alternative, Demonstration, Equipment, Ingredient, Reaction, Step, Topic
from demos.report import beaker, cleanup
from demos.sample import read
from demos.sample.read import amount
from demos.sample.shelves import Reagents

#: rows of a file that go into the demonstration as they are
_TEXTS = [
    *("title", "summary", "audience", "minutes", "prep_minutes", "spill_percent", "explanation"),
    *("protection", "ventilation", "ventilation_note", "ignition_note", "distance_m", "safety_note"),
    *("clean_up", "cleanup_route", "cleanup_stream", "source_note"),
]


def demonstrations() -> list[dict]:
    """Every demonstration of the data files, as read."""
    folder = sorted((read.DATA / "demonstrations").glob("*.toml"))
    return [row for path in folder for row in read.toml(f"demonstrations/{path.name}")["demonstration"]]


def load(reagents: Reagents, authors: list) -> dict[str, Demonstration]:
    """Demonstrations by title, written by the teachers in turn."""
    made = {
        row["title"]: _one(row, reagents, authors[number % len(authors)])
        for number, row in enumerate(demonstrations())
    }
    _code_cleanup()
    return made


def _code_cleanup() -> None:
    """The coded route of each whose remains can be worked out and whose file names none."""
    for row in Demonstration.objects.filter(cleanup_route="").prefetch_related(*beaker.PREFETCH):
        if way := cleanup.computed(row):
            row.cleanup_route, row.cleanup_stream = way.route, way.stream
            row.save(update_fields=["cleanup_route", "cleanup_stream"])


def _one(row: dict, reagents: Reagents, author) -> Demonstration:
    texts = {name: row[name] for name in _TEXTS if name in row}
    texts["explanation"] = texts["explanation"].strip()
    demonstration = Demonstration.objects.create(written_by=author, **texts)
    demonstration.topics.set(Topic.objects.get_or_create(name=name)[0] for name in row["topics"])
    ingredients = {
        key: _ingredient(demonstration, reagents, key, part) for key, part in row["ingredients"].items()
    }
    Equipment.objects.bulk_create(
        Equipment(demonstration=demonstration, name=name, quantity=quantity)
        for name, quantity in row["equipment"].items()
    )
    Step.objects.bulk_create(
        _step(demonstration, ingredients, number, step) for number, step in enumerate(row["steps"], 1)
    )
    Reaction.objects.bulk_create(
        Reaction(demonstration=demonstration, equation=text) for text in row["reactions"]
    )
    return demonstration


def _ingredient(demonstration: Demonstration, reagents: Reagents, key: str, part: dict) -> Ingredient:
    reagent = reagents[key]
    ingredient = Ingredient.objects.create(
        demonstration=demonstration,
        reagent=reagent,
        first_amount=amount(part["first"], reagent.measure),
        repeat_amount=amount(part.get("repeat", "0"), reagent.measure),
        group_amount=amount(part.get("group", "0"), reagent.measure),
        returns=part.get("returns", False),
        note=part.get("note", ""),
    )
    for other, (this, per, note) in part.get("alternatives", {}).items():
        Alternative.objects.create(
            ingredient=ingredient,
            reagent=reagents[other],
            amount=reagents.amount(other, this),
            per_amount=amount(per, reagent.measure),
            note=note,
        )
    return ingredient


def _step(demonstration: Demonstration, ingredients: dict[str, Ingredient], number: int, step: dict) -> Step:
    adds = ingredients.get(step.get("adds"))
    return Step(
        demonstration=demonstration,
        number=number,
        text=step["text"],
        adds=adds,
        adds_amount=amount(step["amount"], adds.reagent.measure) if adds else None,
        portions=step.get("portions", 1),
        temperature_c=step.get("celsius"),
    )
