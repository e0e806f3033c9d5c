"""Narrowing rows to those in which every word of a text occurs."""

from collections.abc import Callable

from django.db.models import QuerySet

MAX_TEXT, MAX_WORDS = 100, 6


_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")


def _every_word(rows: QuerySet, text: str, finds: Callable) -> QuerySet:
    for word in text.translate(_SUBSCRIPTS).split()[:MAX_WORDS]:
        rows = rows.filter(finds(word))
    return rows
