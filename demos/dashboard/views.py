"""The first page of each role."""

from django.shortcuts import render
from django.utils import timezone

from demos.dashboard import landing
from stockroom.purchasing import outlook


def home(request):
    """Each role's first question, answered; a person with two roles sees both."""
    read = outlook.read(timezone.localdate())
    user = request.user
    context = {"today": read.today, "left_out": read.left_out}
    if user.has_perm("stockroom.approve_order"):
        context["head"] = landing.for_head(read)
    if user.has_perm("demos.add_booking"):
        context["teacher"] = landing.for_teacher(user, read)
    if user.has_perm("demos.record_run"):
        context["technician"] = landing.for_technician(read)
    return render(request, "dashboard/home.html", context)
