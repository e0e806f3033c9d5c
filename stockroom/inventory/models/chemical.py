"""Chemicals: substances, by name, CAS RN and formula."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import models
from django.urls import reverse

from stockroom.chemistry.formula import FormulaError, check_cas, molar_mass


def validate_formula(text: str) -> None:
    try:
        molar_mass(text)
    except FormulaError as error:
        raise ValidationError(str(error)) from error


def validate_cas(text: str) -> None:
    try:
        check_cas(text)
    except FormulaError as error:
        raise ValidationError(str(error)) from error


class Chemical(models.Model):
    name = models.CharField(max_length=160, unique=True)
    cas_rn = models.CharField(
        "CAS RN", max_length=12, unique=True, null=True, blank=True, validators=[validate_cas]
    )
    formula = models.CharField(
        max_length=120,
        blank=True,
        validators=[validate_formula],
        help_text="For example H2SO4 or CuSO4·5H2O. Leave empty for a mixture such as starch.",
    )
    #: g/mol, from the formula at every save
    molar_mass = models.DecimalField(max_digits=12, decimal_places=5, null=True, editable=False)
    note = models.TextField(blank=True)
    retired_on = models.DateField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("chemical-detail", args=[self.pk])

    def save(self, *args, **kwargs):
        self.cas_rn = check_cas(self.cas_rn) if self.cas_rn else None
        self.molar_mass = Decimal(str(round(molar_mass(self.formula), 5))) if self.formula else None
        super().save(*args, **kwargs)


class Synonym(models.Model):
    chemical = models.ForeignKey(Chemical, on_delete=models.CASCADE, related_name="synonyms")
    name = models.CharField(max_length=160)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["chemical", "name"], name="synonym_once")]

    def __str__(self):
        return self.name
