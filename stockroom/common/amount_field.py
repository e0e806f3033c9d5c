"""Amounts in the database: whole numbers of the smallest unit of a measure."""

from django.db import models

from stockroom.chemistry import quantity


class Measure(models.TextChoices):
    MASS = quantity.MASS, "by mass"
    VOLUME = quantity.VOLUME, "by volume"
    COUNT = quantity.COUNT, "by the piece"


class AmountField(models.BigIntegerField):
    """Micrograms, microliters or pieces, as the reagent is measured. Never negative unless said."""
