"""A page of the app as domain code names it."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Page:
    """A page by its name, what it is of and what is asked of it; `{{ page|address }}` makes the address."""

    name: str
    args: tuple[object, ...] = ()
    query: tuple[tuple[str, str], ...] = ()
