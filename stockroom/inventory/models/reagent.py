"""Reagents: the forms in which chemicals are kept and used."""

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from stockroom.chemistry.quantity import format_amount
from stockroom.common.amount_field import AmountField, Measure
from stockroom.common.provenance import Provenance
from stockroom.inventory.models.chemical import Chemical
from stockroom.inventory.models.location import StorageKind
from stockroom.safety.ageing import ageing_rules, rules_for
from stockroom.safety.label import LabelElements, label_elements
from stockroom.safety.route import ROUTES


class Reagent(Provenance):
    """A form in which something is kept and used.

    `source`, `checked_by` and `checked_on` speak of the handling data on this row (density, storage,
    transport class, groups, protection, first aid, spill, disposal); each hazard class has its own.
    """

    class Kind(models.TextChoices):
        SOLID = "solid", "Solid"
        LIQUID = "liquid", "Liquid"
        SOLUTION = "solution", "Solution"
        MIXTURE = "mixture", "Mixture"
        HYDRATE = "hydrate", "Hydrate"
        METAL = "metal", "Metal"
        INDICATOR = "indicator", "Indicator"
        GAS = "gas", "Gas"

    class HazardState(models.TextChoices):
        UNKNOWN = "unknown", "Not classified yet"
        CLASSIFIED = "classified", "Classified"
        NONE = "none", "No hazard class applies"

    name = models.CharField(max_length=160, unique=True)
    kind = models.CharField(max_length=12, choices=Kind)
    measure = models.CharField("measured", max_length=8, choices=Measure)
    solvent = models.ForeignKey(
        Chemical, null=True, blank=True, on_delete=models.PROTECT, related_name="dissolves"
    )
    density = models.DecimalField(
        "density (g/mL)",
        max_digits=8,
        decimal_places=5,
        null=True,
        blank=True,
        validators=[MinValueValidator(0.00001)],
    )
    density_source = models.CharField(max_length=200, blank=True)
    piece_mass_g = models.DecimalField(
        "mass of one piece (g)",
        max_digits=9,
        decimal_places=4,
        null=True,
        blank=True,
        validators=[MinValueValidator(0.0001)],
    )
    shelf_life_sealed_days = models.PositiveIntegerField("shelf life sealed (days)", null=True, blank=True)
    shelf_life_opened_days = models.PositiveIntegerField(
        "shelf life after opening (days)", null=True, blank=True
    )
    reorder_point = AmountField(default=0)
    #: nothing is ordered or made beyond this, because there is no more room; empty means no such limit
    most_to_keep = AmountField(null=True, blank=True)

    hazard_state = models.CharField(
        max_length=10, choices=HazardState, default=HazardState.UNKNOWN, editable=False
    )
    storage_kind = models.CharField(max_length=12, choices=StorageKind, default=StorageKind.GENERAL)
    transport_class = models.CharField(max_length=20, blank=True, help_text="For example 3, 8 or 5.1.")
    un_number = models.CharField("UN number", max_length=8, blank=True)
    #: reactivity groups, words of safety/tables
    groups = models.JSONField(default=list, blank=True)
    #: keys of safety/tables/ageing.csv, the most serious first, with spaces between
    ageing_class = models.CharField(max_length=200, blank=True)
    incompatibles = models.TextField(blank=True)
    protection = models.TextField("PPE", blank=True)
    first_aid = models.TextField(blank=True)
    spill = models.TextField(blank=True)
    disposal = models.TextField(blank=True)
    #: a code of safety/route.py; "": nobody has said, so it is collected
    disposal_route = models.CharField(
        "disposal route", max_length=10, blank=True, choices=tuple(ROUTES.items()), default=""
    )
    note = models.TextField(blank=True)
    #: key of the row of the starter catalog it was filled in from
    catalogue_key = models.CharField(max_length=80, blank=True, editable=False)
    retired_on = models.DateField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["name"]
        permissions = [
            ("set_reorder_point", "Can set reorder points"),
            ("check_hazards", "Can tick hazard data as checked"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(reorder_point__gte=0), name="reorder_point_not_negative"
            ),
            models.CheckConstraint(
                condition=models.Q(density__isnull=True) | models.Q(density__gt=0), name="density_positive"
            ),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("reagent-detail", args=[self.pk])

    def text_of(self, amount: int | None) -> str:
        """An amount of this reagent as people write it."""
        return "" if amount is None else format_amount(amount, self.measure)

    @property
    def is_classified(self) -> bool:
        """Whether somebody has said which hazard classes apply, or that none does."""
        return self.hazard_state != self.HazardState.UNKNOWN

    @property
    def hazard_keys(self) -> list[str] | None:
        """Keys of its hazard classes, None where it is not classified. Reads `hazards`."""
        return [row.hazard_class for row in self.hazards.all()] if self.is_classified else None

    @property
    def label(self) -> LabelElements:
        """What its label must say. Reads `hazards`."""
        return label_elements(self.hazard_keys)

    @property
    def is_verified(self) -> bool:
        """Whether its handling data and every hazard class were compared with the sheet. Reads `hazards`."""
        return self.is_checked and all(row.is_checked for row in self.hazards.all())

    def ageing_keys(self) -> tuple[str, ...]:
        """Its own aging classes, and those its registry numbers bring. Reads `components__chemical`."""
        own = [key for key in self.ageing_class.split() if key in ageing_rules()]
        parts = self.components.all() if self.pk else ()
        return tuple(
            rule.key
            for rule in rules_for(own, [part.chemical.cas_rn for part in parts if part.chemical.cas_rn])
        )

    def refresh_last_days(self) -> None:
        """A change of shelf life or of what it holds changes when its bottles stop being good."""
        for container in self.containers.select_related(None).present():
            container.reagent = self
            until = container.reckon_usable_until()
            if until != container.usable_until:
                type(container).objects.filter(pk=container.pk).update(usable_until=until)

    def save(self, *args, **kwargs):
        if self.pk:
            # What is in hand may be older than its hazards: classes decide, so that a save cannot hide them.
            if self.hazards.exists():
                self.hazard_state = self.HazardState.CLASSIFIED
            elif self.hazard_state == self.HazardState.CLASSIFIED:
                self.hazard_state = self.HazardState.UNKNOWN
        super().save(*args, **kwargs)
        self.refresh_last_days()


class Component(models.Model):
    """One chemical of a reagent, and how much of it there is."""

    class Unit(models.TextChoices):
        PURE = "pure", "pure"
        W_W = "% w/w", "% w/w"
        W_V = "% w/v", "% w/v"
        V_V = "% v/v", "% v/v"
        MOL_L = "mol/L", "mol/L"
        MOL_KG = "mol/kg", "mol/kg"
        G_L = "g/L", "g/L"
        MG_L = "mg/L", "mg/L"
        VOL = "vol H2O2", "volumes of oxygen"
        SATURATED = "saturated", "saturated"

    reagent = models.ForeignKey(Reagent, on_delete=models.CASCADE, related_name="components")
    chemical = models.ForeignKey(Chemical, on_delete=models.PROTECT, related_name="components")
    value = models.DecimalField(
        max_digits=14, decimal_places=6, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    unit = models.CharField(max_length=10, choices=Unit, default=Unit.PURE)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["reagent", "chemical"], name="component_once")]

    def __str__(self):
        return f"{self.chemical} {self.strength}"

    def save(self, *args, **kwargs):
        super().save(*args, **kwargs)
        self.reagent.refresh_last_days()

    @property
    def strength(self) -> str:
        if self.unit in (self.Unit.PURE, self.Unit.SATURATED) or self.value is None:
            return self.get_unit_display()
        return f"{self.value.normalize():f} {self.unit}"
