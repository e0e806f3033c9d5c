"""A PostgreSQL of our own for the tests: made in a temporary folder, on loopback, stopped at the end."""

import contextlib
import glob
import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path


def programs() -> Path | None:
    """The folder of `initdb` and `pg_ctl`, or None where PostgreSQL is not installed."""
    if found := shutil.which("initdb"):
        return Path(found).resolve().parent
    folders = sorted(glob.glob("/usr/lib/postgresql/*/bin"), key=lambda path: int(path.split("/")[-2]))
    return Path(folders[-1]) if folders else None


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@contextlib.contextmanager
def cluster() -> Iterator[str]:
    """Start a cluster and yield its DATABASE_URL. Raises RuntimeError where PostgreSQL is not installed."""
    bin_folder = programs()
    if bin_folder is None:
        raise RuntimeError("PostgreSQL is not installed: its programs initdb and pg_ctl were not found.")
    # The server refuses to run as root: root hands it to the user that the package makes.
    become = ["runuser", "-u", "postgres", "--"] if os.name != "nt" and os.geteuid() == 0 else []
    with tempfile.TemporaryDirectory(prefix="pg-", ignore_cleanup_errors=True) as folder:
        if become:
            shutil.chown(folder, "postgres")
        data = Path(folder) / "data"
        port = _free_port()

        def run(program: str, *words: str) -> None:
            subprocess.run(
                [*become, bin_folder / program, *words], check=True, cwd=folder, stdout=subprocess.DEVNULL
            )

        run("initdb", "-D", str(data), "-U", "stockroom", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8")
        # Compiling queries costs more than running them on tables this small; and statistics taken between
        # two tests, when every table is empty, make plans for no rows.
        tuning = "-c fsync=off -c jit=off -c autovacuum=off"
        settings = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories='' {tuning}"
        run("pg_ctl", "-D", str(data), "-w", "-l", str(Path(folder) / "log"), "-o", settings, "start")
        try:
            yield f"postgres://stockroom@127.0.0.1:{port}/postgres"
        finally:
            run("pg_ctl", "-D", str(data), "-m", "immediate", "stop")
