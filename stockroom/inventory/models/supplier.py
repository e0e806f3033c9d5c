"""Suppliers, and what they offer in which pack at what price."""

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from stockroom.common.amount_field import AmountField
from stockroom.inventory.models.reagent import Reagent


class Supplier(models.Model):
    name = models.CharField(max_length=120, unique=True)
    account = models.CharField("our account number", max_length=60, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    note = models.TextField(blank=True)
    retired_on = models.DateField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("supplier-detail", args=[self.pk])


class Offer(models.Model):
    supplier = models.ForeignKey(Supplier, on_delete=models.CASCADE, related_name="offers")
    reagent = models.ForeignKey(Reagent, on_delete=models.CASCADE, related_name="offers")
    catalogue_number = models.CharField(max_length=60, blank=True)
    pack_amount = AmountField("pack size")
    price = models.DecimalField(max_digits=10, decimal_places=2, validators=[MinValueValidator(0)])
    lead_days = models.PositiveSmallIntegerField("delivered within (days)", default=10)
    price_date = models.DateField("price as of", null=True, blank=True)
    retired_on = models.DateField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["reagent__name", "supplier__name", "pack_amount"]
        constraints = [
            models.CheckConstraint(condition=models.Q(pack_amount__gt=0), name="pack_not_empty"),
            models.CheckConstraint(condition=models.Q(price__gte=0), name="price_not_negative"),
            models.UniqueConstraint(
                fields=["supplier", "reagent", "pack_amount", "catalogue_number"], name="offer_once"
            ),
        ]

    def __str__(self):
        return f"{self.reagent} {self.pack_text} from {self.supplier}"

    @property
    def pack_text(self) -> str:
        return self.reagent.text_of(self.pack_amount)
