"""Amounts set aside for a day and a purpose."""

from django.contrib.contenttypes.fields import GenericForeignKey
from django.contrib.contenttypes.models import ContentType
from django.db import models

from stockroom.common.amount_field import AmountField
from stockroom.inventory.models.reagent import Reagent


class Reservation(models.Model):
    """Rows are live: what no longer needs the stock deletes its rows, so that a sum is a claim."""

    reagent = models.ForeignKey(Reagent, on_delete=models.PROTECT, related_name="reservations")
    amount = AmountField()
    needed_on = models.DateField(db_index=True)
    #: comes back whole (a catalyst, an electrode): claimed for the day, not used up
    returns = models.BooleanField(default=False)
    purpose = models.CharField(max_length=200)
    belongs_type = models.ForeignKey(ContentType, on_delete=models.CASCADE, related_name="+")
    belongs_id = models.PositiveBigIntegerField()
    belongs_to = GenericForeignKey("belongs_type", "belongs_id")

    class Meta:
        ordering = ["needed_on", "id"]
        indexes = [
            models.Index(fields=["belongs_type", "belongs_id"]),
            models.Index(fields=["reagent", "needed_on"]),
        ]
        constraints = [
            models.CheckConstraint(condition=models.Q(amount__gt=0), name="reservation_positive"),
        ]

    def __str__(self):
        return f"{self.reagent.text_of(self.amount)} of {self.reagent} for {self.purpose}"
