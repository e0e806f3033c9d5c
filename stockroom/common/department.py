"""The department itself: its name, its year, its own settings. One row."""

from django.core.validators import MinValueValidator, RegexValidator
from django.db import models

from stockroom.supply.workdays import WorkWeek


class Department(models.Model):
    class Paper(models.TextChoices):
        A4 = "A4", "A4"
        LETTER = "Letter", "US Letter"

    school = models.CharField(max_length=120, default="Our school")
    name = models.CharField("department", max_length=120, default="Chemistry")
    country = models.CharField(
        max_length=2,
        default="US",
        help_text="Two-letter country code. Outside the US the waste rules shown are guidance only.",
    )
    currency = models.CharField(max_length=3, default="USD", help_text="Three-letter currency code.")
    paper = models.CharField(max_length=6, choices=Paper, default=Paper.A4)
    term_name = models.CharField(max_length=60, default="This term")
    term_start = models.DateField(null=True, blank=True)
    term_end = models.DateField(null=True, blank=True)
    #: weekdays as figures, Monday being 0
    working_days = models.CharField(
        max_length=7, default="01234", validators=[RegexValidator(r"^[0-6]+\Z", "Choose at least one day.")]
    )
    sheet_review_months = models.PositiveSmallIntegerField(
        "review safety data sheets every (months)", default=36, validators=[MinValueValidator(1)]
    )
    emergency_contact = models.CharField(
        max_length=200, blank=True, help_text="Printed on every safety sheet: who to call, and the number."
    )

    class Meta:
        permissions = [
            ("view_activity", "Can see the activity log"),
            ("review_stock", "Can review stock and hazards"),
            ("manage_users", "Can add people and set their roles"),
        ]
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="one_department"),
        ]

    def __str__(self):
        return f"{self.name}, {self.school}"

    @classmethod
    def current(cls) -> "Department":
        """The department; created with plain defaults the first time it is asked for."""
        return cls.objects.get_or_create(pk=1)[0]

    @property
    def whom_to_call(self) -> str:
        """After "Call": the contact that the department has written down, or in words who it is."""
        return self.emergency_contact.rstrip(".") or "the person named for emergencies"

    @property
    def week(self) -> WorkWeek:
        return WorkWeek.of(map(int, self.working_days))
