"""Activity log, on a page and as a spreadsheet."""

from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from stockroom.common import spreadsheet
from stockroom.people import activity as history
from stockroom.people.forms.activity import ActivityForm

ACTS_A_PAGE = 50
#: more than a person reads, less than a spreadsheet or the memory minds
MOST_EXPORTED = 50_000


@permission_required("stockroom.view_activity", raise_exception=True)
def activity(request):
    form = ActivityForm(request.GET or None) if request.GET else ActivityForm({})
    keys = history.keys(form.asked())
    page = Paginator(keys, ACTS_A_PAGE).get_page(request.GET.get("page"))
    query = request.GET.copy()
    query.pop("page", None)
    context = {"form": form, "page": page, "acts": history.acts(page), "query": query.urlencode()}
    return render(request, "people/activity.html", context)


@permission_required("stockroom.view_activity", raise_exception=True)
def activity_export(request, form):
    """The acts asked for, newest first, as .csv or .xlsx."""
    if form not in spreadsheet.FORMATS:
        raise Http404
    acts = history.acts(history.keys(ActivityForm(request.GET).asked())[:MOST_EXPORTED])
    rows = (
        (f"{timezone.localtime(act.at):%Y-%m-%d %H:%M}", act.who, act.kind, act.thing, act.what)
        for act in acts
    )
    headers = ("When", "Who", "Act", "On", "What")
    body = spreadsheet.export(headers, rows, form, "Activity")
    response = HttpResponse(body, content_type=spreadsheet.FORMATS[form])
    response["Content-Disposition"] = (
        f'attachment; filename="activity-{timezone.localdate():%Y-%m-%d}.{form}"'
    )
    response["X-Content-Type-Options"] = "nosniff"
    return response
