"""Databases as they were when something landed: plain SQL, with a little of the invented school in them.

`python -m tests.landed NAME` adds the newest. Never edit or delete what is here: somebody has such a one.
"""

import hashlib
from pathlib import Path

FOLDER = Path(__file__).parent
ROOT = FOLDER.parents[1]
DIGESTS = FOLDER / "migrations.sha256"


def on_disk() -> dict[str, str]:
    """Path of every migration -> the SHA-256 of its text."""
    found = sorted([*ROOT.glob("*/migrations/[0-9]*.py")])
    return {
        path.relative_to(ROOT).as_posix(): hashlib.sha256(path.read_text("utf-8").encode()).hexdigest()
        for path in found
    }


def listed() -> dict[str, str]:
    """The migrations that have landed, as they were then."""
    lines = DIGESTS.read_text("utf-8").splitlines() if DIGESTS.exists() else []
    return {path: digest for digest, path in (line.split() for line in lines)}


def dumps(vendor: str) -> list[Path]:
    """The dumps for one database, oldest first."""
    return sorted(FOLDER.glob(f"*.{vendor}.sql"))
