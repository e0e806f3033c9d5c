"""Rows that are written once: a slip is put right by a further row, never edited."""

from django.db import models


class WrittenOnceError(Exception):
    """A change to a row that is written once; the message says what to do instead."""


def _refuse(model: type[models.Model]):
    noun = model._meta.verbose_name
    raise WrittenOnceError(f"A {noun} is written once, never changed or deleted: write down a further one.")


class WrittenOnceQuerySet(models.QuerySet):
    """Refuses what would change or delete many rows at once."""

    def update(self, **values):
        _refuse(self.model)

    def bulk_update(self, *args, **options):
        _refuse(self.model)

    def delete(self):
        _refuse(self.model)


class WrittenOnce(models.Model):
    """Saved the first time; after that neither saved nor deleted."""

    objects = WrittenOnceQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args, **kwargs):
        if self.pk:
            _refuse(type(self))
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        _refuse(type(self))
