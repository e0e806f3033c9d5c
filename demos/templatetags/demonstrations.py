"""Equations as people read them."""

from django import template
from django.utils.html import conditional_escape, format_html, format_html_join

from demos.report.vapour_exposure import figures
from stockroom.chemistry.reaction import EquationError, Term, parse_equation
from stockroom.templatetags.amounts import formula

register = template.Library()
register.filter("figures", figures)


def _term(term: Term) -> str:
    number = "" if term.coefficient == 1 else f"{term.coefficient}\u00a0"
    return format_html("{}{}", number, formula(term.formula.text))


@register.filter
def equation(text: str) -> str:
    """An equation with subscripts and charges; what cannot be read comes back escaped, as written."""
    try:
        found = parse_equation(text)
    except EquationError:
        return conditional_escape(text)
    left, right = (
        format_html_join(" + ", "{}", ((_term(t),) for t in side))
        for side in (found.reactants, found.products)
    )
    return format_html('<span class="equation">{} {} {}</span>', left, found.arrow, right)
