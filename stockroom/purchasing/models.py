"""Orders to suppliers, and the budget they are held against."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from stockroom.common.amount_field import AmountField
from stockroom.inventory.models.reagent import Reagent
from stockroom.inventory.models.supplier import Offer, Supplier


class Budget(models.Model):
    name = models.CharField(max_length=80)
    start = models.DateField()
    end = models.DateField()
    amount = models.DecimalField(max_digits=12, decimal_places=2, validators=[MinValueValidator(0)])

    class Meta:
        ordering = ["-start"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(end__gte=models.F("start")), name="budget_ends_after_start"
            ),
        ]

    def __str__(self):
        return self.name


class Order(models.Model):
    class State(models.TextChoices):
        DRAFT = "draft", "Being drawn up"
        APPROVED = "approved", "Approved"
        ORDERED = "ordered", "Ordered"
        RECEIVED = "received", "Received"
        CANCELLED = "cancelled", "Canceled"

    #: states in which the packs are on their way
    OPEN = (State.APPROVED, State.ORDERED)

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT, db_index=True)
    created_on = models.DateField()
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    approved_on = models.DateField(null=True, blank=True)
    approved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    ordered_on = models.DateField(null=True, blank=True)
    expected_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-created_on", "-id"]
        permissions = [("approve_order", "Can approve the reorder list and orders")]

    def __str__(self):
        return f"Order {self.pk} to {self.supplier}"

    def get_absolute_url(self):
        return reverse("order-detail", args=[self.pk])

    @property
    def total(self) -> Decimal:
        return sum((line.cost for line in self.lines.all()), Decimal(0))


class OrderLine(models.Model):
    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="lines")
    reagent = models.ForeignKey(Reagent, on_delete=models.PROTECT, related_name="order_lines")
    offer = models.ForeignKey(Offer, null=True, on_delete=models.SET_NULL, related_name="+")
    packs = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    pack_amount = AmountField()
    unit_price = models.DecimalField(max_digits=10, decimal_places=2)
    needed_on = models.DateField(null=True, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    received_packs = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(received_packs__lte=models.F("packs")), name="not_more_than_ordered"
            ),
        ]

    def __str__(self):
        return f"{self.packs} × {self.reagent.text_of(self.pack_amount)} {self.reagent}"

    @property
    def cost(self) -> Decimal:
        return self.packs * self.unit_price

    @property
    def open_packs(self) -> int:
        return self.packs - self.received_packs
