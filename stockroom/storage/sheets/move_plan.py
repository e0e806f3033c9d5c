"""The move plan: the fewest moves after which nothing incompatible storage."""

from dataclasses import dataclass

from stockroom.paper import kit
from stockroom.paper.kit import Column, Head, Sheet


@dataclass(frozen=True)
class Move:
    """One container to carry, in the order of the plan."""

    number: str
    reagent: str
    amount: str
    here: str
    there: str
    why: str  # "beside sodium chlorate: fire on contact"
    source: str = ""  # "49 CFR 177.848(d)"
    care: str = ""  # "carry in a bottle carrier", "two people"
    formula: str = ""
    pictograms: tuple[str, ...] = ()


@dataclass(frozen=True)
class Unsolved:
    """A conflict for which no place in the stockroom would do."""

    what: str
    place: str
    why: str
    cure: str  # "a ventilated cabinet, or dispose of one of the two"


@dataclass(frozen=True)
class MovePlan:
    """`conflicts` is how many the plan removes. The first `waste` of the moves go into the waste.

    `hands_off` are warnings of what nobody may touch, each a sentence that says what and where.
    """

    head: Head
    moves: tuple[Move, ...]
    conflicts: int = 0
    unsolved: tuple[Unsolved, ...] = ()
    waste: int = 0
    hands_off: tuple[str, ...] = ()


def render(data: MovePlan, paper: str = "A4") -> bytes:
    """The plan as PDF: moves to tick off in order, then what no move can cure."""
    sheet = Sheet(data.head, paper)
    for warning in data.hands_off:
        sheet.paragraph(kit.warning(warning))
    if not data.moves and not data.unsolved:
        sheet.paragraph("Nothing is stored beside something incompatible: no move is needed.")
        return sheet.pdf()
    if data.moves:
        moves = kit.count(len(data.moves) - data.waste, "move")
        conflicts = kit.count(data.conflicts, "conflict")
        first = f"{kit.count(data.waste, 'container')} into the waste first, then " if data.waste else ""
        words = f"{first}{moves} for {conflicts}. Keep to the order; one container at a time."
        sheet.paragraph(kit.strong(words))
    sheet.table(
        [
            Column("", points=15),
            Column("", points=22, align="right"),
            Column("Number", points=42),
            Column("Reagent", 2.4),
            Column("From", 1.7),
            Column("To", 1.7),
            Column("Why", 2.6),
        ],
        [_row(number, move) for number, move in enumerate(data.moves, start=1)],
        empty="No move would help.",
    )
    if data.unsolved:
        sheet.section("No safe place found", "These need another place, or one of the two has to go.")
        sheet.table(
            [Column("What", 2), Column("Where", 1.5), Column("Why", 2), Column("How to fix it", 2)],
            [(u.what, u.place, u.why, kit.strong(u.cure)) for u in data.unsolved],
        )
    sheet.signatures(["Moved by"])
    return sheet.pdf()


def _row(number: int, move: Move) -> tuple[object, ...]:
    what = kit.join((kit.named(move.reagent, move.formula), move.amount))
    return (
        kit.TickBox(),
        str(number),
        move.number,
        [what, kit.hazards(move.pictograms, 13), kit.warning(move.care) if move.care else ""],
        move.here,
        kit.strong(move.there),
        kit.join((move.why, kit.small(move.source) if move.source else ""), " "),
    )
