"""Finding things by what people remember of them: name, synonym, CAS RN, formula, lot, place.

Each function narrows a queryset to the rows in which every word of the text occurs somewhere. Rows are
found through EXISTS, never a join, so that no row comes twice and nothing need be made distinct.
"""

from collections.abc import Callable

from django.db.models import Exists, OuterRef, Q, QuerySet

from stockroom.models import Component, Container, Synonym

MAX_TEXT, MAX_WORDS = 100, 6
_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")


def _every_word(rows: QuerySet, text: str, finds: Callable) -> QuerySet:
    for word in text.translate(_SUBSCRIPTS).split()[:MAX_WORDS]:
        rows = rows.filter(finds(word))
    return rows


def _chemical_says(word: str, prefix: str = "") -> Q:
    return (
        Q(**{f"{prefix}name__icontains": word})
        | Q(**{f"{prefix}cas_rn__icontains": word})
        | Q(**{f"{prefix}formula__icontains": word})
    )


def search_chemicals(rows: QuerySet, text: str) -> QuerySet:
    def finds(word):
        synonyms = Synonym.objects.filter(chemical=OuterRef("pk"), name__icontains=word)
        return _chemical_says(word) | Exists(synonyms)

    return _every_word(rows, text, finds)


def _composition_says(word: str, reagent: str) -> Q:
    components = Component.objects.filter(reagent=OuterRef(reagent))
    synonyms = Synonym.objects.filter(chemical__components__reagent=OuterRef(reagent), name__icontains=word)
    return Exists(components.filter(_chemical_says(word, "chemical__"))) | Exists(synonyms)


def search_reagents(rows: QuerySet, text: str) -> QuerySet:
    def finds(word):
        containers = Container.objects.filter(reagent=OuterRef("pk")).exclude(state=Container.State.GONE)
        containers = containers.filter(
            Q(lot__icontains=word) | Q(code__iexact=word) | Q(location__path__icontains=word)
        )
        return Q(name__icontains=word) | _composition_says(word, "pk") | Exists(containers)

    return _every_word(rows, text, finds)


def search_containers(rows: QuerySet, text: str) -> QuerySet:
    def finds(word):
        return (
            Q(code__icontains=word)
            | Q(lot__icontains=word)
            | Q(location__path__icontains=word)
            | Q(reagent__name__icontains=word)
            | _composition_says(word, "reagent_id")
        )

    return _every_word(rows, text, finds)
