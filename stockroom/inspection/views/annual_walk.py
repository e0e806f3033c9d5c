"""The annual review: list, start, walk shelf by shelf, sign or abandon, and its sheet."""

import datetime

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth.decorators import permission_required
from django.db.models import Count, Q
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from stockroom.common.activity_log import note
from stockroom.common.days import day_text
from stockroom.common.views.listing import NounList
from stockroom.common.views.printing import pdf, sheet_head
from stockroom.inspection import annual_walk
from stockroom.inspection.forms import AbandonForm, ReviewStartForm, SignForm, WalkForm
from stockroom.inspection.known_fault import KnownFault
from stockroom.inspection.models import AnnualReview, ClosedError, ShelfWalk
from stockroom.inspection.sheets import annual_walk as sheet
from stockroom.inspection.tables import AnnualReviewFilter, AnnualReviewTable

WALK, SIGN = "stockroom.walk_review", "stockroom.review_stock"


class AnnualReviewList(NounList):
    permission_required = WALK
    table_class, filterset_class = AnnualReviewTable, AnnualReviewFilter
    title = "Annual reviews"
    lead = "Once a year somebody stands before every shelf, and the department head signs what was found."
    add = ("Start a review", "annual-add", SIGN)
    empty_text = "No annual review yet. The department head starts one; head and technician walk the shelves."

    def get_queryset(self):
        return AnnualReview.objects.select_related("started_by").annotate(
            shelves=Count("walks"), walked=Count("walks", filter=Q(walks__walked_on__isnull=False))
        )


def _crumbs(its=None):
    crumbs = [("Annual reviews", reverse("annual-list"))]
    return [*crumbs, (str(its), its.get_absolute_url())] if its else crumbs


@permission_required(SIGN, raise_exception=True)
def start(request):
    form = ReviewStartForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        today = timezone.localdate()
        try:
            its = annual_walk.start(who=request.user, on=today, note=form.cleaned_data["note"])
        except annual_walk.ReviewError as error:
            form.add_error(None, str(error))
        else:
            note(request.user, its, "started", ADDITION)
            return redirect(its)
    context = {
        "form": form,
        "title": "Start an annual review",
        "lead": "Lists every shelf with what the stockroom knows to be wrong there. Walk them in any order; "
        "each is saved on its own.",
        "submit": "Start the review",
        "back": reverse("annual-list"),
        "crumbs": _crumbs(),
    }
    return render(request, "common/form.html", context)


def _review(pk) -> AnnualReview:
    return get_object_or_404(AnnualReview.objects.select_related("started_by", "abandoned_by"), pk=pk)


def _walks(its: AnnualReview, today: datetime.date) -> list[tuple[ShelfWalk, annual_walk.Shelf]]:
    """Every shelf: as it was when it was walked, or as it is now."""
    walks = list(its.walks.select_related("walked_by", "place"))
    unwalked = [walk.place for walk in walks if not walk.walked_on]
    now = annual_walk.shelves(unwalked, today) if unwalked else {}
    return [(walk, now.get(walk.place_id) or _remembered(walk)) for walk in walks]


def _remembered(walk: ShelfWalk) -> annual_walk.Shelf:
    containers = tuple(
        (number, reagent, amount, datetime.date.fromisoformat(day) if day else None, "".join(papers))
        for number, reagent, amount, day, *papers in walk.containers
    )
    return annual_walk.Shelf(containers, tuple(KnownFault(**row) for row in walk.findings))


@permission_required(WALK, raise_exception=True)
def detail(request, pk):
    its = _review(pk)
    if its.is_open:
        annual_walk.catch_up(its)
    rows = _walks(its, timezone.localdate())
    context = {
        "review": its,
        "rows": rows,
        "walked": sum(walk.walked_on is not None for walk, _ in rows),
        "not_in_order": sum(len(walk.not_in_order) for walk, _ in rows),
        "known": sum(len(shelf.findings) for _, shelf in rows),
    }
    return render(request, "inspection/annual_review.html", context)


@permission_required(WALK, raise_exception=True)
def walk(request, pk):
    """One shelf: what stands there, what is known to be wrong, and the checks."""
    rows = ShelfWalk.objects.select_related("review", "place", "walked_by")
    its = get_object_or_404(rows, pk=pk)
    if not its.review.is_open:
        messages.error(request, "This review is closed: nothing in it can be changed.")
        return redirect(its.review)
    today = timezone.localdate()
    form = WalkForm(request.POST or None, walk=its)
    if request.method == "POST" and form.is_valid():
        try:
            annual_walk.write(its, form.checks(), who=request.user, on=today)
        except ClosedError as error:
            messages.error(request, str(error))
            return redirect(its.review)
        messages.success(request, f"{its.name} is walked.")
        following = its.review.walks.filter(walked_on=None).first()
        return redirect(following or its.review)
    context = {
        "walk": its,
        "form": form,
        "shelf": annual_walk.shelves([its.place], today)[its.place_id],
        "today": today,
        "pairs": [(form[f"check-{n}"], form[f"note-{n}"]) for n in range(len(sheet.CHECKS))],
        "crumbs": _crumbs(its.review),
    }
    return render(request, "inspection/annual_walk.html", context)


@permission_required(SIGN, raise_exception=True)
def sign(request, pk):
    its = _review(pk)
    if not its.is_open:
        messages.error(request, "This review is closed already.")
        return redirect(its)
    form = SignForm(request.POST or None, initial={"note": its.note})
    if request.method == "POST" and form.is_valid():
        try:
            annual_walk.sign(its, who=request.user, on=timezone.localdate(), note=form.cleaned_data["note"])
        except (annual_walk.ReviewError, ClosedError) as error:
            form.add_error(None, str(error))
        else:
            note(request.user, its, "signed")
            messages.success(request, "Signed, with your name and today's date. Print it for the file.")
            return redirect(its)
    context = {
        "form": form,
        "title": "Sign the annual review",
        "lead": f"As {request.user.get_full_name() or request.user.get_username()}, "
        f"{day_text(timezone.localdate())}. Once signed, nothing in it can be changed.",
        "submit": "Sign it",
        "back": its.get_absolute_url(),
        "crumbs": _crumbs(its),
    }
    return render(request, "common/form.html", context)


@permission_required(SIGN, raise_exception=True)
def abandon(request, pk):
    """Close a review unsigned, with a reason, so that another can be started."""
    its = _review(pk)
    if not its.is_open:
        messages.error(request, "This review is closed already.")
        return redirect(its)
    form = AbandonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        why = form.cleaned_data["why"]
        try:
            annual_walk.abandon(its, who=request.user, on=timezone.localdate(), why=why)
        except ClosedError as error:
            form.add_error(None, str(error))
        else:
            note(request.user, its, f"abandoned: {why}")
            messages.success(request, "The review is abandoned. What was walked stays to be read.")
            return redirect(its)
    context = {
        "form": form,
        "title": "Abandon the annual review",
        "lead": "It stays on record as abandoned, with your name, today's date and the reason, and does not "
        "count as a review. Another can be started.",
        "submit": "Abandon it",
        "danger": True,
        "back": its.get_absolute_url(),
        "crumbs": _crumbs(its),
    }
    return render(request, "common/form.html", context)


@permission_required(WALK, raise_exception=True)
def review_sheet(request, pk):
    its = _review(pk)
    rows = _walks(its, timezone.localdate())
    before = (
        AnnualReview.objects.filter(signed_on__isnull=False, pk__lt=its.pk).order_by("-signed_on").first()
    )
    walked = sum(walk.walked_on is not None for walk, _ in rows)
    data = sheet.AnnualReview(
        sheet_head(
            request, "Annual review", "the shelves as they were walked", f"begun {day_text(its.started_on)}"
        ),
        tuple(_sheet_shelf(walk, shelf) for walk, shelf in rows),
        (
            ("Shelves", len(rows)),
            ("Walked", walked),
            ("Not in order", sum(len(walk.not_in_order) for walk, _ in rows)),
            ("Known to be wrong", sum(len(shelf.findings) for _, shelf in rows)),
        ),
        before.signed_on if before else None,
        f"{its.signed_name}, {day_text(its.signed_on)}" if its.signed_on else "",
        its.note,
        _closed_unsigned(its),
    )
    return pdf(request, sheet.render, data, f"annual-review-{its.pk}")


def _closed_unsigned(its: AnnualReview) -> str:
    if not its.abandoned_on:
        return ""
    who = its.abandoned_by.get_full_name() or its.abandoned_by.get_username()
    return f"by {who}, {day_text(its.abandoned_on)}: {its.abandoned_for}"


def _sheet_shelf(walk: ShelfWalk, shelf: annual_walk.Shelf) -> sheet.Shelf:
    by = walk.walked_by and (walk.walked_by.get_full_name() or walk.walked_by.get_username())
    return sheet.Shelf(
        name=walk.name,
        storage=walk.storage.lower(),
        containers=shelf.containers,
        findings=shelf.findings,
        answers=tuple(sheet.Answer(row["check"], row["ok"], row["note"]) for row in walk.checks),
        walked_by=by or "",
        walked_on=walk.walked_on,
    )
