"""A demonstration on a date, and what was really used."""

from decimal import Decimal

from django.conf import settings
from django.contrib.contenttypes.fields import GenericRelation
from django.contrib.contenttypes.models import ContentType
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse

from demos.models.demonstration import Demonstration, Ingredient
from demos.models.timetable import Period, Room
from stockroom.common.amount_field import AmountField
from stockroom.inventory.models import Movement, Reagent, Reservation
from stockroom.wording.days import day_text


class Booking(models.Model):
    class State(models.TextChoices):
        PLANNED = "planned", "Planned"
        DONE = "done", "Done"
        CANCELLED = "cancelled", "Canceled"

    demonstration = models.ForeignKey(Demonstration, on_delete=models.PROTECT, related_name="bookings")
    on = models.DateField("date", db_index=True)
    period = models.ForeignKey(Period, on_delete=models.PROTECT, related_name="bookings")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="bookings")
    class_name = models.CharField("class", max_length=60)
    showings = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(20)]
    )
    groups = models.PositiveSmallIntegerField("student groups", default=0, validators=[MaxValueValidator(60)])
    scale = models.DecimalField(
        max_digits=5,
        decimal_places=2,
        default=Decimal(1),
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(Decimal(20))],
    )
    teacher = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="bookings")
    state = models.CharField(
        max_length=10, choices=State, default=State.PLANNED, editable=False, db_index=True
    )
    note = models.CharField("note to the technician", max_length=300, blank=True)
    #: the teacher's words afterwards
    how_it_went = models.TextField(blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    reservations = GenericRelation(
        Reservation, content_type_field="belongs_type", object_id_field="belongs_id"
    )
    movements = GenericRelation(Movement, content_type_field="belongs_type", object_id_field="belongs_id")

    class Meta:
        ordering = ["on", "period__start", "id"]
        permissions = [
            ("cancel_booking", "Can cancel bookings"),
            ("say_how_it_went", "Can say how a demonstration went"),
        ]

    def __str__(self):
        return f"{self.demonstration} for {self.class_name} on {day_text(self.on)}"

    def get_absolute_url(self):
        return reverse("demos:booking-detail", args=[self.pk])


def booking_type() -> ContentType:
    """The content type of bookings, by which a reservation or a line says whom it belongs to."""
    return ContentType.objects.get_for_model(Booking)


class BookingChoice(models.Model):
    """For this booking, another reagent takes the place of an ingredient."""

    booking = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="choices")
    ingredient = models.ForeignKey(Ingredient, on_delete=models.CASCADE, related_name="+")
    reagent = models.ForeignKey(Reagent, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["booking", "ingredient"], name="choice_once"),
        ]

    def __str__(self):
        return f"{self.reagent} for {self.ingredient}"


class Run(models.Model):
    """What was really used; closes the booking."""

    booking = models.OneToOneField(Booking, on_delete=models.PROTECT, related_name="run")
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)
    note = models.TextField(blank=True)

    class Meta:
        permissions = [("record_run", "Can record what was really used")]

    def __str__(self):
        return f"Run of {self.booking}"


class RunLine(models.Model):
    run = models.ForeignKey(Run, on_delete=models.CASCADE, related_name="lines")
    reagent = models.ForeignKey(Reagent, on_delete=models.PROTECT, related_name="+")
    planned = AmountField()
    used = AmountField()
    returned = models.BooleanField(default=False)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=models.Q(used__gte=0, planned__gte=0), name="run_not_negative"),
        ]

    def __str__(self):
        return f"{self.reagent}: {self.reagent.text_of(self.used)}"
