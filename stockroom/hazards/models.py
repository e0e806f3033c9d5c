"""Hazard classes of a reagent, and the safety data sheets they are checked against."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import FileExtensionValidator
from django.db import models
from django.db.models.signals import post_delete, post_save
from django.dispatch import receiver

from stockroom.common.provenance import Provenance
from stockroom.inventory.models.reagent import Reagent
from stockroom.inventory.models.supplier import Supplier
from stockroom.safety.label import HAZARD_CLASSES

SHEET_MAX_BYTES = 8 * 1024 * 1024


def validate_hazard_class(key: str) -> None:
    if key not in HAZARD_CLASSES:
        raise ValidationError(f"“{key[:60]}” is not a GHS hazard class: choose one from the list.")


def validate_sheet_file(file) -> None:
    if file.size > SHEET_MAX_BYTES:
        raise ValidationError("The file is larger than 8 MB: save a smaller PDF and choose that.")
    head = file.read(5)
    file.seek(0)
    if head != b"%PDF-":
        raise ValidationError("This file is not a PDF: choose the supplier's sheet as a PDF.")


class ReagentHazard(Provenance):
    reagent = models.ForeignKey(Reagent, on_delete=models.CASCADE, related_name="hazards")
    hazard_class = models.CharField(max_length=60, validators=[validate_hazard_class])

    class Meta:
        ordering = ["hazard_class"]
        constraints = [models.UniqueConstraint(fields=["reagent", "hazard_class"], name="hazard_once")]

    def __str__(self):
        return f"{self.reagent}: {self.hazard_class}"

    @property
    def row(self):
        """The published row of this class: statement, signal word, pictogram."""
        return HAZARD_CLASSES[self.hazard_class]


@receiver([post_save, post_delete], sender=ReagentHazard)
def keep_hazard_state(sender, instance, raw=False, **kwargs):
    """A reagent with a class is classified; one that loses its last is unknown again, never “none”."""
    if raw:
        return
    has = ReagentHazard.objects.filter(reagent_id=instance.reagent_id).exists()
    reagents = Reagent.objects.filter(pk=instance.reagent_id)
    if has:
        reagents.update(hazard_state=Reagent.HazardState.CLASSIFIED)
    else:
        reagents.filter(hazard_state=Reagent.HazardState.CLASSIFIED).update(
            hazard_state=Reagent.HazardState.UNKNOWN
        )


class SafetyDataSheet(models.Model):
    reagent = models.ForeignKey(Reagent, on_delete=models.CASCADE, related_name="sheets")
    supplier = models.ForeignKey(
        Supplier, null=True, blank=True, on_delete=models.PROTECT, related_name="sheets"
    )
    revision_date = models.DateField(null=True, blank=True)
    file = models.FileField(
        upload_to="sheets/%Y/", blank=True, validators=[FileExtensionValidator(["pdf"]), validate_sheet_file]
    )
    note = models.CharField(max_length=200, blank=True)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    added_on = models.DateField()
    checked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    checked_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["-revision_date", "-id"]

    def __str__(self):
        return f"Safety data sheet of {self.reagent}"


class WrittenReason(models.Model):
    """Why a listed substance is kept. Written once: the newest counts, the earlier ones stay."""

    reagent = models.ForeignKey(Reagent, on_delete=models.CASCADE, related_name="reasons")
    text = models.TextField(max_length=1000)
    who = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    on = models.DateField()

    class Meta:
        ordering = ["-on", "-id"]

    def __str__(self):
        return f"Why {self.reagent} is kept"
