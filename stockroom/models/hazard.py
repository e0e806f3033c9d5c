"""Where migrations that have landed look for it: they are never edited."""

from stockroom.hazards.models import validate_hazard_class, validate_sheet_file

__all__ = ["validate_hazard_class", "validate_sheet_file"]
