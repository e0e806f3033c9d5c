"""Prove that what a waste container holds is the sum of its entries that are not struck out."""

from django.db.models import F, Q, Sum
from django.db.models.functions import Coalesce

from stockroom.inventory.models import WasteContainer


def contents() -> tuple[int, list[str]]:
    """(waste containers looked at, what is wrong, in words)."""
    counted = Sum("entries__amount", filter=Q(entries__correction=None))
    rows = WasteContainer.objects.annotate(lines=Coalesce(counted, 0)).order_by("pk")
    wrong = [
        f"{code}: holds {held}, its entries add up to {lines}"
        for code, held, lines in rows.exclude(contents=F("lines")).values_list("code", "contents", "lines")
    ]
    return WasteContainer.objects.count(), wrong
