"""Taking a thing out of use, and bringing it back. Nothing that has a history is ever deleted."""

from django.contrib import messages
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from stockroom.common.activity_log import note


@require_POST
def retire_or_bring_back(request, thing, *, refusal: str = "", stay: str = "", to=None):
    """Retire `thing`, or bring it back where it is retired.

    `refusal` says why it cannot be retired now, `stay` why it cannot be brought back.
    """
    if wrong := refusal if thing.retired_on is None else stay:
        messages.error(request, wrong)
        return redirect(to or thing)
    retired = thing.retired_on is None
    type(thing).objects.filter(pk=thing.pk).update(retired_on=timezone.localdate() if retired else None)
    note(request.user, thing, "retired" if retired else "brought back")
    messages.success(
        request,
        f"{thing} is retired: it is offered nowhere any more, and its history stays."
        if retired
        else f"{thing} is back in use.",
    )
    return redirect(to or thing)
