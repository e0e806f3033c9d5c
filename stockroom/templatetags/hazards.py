"""GHS pictograms in templates."""

from functools import lru_cache

from django import template
from django.utils.html import format_html

from stockroom.paper.pictograms import pictogram_svg
from stockroom.safety.ageing import ageing_rules
from stockroom.safety.label import HAZARD_CLASSES, PICTOGRAM_NAMES
from stockroom.templatetags.drawings import drawn

register = template.Library()


@register.simple_tag
def pictogram(code: str, size: str = "1.5em", title: str | None = None) -> str:
    """The pictogram drawn in the page: ``{% pictogram "GHS02" %}``; an unknown code is shown as text.

    size: CSS length of its side. title: what a screen reader says; "" where its name stands beside it in
    words.
    """
    if code not in PICTOGRAM_NAMES:
        return format_html("<span>{}</span>", code)
    return _pictogram(code, str(size), title)


@lru_cache(256)
def _pictogram(code: str, size: str, title: str | None) -> str:
    return drawn(pictogram_svg(code, size, title))


@register.filter
def class_name(key: str) -> str:
    """Class and category of a hazard class key in words."""
    return HAZARD_CLASSES[key].name if key in HAZARD_CLASSES else key


@register.filter
def pictogram_name(code: str) -> str:
    """Its name in words: "Flame" for GHS02."""
    return PICTOGRAM_NAMES.get(code, code)


@register.filter
def group_words(keys) -> str:
    """Reactivity groups as people read them."""
    return ", ".join(key.replace("_", " ") for key in keys)


@register.filter
def class_words(keys) -> str:
    """Hazard classes by name."""
    return ", ".join(HAZARD_CLASSES[key].name if key in HAZARD_CLASSES else key for key in keys)


@register.filter
def ageing_words(keys: str) -> str:
    """By which rules a thing ages: names of the classes of a reagent that ages."""
    return ", ".join(ageing_rules()[key].name for key in keys.split() if key in ageing_rules())
