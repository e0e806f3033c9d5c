"""Bookings: list, one, book, check before saving, change, copy, cancel, how it went."""

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from demos.consumption.amounts import ConsumptionError
from demos.consumption.takes import chosen_of, takes, with_ingredients
from demos.models import Booking, Demonstration
from demos.planning import booking as bookings
from demos.planning import feasibility, promises
from demos.planning.forms.booking import RECKONED_WITH, BookingForm, CopyForm, HowItWentForm
from demos.planning.tables import BookingFilter, BookingTable
from demos.report import beaker, briefing, reminder, residue, served_steps
from stockroom.common.activity_log import note
from stockroom.common.department import Department
from stockroom.common.views.listing import NounList
from stockroom.purchasing import outlook
from stockroom.wording.days import weekday_text


class BookingList(NounList):
    permission_required = "demos.view_booking"
    table_class, filterset_class = BookingTable, BookingFilter
    title = "Bookings"
    add = ("Book a demonstration", "demos:booking-add", "demos.add_booking")
    empty_text = "No bookings to come. Choose a demonstration and book it."

    def get_queryset(self):
        return Booking.objects.select_related("demonstration", "period", "room", "teacher")

    def get_filterset_kwargs(self, filterset_class):
        return {**super().get_filterset_kwargs(filterset_class), "request": self.request}

    def get_table(self, **kwargs):
        table = super().get_table(**kwargs)
        rows = [row.record for row in table.paginated_rows]
        planned = [row for row in rows if row.state == Booking.State.PLANNED]
        table.standing = feasibility.standing_of(planned, outlook.read(self.today)) if planned else {}
        return table


def _own(request, pk) -> Booking:
    """A booking of the person's own: others' are for reading."""
    booking = get_object_or_404(Booking.objects.select_related("demonstration", "period", "room"), pk=pk)
    if booking.teacher_id != request.user.pk:
        raise PermissionDenied("This booking is another teacher's: ask them to change it.")
    return booking


@permission_required("demos.view_booking", raise_exception=True)
def detail(request, pk):
    today = timezone.localdate()
    rows = Booking.objects.select_related("demonstration", "period", "room", "teacher", "run__recorded_by")
    booking = get_object_or_404(rows, pk=pk)
    demonstrations = with_ingredients(Demonstration.objects.all(), *reminder.PREFETCH)
    booking.demonstration = demonstrations.prefetch_related("equipment", "reactions", "steps").get(
        pk=booking.demonstration_id
    )
    is_planned = booking.state == Booking.State.PLANNED
    context = {
        "booking": booking,
        "today": today,
        "is_planned": is_planned,
        "is_own": booking.teacher_id == request.user.pk,
        "is_over": booking.on < today,
        "may_say": booking.on <= today and booking.state != Booking.State.CANCELLED,
        "reservations": booking.reservations.select_related("reagent"),
        "lines": booking.run.lines.select_related("reagent") if hasattr(booking, "run") else (),
        "written": residue.written(booking),
        "clashes": bookings.clashes(booking) if is_planned else (),
        "told": promises.told(booking) if is_planned else (),
        **_judged(booking, chosen_of(booking), today, with_plan=is_planned),
    }
    return render(request, "planning/booking_detail.html", context)


def _judged(booking, chosen, today, with_plan=True) -> dict:
    """What a booking takes, whether it can be ready, and the short reminder, for a template."""
    ingredients = list(booking.demonstration.ingredients.all())
    context = {"demonstration": booking.demonstration}
    try:
        rows = takes(booking, ingredients, chosen)
        if with_plan:
            read = outlook.read(today)
            context["left_out"] = read.left_out
            context["found"] = feasibility.check(booking, ingredients, read, chosen)
    except ConsumptionError as error:
        return {**context, "wrong": str(error)}
    return {
        **context,
        "takes": rows,
        "instead": served_steps.instead(booking.demonstration, booking.scale, chosen),
        "together": reminder.remind(row.reagent for row in rows),
        "briefing": briefing.brief(
            booking.demonstration,
            rows,
            booking.room if booking.room_id else None,
            beaker.foresee(booking.demonstration, booking.scale, chosen),
        ),
    }


def _checked(form: BookingForm) -> dict:
    """The panel beside a booking form: for a booking that is not saved, as far as it is filled in."""
    form.is_valid()
    booking = form.so_far()
    if booking is None:
        problems = [
            f"{form[name].label}: {errors[0]}"
            for name, errors in form.errors.items()
            if name in RECKONED_WITH and form[name].data
        ]
        return {"form": form, "missing": True, "problems": problems}
    rows = with_ingredients(Demonstration.objects.all(), *reminder.PREFETCH)
    booking.demonstration = rows.prefetch_related("reactions", "steps").get(pk=booking.demonstration.pk)
    return {
        "form": form,
        "booking": booking,
        "clashes": bookings.clashes(booking) if booking.period_id and booking.room_id else (),
        "is_day_off": not Department.current().week.works(booking.on),
        **_judged(booking, form.chosen(), form.today),
    }


def _sent(request) -> dict:
    """What was sent, with the alternative that a button of the panel chose put in its place."""
    data = request.POST.copy()
    ingredient, _, reagent = data.get("choose", "").partition(":")
    if ingredient.isdecimal() and reagent.isdecimal():
        data[f"instead-{ingredient}"] = reagent
    return data


def _page(request, form, *, title, back, panel=None, lost=(), instead=()):
    booking = form.instance
    check_url = (
        reverse("demos:booking-check-change", args=[booking.pk])
        if booking.pk
        else reverse("demos:booking-check")
    )
    context = {
        "form": form,
        "title": title,
        "back": back,
        "check_url": check_url,
        "panel": panel or {"missing": True},
        "lost": lost,
        "instead": instead,
    }
    return render(request, "planning/booking_form.html", context)


def _is_only_asking(request) -> bool:
    """Without JavaScript, “Check first” and a chosen alternative send the whole form: nothing is saved."""
    return "check" in request.POST or "choose" in request.POST


def _accepted(request) -> set[int]:
    """The bookings that the person has seen to be worse off, and saves all the same."""
    return {int(pk) for pk in request.POST.get("accept", "").split("-") if pk.isdecimal() and len(pk) < 19}


def _unseen(request, lost) -> bool:
    return not {row.booking.pk for row in lost} <= _accepted(request)


def _worse_off(form: BookingForm, today) -> tuple[promises.Falling, ...]:
    """The other bookings that lose something if what the form says is saved. Raises ConsumptionError."""
    booking = form.so_far()
    rows = takes(booking, form.ingredients, form.chosen())
    return promises.falling([(booking, rows)], outlook.read(today))


def _ask_first(request, form, lost, today, **page):
    """The form again, with the bookings that would be worse off and a tick to save it all the same."""
    form.add_error(None, "Other bookings would be worse off. See below, and tick the box to save it anyway.")
    booking = form.so_far()
    instead = promises.avoided_by(booking, form.ingredients, form.chosen(), outlook.read(today))
    return _page(request, form, panel=_checked(form), lost=lost, instead=instead, **page)


def _save(request, booking, *, title, back):
    is_new = booking.pk is None
    today = timezone.localdate()
    if request.method != "POST":
        initial = {}
        if is_new:
            asked = request.GET.get("demonstration", "")
            initial = {"demonstration": asked if asked.isdecimal() and len(asked) < 10 else None}
            initial["on"] = request.GET.get("on", "")[:10]
        form = BookingForm(instance=booking, initial=initial, today=today)
        if not is_new:
            form.initial |= {f"instead-{key}": value for key, value in chosen_of(booking).items()}
        return _page(request, form, title=title, back=back, panel=_checked(_as_sent(form, booking, today)))
    form = BookingForm(_sent(request), instance=booking, today=today)
    if _is_only_asking(request) or not form.is_valid():
        return _page(request, form, title=title, back=back, panel=_checked(form))
    try:
        lost = _worse_off(form, today)
        if lost and _unseen(request, lost):
            return _ask_first(request, form, lost, today, title=title, back=back)
        saved = bookings.save(form.save(commit=False), form.chosen())
    except (bookings.BookingError, ConsumptionError) as error:
        form.add_error(None, str(error))
        return _page(request, form, title=title, back=back)
    note(request.user, saved, "booked" if is_new else "changed", *([ADDITION] if is_new else []))
    promises.tell(request.user, lost, saved)
    standing = feasibility.standing_of([saved], outlook.read(today))[saved.pk]
    say = messages.success if standing.state != "bad" else messages.warning
    say(request, f"{saved} is {'booked' if is_new else 'saved'}. {standing.headline}.")
    return redirect(saved)


def _as_sent(form: BookingForm, booking: Booking, today) -> BookingForm:
    """The form that would be sent if it were sent as it is shown, so that the panel speaks of it."""
    data = {bound.html_name: bound.value() for bound in form if bound.value() is not None}
    return BookingForm(data, instance=booking, today=today)


@permission_required("demos.add_booking", raise_exception=True)
def add(request):
    booking = Booking(teacher=request.user)
    return _save(request, booking, title="Book a demonstration", back=reverse("demos:booking-list"))


@permission_required("demos.change_booking", raise_exception=True)
def edit(request, pk):
    booking = _own(request, pk)
    if booking.state != Booking.State.PLANNED:
        messages.error(request, "Only a planned booking can be changed: this one is done or canceled.")
        return redirect(booking)
    return _save(request, booking, title=f"Change {booking}", back=booking.get_absolute_url())


def _panel(request, booking):
    form = BookingForm(_sent(request), instance=booking, today=timezone.localdate())
    context = {"panel": _checked(form), "form": form, "renew_choices": True}
    return render(request, "planning/partials/booking_check.html", context)


@require_POST
@permission_required("demos.add_booking", raise_exception=True)
def check(request):
    return _panel(request, Booking(teacher=request.user))


@require_POST
@permission_required("demos.change_booking", raise_exception=True)
def check_change(request, pk):
    return _panel(request, _own(request, pk))


@permission_required("demos.add_booking", raise_exception=True)
def copy(request, pk):
    booking = _own(request, pk)
    today = timezone.localdate()
    refusal = ""
    if booking.demonstration.retired_on:
        refusal = f"{booking.demonstration} is retired: it cannot be booked again."
    elif booking.room.retired_on or booking.period.retired_on:
        refusal = "Its room or period is no longer in use: book it again."
    if refusal:
        messages.error(request, refusal)
        return redirect(booking)
    form = CopyForm(request.POST if request.method == "POST" else None, booking=booking, today=today)
    lost = ()
    if request.method == "POST" and form.is_valid():
        lost = _worse_off_by_copies(booking, form.cleaned_data["days"], today)
        if not lost or not _unseen(request, lost):
            copies = bookings.copy_to(booking, form.cleaned_data["days"])
            for row in copies:
                note(request.user, row, "booked by copying", ADDITION)
            promises.tell(request.user, lost, copies[0])
            _say_copied(request, copies, today)
            return redirect("demos:booking-list")
        form.add_error(
            None, "Other bookings would be worse off. See below, and tick the box to copy it anyway."
        )
    context = {"form": form, "title": f"Copy {booking}", "submit": "Copy it to these days", "lost": lost}
    context |= {"back": booking.get_absolute_url(), "crumbs": [("Bookings", reverse("demos:booking-list"))]}
    return render(request, "planning/booking_copy.html", context)


def _worse_off_by_copies(booking: Booking, days, today) -> tuple[promises.Falling, ...]:
    chosen = chosen_of(booking)
    ingredients = list(booking.demonstration.ingredients.all())
    asked = []
    for on in days:
        copied = Booking.objects.select_related("demonstration").get(pk=booking.pk)
        copied.pk, copied.on = None, on
        asked.append((copied, takes(copied, ingredients, chosen)))
    return promises.falling(asked, outlook.read(today))


def _say_copied(request, copies, today):
    days = ", ".join(weekday_text(row.on) for row in copies)
    messages.success(request, f"Copied to {days}.")
    standing = feasibility.standing_of(copies, outlook.read(today))
    bad = [weekday_text(row.on) for row in copies if standing[row.pk].state == "bad"]
    if bad:
        messages.warning(request, f"Cannot be ready on {', '.join(bad)}: see why, and how to fix it.")
    taken = [weekday_text(row.on) for row in copies if bookings.clashes(row)]
    if taken:
        messages.warning(request, f"The room is booked already in that period on {', '.join(taken)}.")


@permission_required("demos.cancel_booking", raise_exception=True)
def cancel(request, pk):
    booking = _own(request, pk)
    if request.method != "POST":
        return render(request, "planning/booking_cancel.html", {"booking": booking})
    try:
        bookings.cancel(booking)
    except bookings.BookingError as error:
        messages.error(request, str(error))
    else:
        note(request.user, booking, "cancelled")
        messages.success(request, f"{booking} is canceled. What was set aside for it is free again.")
    return redirect(booking)


@permission_required("demos.say_how_it_went", raise_exception=True)
def how_it_went(request, pk):
    booking = _own(request, pk)
    if booking.on > timezone.localdate() or booking.state == Booking.State.CANCELLED:
        messages.error(request, "Record how it went once it has been shown.")
        return redirect(booking)
    form = HowItWentForm(request.POST if request.method == "POST" else None, instance=booking)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Your words are kept with the booking.")
        return redirect(booking)
    context = {"form": form, "title": f"How it went: {booking}", "submit": "Keep this"}
    context |= {"back": booking.get_absolute_url(), "crumbs": [("Bookings", reverse("demos:booking-list"))]}
    return render(request, "common/form.html", context)
