"""The rooms and periods of the school day."""

from django.core.validators import MinValueValidator
from django.db import models


class Room(models.Model):
    """A teaching room; its volume and air changes feed the vapor computation."""

    name = models.CharField(max_length=60, unique=True)
    volume_m3 = models.DecimalField(
        "volume (m³)",
        max_digits=7,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(1)],
    )
    air_changes_per_hour = models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    has_fume_cupboard = models.BooleanField("has a fume hood", default=False)
    note = models.CharField(max_length=200, blank=True)
    retired_on = models.DateField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name


class Period(models.Model):
    """One slot of the school day."""

    name = models.CharField(max_length=40, unique=True)
    start = models.TimeField()
    end = models.TimeField()
    retired_on = models.DateField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["start"]
        permissions = [("change_timetable", "Can change rooms and periods")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(end__gt=models.F("start")), name="period_ends_after_start"
            ),
        ]

    def __str__(self):
        return self.name
