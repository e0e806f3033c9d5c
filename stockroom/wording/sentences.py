"""The few rules of English by which sentences are put together."""

from collections.abc import Iterable


def first_large(text: str) -> str:
    """The text with its first letter large and no other changed.

    >>> first_large("pH is not known")
    'PH is not known'
    """
    return f"{text[:1].upper()}{text[1:]}"


def sentence(text: object) -> str:
    """What an error or a note says, as a sentence: first letter large, one full stop.

    >>> sentence(ValueError("add a unit"))
    'Add a unit.'
    """
    return first_large(str(text)).rstrip(".") + "."


def and_more(names: Iterable[object], most: int = 2, between: str = ", ") -> str:
    """The first of many names, and how many more there are.

    >>> and_more(["a", "b", "c", "d"]), and_more(["a", "b"])
    ('a, b and 2 more', 'a, b')
    """
    named = [str(name) for name in names]
    left = len(named) - most
    return between.join(named[:most]) + (f" and {left} more" if left > 0 else "")
