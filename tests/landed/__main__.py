"""`python -m tests.landed NAME`: keep what lands now, its migrations and databases that stand where they end.

NAME begins with the day, such as `2026-11-27-ledger`, so that dumps sort by age. `--code FOLDER` dumps what
an older copy of the code makes of an empty database; then no migration is listed. A copy that is older than
the invented school leaves empty tables.
"""

import argparse
import os
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.landed import DIGESTS, FOLDER, ROOT, listed, on_disk
from tests.postgres import cluster, programs

#: rows of each table that the dump begins with
FIRST = 3
WHOLE = {
    "django_migrations",
    "django_content_type",
    "auth_permission",
    "auth_group",
    "auth_group_permissions",
    "stockroom_department",
}
#: what a row is not whole without: table -> (other table, its column)
WITH = {
    "stockroom_container": [("stockroom_movement", "container_id")],
    "stockroom_wastecontainer": [("stockroom_wasteentry", "waste_container_id")],
    "stockroom_order": [("stockroom_orderline", "order_id")],
    "stockroom_preparation": [("stockroom_preparationpart", "preparation_id")],
    "demos_booking": [("demos_run", "booking_id")],
    "demos_run": [("demos_runline", "run_id")],
}


def _columns(db: sqlite3.Connection, table: str) -> set[str]:
    return {row[1] for row in db.execute(f'PRAGMA table_info("{table}")')}


def _kept(db: sqlite3.Connection, tables: list[str]) -> dict[str, set[int]]:
    """The first rows of each table and all that they cannot be without."""
    keys = {
        table: [(row[3], row[2]) for row in db.execute(f'PRAGMA foreign_key_list("{table}")')]
        for table in tables
    }
    kinds = {
        pk: f"{app}_{model}"
        for pk, app, model in db.execute("SELECT id, app_label, model FROM django_content_type")
    }
    kept: dict[str, set[int]] = {table: set() for table in tables}
    todo = [
        (table, pk)
        for table in tables
        for (pk,) in db.execute(f'SELECT id FROM "{table}" ORDER BY id LIMIT {FIRST}')
    ]
    todo += [
        ("stockroom_container", pk)
        for state in ("quarantined", "gone")
        for (pk,) in db.execute(
            "SELECT id FROM stockroom_container WHERE state = ? ORDER BY id LIMIT 2", [state]
        )
    ]
    while todo:
        table, pk = todo.pop()
        if table not in kept or pk is None or pk in kept[table]:
            continue
        kept[table].add(pk)
        for column, other in keys[table]:
            todo += [
                (other, found)
                for (found,) in db.execute(f'SELECT "{column}" FROM "{table}" WHERE id = ?', [pk])
            ]
        for other, column in WITH.get(table, ()):
            todo += [
                (other, found)
                for (found,) in db.execute(f'SELECT id FROM "{other}" WHERE "{column}" = ?', [pk])
            ]
        if "belongs_id" in _columns(db, table):
            found = db.execute(f'SELECT belongs_type_id, belongs_id FROM "{table}" WHERE id = ?', [pk])
            todo += [(kinds.get(kind, ""), belongs) for kind, belongs in found]
    return kept


def prune(path: Path) -> None:
    """Leave a few rows of every table of the school, with all that they cannot be without."""
    db = sqlite3.connect(path)
    names = [name for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    tables = [name for name in names if name not in WHOLE and "id" in _columns(db, name)]
    kept = _kept(db, tables)
    triggers = db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in triggers:
        db.execute(f'DROP TRIGGER "{name}"')
    for table in tables:
        db.execute(f'DELETE FROM "{table}" WHERE id NOT IN ({",".join(map(str, kept[table])) or "-1"})')
    for _, sql in triggers:
        db.execute(sql)
    assert not db.execute("PRAGMA foreign_key_check").fetchall()
    db.commit()
    db.execute("VACUUM")
    db.close()


def _manage(code: Path, url: str, data: Path, *words: str) -> None:
    env = os.environ | {"DATABASE_URL": url, "DATA_DIR": str(data), "PYTHONPATH": str(code)}
    subprocess.run([sys.executable, "manage.py", *words], cwd=code, env=env, check=True)


def _write(name: str, vendor: str, lines) -> None:
    (FOLDER / f"{name}.{vendor}.sql").write_text("\n".join(lines) + "\n", "utf-8")


def dump(name: str, code: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder)
        path, rows = data / "school.sqlite3", data / "rows.json"
        url = f"sqlite:///{path}"
        _manage(code, url, data, "migrate", "-v0")
        if (code / "demos" / "management" / "commands" / "load_school.py").exists():
            _manage(code, url, data, "load_school", "--passwords", "{}")
        prune(path)
        db = sqlite3.connect(path)
        _write(name, "sqlite", db.iterdump())
        db.close()
        without = [word for app in ("contenttypes", "auth.permission", "auth.group") for word in ("-e", app)]
        _manage(code, url, data, "dumpdata", "--natural-foreign", "-o", str(rows), "-v0", *without)
        with cluster() as url:
            _manage(code, url, data, "migrate", "-v0")
            _manage(code, url, data, "loaddata", "-v0", str(rows))
            said = subprocess.run(
                [
                    programs() / "pg_dump",
                    "--inserts",
                    "--no-owner",
                    "--no-privileges",
                    url.replace("postgres:", "postgresql:"),
                ],
                check=True,
                capture_output=True,
                text=True,
            ).stdout.splitlines()
        # Words to the shell of PostgreSQL begin with a backslash; they are no SQL, and new with every dump.
        wanted = (line for line in said if line and not line.startswith(("\\", "--")))
        _write(name, "postgresql", wanted)


def freeze() -> list[str]:
    """List the migrations that are new; what is listed already stays as it is."""
    known = listed()
    new = {path: digest for path, digest in on_disk().items() if path not in known}
    both = sorted({**known, **new}.items())
    DIGESTS.write_text("".join(f"{digest}  {path}\n" for path, digest in both), "utf-8")
    return list(new)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.landed", description=__doc__)
    parser.add_argument("name")
    parser.add_argument("--code", type=Path, default=ROOT)
    asked = parser.parse_args()
    dump(asked.name, asked.code)
    if asked.code == ROOT:
        print("Landed:", *(freeze() or ["no new migration"]))


if __name__ == "__main__":
    main()
