"""Drawings in a page: SVG elements written out, every word and value in them escaped here."""

from xml.etree.ElementTree import Element

from django import template
from django.forms.utils import flatatt
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

register = template.Library()

#: all that a drawing of ours is made of: nothing in it loads, links or runs anything
TAGS = {"svg", "g", "title", "desc", "path", "text", "circle", "rect", "polygon", "polyline", "line"}


@register.filter
def drawn(element: Element | None) -> SafeString | str:
    """`{{ chart|drawn }}`; nothing where there is none. ValueError for an element that draws nothing."""
    if element is None:
        return ""
    if element.tag not in TAGS or any(name == "style" or name.startswith("on") for name in element.attrib):
        raise ValueError(f"<{element.tag}> with {sorted(element.attrib)} is not part of a drawing.")
    inside = format_html_join("", "{}", ((drawn(child),) for child in element))
    text = (element.text or "").strip()
    return format_html("<{}{}>{}{}</{}>", element.tag, flatatt(element.attrib), text, inside, element.tag)
