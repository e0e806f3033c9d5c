"""Containers: one bottle, tub or pack of a reagent."""

import datetime

from django.db import models
from django.urls import reverse

from stockroom.common.amount_field import AmountField
from stockroom.inventory.models.location import Location
from stockroom.inventory.models.preparation import Batch
from stockroom.inventory.models.reagent import Reagent
from stockroom.inventory.models.supplier import Supplier
from stockroom.safety.ageing import Standing, dangerous_after


class Container(models.Model):
    """`balance` is written by the ledger only, in the transaction that writes the movement."""

    class State(models.TextChoices):
        IN_USE = "in_use", "On the shelf"
        QUARANTINED = "quarantined", "Quarantined"
        GONE = "gone", "Gone"

    class Material(models.TextChoices):
        GLASS = "glass", "Glass or plastic"
        GLASS_NEEDED = "glass_needed", "Glass, for metal would spoil it"
        METAL = "metal", "Metal"
        SAFETY_CAN = "safety can", "Safety can"
        DRUM = "drum", "Drum"

    #: what is written on the bottle: "C-000123"; given by the ledger
    code = models.CharField(max_length=16, unique=True, editable=False)
    reagent = models.ForeignKey(Reagent, on_delete=models.PROTECT, related_name="containers")
    lot = models.CharField(max_length=60, blank=True)
    supplier = models.ForeignKey(Supplier, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    batch = models.OneToOneField(
        Batch, null=True, blank=True, editable=False, on_delete=models.PROTECT, related_name="container"
    )
    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="containers")
    received_on = models.DateField()
    opened_on = models.DateField(null=True, blank=True)
    expires_on = models.DateField("expires (as marked)", null=True, blank=True)
    #: the earlier of the marked date and the shelf life, sealed or opened; kept for SQL
    usable_until = models.DateField(null=True, editable=False, db_index=True)
    #: how large a bottle of a flammable liquid may be depends on it; empty counts as glass
    material = models.CharField("made of", max_length=12, choices=Material, blank=True)
    pack_amount = AmountField("size")
    balance = AmountField(default=0, editable=False)
    state = models.CharField(
        max_length=12, choices=State, default=State.IN_USE, editable=False, db_index=True
    )
    state_reason = models.CharField(max_length=200, blank=True, editable=False)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["reagent__name", "usable_until", "code"]
        indexes = [models.Index(fields=["reagent", "state", "usable_until"])]
        constraints = [
            models.CheckConstraint(condition=models.Q(balance__gte=0), name="balance_not_negative"),
            models.CheckConstraint(condition=models.Q(pack_amount__gt=0), name="size_positive"),
        ]

    def __str__(self):
        return f"{self.code} {self.reagent}"

    def get_absolute_url(self):
        return reverse("container-detail", args=[self.pk])

    @property
    def balance_text(self) -> str:
        return self.reagent.text_of(self.balance)

    def reckon_usable_until(self) -> datetime.date | None:
        """Last day it may be used: the earliest of the marked date, the two shelf lives and dangerous age."""
        keys = self.reagent.ageing_keys()
        days = [self.expires_on, dangerous_after(Standing(self.received_on, self.opened_on, ageing=keys))]
        if self.reagent.shelf_life_sealed_days is not None and self.expires_on is None:
            days.append(self.received_on + datetime.timedelta(self.reagent.shelf_life_sealed_days))
        if self.opened_on and self.reagent.shelf_life_opened_days is not None:
            days.append(self.opened_on + datetime.timedelta(self.reagent.shelf_life_opened_days))
        return min((day for day in days if day), default=None)

    def is_expired(self, on: datetime.date) -> bool:
        return self.usable_until is not None and self.usable_until < on

    def save(self, *args, **kwargs):
        self.usable_until = self.reckon_usable_until()
        super().save(*args, **kwargs)
