"""What the stockroom already knows of a shelf before somebody stands in front of it."""

from dataclasses import dataclass


@dataclass(frozen=True)
class KnownFault:
    """Something the stockroom already knows to be wrong here, worst first."""

    what: str  # "0127 sulfuric acid 96 %: expired 3 Sep 2026"
    cure: str = ""
    source: str = ""
