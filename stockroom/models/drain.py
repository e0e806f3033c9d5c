"""What the sewer authority has allowed in writing. Without such a record everything is collected."""

import datetime

from django.conf import settings
from django.db import models


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
        "It also allows what is neutralised first",
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
        return f"{self.authority}, {self.reference}, {self.dated_on:%d %b %Y}"

    def is_valid(self, on: datetime.date) -> bool:
        ended = self.ended_on is not None and self.ended_on <= on
        return self.dated_on <= on <= self.valid_until and not ended
