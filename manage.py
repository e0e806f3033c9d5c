#!/usr/bin/env python
"""Django's command line for this project.

`start` and `test` also work in a new clone: where the requirements are missing, they are first
installed into `.venv` beside this file, and the command runs there.
"""

import importlib.util
import os
import subprocess
import sys
import venv
from pathlib import Path

HERE = Path(__file__).resolve().parent
FROM_NOTHING = ("start", "test")


def install_and_run_again() -> int:
    """Make `.venv`, install the pinned requirements, and run the same command inside it."""
    if sys.version_info < (3, 11):
        sys.exit("Python 3.11 or newer is needed: run this with python3.11.")
    folder = HERE / ".venv"
    python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    done = folder / "requirements.txt"
    wanted = (HERE / "requirements.txt").read_text()
    if not done.exists() or done.read_text() != wanted:
        print("Installing the requirements into .venv (a few minutes, the first time only) ...", flush=True)
        venv.create(folder, with_pip=True)
        subprocess.run(
            [python, "-m", "pip", "install", "--quiet", "--requirement", HERE / "requirements.txt"],
            check=True,
        )
        done.write_text(wanted)
    return subprocess.run([python, *sys.argv], env={**os.environ, "PYTHONUNBUFFERED": "1"}).returncode


def main() -> None:
    outside = Path(sys.prefix).resolve() != (HERE / ".venv").resolve()
    if (
        len(sys.argv) > 1
        and sys.argv[1] in FROM_NOTHING
        and outside
        and (not importlib.util.find_spec("django") or sys.prefix == sys.base_prefix)
    ):
        try:
            sys.exit(install_and_run_again())
        except KeyboardInterrupt:
            sys.exit(130)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stockroom.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
