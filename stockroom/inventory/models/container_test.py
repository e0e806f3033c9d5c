"""The log of tests on containers that become dangerous or useless with time."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from stockroom.common.append_only import WrittenOnce
from stockroom.common.days import day_text
from stockroom.inventory.models.container import Container


class ContainerTest(WrittenOnce):
    """One test of one container. Written once: a slip is corrected by a further test, never edited."""

    class Outcome(models.TextChoices):
        PASSED = "passed", "Passed: it may be used on"
        FAILED = "failed", "Failed: do not touch it"

    container = models.ForeignKey(Container, on_delete=models.PROTECT, related_name="tests")
    tested_on = models.DateField()
    outcome = models.CharField(max_length=6, choices=Outcome)
    peroxide_ppm = models.DecimalField(
        "peroxide (mg/L)",
        max_digits=7,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100_000)],
    )
    result = models.CharField(max_length=200, blank=True)
    note = models.CharField(max_length=200, blank=True)
    who = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-tested_on", "-id"]

    def __str__(self):
        return f"Test of {self.container.code} on {day_text(self.tested_on)}"

    @property
    def passed(self) -> bool:
        return self.outcome == self.Outcome.PASSED
