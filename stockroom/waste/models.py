"""What the sewer authority has allowed in writing. Without such a record everything is collected."""

import datetime

from django.conf import settings
from django.contrib.contenttypes.fields import GenericForeignKey
from django.contrib.contenttypes.models import ContentType
from django.db import models

from stockroom.chemistry.quantity import format_amount
from stockroom.common.amount_field import AmountField, Measure
from stockroom.common.append_only import WrittenOnce
from stockroom.wording.days import day_text


class DrainPermission(models.Model):
    """One letter or permit. Written once: it is ended and another is written down, never edited."""

    authority = models.CharField(
        max_length=120, help_text="Who runs the sewer, as it stands at the head of the letter."
    )
    reference = models.CharField("reference of the letter or permit", max_length=120)
    dated_on = models.DateField("date of the letter")
    valid_until = models.DateField("valid until")
    covers = models.TextField("what it allows", max_length=1000, help_text="In the words of the letter.")
    after_neutralising = models.BooleanField(
        "It also allows what is neutralized first",
        default=False,
        help_text="Acids and bases brought to a neutral pH here. Tick it only where the letter says so.",
    )
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False
    )
    recorded_on = models.DateField(editable=False)
    ended_on = models.DateField(null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        on_delete=models.PROTECT,
        related_name="+",
        editable=False,
    )

    class Meta:
        ordering = ["-dated_on", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(valid_until__gte=models.F("dated_on")), name="leave_ends_after_it_begins"
            )
        ]

    def __str__(self):
        return f"{self.authority}, {self.reference}, {day_text(self.dated_on)}"

    def is_valid(self, on: datetime.date) -> bool:
        ended = self.ended_on is not None and self.ended_on <= on
        return self.dated_on <= on <= self.valid_until and not ended


class DrainEntry(WrittenOnce):
    """Something poured down the drain under a letter that covers it, as somebody has confirmed."""

    permission = models.ForeignKey(DrainPermission, on_delete=models.PROTECT, related_name="entries")
    description = models.CharField(max_length=200)
    amount = AmountField()
    measure = models.CharField(max_length=8, choices=Measure, default=Measure.VOLUME)
    ph = models.DecimalField("pH, as poured", max_digits=4, decimal_places=2)
    poured_on = models.DateField()
    who = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    belongs_type = models.ForeignKey(ContentType, null=True, on_delete=models.PROTECT, related_name="+")
    belongs_id = models.PositiveBigIntegerField(null=True)
    belongs_to = GenericForeignKey("belongs_type", "belongs_id")

    class Meta:
        ordering = ["-poured_on", "-id"]
        verbose_name, verbose_name_plural = "drain entry", "drain entries"
        constraints = [models.CheckConstraint(condition=models.Q(amount__gt=0), name="drain_entry_positive")]

    def __str__(self):
        return self.description

    @property
    def amount_text(self) -> str:
        return format_amount(self.amount, self.measure)


class OwnWasteLimit(models.Model):
    """A number of the department's own in place of a published limit of the waste rules."""

    #: key of safety.waste_limits
    key = models.CharField(max_length=40, unique=True, editable=False)
    value = models.DecimalField("the department's own", max_digits=12, decimal_places=4)
    reason = models.CharField(max_length=200, help_text="Which authority asks for it, and where it says so.")
    set_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False
    )
    set_on = models.DateField(editable=False)

    class Meta:
        ordering = ["key"]

    def __str__(self):
        return self.key

    @property
    def text(self) -> str:
        return f"{self.value.normalize():f}"
