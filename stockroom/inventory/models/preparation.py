"""How one reagent is made up from others, and each making-up."""

from django.conf import settings
from django.db import models
from django.urls import reverse

from stockroom.common.amount_field import AmountField
from stockroom.inventory.models.reagent import Reagent


class Preparation(models.Model):
    reagent = models.ForeignKey(Reagent, on_delete=models.CASCADE, related_name="preparations")
    name = models.CharField(max_length=160, blank=True, help_text="Only where there are several ways.")
    yield_amount = AmountField("makes")
    method = models.TextField(blank=True, help_text="One step a line.")
    #: days between making up and being fit for use (standing overnight, settling)
    lead_days = models.PositiveSmallIntegerField("ready after (days)", default=0)
    retired_on = models.DateField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["reagent__name", "id"]
        constraints = [models.CheckConstraint(condition=models.Q(yield_amount__gt=0), name="yield_positive")]

    def __str__(self):
        return self.name or f"Making up {self.reagent}"

    def get_absolute_url(self):
        return reverse("preparation-detail", args=[self.pk])


class PreparationPart(models.Model):
    preparation = models.ForeignKey(Preparation, on_delete=models.CASCADE, related_name="parts")
    reagent = models.ForeignKey(Reagent, on_delete=models.PROTECT, related_name="used_in")
    amount = AmountField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=models.Q(amount__gt=0), name="part_positive"),
            models.UniqueConstraint(fields=["preparation", "reagent"], name="part_once"),
        ]

    def __str__(self):
        return f"{self.reagent} {self.reagent.text_of(self.amount)}"


class Batch(models.Model):
    """One making-up. Written by the ledger."""

    preparation = models.ForeignKey(Preparation, on_delete=models.PROTECT, related_name="batches")
    amount = AmountField()
    made_on = models.DateField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["-made_on", "-id"]
        verbose_name_plural = "batches"
        permissions = [("make_up", "Can make up reagents")]

    def __str__(self):
        return f"Batch {self.pk} of {self.preparation.reagent}"

    def get_absolute_url(self):
        return reverse("batch-detail", args=[self.pk])
