"""Demonstrations: what is shown, with what, in which steps."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse

from demos.simulation.restated_steps import portion_text
from stockroom.chemistry.aqueous import COLDEST, HOTTEST
from stockroom.common.amount_field import AmountField
from stockroom.inventory.models import Reagent
from stockroom.safety.route import ROUTES


class Topic(models.Model):
    name = models.CharField(max_length=60, unique=True)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name


class Demonstration(models.Model):
    class Audience(models.TextChoices):
        LOWER = "lower", "Middle school"
        UPPER = "upper", "High school"
        FIRST_YEAR = "first_year", "First-year college"
        PUBLIC = "public", "Open house"

    class Ventilation(models.TextChoices):
        ROOM = "room", "Ordinary room ventilation"
        GOOD = "good", "Well-ventilated room"
        FUME = "fume", "Fume hood"

    title = models.CharField(max_length=120, unique=True)
    summary = models.CharField(max_length=300, help_text="What the class sees, in one or two sentences.")
    topics = models.ManyToManyField(Topic, related_name="demonstrations")
    audience = models.CharField(max_length=12, choices=Audience, default=Audience.UPPER)
    minutes = models.PositiveSmallIntegerField("duration (minutes)", validators=[MinValueValidator(1)])
    prep_minutes = models.PositiveSmallIntegerField("preparation (minutes)", default=15)
    #: spare worked out on top of what the class uses
    spill_percent = models.PositiveSmallIntegerField(
        "spill allowance (%)", default=10, validators=[MaxValueValidator(100)]
    )
    explanation = models.TextField("what it shows", blank=True)
    protection = models.TextField("protective equipment")
    ventilation = models.CharField(max_length=6, choices=Ventilation, default=Ventilation.ROOM)
    ventilation_note = models.TextField(blank=True)
    ignition_note = models.TextField("ignition sources", blank=True)
    distance_m = models.DecimalField(
        "students keep back (m)", max_digits=4, decimal_places=1, default=2, validators=[MinValueValidator(0)]
    )
    safety_note = models.TextField("other cautions", blank=True)
    clean_up = models.TextField()
    #: a code of safety/route.py, and a key of safety/tables/streams.csv; "": nobody has said
    cleanup_route = models.CharField(
        "where the remains go", max_length=10, blank=True, choices=tuple(ROUTES.items()), default=""
    )
    cleanup_stream = models.CharField("waste stream of the remains", max_length=40, blank=True, default="")
    source_note = models.CharField(
        max_length=200, blank=True, help_text="Where the procedure was tried or read."
    )
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+", editable=False
    )
    changed_at = models.DateTimeField(auto_now=True)
    retired_on = models.DateField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["title"]

    def __str__(self):
        return self.title

    def get_absolute_url(self):
        return reverse("demos:demonstration-detail", args=[self.pk])


class Ingredient(models.Model):
    """One reagent of a demonstration; amounts in the reagent's own measure."""

    demonstration = models.ForeignKey(Demonstration, on_delete=models.CASCADE, related_name="ingredients")
    reagent = models.ForeignKey(Reagent, on_delete=models.PROTECT, related_name="ingredients")
    first_amount = AmountField("first showing", default=0)
    repeat_amount = AmountField("each repeat", default=0)
    group_amount = AmountField("each student group", default=0)
    returns = models.BooleanField("comes back", default=False)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["demonstration", "reagent"], name="ingredient_once"),
            models.CheckConstraint(
                condition=models.Q(first_amount__gte=0, repeat_amount__gte=0, group_amount__gte=0),
                name="ingredient_not_negative",
            ),
        ]

    def __str__(self):
        return f"{self.reagent} in {self.demonstration}"


class Alternative(models.Model):
    """Another reagent that does an ingredient's job, and how much of it does."""

    ingredient = models.ForeignKey(Ingredient, on_delete=models.CASCADE, related_name="alternatives")
    reagent = models.ForeignKey(Reagent, on_delete=models.PROTECT, related_name="+")
    #: base units of this reagent that do the work of `per_amount` base units of the usual one
    amount = AmountField()
    per_amount = AmountField()
    note = models.CharField("what changes", max_length=200, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["ingredient", "reagent"], name="alternative_once"),
            models.CheckConstraint(
                condition=models.Q(amount__gt=0, per_amount__gt=0), name="alternative_positive"
            ),
        ]

    def __str__(self):
        return f"{self.reagent} instead of {self.ingredient.reagent}"


class Equipment(models.Model):
    demonstration = models.ForeignKey(Demonstration, on_delete=models.CASCADE, related_name="equipment")
    name = models.CharField(max_length=120)
    quantity = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "equipment"

    def __str__(self):
        return f"{self.quantity} × {self.name}"


class Step(models.Model):
    """One numbered step; it may put part of an ingredient into the beaker, or warm or cool what is there."""

    demonstration = models.ForeignKey(Demonstration, on_delete=models.CASCADE, related_name="steps")
    number = models.PositiveSmallIntegerField()
    text = models.TextField()
    adds = models.ForeignKey(
        Ingredient, null=True, blank=True, on_delete=models.SET_NULL, related_name="steps"
    )
    adds_amount = AmountField(null=True, blank=True)
    portions = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(50)]
    )
    #: of what is added, of the whole beaker where nothing is; None for that of the room, or for no change
    temperature_c = models.DecimalField(
        "temperature (°C)",
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(COLDEST), MaxValueValidator(HOTTEST)],
    )

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["demonstration", "number"], name="step_number_once"),
        ]

    def __str__(self):
        return f"{self.number}. {self.text}"

    @property
    def act(self) -> str:
        """What it does to the beaker, in a sentence; "" where it only says something."""
        if self.adds is None:
            return self.act_with("", "")
        amount = portion_text(self.adds_amount or 0, self.adds.reagent.measure)
        return self.act_with(str(self.adds.reagent), amount)

    def act_with(self, reagent: str, amount: str) -> str:
        """The same with what a booking takes: the names of reagent and portion."""
        celsius = "" if self.temperature_c is None else f"{float(self.temperature_c):g} °C".replace("-", "−")
        if self.adds is None:
            return f"Brings the beaker to {celsius}." if celsius else ""
        amount = f"{amount} of " if self.adds_amount else ""
        times = f", {self.portions} times" if self.portions > 1 else ""
        return f"Adds {amount}{reagent}{f' at {celsius}' if celsius else ''}{times}."


class Reaction(models.Model):
    """An equation that the demonstration shows, in plain text with states and charges."""

    demonstration = models.ForeignKey(Demonstration, on_delete=models.CASCADE, related_name="reactions")
    equation = models.CharField(max_length=300)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self):
        return self.equation
