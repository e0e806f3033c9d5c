"""Finding things by what people remember of them: name, synonym, CAS RN, formula, lot, place.

Each function narrows a queryset to the rows in which every word of the text occurs somewhere. Rows are
found through IN, never a join, so that no row comes twice; and each inner query stands by itself, so that
the database asks it once and not once a row.
"""

from django.db.models import Q, QuerySet

from stockroom.common.search import _every_word
from stockroom.inventory.models import Chemical, Component, Container, Synonym


def _chemical_says(word: str) -> Q:
    return Q(name__icontains=word) | Q(cas_rn__icontains=word) | Q(formula__icontains=word)


def _chemicals(word: str) -> QuerySet:
    """Ids of the chemicals that a word names, by synonym too."""
    synonyms = Synonym.objects.filter(name__icontains=word).values("chemical")
    return Chemical.objects.filter(_chemical_says(word) | Q(pk__in=synonyms)).order_by().values("pk")


def search_chemicals(rows: QuerySet, text: str) -> QuerySet:
    return _every_word(rows, text, lambda word: Q(pk__in=_chemicals(word)))


def _holding(word: str) -> QuerySet:
    """Ids of the reagents that hold a chemical which the word names."""
    return Component.objects.filter(chemical__in=_chemicals(word)).order_by().values("reagent")


def search_reagents(rows: QuerySet, text: str) -> QuerySet:
    def finds(word):
        containers = Container.objects.exclude(state=Container.State.GONE).filter(
            Q(lot__icontains=word) | Q(code__iexact=word) | Q(location__path__icontains=word)
        )
        return (
            Q(name__icontains=word)
            | Q(pk__in=_holding(word))
            | Q(pk__in=containers.order_by().values("reagent"))
        )

    return _every_word(rows, text, finds)


def search_containers(rows: QuerySet, text: str) -> QuerySet:
    def finds(word):
        return (
            Q(code__icontains=word)
            | Q(lot__icontains=word)
            | Q(location__path__icontains=word)
            | Q(reagent__name__icontains=word)
            | Q(reagent__in=_holding(word))
        )

    return _every_word(rows, text, finds)
