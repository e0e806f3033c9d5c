"""A sentence of safety data with where it comes from."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Statement:
    """Something said about the reagent and who says so."""

    text: str
    source: str = ""  # "29 CFR 1910.1200 App. C", "supplier's sheet, rev. 3", "from memory"
    is_checked: bool = False
