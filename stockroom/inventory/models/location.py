"""Where things stand: room > cabinet > shelf."""

from django.core.exceptions import ValidationError
from django.db import models
from django.urls import reverse


class StorageKind(models.TextChoices):
    GENERAL = "general", "General shelf"
    FLAMMABLES = "flammables", "Flammables cabinet"
    ACIDS = "acids", "Acids cabinet"
    BASES = "bases", "Bases cabinet"
    OXIDISERS = "oxidisers", "Oxidizers, apart"
    TOXICS = "toxics", "Locked, toxics"
    COLD = "cold", "Refrigerator"
    COLD_FLAMMABLE = "cold_flam", "Refrigerator rated for flammables"
    VENTILATED = "ventilated", "Ventilated"
    GAS = "gas", "Gas cylinders"
    WASTE = "waste", "Waste area"
    OUTSIDE = "outside", "Outside store"


class Location(models.Model):
    class Level(models.TextChoices):
        ROOM = "room", "Room"
        CABINET = "cabinet", "Cabinet"
        SHELF = "shelf", "Shelf"

    PARENT_LEVEL = {Level.ROOM: None, Level.CABINET: Level.ROOM, Level.SHELF: Level.CABINET}

    name = models.CharField(max_length=80)
    level = models.CharField(max_length=8, choices=Level)
    parent = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="children"
    )
    storage_kind = models.CharField(max_length=12, choices=StorageKind, default=StorageKind.GENERAL)
    #: "Prep room > Acids cabinet > Top shelf"; kept so that lists need no join per level
    path = models.CharField(max_length=260, editable=False, unique=True)
    note = models.CharField(max_length=200, blank=True)
    retired_on = models.DateField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["path"]

    def __str__(self):
        return self.path

    def get_absolute_url(self):
        return reverse("location-detail", args=[self.pk])

    def clean(self):
        wanted = self.PARENT_LEVEL.get(self.level)
        found = self.parent.level if self.parent else None
        if self.level and found != wanted:
            message = (
                "A room stands in nothing: leave this empty."
                if wanted is None
                else f"A {self.level} stands in a {wanted}: choose one."
            )
            raise ValidationError({"parent": message})
        if "›" in self.name:
            raise ValidationError({"name": "Leave out the sign “›”: it separates the parts of a place."})

    def save(self, *args, **kwargs):
        self.path = f"{self.parent.path} › {self.name}" if self.parent else self.name
        super().save(*args, **kwargs)
        for child in self.children.all():
            child.parent = self
            child.save()
