"""Pages of a table: how long one may be, whatever the address asks for."""

from django.core.paginator import Paginator
from django_tables2 import RequestConfig, Table

ROWS_A_PAGE, MOST_A_PAGE = 25, 200


class BoundedPaginator(Paginator):
    """Takes any length of page and keeps it between one row and the most that a page shows."""

    def __init__(self, rows, per_page, **kwargs):
        super().__init__(rows, min(max(int(per_page), 1), MOST_A_PAGE), **kwargs)


def paging(per_page: int = ROWS_A_PAGE) -> dict:
    """What django-tables2 wants to know to part a table into pages."""
    return {"per_page": per_page, "paginator_class": BoundedPaginator}


def paged(request, table: Table, per_page: int = ROWS_A_PAGE) -> Table:
    """The table, sorted and parted as the address asks."""
    return RequestConfig(request, paginate=paging(per_page)).configure(table)
