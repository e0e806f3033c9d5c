"""Labels of any kind on a sheet of label paper."""

from django.http import HttpResponse
from django.utils.text import slugify

from stockroom.common.views.printing import PDF_POLICY

#: where a person's own label sizes are kept until they sign out
REMEMBERED = "label_paper"


def labels_pdf(request, drawn, sheet_class, head, labels, form) -> HttpResponse:
    """The labels on the paper that `form` names. `drawn` is the module of the sheet."""
    paper, layout = form.cleaned_data["sheet"]
    if own := form.own_sizes():
        request.session[REMEMBERED] = own
    data = sheet_class(head, tuple(labels), layout, form.cleaned_data["start"], form.cleaned_data["outline"])
    response = HttpResponse(drawn.render(data, paper), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{slugify(head.title) or "labels"}.pdf"'
    response["Content-Security-Policy"] = PDF_POLICY
    return response
