"""What a booking leaves over, and where it went: from the outcome into the waste log or the drain log.

It is the outcome of one showing as many times as there were showings. What cannot be worked out counts as not
known, with the hazards of everything that went in.
"""

from dataclasses import dataclass, replace

from demos.consumption.takes import chosen_of
from demos.models import Booking
from demos.models.booking import booking_type
from demos.report import beaker
from stockroom.chemistry.quantity import VOLUME, format_amount
from stockroom.chemistry.residue import Residue
from stockroom.inventory.models import WasteContainer, WasteEntry
from stockroom.safety.streams import Stream, stream_for
from stockroom.safety.waste import Characterisation, Waste, WasteRules, characterise
from stockroom.waste import composition
from stockroom.waste.models import DrainEntry

#: what `of_booking` reads of a booking
PREFETCH = ("choices", *(f"demonstration__{name}" for name in beaker.PREFETCH))


@dataclass(frozen=True)
class LeftOver:
    """All that a booking leaves. doubted: as `beaker.Disposal` has it.

    wrong: why it could not be worked out, "" if it was. gaps: what the steps do not tell, in sentences.
    """

    waste: Waste
    doubted: Waste
    character: Characterisation
    stream: Stream
    stream_why: str
    wrong: str
    gaps: tuple[str, ...]

    @property
    def volume_ul(self) -> int:
        return self.waste.residue.volume_ul

    def of_volume(self, volume_ul: int, ph: float | None = None) -> "LeftOver":
        """So much of the same, with the pH as it was measured."""
        factor = volume_ul / self.volume_ul if self.volume_ul else 1
        waste, doubted = (composition.scaled(one, factor) for one in (self.waste, self.doubted))
        if not self.volume_ul:
            waste, doubted = (
                replace(one, residue=replace(one.residue, volume_ul=volume_ul)) for one in (waste, doubted)
            )
        if ph is not None:
            waste, doubted = (replace(one, residue=replace(one.residue, ph=ph)) for one in (waste, doubted))
        return replace(self, waste=waste, doubted=doubted)


def of_booking(booking: Booking, rules: WasteRules) -> LeftOver | None:
    """What is left after all its showings; None where it takes nothing. Prefetch PREFETCH."""
    demonstration, chosen = booking.demonstration, chosen_of(booking)
    if not demonstration.ingredients.all():
        return None
    found = beaker.foresee(demonstration, booking.scale, chosen, rules)
    if found.disposal is None:
        wrong = found.wrong or "no step says how much it puts into a beaker"
        residue = Residue(0, None, unknown=(f"the remains of {demonstration}",))
        waste = doubted = beaker.as_it_went_in(residue, demonstration, chosen)
    else:
        wrong = ""
        waste, doubted = (
            composition.scaled(one, booking.showings)
            for one in (found.disposal.waste, found.disposal.doubted)
        )
    stream, why = stream_for(waste, rules)
    return LeftOver(waste, doubted, characterise(waste, rules), stream, why, wrong, found.gaps)


@dataclass(frozen=True)
class Written:
    """One line of where it went. container: None for the drain."""

    text: str
    container: WasteContainer | None


def written(booking: Booking) -> list[Written]:
    """Where what was left of a booking went, as far as it is written down. Two queries."""
    mine = {"belongs_type": booking_type(), "belongs_id": booking.pk}
    into = WasteEntry.objects.filter(**mine, correction=None).select_related("waste_container")
    return [
        *(
            Written(format_amount(row.amount, row.waste_container.measure), row.waste_container)
            for row in into
        ),
        *(Written(format_amount(row.amount, row.measure), None) for row in DrainEntry.objects.filter(**mine)),
    ]


def text_of(left: LeftOver) -> str:
    """How much it is, "" where nobody knows."""
    return format_amount(left.volume_ul, VOLUME, figures=3) if left.volume_ul else ""
