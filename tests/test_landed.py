"""Migrations are history: none that has landed is edited, and a database of each landing upgrades."""

import contextlib
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest
from django.conf import settings
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.db.utils import ConnectionHandler
from environ import Env

from tests import landed

VENDORS = ("sqlite", "postgresql")


def test_no_landed_migration_is_edited_or_gone():
    now = landed.on_disk()
    assert landed.listed()
    for path, digest in landed.listed().items():
        assert now.get(path) == digest, f"{path} has landed: leave it be, and write a further one."


def test_every_migration_is_listed():
    new = set(landed.on_disk()) - set(landed.listed())
    assert not new, f"List what lands with `python -m tests.landed YYYY-MM-DD-word`: {', '.join(sorted(new))}"


def test_an_edit_is_noticed(tmp_path, monkeypatch):
    folder = tmp_path / "stockroom" / "migrations"
    folder.mkdir(parents=True)
    path = folder / "0001_initial.py"
    path.write_text("operations = []\n")
    monkeypatch.setattr(landed, "ROOT", tmp_path)
    before = landed.on_disk()
    path.write_text("operations = [1]\n")
    assert list(before) == ["stockroom/migrations/0001_initial.py"]
    assert landed.on_disk() != before


@pytest.mark.parametrize("vendor", VENDORS)
def test_the_newest_dump_ends_where_the_listed_migrations_do(vendor):
    text = landed.dumps(vendor)[-1].read_text("utf-8")
    for path in landed.listed():
        app, _, file = path.split("/")
        assert f"'{app}','{file[:-3]}'" in text.replace(", ", ","), (
            f"Keep what lands: python -m tests.landed NAME. {path}"
        )


@contextlib.contextmanager
def _empty(tmp_path: Path):
    """The address of an empty database of the kind that the tests run on."""
    if connection.vendor == "sqlite":
        yield f"sqlite:///{tmp_path / 'old.sqlite3'}"
        return
    at = connection.settings_dict
    server = {"host": at["HOST"], "port": at["PORT"], "user": at["USER"], "password": at["PASSWORD"]}
    name = f"{at['NAME']}_landed"
    with psycopg.connect(dbname="postgres", autocommit=True, **server) as admin:
        admin.execute(f"DROP DATABASE IF EXISTS {name}")
        admin.execute(f"CREATE DATABASE {name}")
        try:
            password = f":{at['PASSWORD']}" if at["PASSWORD"] else ""
            yield f"postgres://{at['USER']}{password}@{at['HOST']}:{at['PORT']}/{name}"
        finally:
            admin.execute(f"DROP DATABASE {name} WITH (FORCE)")


def _fill(url: str, sql: str) -> None:
    if url.startswith("sqlite"):
        with contextlib.closing(sqlite3.connect(url.removeprefix("sqlite:///"))) as database:
            database.executescript(sql)
    else:
        with psycopg.connect(url, autocommit=True) as database:
            database.execute(sql)


def _manage(url: str, *words: str) -> str:
    env = os.environ | {"DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "stockroom.settings"}
    done = subprocess.run(
        [sys.executable, "manage.py", *words], cwd=settings.BASE_DIR, env=env, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def _counts(database) -> dict[str, int]:
    with database.cursor() as cursor:
        tables = [name for name in database.introspection.table_names(cursor) if "_" in name]
        for table in tables:
            cursor.execute(f'SELECT count(*) FROM "{table}"')
            yield table, cursor.fetchone()[0]


def _schema(database) -> dict[str, tuple]:
    """Columns and constraints of every table, without names that the database makes up."""
    with database.cursor() as cursor:
        look, found = database.introspection, {}
        for table in look.table_names(cursor):
            columns = {
                (row.name, look.get_field_type(row.type_code, row), row.display_size, row.null_ok)
                for row in look.get_table_description(cursor, table)
            }
            kinds = ("columns", "primary_key", "unique", "foreign_key", "check", "index")
            constraints = sorted(
                repr([row[kind] for kind in kinds]) for row in look.get_constraints(cursor, table).values()
            )
            found[table] = (columns, constraints)
    return found


@pytest.mark.django_db
@pytest.mark.parametrize("name", [path.name.split(".")[0] for path in landed.dumps("sqlite")])
def test_a_database_of_each_landing_upgrades_with_all_that_is_in_it(name, tmp_path):
    dump = landed.FOLDER / f"{name}.{connection.vendor}.sql"
    with _empty(tmp_path) as url:
        _fill(url, dump.read_text("utf-8"))
        old = ConnectionHandler({"default": Env.db_url_config(url)})["default"]
        before = dict(_counts(old))
        old.close()
        _manage(url, "migrate", "-v0")
        _manage(url, "migrate", "--check")
        after = dict(_counts(old))
        assert {table: after.get(table) for table in before if table.startswith(("stockroom", "demos"))} == {
            table: count for table, count in before.items() if table.startswith(("stockroom", "demos"))
        }
        assert _schema(old) == _schema(connection)
        assert set(MigrationRecorder(connection).applied_migrations()) <= set(
            MigrationRecorder(old).applied_migrations()
        )
        old.close()
        if before["stockroom_container"]:
            assert "agree with the ledger" in _manage(url, "prove_balances")
        # Once more changes nothing: what is whole is left alone.
        assert "No migrations to apply" in _manage(url, "migrate")


def test_both_databases_have_a_dump_of_each_landing():
    names = [{path.name.split(".")[0] for path in landed.dumps(vendor)} for vendor in VENDORS]
    assert names[0] == names[1]
    assert names[0]
