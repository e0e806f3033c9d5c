"""Whether the app can do its work: database, disk, migrations and mail, each tried."""

import os
import tempfile
from collections.abc import Callable

from django.conf import settings
from django.core.mail import get_connection
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

#: bytes below which a disk counts as full: a few uploads and a day of the ledger
ROOM = 200 * 1024 * 1024


def _database() -> bool:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        return cursor.fetchone() == (1,)


def _disk() -> bool:
    with tempfile.TemporaryFile(dir=settings.DATA_DIR) as probe:
        probe.write(b"x")
        probe.flush()
        if not hasattr(os, "fstatvfs"):
            return True
        room = os.fstatvfs(probe.fileno())
        return room.f_bavail * room.f_frsize > ROOM


def _migrations() -> bool:
    executor = MigrationExecutor(connection)
    return not executor.migration_plan(executor.loader.graph.leaf_nodes())


def _mail() -> bool:
    with get_connection():
        return True


CHECKS: dict[str, Callable[[], bool]] = {
    "database": _database,
    "disk": _disk,
    "migrations": _migrations,
    "mail": _mail,
}


def standing() -> dict[str, bool]:
    """Each thing that the app needs -> whether it works."""
    found = {}
    for name, works in CHECKS.items():
        try:
            found[name] = works()
        except Exception:  # whatever it is that fails, the monitor is told that it does
            found[name] = False
    return found
