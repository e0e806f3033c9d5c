"""A stock count of one place."""

from django.conf import settings
from django.db import models
from django.urls import reverse

from stockroom.common.amount_field import AmountField
from stockroom.inventory.models.container import Container
from stockroom.inventory.models.location import Location


class StockCount(models.Model):
    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="counts")
    started_on = models.DateField()
    counted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    closed_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-started_on", "-id"]

    def __str__(self):
        return f"Count of {self.location}"

    def get_absolute_url(self):
        return reverse("count-detail", args=[self.pk])


class CountLine(models.Model):
    count = models.ForeignKey(StockCount, on_delete=models.CASCADE, related_name="lines")
    container = models.ForeignKey(Container, on_delete=models.PROTECT, related_name="+")
    #: what the ledger said when it was counted
    expected = AmountField(null=True)
    counted = AmountField(null=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["container__reagent__name", "container__code"]
        constraints = [models.UniqueConstraint(fields=["count", "container"], name="counted_once")]

    def __str__(self):
        return str(self.container)

    @property
    def difference(self) -> int:
        """What was found more (less, if negative) than the ledger said; 0 where it is not counted."""
        return 0 if self.counted is None else self.counted - self.expected
