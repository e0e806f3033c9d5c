"""Waste containers, and what has gone into each."""

from django.conf import settings
from django.contrib.contenttypes.fields import GenericForeignKey
from django.contrib.contenttypes.models import ContentType
from django.db import models
from django.urls import reverse

from stockroom.chemistry.quantity import format_amount
from stockroom.common.amount_field import AmountField, Measure
from stockroom.common.append_only import WrittenOnce
from stockroom.inventory.models.location import Location


class WasteContainer(models.Model):
    code = models.CharField(max_length=16, unique=True, editable=False)
    #: key of a stream of safety/tables/streams.csv
    stream = models.CharField(max_length=40)
    measure = models.CharField(max_length=8, choices=Measure, default=Measure.VOLUME)
    capacity = AmountField()
    contents = AmountField(default=0, editable=False)
    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="waste_containers")
    started_on = models.DateField("accumulation started")
    closed_on = models.DateField(null=True, blank=True)
    collected_on = models.DateField(null=True, blank=True)
    collected_by = models.CharField(max_length=120, blank=True, editable=False)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["collected_on", "stream", "code"]
        constraints = [
            models.CheckConstraint(condition=models.Q(contents__gte=0), name="waste_not_negative"),
            models.CheckConstraint(condition=models.Q(capacity__gt=0), name="waste_capacity_positive"),
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("waste-detail", args=[self.pk])

    @property
    def contents_text(self) -> str:
        return format_amount(self.contents, self.measure)

    @property
    def capacity_text(self) -> str:
        return format_amount(self.capacity, self.measure)

    @property
    def is_open(self) -> bool:
        """Whether it still takes waste."""
        return self.closed_on is None and self.collected_on is None


class WasteEntry(WrittenOnce):
    """One addition to a waste container. Written by the ledger, never edited."""

    waste_container = models.ForeignKey(WasteContainer, on_delete=models.PROTECT, related_name="entries")
    description = models.CharField(max_length=200)
    amount = AmountField()
    ph = models.DecimalField("pH", max_digits=4, decimal_places=2, null=True, blank=True)
    #: (name, formula, CAS RN, mol) rows and the hazard keys, as plain data
    composition = models.JSONField(default=dict, blank=True)
    added_on = models.DateField()
    who = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    belongs_type = models.ForeignKey(ContentType, null=True, on_delete=models.PROTECT, related_name="+")
    belongs_id = models.PositiveBigIntegerField(null=True)
    belongs_to = GenericForeignKey("belongs_type", "belongs_id")

    class Meta:
        ordering = ["-added_on", "-id"]
        verbose_name_plural = "waste entries"
        constraints = [models.CheckConstraint(condition=models.Q(amount__gt=0), name="waste_entry_positive")]

    def __str__(self):
        return self.description

    @property
    def amount_text(self) -> str:
        return format_amount(self.amount, self.waste_container.measure)


class WasteCorrection(WrittenOnce):
    """An entry that was a slip. It stays to be read, and counts for nothing any more."""

    entry = models.OneToOneField(WasteEntry, on_delete=models.PROTECT, related_name="correction")
    why = models.CharField(max_length=200)
    who = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    def __str__(self):
        return f"{self.entry}: {self.why}"
