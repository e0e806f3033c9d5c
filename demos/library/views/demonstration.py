"""Demonstrations: the library, one, write, change, retire."""

from dataclasses import dataclass

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.db import transaction
from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Sum
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers

from demos.consumption.amounts import ConsumptionError
from demos.consumption.takes import with_ingredients
from demos.library.forms.demonstration import DemonstrationScreen
from demos.library.forms.library import READY, LibraryForm
from demos.models import Booking, Demonstration, Ingredient, RunLine
from demos.planning import booking as bookings
from demos.planning import feasibility
from demos.report import beaker, cleanup, reminder
from stockroom.common.activity_log import note
from stockroom.common.views.retire import retire_or_bring_back
from stockroom.purchasing import outlook
from stockroom.supply.requirements import Readiness
from stockroom.waste import composition

PER_PAGE = 24
#: runs from which the usual amount is worth a word
ENOUGH_RUNS = 3


def _found(form: LibraryForm) -> QuerySet[Demonstration]:
    """Demonstrations that the form asks for, but for whether they can be shown."""
    asked = form.cleaned_data
    rows = Demonstration.objects.prefetch_related("topics")
    if asked.get("shown") != "all":
        rows = rows.filter(retired_on__isnull=asked.get("shown") != "retired")
    for word in asked.get("q", "").split()[:6]:
        reagents = Ingredient.objects.filter(demonstration=OuterRef("pk"), reagent__name__icontains=word)
        topics = Demonstration.topics.through.objects.filter(
            demonstration=OuterRef("pk"), topic__name__icontains=word
        )
        rows = rows.filter(
            Q(title__icontains=word)
            | Q(summary__icontains=word)
            | Q(explanation__icontains=word)
            | Exists(reagents)
            | Exists(topics)
        )
    if asked.get("topic"):
        rows = rows.filter(topics=asked["topic"])
    if asked.get("audience"):
        rows = rows.filter(audience=asked["audience"])
    if asked.get("minutes"):
        rows = rows.filter(minutes__lte=int(asked["minutes"]))
    return rows


@permission_required("demos.view_demonstration", raise_exception=True)
def library(request):
    """Every demonstration, with whether it can be shown on the day asked about."""
    form = LibraryForm(request.GET, today=timezone.localdate())
    form.is_valid()
    rows = list(with_ingredients(_found(form)))
    read = outlook.read(form.today)
    standing = feasibility.on_day(rows, form.day, read) if rows else {}
    wanted = {
        "": set(Readiness),
        READY: {Readiness.READY},
    }.get(form.cleaned_data.get("can") or "", set(Readiness) - {Readiness.CANNOT})
    shown = [(row, standing[row.pk]) for row in rows if standing[row.pk].readiness in wanted]
    page = Paginator(shown, PER_PAGE).get_page(request.GET.get("page"))
    context = {"form": form, "page": page, "day": form.day, "today": form.today}
    context["left_out"] = read.left_out
    htmx = request.htmx
    template = (
        "library/partials/library.html"
        if htmx and htmx.target == "found"
        else "library/demonstration_list.html"
    )
    response = render(request, template, context)
    patch_vary_headers(response, ["HX-Request"])
    return response


@permission_required("demos.view_demonstration", raise_exception=True)
def detail(request, pk):
    """Everything a teacher needs of one demonstration."""
    today = timezone.localdate()
    rows = with_ingredients(Demonstration.objects.select_related("written_by"), *reminder.PREFETCH)
    rows = rows.prefetch_related("topics", "equipment", "steps__adds__reagent", "reactions")
    demonstration = get_object_or_404(rows, pk=pk)
    ingredients = list(demonstration.ingredients.all())
    reagents = [row.reagent for row in ingredients]
    others = [other.reagent for row in ingredients for other in row.alternatives.all()]
    upcoming = demonstration.bookings.filter(state=Booking.State.PLANNED, on__gte=today).select_related(
        "period", "room", "teacher"
    )
    asked = LibraryForm(request.GET, today=today)
    asked.is_valid()
    read = outlook.read(today)
    context = {
        "demonstration": demonstration,
        "today": today,
        "day": asked.day,
        "ingredients": ingredients,
        "hazards": [reminder.hazards_of(row) for row in dict.fromkeys([*reagents, *others])],
        "together": reminder.remind(reagents),
        "mixing": reminder.mixing(demonstration),
        "standing": feasibility.on_day([demonstration], asked.day, read)[demonstration.pk],
        "left_out": read.left_out,
        "upcoming": upcoming[:20],
        "usual": usual_against_planned(demonstration),
        "cleanup_stream": composition.stream_name(demonstration.cleanup_stream)
        if demonstration.cleanup_stream
        else "",
        "cleanup_wrong": _cleanup_wrong(demonstration),
    }
    return render(request, "library/demonstration_detail.html", context)


def _cleanup_wrong(demonstration: Demonstration) -> tuple[str, ...]:
    """What its coded route says otherwise than the rules do of what is left."""
    if not demonstration.cleanup_route:
        return ()
    rows = Demonstration.objects.prefetch_related(*beaker.PREFETCH)
    return cleanup.disagreements(rows.get(pk=demonstration.pk), composition.rules())


@dataclass(frozen=True)
class Usual:
    """What past runs used of one reagent, all together, in base units of its `measure`.

    `share`: per cent used of what was planned, None where nothing was. `hint`: in words, where enough runs
    agree that the plan is off.
    """

    pk: int
    name: str
    measure: str
    runs: int
    planned: int
    used: int

    @property
    def share(self) -> int | None:
        return round(100 * self.used / self.planned) if self.planned else None

    @property
    def hint(self) -> str:
        if self.share is None or self.runs < ENOUGH_RUNS:
            return ""
        if self.share < 75:
            return "usually less than planned: the amounts could come down"
        return "usually more than planned: the amounts should go up" if self.share > 110 else ""


def usual_against_planned(demonstration: Demonstration) -> list[Usual]:
    """What past runs used of each reagent beside what was planned: one query."""
    rows = (
        RunLine.objects.filter(run__booking__demonstration=demonstration, returned=False)
        .values("reagent", "reagent__name", "reagent__measure")
        .annotate(runs=Count("run", distinct=True), planned_sum=Sum("planned"), used_sum=Sum("used"))
        .order_by("reagent__name")
    )
    return [
        Usual(
            row["reagent"],
            row["reagent__name"],
            row["reagent__measure"],
            row["runs"],
            row["planned_sum"],
            row["used_sum"],
        )
        for row in rows
    ]


def _save(request, demonstration, *, title, back):
    is_new = demonstration.pk is None
    screen = DemonstrationScreen(request.POST if request.method == "POST" else None, demonstration)
    if request.method == "POST" and screen.is_valid():
        if is_new:
            demonstration.written_by = request.user
        try:
            with transaction.atomic():
                saved = screen.save()
                again = bookings.reserve_again(saved, timezone.localdate())
        except ConsumptionError as error:
            screen.form.add_error(None, f"A booking to come cannot be worked out with this: {error}")
        else:
            note(request.user, saved, "written" if is_new else "changed", *([ADDITION] if is_new else []))
            _say_saved(request, saved, again)
            return redirect(saved)
    context = {"screen": screen, "form": screen.form, "title": title, "back": back, **screen.sets}
    return render(request, "library/demonstration_form.html", context)


def _say_saved(request, demonstration, again: int) -> None:
    """What became of the bookings to come."""
    text = f"{demonstration} is saved."
    if again:
        text += f" Its {again} booking{'s' if again > 1 else ''} to come set aside what it takes now."
    messages.success(request, text)
    if not again:
        return
    today = timezone.localdate()
    planned = demonstration.bookings.filter(state=Booking.State.PLANNED, on__gte=today)
    rows = list(planned.select_related("demonstration"))
    standing = feasibility.standing_of(rows, outlook.read(today))
    bad = [
        f"{row.class_name} on {feasibility.day(row.on)}" for row in rows if standing[row.pk].state == "bad"
    ]
    if bad:
        more = f" and {len(bad) - 5} more" if len(bad) > 5 else ""
        messages.warning(
            request, f"It cannot be ready for {', '.join(bad[:5])}{more}: see the booking for why."
        )


@permission_required("demos.add_demonstration", raise_exception=True)
def add(request):
    return _save(
        request, Demonstration(), title="Write a demonstration", back=reverse("demos:demonstration-list")
    )


@permission_required("demos.change_demonstration", raise_exception=True)
def edit(request, pk):
    demonstration = get_object_or_404(Demonstration, pk=pk)
    back = demonstration.get_absolute_url()
    return _save(request, demonstration, title=f"Change {demonstration}", back=back)


@permission_required("demos.change_demonstration", raise_exception=True)
def retire(request, pk):
    return retire_or_bring_back(request, get_object_or_404(Demonstration, pk=pk))
