"""Limits of the department's own: how much may stand where."""

from django.conf import settings
from django.db import models

from stockroom.common.amount_field import AmountField, Measure


class DepartmentLimit(models.Model):
    """At most this much of what has one of these groups or hazard classes, in each place, room or in all."""

    class Scope(models.TextChoices):
        PLACE = "place", "in each place"
        ROOM = "room", "in each room"
        DEPARTMENT = "department", "in the whole department"

    name = models.CharField(max_length=120, unique=True)
    scope = models.CharField("counted", max_length=10, choices=Scope, default=Scope.ROOM)
    measure = models.CharField("measured", max_length=8, choices=Measure, default=Measure.VOLUME)
    most = AmountField("at most")
    #: words of safety/tables/reactivity_groups.csv
    groups = models.JSONField(default=list, blank=True)
    #: keys of GHS hazard classes
    hazards = models.JSONField("hazard classes", default=list, blank=True)
    reason = models.CharField(max_length=200, help_text="Why this much: a rule, an insurer, a decision.")
    set_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False
    )
    set_on = models.DateField(editable=False)
    retired_on = models.DateField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["name"]
        constraints = [models.CheckConstraint(condition=models.Q(most__gte=0), name="limit_not_negative")]

    def __str__(self):
        return self.name
