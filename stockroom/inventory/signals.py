"""What the ledger tells the rooms above it, which it does not know."""

from django.dispatch import Signal

#: a receipt was reversed: sent inside the reversal's transaction with `line` (the receipt) and `who`
receipt_reversed = Signal()
