"""Time every page and computation on a large department.

Run: python -m tests.bench [reagents] [containers] [bookings]
2,000, 10,000 and 5,000 unless said, in a test database of its own, dropped afterwards.
"""

import os
import sys

import django
from django.test.utils import setup_databases, setup_test_environment, teardown_databases
from django.utils import timezone

SIZES = (2_000, 10_000, 5_000)


def main(sizes: tuple[int, ...]) -> None:
    import stockroom.wsgi  # noqa: F401  settles memory as the server does
    from tests.bench import department, pages

    setup_test_environment(debug=False)
    made = setup_databases(verbosity=0, interactive=False)
    try:
        today = timezone.localdate()
        department.fill(today, *sizes)
        print("{:,} reagents, {:,} containers, {:,} bookings".format(*sizes), flush=True)
        rows = []
        for row in pages.measure(today):
            print(row, flush=True)
            rows.append(row)
        print(pages.judge(rows))
    finally:
        teardown_databases(made, verbosity=0)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stockroom.settings")
    django.setup()
    main(tuple(map(int, sys.argv[1:4])) or SIZES)
