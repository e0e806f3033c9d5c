"""`manage.py test`: lint, the whole suite on SQLite, then all that touches a database on PostgreSQL."""

import os
import shutil
import subprocess
import sys

from django.conf import settings
from django.core.management.base import BaseCommand

# Browser tests come last and take longest: a worker that is done takes over half of what the other has left.
SIDE_BY_SIDE = ("-n", "auto", "--dist", "worksteal")
BROWSERS = ("chromium", "chromium-browser", "google-chrome")


class Command(BaseCommand):
    help = "Run every check. Words after -- go to pytest, and then only pytest runs, on SQLite."
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument("pytest", nargs="*", help="arguments for pytest, after --")

    def handle(self, *args, **options):
        if options["pytest"]:
            sys.exit(self.pytest(*options["pytest"]))
        in_ci = bool(os.environ.get("CI"))
        chromium = any(shutil.which(name) for name in BROWSERS)
        if in_ci and not chromium:
            sys.exit("CI runs every check, and Chromium is missing: install it first.")
        if not chromium:
            self.say("Chromium was not found: the browser tests are left out.")
        wanted = [] if chromium else ["-m", "not browser"]
        codes = [self.run("ruff", "check", "."), self.run("ruff", "format", "--check", ".")]
        codes.append(self.run("djlint", "templates", "--lint", "--quiet"))
        codes.append(self.postgres(in_ci))
        self.say("The whole suite, on SQLite")
        codes.append(self.pytest(*SIDE_BY_SIDE, *wanted))
        sys.exit(max(codes))

    def postgres(self, in_ci: bool) -> int:
        from tests.postgres import cluster, programs

        if programs() is None:
            if in_ci:
                sys.exit("CI runs every check, and PostgreSQL is missing: install it first.")
            self.say("PostgreSQL was not found: the database tests run on SQLite only.")
            return 0
        self.say("Every test that touches the database, on PostgreSQL")
        with cluster() as url:
            return self.pytest(
                *SIDE_BY_SIDE, "--database-only", "-m", "not browser and not bench", DATABASE_URL=url
            )

    def pytest(self, *words: str, **environment: str) -> int:
        return self.run("pytest", *words, **environment)

    def run(self, module: str, *words: str, **environment: str) -> int:
        return subprocess.run(
            [sys.executable, "-m", module, *words], cwd=settings.BASE_DIR, env={**os.environ, **environment}
        ).returncode

    def say(self, text: str) -> None:
        self.stdout.write(f"\n== {text}")
        self.stdout.flush()
