"""What the list pages have in common."""

from django.contrib.auth.mixins import PermissionRequiredMixin
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django_filters.views import FilterView
from django_tables2 import SingleTableMixin

from stockroom.common.paging import paging


class NounList(PermissionRequiredMixin, SingleTableMixin, FilterView):
    """A list with search, filters, sort and pages. While one types, htmx asks for the rows alone."""

    raise_exception = True
    table_pagination = paging()
    template_name = "common/list.html"
    title = ""
    lead = ""
    #: (label, name of the address, permission) of the button above the list
    add: tuple[str, str, str] | None = None
    #: what an empty list says to do first
    empty_text = ""

    def setup(self, request, *args, **kwargs):
        super().setup(request, *args, **kwargs)
        self.today = timezone.localdate()

    def get_filterset_kwargs(self, filterset_class):
        return {**super().get_filterset_kwargs(filterset_class), "today": self.today}

    def get_table_kwargs(self):
        asked = self.filterset.is_asked
        text = "Nothing matches. Search for less, or clear a filter." if asked else self.empty_text
        return {"empty_text": text}

    def get_context_data(self, **kwargs):
        context = super().get_context_data(**kwargs) | {"title": self.title, "lead": self.lead}
        context["table"].today = self.today
        if self.add and self.request.user.has_perm(self.add[2]):
            context["add"] = {"label": self.add[0], "url": reverse(self.add[1])}
        return context

    def get_template_names(self):
        htmx = self.request.htmx
        return ["common/partials/rows.html"] if htmx and htmx.target == "rows" else [self.template_name]

    def render_to_response(self, context, **response_kwargs):
        response = super().render_to_response(context, **response_kwargs)
        patch_vary_headers(response, ["HX-Request"])
        return response
