"""Where a datum comes from, and whether someone has checked it."""

from django.conf import settings
from django.db import models


class Provenance(models.Model):
    """Mixed into every row of hazard data."""

    source = models.CharField(
        max_length=200,
        default="from memory",
        help_text="Supplier's sheet, a published table with its section, or “from memory”.",
    )
    checked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    checked_on = models.DateField(null=True, blank=True)

    class Meta:
        abstract = True

    @property
    def is_checked(self) -> bool:
        return self.checked_on is not None
