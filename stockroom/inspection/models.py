"""The annual review: every shelf is walked, what was found is written down, the head signs or abandons it."""

from django.conf import settings
from django.db import models
from django.urls import reverse

from stockroom.common.days import day_text
from stockroom.inventory.models.location import Location


class ClosedError(Exception):
    """A change to a review that is signed or abandoned; the message says what to do instead."""


class ClosedQuerySet(models.QuerySet):
    """Refuses to change or delete many rows at once where one of them belongs to a closed review."""

    def _refuse_if_closed(self) -> None:
        before = "review__" if self.model is ShelfWalk else ""
        closed = models.Q(**{f"{before}signed_on__isnull": False})
        closed |= models.Q(**{f"{before}abandoned_on__isnull": False})
        if self.filter(closed).exists():
            raise ClosedError("A signed or abandoned review is among these: nothing in it can be changed.")

    def update(self, **values):
        self._refuse_if_closed()
        return super().update(**values)

    def delete(self):
        self._refuse_if_closed()
        return super().delete()


class AnnualReview(models.Model):
    """Open until it is signed, or abandoned with a reason. From then on nothing in it changes."""

    started_on = models.DateField()
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    signed_on = models.DateField(null=True, blank=True)
    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    #: the name as it was on the day, for an account may be renamed
    signed_name = models.CharField(max_length=160, blank=True)
    note = models.TextField(max_length=1000, blank=True)
    abandoned_on = models.DateField(null=True, blank=True)
    abandoned_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    #: why, and what is done instead
    abandoned_for = models.CharField(max_length=200, blank=True)

    objects = ClosedQuerySet.as_manager()

    class Meta:
        ordering = ["-started_on", "-id"]
        permissions = [("walk_review", "Can walk the shelves for the annual review")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(signed_on=None, signed_by=None)
                | models.Q(signed_on__isnull=False, signed_by__isnull=False),
                name="signed_by_somebody",
            ),
            models.CheckConstraint(
                condition=models.Q(abandoned_on=None, abandoned_by=None, abandoned_for="")
                | models.Q(abandoned_on__isnull=False, abandoned_by__isnull=False, signed_on=None)
                & ~models.Q(abandoned_for=""),
                name="abandoned_for_a_reason",
            ),
        ]

    def __str__(self):
        return f"Annual review begun {day_text(self.started_on)}"

    def get_absolute_url(self):
        return reverse("annual-detail", args=[self.pk])

    @property
    def is_open(self) -> bool:
        return self.signed_on is None and self.abandoned_on is None

    def refuse_if_closed(self) -> None:
        """Raises ClosedError where the stored row is signed or abandoned."""
        stored = AnnualReview.objects.filter(pk=self.pk).first() if self.pk else None
        if stored and not stored.is_open:
            closed = "signed" if stored.signed_on else "abandoned"
            raise ClosedError(f"This review is {closed}: nothing in it can be changed. Start another one.")

    def save(self, *args, **kwargs):
        self.refuse_if_closed()
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        self.refuse_if_closed()
        return super().delete(*args, **kwargs)


class ShelfWalk(models.Model):
    """One place in one review. `walked_on` is empty until somebody has stood before it."""

    review = models.ForeignKey(AnnualReview, on_delete=models.PROTECT, related_name="walks")
    place = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="+")
    #: path and kind of storage as they were when it was walked
    name = models.CharField(max_length=260)
    storage = models.CharField(max_length=40)
    walked_on = models.DateField(null=True, blank=True)
    walked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    #: [{"check": words, "ok": bool, "note": words}]
    checks = models.JSONField(default=list)
    #: what the stockroom knew to be wrong on that day: [{"what", "cure", "source"}]
    findings = models.JSONField(default=list)
    #: what stood there on that day: [[number, reagent, amount, last day of use or "", what its papers lack]]
    containers = models.JSONField(default=list)

    objects = ClosedQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["review", "place"], name="walked_once")]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("annual-walk", args=[self.pk])

    @property
    def not_in_order(self) -> list[dict]:
        return [row for row in self.checks if not row["ok"]]

    def save(self, *args, **kwargs):
        self.review.refuse_if_closed()
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        self.review.refuse_if_closed()
        return super().delete(*args, **kwargs)
