"""The lines of the ledger. Only `stockroom.inventory.ledger` writes them."""

from django.conf import settings
from django.contrib.contenttypes.fields import GenericForeignKey
from django.contrib.contenttypes.models import ContentType
from django.db import models

from stockroom.common.amount_field import AmountField
from stockroom.inventory.models.container import Container
from stockroom.inventory.models.location import Location


class LedgerError(Exception):
    """A movement that cannot be; the message says what to change."""


class MovementQuerySet(models.QuerySet):
    def update(self, **kwargs):
        raise LedgerError("A line of the ledger is never edited: write an opposite line.")

    def delete(self):
        raise LedgerError("A line of the ledger is never deleted: write an opposite line.")


class Movement(models.Model):
    class Kind(models.TextChoices):
        RECEIVE = "receive", "Received"
        DRAW = "draw", "Drawn"
        RETURN = "return", "Given back"
        MOVE = "move", "Moved"
        COUNT = "count", "Corrected after a count"
        MAKE_UP = "make_up", "Made up"
        DISCARD = "discard", "Discarded"
        REVERSE = "reverse", "Reversed"
        QUARANTINE = "quarantine", "Quarantined"
        RELEASE = "release", "Released"

    container = models.ForeignKey(Container, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=10, choices=Kind)
    change = AmountField()
    balance_after = AmountField()
    at = models.DateTimeField(auto_now_add=True)
    #: the day it happened on the shelf, which may be before it was written down
    on = models.DateField()
    who = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="movements")
    why = models.CharField(max_length=200)
    from_location = models.ForeignKey(Location, null=True, on_delete=models.PROTECT, related_name="+")
    to_location = models.ForeignKey(Location, null=True, on_delete=models.PROTECT, related_name="+")
    reverses = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="reversed_by")
    # what it belongs to: a booking, a batch, an order line, a count
    belongs_type = models.ForeignKey(ContentType, null=True, on_delete=models.PROTECT, related_name="+")
    belongs_id = models.PositiveBigIntegerField(null=True)
    belongs_to = GenericForeignKey("belongs_type", "belongs_id")

    objects = MovementQuerySet.as_manager()

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [
            models.Index(fields=["belongs_type", "belongs_id"]),
            models.Index(fields=["on"]),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(balance_after__gte=0), name="line_balance_not_negative"
            ),
        ]
        permissions = [
            ("receive_stock", "Can receive deliveries"),
            ("draw_stock", "Can draw and give back"),
            ("move_stock", "Can move containers"),
            ("count_stock", "Can count and correct"),
            ("discard_stock", "Can discard"),
            ("reverse_movement", "Can write an opposite line"),
            ("quarantine_stock", "Can quarantine and release"),
        ]

    def __str__(self):
        return f"{self.get_kind_display()} {self.container.reagent.text_of(abs(self.change))}"

    def save(self, *args, **kwargs):
        if self.pk:
            raise LedgerError("A line of the ledger is never edited: write an opposite line.")
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        raise LedgerError("A line of the ledger is never deleted: write an opposite line.")
