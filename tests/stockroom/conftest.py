"""What the tests of the stock's pages share."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext


@pytest.fixture
def keeper(client, technician):
    """A browser in which the technician is signed in."""
    client.force_login(technician)
    return client


@pytest.fixture
def count_queries():
    """`count_queries(client, url)`: how many queries the page takes."""

    def count(client, url, data=None):
        client.get(url, data)  # so that what is made or kept at the first visit does not count
        with CaptureQueriesContext(connection) as queries:
            assert client.get(url, data).status_code == 200
        return len(queries)

    return count
