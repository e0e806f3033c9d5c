"""Where a page is that domain code named."""

from urllib.parse import urlencode

from django import template
from django.apps import apps
from django.urls import NoReverseMatch, reverse

from stockroom.common.page import Page

register = template.Library()


@register.filter
def address(page: Page) -> str:
    """The address of a named page, with what is asked of it."""
    where = reverse(page.name, args=page.args)
    return f"{where}?{urlencode(page.query)}" if page.query else where


@register.filter
def address_of(about: tuple[str, int] | None) -> str:
    """The address of a thing by the label of its model and its id, with no query; "" if it has none."""
    if about is None:
        return ""
    label, pk = about
    try:
        if label in _PAGES:
            name, args = _PAGES[label]
            return reverse(name, args=[pk] if args else [])
        return apps.get_model(label)(pk=pk).get_absolute_url()
    except (AttributeError, NoReverseMatch):
        return ""


#: things whose page is named elsewhere than on the model: (name, whether it is of one)
_PAGES = {"auth.User": ("person-edit", True), "stockroom.DrainPermission": ("drain-list", False)}
