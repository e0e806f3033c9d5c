"""Where migrations that have landed look for it: they are never edited."""

from stockroom.inventory.models.chemical import validate_cas, validate_formula

__all__ = ["validate_cas", "validate_formula"]
