"""Amounts, formulas and states as people read them."""

import datetime

from django import template
from django.utils.html import conditional_escape, format_html, format_html_join

from stockroom.chemistry.formula import FormulaError, parse_formula
from stockroom.chemistry.quantity import format_amount
from stockroom.inventory.stock import Words, state_of

register = template.Library()


@register.filter
def amount(thing, n) -> str:
    """`{{ reagent|amount:n }}`: a stored int as this reagent (or whatever has a `measure`) is measured."""
    return "" if n is None or n == "" else format_amount(n, thing.measure)


@register.filter
def change(thing, n) -> str:
    """Like `amount`, with a plus or minus sign; empty where nothing changed."""
    if not n:
        return ""
    return f"{'+' if n > 0 else '−'}{format_amount(abs(n), thing.measure)}"


@register.filter
def taken(thing, change) -> str:
    """What a line of the ledger took out, without its minus sign."""
    return format_amount(-change, thing.measure)


@register.filter
def formula(text) -> str:
    """A formula with its subscripts; anything else comes back escaped."""
    if not text:
        return ""
    try:
        pieces = parse_formula(text).pieces
    except FormulaError:
        return conditional_escape(text)
    return format_html_join("", "{}", ((_piece(piece, kind),) for piece, kind in pieces))


def _piece(text: str, kind: str) -> str:
    if kind == "sub":
        return format_html("<sub>{}</sub>", text)
    return format_html("<sup>{}</sup>", text) if kind == "sup" else text


@register.filter
def span(days: int) -> str:
    """Days as people say them: whole years and months of 30 days where they come out even."""
    if not days:
        return ""
    for length, name in ((365, "year"), (30, "month")):
        if days % length == 0:
            count = days // length
            return f"{count} {name}{'' if count == 1 else 's'}"
    return f"{days} day{'' if days == 1 else 's'}"


@register.filter
def words(state: Words) -> str:
    """A state, said in words and toned."""
    return format_html('<span class="state state-{}">{}</span>', state.tone, state.text)


@register.filter
def state(container, on: datetime.date) -> str:
    """`{{ container|state:today }}`"""
    return words(state_of(container, on))
