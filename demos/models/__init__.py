"""The nouns of the demonstrations, one file each."""

from demos.models.booking import Booking, BookingChoice, Run, RunLine
from demos.models.demonstration import (
    Alternative,
    Demonstration,
    Equipment,
    Ingredient,
    Reaction,
    Step,
    Topic,
)
from demos.models.timetable import Period, Room

__all__ = [
    "Alternative",
    "Booking",
    "BookingChoice",
    "Demonstration",
    "Equipment",
    "Ingredient",
    "Period",
    "Reaction",
    "Room",
    "Run",
    "RunLine",
    "Step",
    "Topic",
]
