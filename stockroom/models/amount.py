"""Where migrations that have landed look for it: they are never edited."""

from stockroom.common.amount_field import AmountField

__all__ = ["AmountField"]
