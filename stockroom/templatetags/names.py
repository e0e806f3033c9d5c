"""The lists of names that type-and-choose boxes pick from. One of each a page."""

from django import template
from django.utils.html import format_html, format_html_join

from stockroom.inventory.forms.autocomplete import ChemicalField, ReagentField
from stockroom.inventory.models import Chemical, Reagent

register = template.Library()


def _names(list_id: str, rows) -> str:
    names = rows.filter(retired_on=None).order_by("name").values_list("name", flat=True)
    options = format_html_join("", '<option value="{}"></option>', ((name,) for name in names))
    return format_html('<datalist id="{}">{}</datalist>', list_id, options)


@register.simple_tag
def chemical_names() -> str:
    return _names(ChemicalField.list_id, Chemical.objects)


@register.simple_tag
def reagent_names() -> str:
    return _names(ReagentField.list_id, Reagent.objects)
